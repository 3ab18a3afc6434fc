"""Where a number comes from: what was logged, the sum in plain steps, what was assumed, and what would change it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from lentic.advice.causes import Causes
from lentic.advice.decide import Column, Decision
from lentic.advice.forecast import UNITS
from lentic.advice.habits import litres_of
from lentic.advice.over_time import OverTime, Read, Record, estimate_on, figure, read_words
from lentic.advice.routine import BUCKET_L, BUCKET_MINUTES, CHANGE_MINUTES, SCRAPE_MINUTES
from lentic.advice.stages import ASSUMPTION, ESTIMATE, OWN
from lentic.advice.stages import NAMES as FLOW_NAMES
from lentic.advice.why import NARROWS, Why, span_words
from lentic.advice.words import NOTHING, Spread, chance, day_words, number
from lentic.learn.evidence import COLOUR_SD
from lentic.logbook.events import Change, Event, Feed, Planted, Reading, Rinse, Scrape, Siphon, Thin, TopUp, Weigh
from lentic.logbook.tank import Tank
from lentic.model.describe import Assumption, Description
from lentic.science.constants import MG_PER_G, WEEK_D

MOST_USED = 12
"""So many lines of the log are shown one by one; the rest are counted. [-]"""
MODEL = (
    "The tank was described by how food, water, dirt, plants, algae, gas and animals pass nitrogen, phosphorus and"
    " carbon on. Many possible versions of it were lived through your log, and those that fit your readings kept."
)
RANGE = "The value is the middle of those versions; the range holds 8 of 10 of them."


@dataclass(frozen=True, kw_only=True)
class Used:
    """One line of the log that the number rests on."""

    when: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Source:
    """How one number is known."""

    title: str
    value: str
    range: str
    how: str
    word: str
    rests_on: str
    used: tuple[Used, ...]
    more_used: int
    steps: tuple[str, ...]
    assumptions: tuple[str, ...]
    changes: tuple[str, ...]


def _source(
    title: str, unit: str, spread: Spread, how: str, word: str, rests_on: str, used: Sequence[Used],
    steps: Sequence[str], assumptions: Sequence[str], changes: Sequence[str], value: str = "", quantity: str = "",
) -> Source:  # fmt: skip
    said = value or (f"{figure(quantity, spread.p50)} {unit}".strip() if spread.p50 is not None else "cannot be said")
    both = spread.p10 is not None and spread.p90 is not None
    return Source(
        title=title, value=said, how=how, word=word, rests_on=rests_on, used=tuple(used[-MOST_USED:]),
        range=f"({figure(quantity, spread.p10 or 0.0)} to {figure(quantity, spread.p90 or 0.0)})" if both else "",
        more_used=max(0, len(used) - MOST_USED), steps=tuple(s for s in steps if s), assumptions=tuple(assumptions),
        changes=tuple(changes),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class _Window:
    """The log of the weeks that a balance covers."""

    tank: Tank
    events: tuple[Event, ...]
    weeks: float
    element: str
    described: Description

    def of(self, *kinds: type[Event]) -> list[Event]:
        """Return the events of some kinds."""
        return [e for e in self.events if isinstance(e, kinds)]

    def used(self, said: Callable[[Event], str], *kinds: type[Event]) -> list[Used]:
        """Return lines of the log as they are shown."""
        return [Used(when=_when(self.tank, e), text=said(e)) for e in self.of(*kinds)]

    @property
    def name(self) -> str:
        """The element in words."""
        return {"N": "nitrogen", "P": "phosphorus"}[self.element]


def _when(tank: Tank, event: Event) -> str:
    local = tank.local_time(event.time)
    return f"{day_words(local)}, {local:%H:%M}"


def flow_source(
    tank: Tank, described: Description, events: Sequence[Event], why: Why, element: str, key: str
) -> Source:
    """Return how one flow of the balance is known."""
    balance, row = why.balance, why.row(key)
    begin, end = balance.begin, balance.end
    kept = tuple(e for e in events if begin <= tank.local_time(e.time).replace(tzinfo=None) <= end)
    weeks = max((end - begin).total_seconds() / 86400.0 / WEEK_D, 1e-6)
    window = _Window(tank=tank, events=kept, weeks=weeks, element=element, described=described)
    spread = row.n if element == "N" else row.p
    used, steps = _FLOWS[key](window, spread)
    title = f"{FLOW_NAMES[key][0]}: {window.name}, {span_words(begin, end)}"
    return _source(
        title, "mg a week", spread, row.how, row.word, f"The log of {number(weeks)} weeks.", used,
        [*steps, MODEL if key != "stored" else "", RANGE], _assumed(why.assumptions), [_narrows(key, element)],
    )  # fmt: skip


def _narrows(key: str, element: str) -> str:
    """Return what a keeper can do to know a flow better."""
    if key not in NARROWS:
        return "No reading of a keeper shows this flow."
    title, why, _ = NARROWS[key]
    return f"{title.replace('nitrate', 'phosphate') if key == 'change' and element == 'P' else title}. {why}"


def _assumed(assumptions: Sequence[Assumption]) -> list[str]:
    return [f"{a.what}: {a.value:.3g} {a.unit} ({a.how})" for a in assumptions]


Flow = tuple[list[Used], list[str]]


def _food(w: _Window, spread: Spread) -> Flow:
    grams: dict[str, float] = {}
    for event in (e for e in w.events if isinstance(e, Feed)):
        grams[event.food] = grams.get(event.food, 0.0) + event.grams
    steps, total = [], 0.0
    shares = {f: w.described.meals[f].n if w.element == "N" else w.described.meals[f].p for f in grams}
    for food, given in sorted(grams.items(), key=lambda item: -item[1] * shares[item[0]]):
        share = shares[food]
        total += given * share * MG_PER_G / w.weeks
        weekly = given / w.weeks
        steps.append(
            f"{_plain(food)}: {number(weekly)} g a week × {number(share * MG_PER_G)} mg {w.name} per gram"
            f" = {number(weekly * share * MG_PER_G)} mg a week."
        )
    steps.append(f"Together {number(total)} mg a week, as logged and as the food is described.")
    steps.append("Scoops, packets and leftovers are off by some share; the fit moved that share within its bounds.")
    return w.used(lambda e: f"{_plain(getattr(e, 'food', ''))} {getattr(e, 'grams', 0.0):g} g", Feed), steps


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _tap(w: _Window, spread: Spread) -> Flow:
    litres = sum(_water(w.tank, e) for e in w.of(Change, TopUp)) / w.weeks
    tap = w.described.tank.source_water
    value = tap.nitrate_mgn_l if w.element == "N" else tap.phosphate_mgp_l
    steps = [f"{number(litres)} L of new water a week: changes and top-ups together."]
    if value is None:
        steps.append(f"Nobody read {'nitrate' if w.element == 'N' else 'phosphate'} of the tap, so it was assumed.")
    else:
        steps.append(f"Tap: {number(value)} mg/L {w.name}. {number(litres)} L × {number(value)} mg/L"
                     f" = {number(litres * value)} mg a week.")  # fmt: skip
    steps.append("Tap readings carry the error of the kit, and taps drift over the year.")
    return w.used(lambda e: f"{e.kind.replace('_', ' ')} {number(_water(w.tank, e))} L", Change, TopUp), steps


def _water(tank: Tank, event: Event) -> float:
    if isinstance(event, TopUp):
        return event.litres if event.water == "source" else 0.0
    return litres_of(tank, event) if isinstance(event, Change) else 0.0


def _change(w: _Window, spread: Spread) -> Flow:
    litres = sum(_water(w.tank, e) for e in w.of(Change)) / w.weeks
    quantity = "nitrate" if w.element == "N" else "phosphate"
    read = [e.value for e in w.of(Reading) if isinstance(e, Reading) and e.quantity == quantity and not e.below]
    steps = [f"{number(litres)} L leave in a week, by your log."]
    if read:
        mean = sum(read) / len(read)
        steps.append(f"By your readings alone: {number(litres)} L × {number(mean)} mg/L {w.name} as {quantity}, the"
                     f" mean of {len(read)} = {number(litres * mean)} mg a week.")  # fmt: skip
    if spread.p50 and litres:
        steps.append(f"By the fitted tank the water that left held {number(spread.p50 / litres)} mg/L {w.name}, all its"
                     " forms together, kit error taken out.")  # fmt: skip
    used = []
    for event in w.events:
        if isinstance(event, Change):
            used.append(Used(when=_when(w.tank, event), text=f"changed {number(_water(w.tank, event))} L"))
        elif isinstance(event, Reading) and event.quantity == quantity:
            used.append(Used(when=_when(w.tank, event), text=f"{quantity} {number(event.value)} mg/L {w.name}"))
    return used, steps


def _thinning(w: _Window, spread: Spread) -> Flow:
    return _by_weight(w, spread, Thin, "taken out")


def _planted(w: _Window, spread: Spread) -> Flow:
    return _by_weight(w, spread, Planted, "put in")


def _by_weight(w: _Window, spread: Spread, kind: type[Event], verb: str) -> Flow:
    grams = sum(getattr(e, "grams", 0.0) for e in w.of(kind)) / w.weeks
    steps = [f"{number(grams)} g wet {verb} a week, by your log."]
    if spread.p50 and grams:
        steps.append(f"The fitted plants hold {number(spread.p50 / grams)} mg {w.name} in each wet gram:"
                     f" {number(grams)} × {number(spread.p50 / grams)} = {number(spread.p50)} mg a week.")  # fmt: skip
    return w.used(lambda e: f"{getattr(e, 'species', '')} {getattr(e, 'grams', 0.0):g} g {verb}", kind), steps


def _counted(kind: type[Event], what: str) -> Callable[[_Window, Spread], Flow]:
    def flow(w: _Window, spread: Spread) -> Flow:
        count = len(w.of(kind))
        steps = [f"{what}: {count} {'time' if count == 1 else 'times'} in {number(w.weeks)} weeks."]
        if count and spread.p50:
            each = spread.p50 * w.weeks / count
            steps.append(f"By the fitted tank each time takes {number(each)} mg {w.name}: nobody weighs that.")
        return w.used(lambda e: e.kind, kind), steps

    return flow


def _gas(w: _Window, spread: Spread) -> Flow:
    return [], [
        "Where dirt lies without oxygen, nitrate becomes nitrogen gas; a little ammonia leaves at the surface.",
        "No reading of a keeper shows it. The rates are those of published work on filters and ponds, widely bounded.",
    ]


def _growth(w: _Window, spread: Spread) -> Flow:
    used = w.used(lambda e: f"{getattr(e, 'animal', '')} {getattr(e, 'grams', 0.0):g} g", Weigh)
    return used, [
        f"What an animal eats and does not give off again stays in it. {len(used)} weighings lie in these weeks."
        if used else "No weighing lies in these weeks; the growth is what an animal of this size and food keeps."
    ]  # fmt: skip


def _stored(w: _Window, spread: Spread) -> Flow:
    return [], [
        "What comes in, less what leaves by every way that is booked, in each possible version of the tank.",
        "Above zero it stays in water, dirt, plants and algae; below zero the tank gives up what it held before.",
    ]


_FLOWS: Mapping[str, Callable[[_Window, Spread], Flow]] = {
    "food": _food, "tap": _tap, "planted": _planted, "change": _change, "thinning": _thinning,
    "siphon": _counted(Siphon, "Siphoned"), "rinse": _counted(Rinse, "Filter rinsed"),
    "scraping": _counted(Scrape, "Panes scraped"), "gas": _gas, "growth": _growth, "stored": _stored,
}  # fmt: skip


def day_source(found: OverTime, quantity: str, when: datetime, assumptions: Sequence[Assumption]) -> Source | None:
    """Return how the estimate or forecast of a quantity on a day is known."""
    record = found.of(quantity)
    if record is None:
        return None
    coming = when.date() >= found.now.date()
    spread = estimate_on(record.ahead if coming else record.past, when)
    if spread == NOTHING:
        return None
    used = [_own_reading(record, read) for read in record.reads]
    steps = [MODEL, _fits(record), _carried(found, when) if coming else "", RANGE]
    days = (when.date() - found.now.date()).days
    return _source(
        f"{record.name}, {day_words(when)} {when.year}", record.unit, spread, ESTIMATE,
        "forecast" if coming else "estimate", f"{len(used)} own readings of it, and all other lines of the log.", used,
        steps, _assumed(assumptions), _narrowed(record, days), quantity=quantity,
    )  # fmt: skip


def _own_reading(record: Record, read: Read) -> Used:
    said = read_words(record.quantity, read, read.value, record.unit)
    return Used(when=f"{day_words(read.time)}, {read.time:%H:%M}", text=said)


def _fits(record: Record) -> str:
    inside = [r for r in record.reads if r.estimate.p10 is not None and r.estimate.p90 is not None]
    hit = sum(r.low <= (r.estimate.p90 or 0.0) and r.high >= (r.estimate.p10 or 0.0) for r in inside)
    if not inside:
        return "There is no own reading of it: it follows from everything else that was logged."
    return f"{hit} of your {len(inside)} readings agree with the estimate of their day, within the error of the kit."


def _carried(found: OverTime, when: datetime) -> str:
    days = (when.date() - found.now.date()).days
    return (
        f"From {day_words(found.now)} on, each version lives {days} days under your routine of the last eight weeks, or"
        " under the plan of the folder where there is one."
    )


def _narrowed(record: Record, days: int) -> list[str]:
    name = record.name[0].lower() + record.name[1:] if not record.name.startswith(("KH", "pH")) else record.name
    said = [f"A new reading: {name}." if record.reads else f"A first reading of it: {name}."]
    if days > 0:
        said.append("Another routine: feed, change or light differently, and the forecast moves.")
    return said


def read_source(found: OverTime, quantity: str, when: datetime) -> Source | None:
    """Return what is known of one own reading."""
    record = found.of(quantity)
    read = next((r for r in record.reads if r.time.replace(second=0, microsecond=0) == when), None) if record else None
    if record is None or read is None:
        return None
    estimate = read.estimate
    agrees = (
        f"The fitted tank had {number(estimate.p50)} {record.unit} ({number(estimate.p10 or 0.0)} to"
        f" {number(estimate.p90 or 0.0)}) at noon of that day." if estimate.p50 is not None else ""
    )  # fmt: skip
    unit = UNITS[quantity][0]
    colour = quantity in ("nitrate", "nitrite", "ammonia", "phosphate")
    error = (
        f"The error is half the way to the next steps of your kit, and about {100 * COLOUR_SD:.0f} % for seeing colour."
        if colour else "The error is one step of the test and what such tests are commonly off by."
    )  # fmt: skip
    return _source(
        f"{record.name}, {day_words(read.time)} {read.time.year}", unit,
        Spread(p10=read.low, p50=read.value, p90=read.high), OWN, "own reading", "One line of your log.",
        [_own_reading(record, read)],
        [error, agrees], ["Errors of kits are common practice, no source."],
        ["Repeat the reading; if it was written down wrong, take the line back in the log."],
        value=read_words(quantity, read, read.value, unit), quantity=quantity,
    )  # fmt: skip


def cause_source(found: Causes, name: str) -> Source | None:
    """Return how the chance of a cause was weighed."""
    cause = next((c for c in found.causes if c.cause == name), None)
    if cause is None:
        return None
    steps = [
        *(f"For: {each}." for each in cause.speaks_for), *(f"Against: {each}." for each in cause.against),
        "Each contrast of the log has a weight; the weights were set on a bank of invented tanks with known causes.",
        f"All causes and the share left unknown ({chance(found.unknown)}) add up to ten in ten.",
    ]  # fmt: skip
    return _source(
        f"Chance that {cause.cause} is behind it", "", NOTHING, ESTIMATE, "weighed",
        found.sentence, [], steps, ["The weights are common practice, no source."],
        [f"{cause.test.do} {cause.test.tells}"], value=chance(cause.chance),
    )  # fmt: skip


PLAN_ROWS: Mapping[str, tuple[str, str]] = {
    "nitrate": ("Nitrate, mean of the last two weeks", "mg/L NO3"), "kh": ("KH, mean of the last two weeks", "dKH"),
    "scrape": ("Days from one scraping to the next", "days"), "plants": ("Plants at the end, wet", "g"),
    "minutes": ("Minutes of work a week", "min"), "water": ("Water changed a week", "L"),
}  # fmt: skip


def plan_source(found: Decision, column: Column, row: str) -> Source:
    """Return how a number of a plan is known."""
    title, unit = PLAN_ROWS[row]
    tried = column.tried
    if row in ("minutes", "water"):
        return _by_hand(found, column, row)
    spread = {"nitrate": tried.nitrate, "kh": column.kh, "scrape": tried.scrape_every, "plants": tried.plants}[row]
    steps = [
        MODEL, f"{found.members} such versions then live {found.days} days under this plan: {tried.do}",
        "Every plan meets the same versions and the same chance: the difference between plans is sharper than either.",
        RANGE,
    ]  # fmt: skip
    return _source(
        f"{title}: {column.title}", unit, spread, ESTIMATE, "forecast", found.goals.said, [], steps, [],
        ["New readings; another plan."], quantity=row,
    )  # fmt: skip


def _by_hand(found: Decision, column: Column, row: str) -> Source:
    """Return the source of what a plan asks: litres and minutes, worked out by hand."""
    routine, title = column.routine, f"{PLAN_ROWS[row][0]}: {column.title}"
    if row == "water":
        every = f"{number(routine.litres)} L every {number(routine.interval_d)} days"
        sum_of = f"{every} = {number(column.litres_a_week)} L a week, {number(column.buckets_a_week)} buckets of" \
                 f" {BUCKET_L:g} L."  # fmt: skip
        now = column.key == "now"
        return _source(
            title, "L", NOTHING, OWN if now else ASSUMPTION, "own log" if now else "the plan",
            "The changes of your last eight weeks." if now else "What this plan says.", [], [sum_of], [],
            ["Other changes in the log."], value=f"{number(column.litres_a_week)} L a week",
        )  # fmt: skip
    steps = [
        f"Changes: {routine.minutes_of_changes:.0f} min a week, {CHANGE_MINUTES:g} min each and {BUCKET_MINUTES:g} min"
        f" a bucket of {BUCKET_L:g} L.",
        f"Scraping: {SCRAPE_MINUTES:g} min each time, as often as the versions scrape.",
    ]  # fmt: skip
    return _source(
        title, "min", NOTHING, ASSUMPTION, "assumption", found.goals.said, [], steps,
        ["Minutes are common practice, no source."], ["Time yourself for a week."],
        value=f"{column.tried.minutes_a_week:.0f} min",
    )  # fmt: skip
