"""Whether something would live here, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.company import Fit, Survey
    from lentic.advice.planting import Planting
    from lentic.keeper.company import Newcomer


def newcomer_lines(view: Newcomer) -> list[str]:
    """Return an answer in words, the rules on danger first where they say stop."""
    from lentic.advice.company import Fit
    from lentic.advice.hazards.words import found_lines

    fit = view.fit
    found = _animal_lines(view, fit) if isinstance(fit, Fit) else _plant_lines(view, fit)
    if view.danger.found:
        found += ["", "What the rules on danger say of bringing it in:"]
        found += [line for each in view.danger.found for line in (f"  {each.severity}", *found_lines(each))]
    if view.danger.asks:
        found += ["", "What would have to be known first:", *(f"  {ask.question}" for ask in view.danger.asks[:4])]
    return found


def survey_lines(view: Survey) -> list[str]:
    """Return which tank mates would do, in words."""
    found = [f"Tank mates in {view.tank}: {view.answer}", *(f"  {each.line}" for each in view.why), ""]
    answer = ""
    for fit in view.fits:
        if fit.answer != answer:
            answer = fit.answer
            found.append(f"{answer}:")
        found.append(f"  {fit.name:<28} {fit.why}")
    return [*found, "", "Ask for one of them with `lentic fits NAME` before you buy."]


def _head(view: Newcomer) -> list[str]:
    """Return the answer and what decides it."""
    stop = next(iter(view.danger.stops), None)
    why = view.fit.why if view.answer == view.fit.answer or stop is None else stop.message
    return [f"{view.fit.name} ({view.fit.scientific}) in {view.tank}: {view.answer}", f"  {why}"]


def _animal_lines(view: Newcomer, fit: Fit) -> list[str]:
    found = _head(view)
    if fit.count > 1:
        found[0] = f"{fit.count} x {found[0]}"
    found += _block("Against it:", [each.line for each in fit.against if each.text != fit.why])
    found += _block("Numbers:", [f"{name}: {known.told}" for name, known in fit.numbers])
    found += _block("To know:", [each.line for each in fit.neutral])
    found += _block("Why it does not clean:", [each.line for each in fit.truths])
    found += _block("Law:", [each.line for each in fit.law])
    return found + _block("Not known:", list(fit.unknown))


def _plant_lines(view: Newcomer, plant: Planting) -> list[str]:
    found = _head(view)
    found += _block("Against it:", [each.line for each in plant.against if each.text != plant.why])
    rows = (
        ("looked at", plant.grams),
        ("plant light at the water", plant.light),
        ("grows, share of its mass", plant.growth),
        ("takes up", plant.uptake),
        ("that is", plant.share),
        ("enough for a good part of the waste", plant.enough),
        ("more than this only rots", plant.most),
        ("to thin", plant.thin),
        ("the turtle may eat", plant.grazed),
    )
    found += _block("Numbers:", [f"{name}: {known.told}" for name, known in rows if known is not None])
    found += _block("To know:", [each.line for each in plant.notes])
    found += _block("Law:", [each.line for each in plant.law])
    return found + _block("Not known:", list(plant.unknown))


def _block(title: str, lines: list[str]) -> list[str]:
    return ["", title, *(f"  {line}" for line in lines)] if lines else []
