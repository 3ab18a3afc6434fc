"""Signs a keeper may see on a turtle, found in the words of the log, each with how soon a vet should see the animal."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from lentic.catalogue.facts import HOW, CatalogueError

URGENCIES: Final = ("now", "24 h", "48 h", "this week")
"""How soon, the soonest first."""
_NOT: Final = re.compile(r"\b(no|not|without|never|nor|free of)\s+(\w+\s+){0,2}$")


@dataclass(frozen=True, kw_only=True)
class SignKind:
    """One sign: its name, its words, how soon, and what harms nothing meanwhile."""

    id: str
    name: str
    words: tuple[str, ...]
    urgency: str
    meanwhile: str
    how: str
    source: str
    after_d: float | None = None
    later_urgency: str | None = None

    def found_in(self, text: str) -> bool:
        """Tell whether a keeper's words speak of this sign, and do not say that it is absent."""
        plain = " ".join(text.casefold().replace("’", "'").split())
        for pattern in self.words:
            for match in re.finditer(rf"\b(?:{pattern})", plain):
                if not _NOT.search(plain[: match.start()]):
                    return True
        return False


@cache
def signs() -> Mapping[str, SignKind]:
    """All signs by id, the most urgent first."""
    document = tomllib.loads((files("lentic.catalogue") / "data" / "signs.toml").read_text(encoding="utf-8"))
    sources: Mapping[str, str] = document["sources"]
    found = [_sign(raw, sources) for raw in document["sign"]]
    return {each.id: each for each in sorted(found, key=lambda each: URGENCIES.index(each.urgency))}


def _sign(raw: Mapping[str, object], sources: Mapping[str, str]) -> SignKind:
    where = f"signs.toml, {raw.get('id')}"
    for key in ("urgency", "later_urgency"):
        if key in raw and raw[key] not in URGENCIES:
            raise CatalogueError(f"{where}: {key} must be one of {', '.join(URGENCIES)}")
    words, source = raw["words"], str(raw["src"])
    if raw["how"] not in HOW or source not in sources or not isinstance(words, list):
        raise CatalogueError(f"{where}: words is a list, how one of {', '.join(HOW)}, src a key of [sources]")
    after = raw.get("after_d")
    later = raw.get("later_urgency")
    return SignKind(
        id=str(raw["id"]), name=str(raw["name"]), words=tuple(str(each) for each in words),
        urgency=str(raw["urgency"]), meanwhile=str(raw["meanwhile"]), how=str(raw["how"]), source=sources[source],
        after_d=float(after) if isinstance(after, int | float) else None,
        later_urgency=None if later is None else str(later),
    )  # fmt: skip


def signs_in(text: str) -> tuple[SignKind, ...]:
    """Return every sign a keeper's words speak of."""
    return tuple(sign for sign in signs().values() if sign.found_in(text))
