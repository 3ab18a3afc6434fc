"""The docstring of a published relation is a contract: each argument, each unit, a source that exists."""

import importlib
import inspect
import pkgutil
import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import get_args, get_origin

import pytest

from lentic import science

ROOM = Path(science.__file__).parent
REFERENCES = tomllib.loads((ROOM / "references.toml").read_text(encoding="utf-8"))
HOW_KNOWN = {"read", "library", "memory", "common practice"}
Function = Callable[..., object]


def public_functions() -> Iterator[tuple[str, Function]]:
    """Yield every public function of the room once, under the module that defines it."""
    for module_info in pkgutil.iter_modules([str(ROOM)]):
        module = importlib.import_module(f"lentic.science.{module_info.name}")
        for name, item in vars(module).items():
            if inspect.isfunction(item) and item.__module__ == module.__name__ and not name.startswith("_"):
                yield f"{module_info.name}.{name}", item


FUNCTIONS = dict(public_functions())


def sections(function: Function) -> dict[str, str]:
    """Split a numpydoc docstring into its named sections; the summary has the name ''."""
    parts = re.split(r"^(\w+)\n-{3,}\n", inspect.getdoc(function) or "", flags=re.M)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def entries(section: str) -> list[tuple[str, str]]:
    """Return the heads of a section, at the margin, each with the text indented below it."""
    pieces = re.findall(r"^(\S.*)\n((?:    .*\n?)+)", section, flags=re.M)
    return [(head, " ".join(body.split())) for head, body in pieces]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_it_opens_with_one_sentence(name: str) -> None:
    """One sentence that ends with a full stop and fits a line."""
    summary = sections(FUNCTIONS[name])[""].strip()
    assert summary.endswith(".") and "\n" not in summary


@pytest.mark.parametrize("name", FUNCTIONS)
def test_it_lists_every_argument_with_a_unit(name: str) -> None:
    """Names and order are those of the signature; each text ends with its unit in brackets."""
    function = FUNCTIONS[name]
    described = entries(sections(function).get("Parameters", ""))
    names = [part.strip() for head, _ in described for part in head.split(":")[0].split(",")]
    assert names == list(inspect.signature(function).parameters)
    for head, text in described:
        assert re.search(r"\[[^\]]+\]\.?$", text), f"{name}: {head} has no unit"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_it_gives_a_unit_for_every_result(name: str) -> None:
    """A function that returns several things describes each."""
    function = FUNCTIONS[name]
    described = entries(sections(function)["Returns"])
    returned = inspect.signature(function).return_annotation
    assert len(described) == (len(get_args(returned)) if get_origin(returned) is tuple else 1)
    for _, text in described:
        assert re.search(r"\[[^\]]+\]\.?$", text), f"{name}: a result has no unit"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_its_sources_exist(name: str) -> None:
    """Every key named under References stands in the table of references."""
    keys = [key.strip() for key in sections(FUNCTIONS[name])["References"].split(",")]
    assert keys and all(key in REFERENCES for key in keys), keys


def test_every_reference_is_used_and_says_how_it_is_known() -> None:
    """A table of references without dead entries; `how` is one of four words."""
    text = "\n".join(path.read_text(encoding="utf-8") for path in ROOM.glob("*.py"))
    unused = {key for key in REFERENCES if not re.search(rf"\b{key}\b", text)}
    assert unused == set()
    for key, entry in REFERENCES.items():
        assert set(entry) == {"citation", "how", "note"}, key
        assert entry["how"] in HOW_KNOWN and len(entry["citation"]) > 20 and entry["note"].endswith("."), key


def test_the_room_was_found() -> None:
    """Guard against a parametrised test over nothing."""
    assert len(FUNCTIONS) > 100
    assert {"carbonate.ph", "plate.stress_coefficient", "kinetics.film_uptake"} <= set(FUNCTIONS)
