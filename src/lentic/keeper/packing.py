"""Views as bytes and back, so that an answer can be kept: plain JSON, and only records of this package come out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time, timedelta
from enum import Enum
from importlib import import_module
from typing import Any

import numpy as np

MARK = "!"
"""The key under which JSON objects name what they stand for."""


class NotPackedError(TypeError):
    """A view holds something that cannot be kept; a bug of the view."""


def packed(value: Any) -> bytes:
    """Return a view as bytes."""
    return json.dumps(_plain(value), ensure_ascii=False, separators=(",", ":")).encode()


def unpacked(data: bytes) -> Any:
    """Return the view that was packed; anything else raises ValueError."""
    try:
        return _value(json.loads(data))
    except (KeyError, TypeError, AttributeError, ImportError) as error:
        raise ValueError(f"what was kept is no view of this version: {error}") from error


def _plain(value: Any) -> Any:
    if value is None or (isinstance(value, bool | int | float | str) and not isinstance(value, Enum)):
        return float(value) if isinstance(value, np.floating) else value
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    if isinstance(value, datetime | date | time):
        return {MARK: type(value).__name__, "v": value.isoformat()}
    if isinstance(value, timedelta):
        return {MARK: "timedelta", "v": value.total_seconds()}
    if isinstance(value, np.ndarray):
        return {MARK: "array", "t": str(value.dtype), "v": value.tolist()}
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, Mapping):
        return {MARK: "map", "v": [[_plain(key), _plain(each)] for key, each in value.items()]}
    return _record(value)


def _record(value: Any) -> Any:
    kind = type(value)
    name = f"{kind.__module__}:{kind.__qualname__}"
    if kind.__module__.startswith("lentic."):
        if isinstance(value, Enum):
            return {MARK: name, "v": value.name}
        if is_dataclass(value):
            return {MARK: name, "f": {each.name: _plain(getattr(value, each.name)) for each in fields(value)}}
    raise NotPackedError(f"{name} cannot be kept; a view holds records, numbers, texts and times")


def _value(plain: Any) -> Any:
    if isinstance(plain, list):
        return tuple(_value(each) for each in plain)
    if not isinstance(plain, dict):
        return plain
    kind = plain[MARK]
    match kind:
        case "datetime":
            return datetime.fromisoformat(plain["v"])
        case "date":
            return date.fromisoformat(plain["v"])
        case "time":
            return time.fromisoformat(plain["v"])
        case "timedelta":
            return timedelta(seconds=plain["v"])
        case "array":
            return np.array(plain["v"], dtype=np.dtype(plain["t"]))
        case "map":
            return {_value(key): _value(each) for key, each in plain["v"]}
    return _built(str(kind), plain)


def _built(name: str, plain: Mapping[str, Any]) -> Any:
    module, _, kind = name.partition(":")
    if not module.startswith("lentic."):
        raise ValueError(f"{name} is no record of this package")
    known = getattr(import_module(module), kind)
    if isinstance(known, type) and issubclass(known, Enum):
        return known[plain["v"]]
    if not (isinstance(known, type) and is_dataclass(known)):
        raise ValueError(f"{name} is no record")
    return known(**{key: _value(each) for key, each in plain["f"].items()})
