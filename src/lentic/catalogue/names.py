"""Find a record by whatever a keeper calls it, in any table, and ask instead of guessing."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Final

from lentic.catalogue.facts import CatalogueError
from lentic.catalogue.load import records
from lentic.catalogue.records import Record

KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "food": ("foods",),
    "plant": ("plants",),
    "turtle": ("turtles",),
    "fish": ("tankmates",),
    "tankmate": ("tankmates",),
    "animal": ("turtles", "tankmates"),
    "medium": ("filter_media",),
    "lamp": ("lamps",),
    "conditioner": ("conditioners",),
}
"""Kinds one can ask for and the files they stand in."""

ALL_KINDS: Final = ("turtle", "tankmate", "plant", "food", "medium", "lamp", "conditioner")
"""One kind for each table."""

CLOSE: Final = 0.75
"""Likeness of spelling from which a name is offered as a question (difflib ratio)."""

OFFERED: Final = 6
"""Most candidates put to the keeper at once."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """The one record a name means."""

    asked: str
    record: Record


@dataclass(frozen=True, kw_only=True)
class Which:
    """Records a name may mean; the keeper has to say which."""

    asked: str
    candidates: tuple[Record, ...]

    @property
    def question(self) -> str:
        """The question to put to the keeper."""
        names = [f"{record.name} ({record.id})" for record in self.candidates]
        if len(names) == 1:
            return f"“{self.asked}” is not a name known here. Is {names[0]} meant?"
        return f"“{self.asked}” may mean {' or '.join(names)}: which one?"


@dataclass(frozen=True, kw_only=True)
class Unknown:
    """A name that is not like any in the tables asked."""

    asked: str
    kinds: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What to tell the keeper."""
        where = "the catalogue" if self.kinds == ALL_KINDS else " or ".join(self.kinds)
        return (
            f"“{self.asked}” is like no name of {where}. Try the scientific name, or the name of the class of thing;"
            " makes and products are not listed."
        )


def normalise(name: str) -> str:
    """Strip a name of capitals, accents, apostrophes and punctuation, so that spellings can be compared."""
    parted = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(mark for mark in parted if not unicodedata.combining(mark))
    plain = plain.replace("'", "").replace("’", "").replace("`", "")
    return " ".join("".join(mark if mark.isalnum() else " " for mark in plain).split())


def spellings(record: Record) -> frozenset[str]:
    """All names a record answers to, normalised."""
    words = (record.id, record.scientific, *record.names, *record.synonyms)
    return frozenset(normalise(word) for word in words if word)


Spelt = tuple[tuple[Record, frozenset[str]], ...]
"""Records, each with all its spellings."""


def _spelt(pool: Iterable[Record]) -> Spelt:
    return tuple((record, spellings(record)) for record in pool)


@cache
def _of_kinds(kinds: tuple[str, ...]) -> Spelt:
    for kind in kinds:
        if kind not in KINDS:
            raise CatalogueError(f"{kind!r} is not a kind of the catalogue; there are {', '.join(KINDS)}")
    files = dict.fromkeys(file for kind in kinds for file in KINDS[kind])
    return _spelt(record for file in files for record in records(file))


def find(text: str, kinds: Iterable[str] = ALL_KINDS) -> Found | Which | Unknown:
    """Find what a keeper means by `text` among some kinds, or in the whole catalogue; two that fit are asked about."""
    asked = tuple(kinds)
    found = _among(_of_kinds(asked), text)
    return Unknown(asked=text, kinds=asked) if found is None else found


def resolve(kind: str, name: str) -> Record | Which | None:
    """Give the record of `kind` called `name`; a question where several or none fit exactly; or None."""
    found = find(name, (kind,))
    if isinstance(found, Unknown):
        return None
    return found.record if isinstance(found, Found) else found


def find_among(pool: Iterable[Record], name: str) -> Found | Which | None:
    """Find a record among `pool`; only an exact name (after `normalise`) that one record has is an answer."""
    return _among(_spelt(pool), name)


def _among(pool: Spelt, name: str) -> Found | Which | None:
    wanted = normalise(name)
    if not wanted:
        return None
    exact = [record for record, known in pool if wanted in known or _singular(wanted) in known]
    by_id = [record for record in exact if normalise(record.id) == wanted]
    named = {record.kind for record in by_id}
    exact = [record for record in exact if record.kind not in named or record in by_id]
    if len(exact) == 1:
        return Found(asked=name, record=exact[0])
    near = exact or _containing(pool, wanted) or _alike(pool, wanted)
    return Which(asked=name, candidates=tuple(near[:OFFERED])) if near else None


def _singular(wanted: str) -> str:
    if wanted.endswith("ies"):
        return f"{wanted[:-3]}y"
    return wanted[:-1] if len(wanted) > 3 and wanted.endswith("s") and not wanted.endswith("ss") else wanted


def _containing(pool: Spelt, wanted: str) -> list[Record]:
    words = set(wanted.split())
    return [record for record, known in pool if any(words <= set(each.split()) for each in known)]


def _alike(pool: Spelt, wanted: str) -> list[Record]:
    owners: dict[str, list[Record]] = {}
    for record, known in pool:
        for spelling in sorted(known):
            owners.setdefault(spelling, []).append(record)
    close = get_close_matches(wanted, owners, n=OFFERED, cutoff=CLOSE)
    return list({id(record): record for spelling in close for record in owners[spelling]}.values())
