"""What really happened during a trial, with the one change undone, and what else changed meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from lentic.advice.habits import litres_of
from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Change,
    Dose,
    Event,
    Feed,
    Lamp,
    LostPlant,
    Planted,
    Power,
    Rinse,
    Sign,
)
from lentic.logbook.tank import Tank
from lentic.logbook.trials import Trial

BEFORE_D = 56.0
"""The routine before is that of so many days. [d]"""
MUCH = 1.34
"""A routine that moved by more than a third spoils a trial of something else; ours to choose. [-]"""
WEEKS = 2.0
"""A routine is compared only after so many weeks. [weeks]"""
PLANT_D = 3.0
"""Plants of the trial are those put in within so many days of its beginning. [d]"""
LONG_OFF_H = 6.0
"""Power off for longer is no session of upkeep. [h]"""


def undone(trial: Trial, events: Sequence[Event]) -> list[Event]:
    """Return the events of a trial as they would have been without the change."""
    share = trial.before / trial.after if trial.after else 1.0
    if trial.factor == "ration":
        return [replace(e, grams=e.grams * share) if isinstance(e, Feed) else e for e in events]
    if trial.factor == "litres":
        return [_scaled(e, share) if isinstance(e, Change) else e for e in events if not _is_first(trial, e)]
    if trial.factor == "light_h":
        return [e for e in events if not (isinstance(e, Lamp) and e.use == "plants")]
    if trial.factor == "plants_g":
        late = trial.begun + timedelta(days=PLANT_D)
        return [e for e in events if not (isinstance(e, Planted) and e.time <= late)]
    return _respaced(trial, events)


def _is_first(trial: Trial, event: Event) -> bool:
    """Tell whether an event is a change where none was made before."""
    return trial.before == 0.0 and isinstance(event, Change)


def _scaled(event: Change, share: float) -> Change:
    return replace(
        event, litres=None if event.litres is None else event.litres * share,
        percent=None if event.percent is None else event.percent * share,
    )  # fmt: skip


def _respaced(trial: Trial, events: Sequence[Event]) -> list[Event]:
    """Return the changes on the old days, each with the litres of the one made last before it."""
    changes = [e for e in events if isinstance(e, Change)]
    if not changes:
        return list(events)
    kept = [e for e in events if not isinstance(e, Change)]
    end, at, made = events[-1].time, trial.begun + timedelta(days=trial.before), []
    while at <= end:
        last = [c for c in changes if c.time <= at] or changes[:1]
        made.append(replace(last[-1], time=at))
        at += timedelta(days=trial.before)
    return sorted([*kept, *made], key=lambda event: event.time)


def signs_of_harm(events: Sequence[Event]) -> list[Sign]:
    """Return the health signs noted during a trial."""
    return [event for event in events if isinstance(event, Sign)]


def spoiled_by(trial: Trial, tank: Tank, before: Sequence[Event], during: Sequence[Event]) -> list[str]:
    """Return what else changed during a trial, in words."""
    if not during:
        return []
    span = (during[-1].time - trial.begun) / timedelta(days=1)
    recent = [e for e in before if e.time >= trial.begun - timedelta(days=BEFORE_D)]
    found: list[str] = []
    if span >= 7.0 * WEEKS:
        found += _moved(trial, tank, recent, during, span)
    found += _happened(trial, during)
    return found


def _moved(trial: Trial, tank: Tank, recent: Sequence[Event], during: Sequence[Event], span: float) -> list[str]:
    first = min((e.time for e in recent), default=trial.begun)
    length = max((trial.begun - first) / timedelta(days=1), 1.0)
    rates: tuple[tuple[str, tuple[str, ...], Callable[[Event], float], str], ...] = (
        (
            "water changed",
            ("litres", "interval_d"),
            lambda e: litres_of(tank, e) if isinstance(e, Change) else 0.0,
            "L",
        ),
        ("food", ("ration",), lambda e: e.grams if isinstance(e, Feed) else 0.0, "g"),
    )
    said = []
    for name, own, amount, unit in rates:
        was = sum(amount(e) for e in recent) / length * 7.0
        now = sum(amount(e) for e in during) / span * 7.0
        if trial.factor not in own and was > 0.0 and not 1.0 / MUCH <= now / was <= MUCH:
            said.append(f"{name}: {now:.3g} {unit} a week instead of {was:.3g}")
    return said


def _happened(trial: Trial, during: Sequence[Event]) -> list[str]:
    late = trial.begun + timedelta(days=PLANT_D)
    said = []
    for event in during:
        match event:
            case Lamp(use="plants") if trial.factor != "light_h":
                said.append(f"plant light turned to {event.hours:g} h")
            case Planted() if trial.factor != "plants_g" or event.time > late:
                said.append(f"{event.grams:g} g of {event.species} put in")
            case LostPlant():
                said.append(f"{event.grams:g} g of {event.species} died")
            case AnimalIn() | AnimalOut():
                said.append(f"{event.what} moved {'in' if isinstance(event, AnimalIn) else 'out'}")
            case Rinse(extent="all"):
                said.append("all media were rinsed")
            case Dose(substance=substance) if substance == "sodium_bicarbonate":
                said.append("bicarbonate was added")
    return list(dict.fromkeys([*said, *_outages(during)]))


def _outages(during: Sequence[Event]) -> list[str]:
    off: datetime | None = None
    said = []
    for event in during:
        if isinstance(event, Power) and not event.on:
            off = event.time
        elif isinstance(event, Power) and off is not None:
            hours = (event.time - off) / timedelta(hours=1)
            said += [f"power was off for {hours:.0f} hours"] if hours > LONG_OFF_H else []
            off = None
    return said
