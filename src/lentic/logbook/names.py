"""Which of the names in use a keeper means by a few typed letters; the catalogue knows the rest."""

from __future__ import annotations

from collections.abc import Sequence

from lentic.catalogue import Record, Which, normalise, resolve


def settle(words: str, known: Sequence[str], kind: str | None) -> str | tuple[str, ...]:
    """Return the one name meant, or the names to choose from; nothing typed means the only name in use."""
    typed = normalise(words)
    if not typed:
        return known[0] if len(known) == 1 else tuple(known)
    exact = [name for name in known if normalise(name) == typed]
    if exact:
        return exact[0]
    begun = [name for name in known if _begins(normalise(name), typed)]
    if len(begun) == 1:
        return begun[0]
    return tuple(begun) or (_from_catalogue(words, known, kind) if kind else tuple(known))


def _begins(name: str, typed: str) -> bool:
    return name.startswith(typed) or any(word.startswith(typed) for word in name.split())


def _from_catalogue(words: str, known: Sequence[str], kind: str) -> str | tuple[str, ...]:
    """Look the words up; a name already in use for the same record keeps its spelling."""
    found = resolve(kind, words)
    if found is None:
        return tuple(known)
    spelled = {record.id: name for name in known if isinstance(record := resolve(kind, name), Record)}
    if isinstance(found, Which):
        used = [spelled[record.id] for record in found.candidates if record.id in spelled]
        return used[0] if len(used) == 1 else tuple(used) or tuple(record.id for record in found.candidates)
    return spelled.get(found.id, found.id)
