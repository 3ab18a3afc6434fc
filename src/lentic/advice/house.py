"""Sockets, lifting and hygiene as lists; what can be told from the description is told, the rest is asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from lentic.advice.findings import Finding, State, ask
from lentic.advice.habits import litres_of
from lentic.advice.routine import BUCKET_L
from lentic.advice.words import number
from lentic.logbook.events import Change, Event
from lentic.logbook.tank import Tank

PRACTICE = "common practice"
BREAKER_MA, TEST_D, OLD_TEST_D = 30.0, 31, 92
STAIRS_L, HOSE_L = 8.0, 80.0
"""A bucket, the most to carry on stairs, and the water a week from which a hose or pump is better; common practice."""
WEEKS = 8
ELECTRICITY = (
    "Pull every plug at one reachable switch before a hand or a hose goes into the water.",
    "Heater off 15 min before the water falls below its mark, on again only when it is covered.",
    "A tingle, a bitten cable, a cracked heater: touch nothing, main switch off, then unplug, then look.",
    "Water on the floor: switch off at the breaker before anything is touched.",
    "Wiring, sockets and breakers are an electrician's work; local rules hold.",
)
HYGIENE = (
    "Turtles of any size can carry Salmonella and look well. Soap for 20 s after animal, water or filter.",
    "Own bucket, brush and towel; nothing of the tank in the kitchen or its sink. Siphon by bulb, never by mouth.",
    "Cuts under a waterproof glove. Waste water to the toilet or to ornamental beds, not to salad, never to nature.",
    "A full bucket is out of a small child's reach or empty.",
)
LIFTING = (
    "A tank is never moved with water or gravel in it; two people, straps.",
    "A litre is a kilogram: buckets half full on stairs, close to the body; pain is a reason to redesign.",
)


def electricity_of(tank: Tank, now: datetime) -> list[Finding]:
    """Return what the sockets of the tank need."""
    home, found = tank.home, []
    if home.breaker_ma is None:
        found.append(ask("breaker", "Which leakage breaker guards the sockets of the tank, in mA? Write breaker_ma."))
    elif home.breaker_ma > BREAKER_MA:
        found.append(Finding(
            what="breaker", state="act", sentence=f"{home.breaker_ma:g} mA is more than {BREAKER_MA:g}.",
            do="An electrician fits one of 10 or 30 mA (5 mA class in North America).", source="safety texts, read",
        ))  # fmt: skip
    else:
        found.append(_tested(tank, now))
    for what, value, wrong, do in (
        ("drip loops", home.drip_loops, "A cable without a loop leads water into its socket.",
         "Every cable hangs below its socket first."),
        ("sockets", home.sockets_above_rim, "Sockets below the rim, or under the tank, get wet.",
         "The strip on the wall, above the rim and not over the water."),
    ):  # fmt: skip
        if value is None:
            key = "drip_loops" if what == "drip loops" else "sockets_above_rim"
            found.append(ask(what, f"{do} Is it so? Write {key} under [home]."))
        elif not value:
            found.append(Finding(what=what, state="act", sentence=wrong, do=do, source="safety texts, read"))
    return found


def _tested(tank: Tank, now: datetime) -> Finding:
    tested = tank.home.breaker_tested
    if tested is None:
        return ask("breaker", "When was its test button last pressed? Write breaker_tested.")
    days = (tank.local_date(now) - tested).days
    if days <= TEST_D:
        return Finding(what="breaker", state="fine", sentence=f"Tested {days} days ago.")
    state: State = "act" if days > OLD_TEST_D else "watch"
    said, do = f"Last tested {days} days ago.", "Press its test button: heater and filter must go off. Then on again."
    return Finding(what="breaker", state=state, sentence=said, do=do, source="monthly, safety texts")


def hygiene_of(tank: Tank) -> list[Finding]:
    """Return whether someone lives here for whom health offices advise against turtles."""
    if tank.home.vulnerable_person is None:
        asked = (
            "Is there a child under 5, a person over 65 or one with weak immunity? Health offices advise against "
            "turtles in such a home. Write vulnerable_person."
        )
        return [ask("household", asked)]
    if not tank.home.vulnerable_person:
        return []
    return [Finding(
        what="household", state="act", source="advice of a national health office, as quoted in news",
        sentence="Health offices advise against turtles in a home with small children, old people or weak immunity.",
        do="Ask a doctor. If it stays: nobody of them touches it or its water, another room, strict washing.",
    )]  # fmt: skip


def lifting_of(tank: Tank, events: Sequence[Event], now: datetime) -> list[Finding]:
    """Return how much water is carried in a week, and when a hose is better."""
    since = now - timedelta(weeks=WEEKS)
    litres = sum(litres_of(tank, e) for e in events if isinstance(e, Change) and e.time >= since) / WEEKS
    if litres <= 0.0:
        return []
    trips = 2.0 * litres / BUCKET_L
    said = f"{number(litres)} L a week out and in again: {number(2 * litres)} kg, {trips:.0f} buckets of {BUCKET_L:g} L"
    if litres > HOSE_L:
        return [Finding(what="lifting", state="watch", sentence=f"{said}.", source=f"above {HOSE_L:g} L, {PRACTICE}",
                        do="A hose or a pump instead of buckets.")]  # fmt: skip
    return [Finding(what="lifting", state="fine", sentence=f"{said}; on stairs at most {STAIRS_L:g} L each.",
                    source=PRACTICE)]  # fmt: skip
