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


def listed(record: Record, country: str | None) -> bool | None:
    """Tell whether a note says it may be restricted in a country; None where no note speaks of that country."""
    fact = record.fact("legal")
    if fact is None or country is None:
        return None
    notes = fact.value if isinstance(fact.value, tuple) else (fact.text,)
    for note in notes:
        here = country in EU and re.search(r"\bEU\b|Europe", note)
        if (here or re.search(_PLACES.get(country, r"(?!)"), note)) and _RESTRICTS.search(note):
            return True
    return None


def protected(record: Record) -> bool | None:
    """Tell whether a note names CITES or protection of the species; None where none does."""
    text = record.words("legal")
    return True if re.search(r"CITES (I|II|III|Appendix)\b|[Pp]rotected", text) and "not in CITES" not in text else None
