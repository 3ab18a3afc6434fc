"""Find a record by whatever a keeper calls it, and ask instead of guessing."""

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

CLOSE: Final = 0.75
"""Likeness of spelling from which a name is offered as a question (difflib ratio)."""

OFFERED: Final = 6
"""Most candidates put to the keeper at once."""


@dataclass(frozen=True, kw_only=True)
class Choices:
    """Records a name may mean; the keeper has to say which."""

    asked: str
    candidates: tuple[Record, ...]

    @property
    def question(self) -> str:
        """The question to put to the keeper."""
        names = [f"{record.name} ({record.id})" for record in self.candidates]
        return f"“{self.asked}” may mean {' or '.join(names)}: which one?"


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


@cache
def _of_kind(kind: str) -> tuple[Record, ...]:
    if kind not in KINDS:
        raise CatalogueError(f"{kind!r} is not a kind of the catalogue; there are {', '.join(KINDS)}")
    return tuple(record for file in KINDS[kind] for record in records(file))


def resolve(kind: str, name: str) -> Record | Choices | None:
    """Find the record of `kind` called `name`; a question where several or none fit exactly; or None."""
    return find(_of_kind(kind), name)


def find(pool: Iterable[Record], name: str) -> Record | Choices | None:
    """Find a record among `pool`; only an exact name (after `normalise`) that one record has is an answer."""
    pool = tuple(pool)
    wanted = normalise(name)
    if not wanted:
        return None
    by_id = [record for record in pool if normalise(record.id) == wanted]
    exact = by_id or [record for record in pool if wanted in spellings(record)]
    if len(exact) == 1:
        return exact[0]
    near = exact or _containing(pool, wanted) or _alike(pool, wanted)
    return Choices(asked=name, candidates=tuple(near[:OFFERED])) if near else None


def _containing(pool: tuple[Record, ...], wanted: str) -> list[Record]:
    words = set(wanted.split())
    return [record for record in pool if any(words <= set(known.split()) for known in spellings(record))]


def _alike(pool: tuple[Record, ...], wanted: str) -> list[Record]:
    owners: dict[str, list[Record]] = {}
    for record in pool:
        for spelling in sorted(spellings(record)):
            owners.setdefault(spelling, []).append(record)
    close = get_close_matches(wanted, owners, n=OFFERED, cutoff=CLOSE)
    return list({record.id: record for spelling in close for record in owners[spelling]}.values())
