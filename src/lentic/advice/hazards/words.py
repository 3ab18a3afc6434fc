"""A verdict in the keeper's words: what is dangerous, what to do instead, who says so, what to answer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from lentic.advice.hazards.gate import Ask, Found, NotChecked, Verdict
from lentic.catalogue import references
from lentic.catalogue.facts import HOW_WORDS
from lentic.catalogue.hazards import fact_kinds

TITLES = {
    "STOP": "Do not go on",
    "ACT": "To do today",
    "WARN": "To do this week",
    "NOTE": "Good to know",
}
"""What a severity means to the keeper."""
PRACTICE = "hazards:husb"
ASKED = 6
"""So many questions are put at once; the others come when these are answered."""
NOT_NAMED = frozenset({"medicine.kind"})
"""Facts whose values are never listed: the keeper reads the substance off the label, nobody suggests one."""
CAUTION = "This is no diagnosis and no word on law: with an ill animal a vet comes first, with papers the authority."


def verdict_lines(verdict: Verdict) -> list[str]:
    """Return a verdict as lines: what was found, what is asked, what was not checked."""
    lines = [_headline(verdict)]
    for severity, title in TITLES.items():
        found = [each for each in verdict.found if each.severity == severity]
        if found:
            lines += ["", f"{title} ({severity}):"]
            for each in found:
                lines += found_lines(each)
    lines += _asked(verdict.asks)
    lines += _unchecked(verdict.not_checked, verdict.tried)
    lines += ["", *verdict.assumed] if verdict.assumed else []
    return [*lines, "", CAUTION]


def _headline(verdict: Verdict) -> str:
    about = f"{', '.join(verdict.words)} in {verdict.tank}" if verdict.words else verdict.tank
    if not verdict.tried:
        return f"{about}: no rule of the catalogue speaks of this."
    if not verdict.found:
        open_rules = f", {len(verdict.not_checked)} of them lack a fact" if verdict.not_checked else ""
        return f"{about}: nothing found ({verdict.tried} rules tried{open_rules})."
    return f"{about}: {len(verdict.found)} found ({verdict.tried} rules tried)."


def found_lines(found: Found) -> list[str]:
    """Return one finding as lines."""
    about = f" ({', '.join(found.about)})" if found.about else ""
    lines = [
        f"  {found.rule}{about}: {found.when[0].upper()}{found.when[1:]}.",
        f"    {found.message}",
        f"    Instead: {found.instead}",
    ]
    lines.append(f"    Who says so: {_source(found)}{f'; {found.note}' if found.note else ''}.")
    if found.overruled is not None:
        lines.append(f"    You went against it on {found.overruled.when:%Y-%m-%d}: {found.overruled.why}")
    elif found.severity == "STOP":
        lines.append(f'    Only a written reason goes past it: lentic log NAME "overrule {found.rule}: why"')
    return lines


def _source(found: Found) -> str:
    """Return who says so and how it is known; where nobody does, that alone."""
    how = HOW_WORDS.get(found.how, found.how)
    return how if found.source == references()[PRACTICE] else f"{found.source.rstrip('.')} ({how})"


def ask_lines(ask: Ask) -> list[str]:
    """Return a question as lines: what is asked, and how to answer it."""
    kind = fact_kinds()[ask.fact]
    about = f"{ask.about}: " if ask.about else ""
    # the name of the turtle stands in the middle of its facts; a thing asked about has its own under the list
    name = ask.fact.replace(".", f".{ask.about}.", 1) if ask.about and kind.of_list is None else ask.fact
    lines = [f"  {about}{ask.question}  [--fact {name}=…]"]
    if kind.values and ask.fact not in NOT_NAMED:
        count = "One or more of" if kind.type == "set" else "One of"
        lines.append(f"    {count}: {', '.join(value.replace('_', ' ') for value in kind.values)}.")
    return lines


def _asked(asks: Sequence[Ask]) -> list[str]:
    if not asks:
        return []
    lines = ["", "To be asked, the most pressing first:"]
    for ask in asks[:ASKED]:
        lines += ask_lines(ask)
    if len(asks) > ASKED:
        lines.append(f"  … and {len(asks) - ASKED} more when these are answered.")
    return lines


def _unchecked(rules: Sequence[NotChecked], tried: int) -> list[str]:
    if not rules:
        return []
    groups = Counter(rule.group for rule in rules)
    listed = ", ".join(f"{group} {times}" for group, times in groups.items())
    return ["", f"Not checked for want of facts: {len(rules)} of {tried} rules ({listed})."]


__all__ = ["ask_lines", "found_lines", "verdict_lines"]
