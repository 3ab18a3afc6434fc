"""One line typed at the tank, such as `fed 1.4 pellet; no3 40; changed 36 L`: events or questions.

Each part becomes the six cells of a log line and goes to the reader of the files, so both know the same
units, bounds and words. What a part leaves open is taken from this keeper's own log where that says one thing
only, and said; otherwise it becomes a question whose choices are the part written out in full, and nothing is
stored.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

from lentic.logbook.amounts import Row, Surroundings
from lentic.logbook.cells import NUMBER
from lentic.logbook.doubts import SURE, Doubt, doubt_of
from lentic.logbook.events import (
    AnimalIn,
    Change,
    Event,
    Feed,
    Lamp,
    Leftovers,
    LostPlant,
    Planted,
    Reading,
    Refused,
    Thin,
    TopUp,
)
from lentic.logbook.names import settle
from lentic.logbook.problems import Problem, did_you_mean
from lentic.logbook.questions import AskKeeper, Question, dated, likelier_days, take_time
from lentic.logbook.rows import EXTENTS, LAMP_USES, LOOKED_AT, read_row
from lentic.logbook.tank import Tank
from lentic.logbook.units import GALLONS, QUANTITIES, SCOOPS, VOLUME, Unit, fold, units_for
from lentic.logbook.words import (
    DEFAULT_UNITS,
    DEMINERALISED,
    OFFERED_UNITS,
    PARTS_OF_ONE,
    READ_OFF,
    VERBS,
)


@dataclass(frozen=True, kw_only=True)
class Quick:
    """What a line gave: events to store, questions to answer first, what was assumed or not read."""

    events: tuple[Event, ...] = ()
    questions: tuple[Question, ...] = ()
    problems: tuple[Problem, ...] = ()


_SPLIT = re.compile(r"[;\n]|,(?=\s)")
_NOTE = re.compile(r"\(([^()]*)\)")
_NUMBER = re.compile(rf"(?<![\w.,])([<>≤≥]?)\s*({NUMBER.pattern})(?![\d.,])")
_SCOOPED = re.compile(rf"{NUMBER.pattern}\s*(?:{'|'.join(SCOOPS)})\b", re.IGNORECASE)


@dataclass
class _Part:
    """One part of the line on its way to six cells."""

    text: str
    kind: str
    what: str
    note: str
    amount: str = ""
    unit: str = ""
    before: str = ""
    after: str = ""
    said: list[Problem] = field(default_factory=list)

    def say(self, cell: str, message: str) -> None:
        """State what was assumed."""
        self.said.append(Problem(line=None, field=cell, message=message, remedy="", severity="note"))

    def ask(self, text: str, choices: Iterable[str]) -> AskKeeper:
        """Return the question that ends this part."""
        return AskKeeper(Question(part=self.text, text=text, choices=tuple(choices)))

    def written(self, what: str | None = None, unit: str | None = None) -> str:
        """Write the part out in full, as a choice."""
        verb = self.what if self.kind == "reading" else self.kind
        named = self.what if what is None else what
        words = [verb, *([named] if self.kind != "reading" else []), self.amount]
        text = " ".join(word for word in (*words, self.unit if unit is None else unit) if word)
        return f"{text} ({self.note})" if self.note else text


def parse_quick(text: str, tank: Tank, events: Sequence[Event], now: datetime) -> Quick:
    """Read a typed line against the tank and its log; a time before a part holds for the parts after it."""
    around = _around(tank, events)
    found: list[Event] = []
    questions: list[Question] = []
    problems: list[Problem] = []
    moment, known = now.astimezone(UTC).replace(second=0, microsecond=0), True
    for piece in (piece.strip() for piece in _SPLIT.split(text)):
        if not piece:
            continue
        try:
            moment, rest = take_time(piece, moment if known else None, tank, now, problems)
            known = True
        except AskKeeper as ask:
            known = False
            questions.append(ask.question)
            continue
        if not rest:
            continue
        try:
            event, said = _read(rest, moment, tank, events, around, now)
        except AskKeeper as ask:
            questions.append(dated(ask.question, moment, tank, now))
            continue
        problems += said
        if not isinstance(event, Refused):
            found.append(event)
    return Quick(events=tuple(found), questions=tuple(questions), problems=tuple(problems))


def _around(tank: Tank, events: Sequence[Event]) -> Surroundings:
    """Return what the log tells about this keeper's units and animals."""
    units: dict[str, set[str]] = {}
    for event in events:
        if isinstance(event, Reading) and event.written:
            unit = units_for("reading", event.quantity).get(fold(event.written.partition(" ")[2]))
            if unit and unit.name != "drops":
                units.setdefault(f"reading {event.quantity}", set()).add(fold(unit.name))
        elif isinstance(event, Change | TopUp):
            units.setdefault(event.kind, set()).update(_volume_unit(event))
    animals = {turtle.id for turtle in tank.turtles}
    if animals:
        animals |= {event.what for event in events if isinstance(event, AnimalIn)}
    return Surroundings(
        tank=tank, animals=frozenset(animals), file="",
        usual={key: next(iter(names)) for key, names in units.items() if len(names) == 1},
    )  # fmt: skip


def _volume_unit(event: Change | TopUp) -> set[str]:
    """Tell in which unit a volume was written: the one in which it is a short number."""
    if event.litres is None:
        return {"%"}
    for name in ("l", "usgal", "impgal"):
        amount = event.litres / VOLUME[name].factor
        if abs(amount - round(amount, 2)) < 1e-9 * max(amount, 1.0):
            return {name}
    return set()


def _read(
    text: str, moment: datetime, tank: Tank, events: Sequence[Event], around: Surroundings, now: datetime
) -> tuple[Event, list[Problem]]:
    part = _part(text)
    if isinstance(part, Problem):
        return Refused(time=moment, text=text), [part]
    _take_amount(part, around)
    _settle_what(part, tank, events)
    row = Row(
        time=moment.isoformat(), kind=part.kind, what=part.what, amount=part.amount, unit=part.unit,
        note=part.note,
        text=text,
    )  # fmt: skip
    event, problems = read_row(row, around, moment)
    usual = around.usual.get(f"reading {part.what}" if part.kind == "reading" else part.kind, "")
    if not isinstance(event, Refused) and (doubt := doubt_of(event, tank, events, now, fold(part.unit), usual)):
        days = likelier_days(moment, tank, now) if doubt.slip == "day" else ()
        choices = _meant(part, doubt)
        raise part.ask(
            f"{part.written(what=part.what)}: {doubt.why}", [*(f"{day} {choices[-1]}" for day in days), *choices]
        )
    named = [replace(problem, message=f"{text}: {problem.message}") for problem in problems]
    return event, [*part.said, *named] if not isinstance(event, Refused) else named


def _meant(part: _Part, doubt: Doubt) -> list[str]:
    """Write out what a doubted part may have been meant to say, last as it stands; the note says it was checked."""
    found, note = [], f"{_SPLIT.sub('', part.note)} {SURE}".strip()
    for guess in doubt.guesses:
        amount = part.amount
        if guess.times != 1.0:
            sign = amount[: len(amount) - len(amount.lstrip("<>≤≥"))]
            amount = f"{sign}{float(amount.lstrip('<>≤≥').replace(',', '.')) * guess.times:.6g}"
        unit = "" if guess.what else guess.unit or part.unit
        found.append(replace(part, amount=amount, what=guess.what or part.what, note=note, said=[]).written(unit=unit))
    return [*found, replace(part, note=note, said=[]).written()]


def _part(text: str) -> _Part | Problem:
    """Find the verb, or what was read off, at the front of a part."""
    note = "; ".join(found.strip() for found in _NOTE.findall(text))
    bare = " ".join(_NOTE.sub(" ", text).split())
    lowered = bare.casefold()
    for verb in sorted(VERBS, key=len, reverse=True):
        if re.match(rf"{re.escape(verb)}(?![\w-])", lowered):
            return _Part(bare, VERBS[verb], "", note, after=bare[len(verb) :].strip(" :"))
    found = re.match(r"(?:(tap|room|surface)[ _])?([a-z_]+\d*)", lowered)
    if found:
        place, name = found[1], READ_OFF.get(found[2], found[2])
        quantity = f"{place}_{name}" if place else name
        if quantity in QUANTITIES:
            return _Part(bare, "reading", quantity, note, after=bare[found.end() :].strip(" :="))
    if _SCOOPED.match(lowered):  # nothing but food is given in scoops
        return _Part(bare, "feed", "", note, after=bare)
    words = (*VERBS, *READ_OFF)
    first = lowered.split()[0] if lowered.split() else lowered
    return Problem(
        line=None, field="kind", message=f"'{bare}' is not understood and is not stored.",
        remedy=did_you_mean(first, words) if first else "", severity="refused",
    )  # fmt: skip


def _take_amount(part: _Part, around: Surroundings) -> None:
    """Take number and unit out of the words; a bare number gets its unit from habit, or is asked about."""
    if part.kind in ("rinse", "power", "sign", "wake", "overrule", "void"):
        return
    for word, written in PARTS_OF_ONE.items():
        if part.kind in ("siphon", "leftovers"):
            part.after = re.sub(rf"\b{word}\b", written, part.after)
    found = _NUMBER.search(part.after)
    if not found:
        return
    part.before, rest = part.after[: found.start()].strip(), part.after[found.end() :].strip()
    part.amount = f"{found[1]}{found[2]}"
    units = units_for(part.kind, part.what)
    part.unit, part.after = _leading_unit(rest, units, part)
    if fold(part.unit) in units and (part.unit or "" in units):
        return
    if not part.unit and part.kind in DEFAULT_UNITS:
        part.unit = DEFAULT_UNITS[part.kind]
        return
    if fold(part.unit) not in units:
        part.unit = _settle_unit(part, units, around).name


def _leading_unit(rest: str, units: Mapping[str, Unit], part: _Part) -> tuple[str, str]:
    """Split a unit off the front of what follows the number, the longest that is one."""
    words = rest.split()
    bare = QUANTITIES[part.what].bare if part.kind == "reading" else frozenset()
    for length in range(min(3, len(words)), 0, -1):
        spelled = " ".join(words[:length])
        folded = fold(spelled)
        if folded and (folded in units or folded in bare or ("usgal" in units and folded in GALLONS)):
            return spelled, " ".join(words[length:])
    return "", rest


def _settle_unit(part: _Part, units: Mapping[str, Unit], around: Surroundings) -> Unit:
    """Find the unit of a bare number: the keeper's own, or the only one in which it is possible; else ask."""
    about = part.what if part.kind == "reading" else part.kind
    gallons = fold(part.unit) in GALLONS
    usual = around.usual.get(f"reading {part.what}" if part.kind == "reading" else part.kind)
    own = (
        units[usual] if usual is not None and usual in units and (not gallons or usual in ("usgal", "impgal")) else None
    )
    if own and _possible(part, own):
        part.say("unit", f"{about} {part.amount}: {own.name}, as in your other {about} lines.")
        return own
    if gallons and around.tank and around.tank.country == "US":
        part.say("unit", f"{about} {part.amount} gal: US gallons, as the tank stands in the US.")
        return units["usgal"]
    names = ("US gal", "imp gal") if gallons else OFFERED_UNITS.get(about.removeprefix("tap_"), ())
    offered = [units[fold(name)] for name in names] or list({unit.name: unit for unit in units.values()}.values())
    possible = [unit for unit in offered if _possible(part, unit)]
    if not possible:
        return own or offered[0]
    if len(possible) == 1 and own is None:
        part.say("unit", f"{about} {part.amount}: {possible[0].name}, the only unit in which that is possible.")
        return possible[0]
    offered = possible
    shown = " or ".join(unit.name for unit in offered)
    raise part.ask(
        f"{about} {part.amount}: in {shown}?",
        (part.written(what=_words(part), unit=unit.name) for unit in offered),
    )


def _words(part: _Part) -> str:
    return " ".join(word for word in (part.before, part.after) if word)


def _possible(part: _Part, unit: Unit) -> bool:
    number = float(part.amount.lstrip("<>≤≥").replace(",", "."))
    if part.kind == "reading":
        quantity = QUANTITIES[part.what]
        return quantity.low <= unit.convert(number) <= quantity.high
    return {"fraction": number <= 1.0, "%": number > 1.0}.get(unit.name, True)


def _settle_what(part: _Part, tank: Tank, events: Sequence[Event]) -> None:
    """Turn the words that are left into the `what` of the line; the rest is the note."""
    words = re.sub(r"^(of|the|with)\s+", "", _words(part)) if part.amount else part.after.strip()
    match part.kind:
        case "reading":
            part.note = part.note or words
        case "feed" | "leftovers":
            used = [event.food for event in events if isinstance(event, Feed | Leftovers)]
            _named(part, words, [*used, *(packet.id for packet in tank.foods)], "food", "Which food?")
        case "thin" | "plant" | "lost_plant":
            grown = [event.species for event in events if isinstance(event, Thin | Planted | LostPlant)]
            _named(part, words, [*grown, *(plant.species for plant in tank.plants)], "plant", "Which plant?")
        case "weigh" | "measure" | "sign" | "rest" | "wake":
            _animal(part, words, tank)
        case "lamp":
            used = [event.use for event in events if isinstance(event, Lamp)]
            known = [use for use in LAMP_USES if use in {*used, *(lamp.use for lamp in tank.lamps)}]
            _named(part, words, known or list(LAMP_USES), None, "Which lamp?")
        case "scrape" | "look":
            _word_and_note(part, words, LOOKED_AT, default="panes")
        case "rinse":
            _word_and_note(part, words, EXTENTS, default="")
        case "power":
            _word_and_note(part, words, ("off", "on"), default="")
        case "top_up":
            _top_up_water(part, words, events)
        case "change" | "siphon" | "flow":
            part.note = part.note or words
        case "overrule":
            part.what, _, why = words.partition(" ")
            part.what = part.what.rstrip(":,").upper()
            part.note = part.note or why.strip()
        case _:
            part.what = words


def _named(part: _Part, words: str, known: Iterable[str], kind: str | None, question: str) -> None:
    ids = list(dict.fromkeys(known))
    answer = settle(words, ids, kind)
    if isinstance(answer, str):
        part.what = answer
        if fold(answer) != fold(words):
            part.say("what", f"{part.text}: {answer}." if words else f"{part.text}: {answer}, the only one.")
        return
    text = f"'{words}' is not one name known here. {question}" if words else question
    raise part.ask(text, (part.written(what=choice) for choice in answer))


def _animal(part: _Part, words: str, tank: Tank) -> None:
    """Take the turtle's id off the front; of a sign the rest is what was seen."""
    ids = [turtle.id for turtle in tank.turtles]
    first, _, rest = words.partition(" ")
    if part.kind != "sign":
        _named(part, words, ids, None, "Which animal?")
    elif first.casefold().rstrip(":,") in (each.casefold() for each in ids):
        _named(part, first.rstrip(":,"), ids, None, "Which animal?")
        part.note = part.note or rest
    else:
        part.note = part.note or words
        _named(part, "", ids, None, "Which animal?")


def _word_and_note(part: _Part, words: str, known: Sequence[str], default: str) -> None:
    """Take one of a few known words from anywhere; what is left is the note."""
    tokens = words.split()
    part.what = next((token.casefold() for token in tokens if token.casefold() in known), default)
    left = " ".join(token for token in tokens if token.casefold() != part.what)
    part.note = "; ".join(text for text in (left, part.note) if text)


def _top_up_water(part: _Part, words: str, events: Sequence[Event]) -> None:
    tokens = [token.casefold() for token in words.split()]
    used = {event.water for event in events if isinstance(event, TopUp)}
    if any(token in DEMINERALISED for token in tokens):
        part.what = "demineralised"
    elif "source" in tokens or "tap" in tokens:
        part.what = "source"
    else:
        part.what = next(iter(used)) if len(used) == 1 else "source"
        part.say(
            "what",
            f"{part.text}: with {part.what} water, {'as before' if used else 'if not said otherwise'}.",
        )
    named = (*DEMINERALISED, "source", "tap", "water")
    part.note = part.note or " ".join(token for token in words.split() if token.casefold() not in named)
