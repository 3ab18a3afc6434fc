"""Ultraviolet light where the animal lies: what reaches the shell, against the band of its zone, and until when."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from lentic.advice.findings import Finding, State, When, ask, date_words, known_as, sorted_findings
from lentic.advice.words import Spread, counted, number
from lentic.catalogue import Animal, Fact, Lamp, common, lamps
from lentic.learn.lamps import Decay, LampPrior, decay_of
from lentic.logbook.events import Event, Reading
from lentic.logbook.events import Lamp as LampEvent
from lentic.logbook.tank import Fixture, Tank
from lentic.science.constants import MONTH_D
from lentic.science.light import mesh_transmission

USES = ("uvb", "basking_uvb")
NEW_BULB = re.compile(r"\bnew (lamp|bulb|tube|uvb|light)|\b(lamp|bulb|tube) (changed|replaced|renewed)")
ELSEWHERE = re.compile(r"\b(shade|shaded|corner|floor|water|edge|rim)\b")
CLASS_SD = 0.4
"""How far an index of the catalogue, or a half-life, may be off, of the logarithm; from memory, ±50 %."""
UNKNOWN_HALF_LIFE_D, UNKNOWN_HALF_LIFE_SD = 270.0, 0.6
"""Half-life where the class is not told; common practice, no source."""
LEAST_LINE = 0.2
"""A zone whose band begins at nought gives no line; half of the new lamp is taken."""
HALF = 0.5
OLD_READING_D, READ_EVERY_D, SOONEST_D = 183, 91, 28
"""Days after which a reading is old, between readings, and before which another tells nothing; common practice."""
ALWAYS = "Glass and acrylic stop ultraviolet B; a mesh takes a quarter to a half, a fine one more (from memory)."


@dataclass(frozen=True, kw_only=True)
class Band:
    """UV index where the animals of a tank bask: the mean to aim at and the highest they meet outdoors."""

    low: float
    high: float
    highest: float
    zone: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Ultraviolet:
    """One lamp: what reaches the shell today, when it falls below the line, and when to measure next."""

    lamp: str
    index: Spread
    origin: str
    readings: int
    line: float | None
    replace: When | None
    next_reading: date | None
    findings: tuple[Finding, ...]


def band_of(records: Sequence[Animal]) -> Band | None:
    """Return the band all the animals of a tank share; None while a kind is not known."""
    facts = common("turtles")
    zones: list[tuple[str, Fact]] = [
        (record.scientific, fact) for record in records if (fact := record.fact("uvb_zone")) is not None
    ]
    if not zones:
        return None
    numbers = [int(fact.middle) for _, fact in zones]
    means = [facts[f"uvi_mean_zone_{zone}"] for zone in numbers]
    highest = [facts[f"uvi_highest_zone_{zone}"] for zone in numbers]
    low, high = max(fact.bounds[0] for fact in means), min(fact.bounds[1] for fact in means)
    shown = ", ".join(
        sorted({f"{name} zone {zone} ({known_as(fact)})" for (name, fact), zone in zip(zones, numbers, strict=True)})
    )
    return Band(
        low=min(low, high), high=high, highest=min(fact.bounds[1] for fact in highest), zone=shown,
        source=f"bands after Ferguson 2010 ({known_as(means[0])}); {shown}",
    )  # fmt: skip


def fitted_on(tank: Tank, events: Sequence[Event], lamp: Fixture) -> date | None:
    """Return when the lamp that burns now was put in: as described, or by a line that speaks of a new one."""
    renewed = [
        tank.local_date(e.time) for e in events
        if isinstance(e, LampEvent) and e.use == lamp.use and NEW_BULB.search(e.note.casefold())
    ]  # fmt: skip
    return max([*renewed, *([lamp.fitted] if lamp.fitted else [])], default=None)


def readings_of(tank: Tank, events: Sequence[Event], since: date | None) -> list[tuple[date, float]]:
    """Return the UV indices measured at the shell since a day."""
    return [
        (tank.local_date(e.time), e.value) for e in events
        if isinstance(e, Reading) and e.quantity == "uvi" and e.value > 0 and not ELSEWHERE.search(e.note.casefold())
        and (since is None or tank.local_date(e.time) >= since)
    ]  # fmt: skip


def passes(lamp: Fixture) -> tuple[float, float]:
    """Return the share of ultraviolet B that gets through what lies between lamp and shell."""
    facts = common("lamps")
    if lamp.through in ("glass", "acrylic"):
        share = facts[f"{lamp.through}_uvb_transmission"].middle
        return share, share
    if lamp.through == "mesh":
        if lamp.mesh_wire_mm is not None and lamp.mesh_pitch_mm is not None:
            open_area = float(mesh_transmission(lamp.mesh_wire_mm, lamp.mesh_pitch_mm))
            return 0.8 * open_area, open_area
        low, high = facts["mesh_loss_fraction"].bounds
        return 1.0 - high, 1.0 - low
    return 1.0, 1.0


def by_class(record: Lamp | None, distance_cm: float | None) -> float | None:
    """Return the index of a new lamp of a class at a distance, between its known distances; None beyond them."""
    pairs = record.uvi_by_distance if record is not None else ()
    if not pairs or distance_cm is None or not pairs[0][0] <= distance_cm <= pairs[-1][0]:
        return None
    distances, indices = zip(*((distance, fact.middle) for distance, fact in pairs), strict=True)
    return float(np.exp(np.interp(np.log(distance_cm), np.log(distances), np.log(indices))))


def prior_of(record: Lamp | None, lamp: Fixture) -> LampPrior:
    """Return what the class of a lamp tells before any reading."""
    life = record.fact("uvb_life_months") if record is not None else None
    half, sd = UNKNOWN_HALF_LIFE_D, UNKNOWN_HALF_LIFE_SD
    if life is not None:
        low, high = life.bounds
        half, sd = float(np.sqrt(low * high)) * MONTH_D, CLASS_SD
    new = by_class(record, distance_of(lamp))
    low, high = passes(lamp)
    if new is None or high <= 0.0:
        return LampPrior(half_life_d=half, half_life_sd=sd)
    return LampPrior(half_life_d=half, half_life_sd=sd, new=new * (low + high) / 2.0, new_sd=CLASS_SD)


def distance_of(lamp: Fixture) -> float | None:
    """Return the distance from lamp to shell; the height over the basking place where the shell's is not told."""
    return lamp.shell_cm if lamp.shell_cm is not None else lamp.height_cm


def ultraviolet_of(
    tank: Tank, events: Sequence[Event], lamp: Fixture, band: Band | None, today: date, *, alone: bool = True
) -> Ultraviolet:
    """Return how one lamp for the animal stands; the share of each in a reading of several cannot be told."""
    record = lamps().get(lamp.lamp_class or "")
    name = record.name if record is not None else lamp.lamp_class or f"lamp, {lamp.use}"
    fitted = fitted_on(tank, events, lamp)
    read = readings_of(tank, events, fitted)
    findings = [*_through(lamp), *_age(record, fitted, read, today)]
    decay = None
    if alone and fitted is not None and lamp.through not in ("glass", "acrylic"):
        ages = np.array([float((day - fitted).days) for day, _ in read])
        decay = decay_of(prior_of(record, lamp), ages, np.array([value for _, value in read]))
    index, origin = _index(decay, fitted, read, today)
    line = None if band is None else band.low if band.low >= LEAST_LINE else None
    replace = _replace(decay, fitted, line) if read else None
    if lamp.through not in ("glass", "acrylic"):
        findings += _against(index, origin, band, bool(read))
        findings += _due(replace, line, band, today)
    return Ultraviolet(
        lamp=name, index=index, origin=origin, readings=len(read), line=line, replace=replace,
        next_reading=_next(read, replace, today), findings=sorted_findings(findings),
    )  # fmt: skip


def _index(
    decay: Decay | None, fitted: date | None, read: Sequence[tuple[date, float]], today: date
) -> tuple[Spread, str]:
    if decay is not None and fitted is not None:
        low, middle, high = decay.at(float((today - fitted).days))
        origin = (
            f"estimate from {counted(len(read), 'own reading')}"
            if read
            else "catalogue, from memory: it may be off by half"
        )
        return Spread(p10=low, p50=middle, p90=high), origin
    if read:
        day, value = read[-1]
        return Spread(p10=value, p50=value, p90=value), f"own reading of {date_words(day)}"
    return Spread(p10=None, p50=None, p90=None), "not known"


def _through(lamp: Fixture) -> list[Finding]:
    source = known_as(common("lamps")["glass_uvb_transmission"])
    if lamp.through in ("glass", "acrylic"):
        return [Finding(
            what="path of the light", state="act", source=source,
            sentence=f"The light passes {lamp.through}: reckon with no ultraviolet B at the shell, new lamp or old.",
            do="Give it an open way to the basking place, at a measured distance.",
        )]  # fmt: skip
    if lamp.through == "mesh":
        low, high = passes(lamp)
        share = f"{100 * low:.0f} to {100 * high:.0f} %"
        return [Finding(
            what="path of the light", state="watch", source="open area of the mesh" if lamp.mesh_pitch_mm else source,
            sentence=f"The light passes a mesh, which lets about {share} through. {ALWAYS}",
            do="Measure below the mesh, at the shell.",
        )]  # fmt: skip
    if lamp.through is None:
        return [ask("path of the light", f"What lies between lamp and shell: nothing, mesh, glass or acrylic? {ALWAYS} "
                                         "Write through under [[lamp]].")]  # fmt: skip
    return [Finding(what="path of the light", state="fine", sentence=f"Nothing between lamp and shell. {ALWAYS}")]


def _age(record: Lamp | None, fitted: date | None, read: Sequence[tuple[date, float]], today: date) -> list[Finding]:
    if fitted is None:
        return [
            ask("age", "When was the lamp put in? Write fitted under [[lamp]]; a lamp that shines may give nothing.")
        ]
    months = (today - fitted).days / MONTH_D
    life = record.fact("uvb_life_months") if record is not None else None
    fresh = bool(read) and (today - read[-1][0]).days <= OLD_READING_D
    said = f"{months:.0f} months old (fitted {date_words(fitted)})."
    if life is None:
        return [Finding(what="age", state="fine" if fresh else "watch", sentence=said)]
    span = f"Its class lasts {life.text} months by {known_as(life).removeprefix('catalogue, ')}"
    if fresh or months <= life.bounds[0]:
        return [Finding(what="age", state="fine", sentence=f"{said} {span}; readings count for more.")]
    return [Finding(
        what="age", state="watch", sentence=f"{said} {span}, and there is no reading of the last half-year.",
        do="Measure at the shell; without a meter replace it, and write the date on its cap.",
    )]  # fmt: skip


def _against(index: Spread, origin: str, band: Band | None, measured: bool) -> list[Finding]:
    what = "UV index at the shell"
    if band is None:
        return [ask(what, "Which kinds live here? Write species under [[turtle]]: the band hangs on it.")]
    if index.p50 is None or not measured:
        rough = "" if index.p50 is None else f" A lamp of its class would give {_range(index)} ({origin})."
        return [
            ask(
                what,
                "Measure it at shell height on the basking place, lamp warm, the mean of five points."
                f"{rough} To aim at: {band.low:g} to {band.high:g} ({band.zone}). Clubs lend meters.",
            )
        ]
    return [_judged(index.p50, f"{_range(index)}, {origin}; to aim at: {band.low:g} to {band.high:g}.", band)]


def _judged(middle: float, said: str, band: Band) -> Finding:
    """Return a measured index against the band, with what to do."""
    state: State = "fine"
    do = ""
    if middle > band.highest:
        said = f"{said} Above {band.highest:g}, the most of its zone: eyes, skin."
        state, do = "act", "Raise the lamp today; shade beside it."
    elif middle > band.high:
        state, do = "watch", "Raise the lamp a little; shade in reach."
    elif middle < band.low:
        state = "act" if middle < HALF * band.low else "watch"
        do = "Lower the lamp in small steps, measuring, or replace it."
    return Finding(what="UV index at the shell", state=state, sentence=said, do=do, source=band.source)


def _range(spread: Spread) -> str:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "not known"
    if spread.p10 == spread.p90:
        return number(spread.p50)
    return f"{number(spread.p50)} (8 in 10: {number(spread.p10)} to {number(spread.p90)})"


def _replace(decay: Decay | None, fitted: date | None, line: float | None) -> When | None:
    if decay is None or fitted is None:
        return None
    ages = decay.age_below(line) if line is not None else decay.age_below_share(HALF)
    low, middle, high = (fitted + timedelta(days=round(min(max(age, 0.0), 20000.0))) for age in ages)
    return When(p10=low, p50=middle, p90=high)


def _due(replace: When | None, line: float | None, band: Band | None, today: date) -> list[Finding]:
    if replace is None or replace.p10 is None or replace.p50 is None or replace.p90 is None:
        return []
    reason = f"falls below {line:g}" if line is not None else "gives half of what it gave new"
    span = f"{date_words(replace.p50)} (8 in 10: {date_words(replace.p10)} to {date_words(replace.p90)})"
    past = replace.p50 <= today
    return [Finding(
        what="replacement", state="watch" if past else "fine",
        sentence=f"It {reason} about {span}." if not past else f"By its readings it {reason} since about {span}.",
        do="Replace it, or lower it and measure; write the date on its cap." if past else "",
        source="own readings and the life of its class",
    )]  # fmt: skip


def _next(read: Sequence[tuple[date, float]], replace: When | None, today: date) -> date | None:
    """Return when to measure next: every three months, sooner where the lamp may be near its line."""
    if not read:
        return today
    last = read[-1][0]
    regular = last + timedelta(days=READ_EVERY_D)
    if replace is not None and replace.p10 is not None:
        regular = min(regular, max(replace.p10, last + timedelta(days=SOONEST_D)))
    return max(regular, today)
