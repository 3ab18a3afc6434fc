"""A session as it is kept in the store, and the lines of the log that its steps give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import datetime
from typing import Any

from lentic.advice.upkeep.graph import Step
from lentic.advice.upkeep.run import Mark, Run
from lentic.logbook.events import Change, Event, Power, Reading, Rinse, Scrape, Siphon, Thin, Void, Weigh, what_of
from lentic.logbook.tank import Tank

GRADES = (0.0, 4.0)


def body_of_run(run: Run) -> dict[str, Any]:
    """Return what of a run is kept when it begins."""
    return {"steps": [asdict(step) for step in run.steps], "closed_canister": run.closed_canister}


def body_of_mark(mark: Mark) -> dict[str, Any]:
    """Return a mark ready for JSON."""
    return {**asdict(mark), "at": mark.at.isoformat()}


def run_from(key: str, tank: str, begun: datetime, body: Mapping[str, Any], marks: Sequence[Mapping[str, Any]]) -> Run:
    """Return a run as it was kept."""
    steps = tuple(_step(raw) for raw in body["steps"])
    said = tuple(Mark(**{**raw, "at": datetime.fromisoformat(raw["at"])}) for raw in marks)
    return Run(id=key, tank=tank, started=begun, steps=steps, marks=said, closed_canister=bool(body["closed_canister"]))


def _step(raw: Mapping[str, Any]) -> Step:
    """Return a step as it was kept; what an older or newer version kept besides is left aside."""
    names = {each.name for each in fields(Step)} - {"needs"}
    known: dict[str, Any] = {name: value for name, value in raw.items() if name in names}
    return Step(**known, needs=tuple(raw["needs"]))


def asked_for(step: Step, tank: Tank) -> str:
    """Return which single number a step takes when it is done, in words; empty if none."""
    if step.id == "thin" and len(tank.plants) != 1:
        return ""
    if step.id == "weigh" and len(tank.turtles) != 1:
        return ""
    return {
        "look": "temperature in °C", "after": "temperature in °C", "scrape": "grade before scraping, 0 to 4",
        "thin": "grams taken out", "weigh": "grams", "refill": "litres poured in",
    }.get(step.id, "")  # fmt: skip


def wrong_value(step: Step, value: float | None) -> str | None:
    """Return why a number cannot be meant, or None."""
    if value is None:
        return None
    low, high = {
        "look": (0.0, 45.0), "after": (0.0, 45.0), "scrape": GRADES, "thin": (0.0, 50_000.0), "weigh": (1.0, 100_000.0),
        "refill": (0.0, 20_000.0), "siphon": (0.0, 20_000.0),
    }.get(step.id, (0.0, 0.0))  # fmt: skip
    if (low, high) == (0.0, 0.0):
        return f"{step.title} takes no number."
    return None if low <= value <= high else f"{step.title}: {value:g} cannot be; {low:g} to {high:g} can."


def events_of(step: Step, at: datetime, value: float | None, tank: Tank) -> tuple[Event, ...]:
    """Return the lines of the log that a step gives when it is done; a number that was not given gives none."""
    note = "upkeep"
    match step.id:
        case "look" | "after" if value is not None:
            return (Reading(time=at, quantity="temperature", value=value, unit="°C", note=note),)
        case "power_off":
            return (Power(time=at, on=False, note=note),)
        case "power_on":
            return (Power(time=at, on=True, note=note),)
        case "scrape":
            return (Scrape(time=at, where="panes", grade=value, note=note),)
        case "siphon":
            return (Siphon(time=at, fraction=None, note=note),)
        case "rinse":
            return (Rinse(time=at, extent="half", water="tank", note=note),)
        case "refill":
            litres = value if value is not None else step.amount
            return (Change(time=at, litres=litres, note=note),) if litres else ()
        case "thin" if value and len(tank.plants) == 1:
            return (Thin(time=at, species=tank.plants[0].species, grams=value, note=note),)
        case "weigh" if value and len(tank.turtles) == 1:
            return (Weigh(time=at, animal=tank.turtles[0].id, grams=value, note=note),)
    return ()


def taken_back(events: Sequence[Event], at: datetime) -> tuple[Event, ...]:
    """Return the corrections that take lines of the log back."""
    return tuple(
        Void(time=at, of_time=event.time, of_kind=event.kind, of_what=what_of(event) or None, note="upkeep")
        for event in events
    )
