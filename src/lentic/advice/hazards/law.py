"""Whether notes of the catalogue say that a species may stand on a list where the keeper lives; never a verdict."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from lentic.catalogue import Record

EU: Final = frozenset(
    ["AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
     "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"]
)  # fmt: skip
"""Member states of the European Union, ISO 3166-1 codes."""
_PLACES: Final[Mapping[str, str]] = {
    "GB": r"\bUK\b|\bEngland\b|Great Britain", "JP": r"\bJapan\b", "US": r"\bUSA\b|\bUS\b|Vermont",
    "AU": r"\bAustralia\b|\bNSW\b|Queensland", "DE": r"\bGermany\b",
}  # fmt: skip
_RESTRICTS: Final = re.compile(
    r"list|ban|no sale|no keeping|offence|prohibited|noxious|not sold|licence|protected", re.I
)


def notes_for(record: Record, country: str | None) -> tuple[str, ...]:
    """Return what notes of the catalogue say of a species in a country, or everywhere where none is given."""
    fact = record.fact("legal")
    if fact is None:
        return ()
    notes = fact.value if isinstance(fact.value, tuple) else (fact.text,)
    return tuple(note for note in notes if country is None or _speaks_of(note, country))


def _speaks_of(note: str, country: str) -> bool:
    here = country in EU and re.search(r"\bEU\b|Europe", note)
    return bool(here or re.search(_PLACES.get(country, r"(?!)"), note))


def listed(record: Record, country: str | None) -> bool | None:
    """Tell whether a note says it may be restricted in a country; None where no note speaks of that country."""
    if country is None:
        return None
    return True if any(_RESTRICTS.search(note) for note in notes_for(record, country)) else None


def protected(record: Record) -> bool | None:
    """Tell whether a note names CITES or protection of the species; None where none does."""
    text = record.words("legal")
    return True if re.search(r"CITES (I|II|III|Appendix)\b|[Pp]rotected", text) and "not in CITES" not in text else None
