"""The line typed at the tank: what it stores, what it asks, and that it never stores a guess."""

from datetime import UTC, datetime, timedelta

import pytest

from lentic.logbook.events import Change, Event, Feed, Flow, Reading, TopUp, Void
from lentic.logbook.folder import read_events
from lentic.logbook.quick import Quick, parse_quick
from lentic.logbook.tank import Fixture, Glass, Packet, Plant, Tank, Turtle

HEADER = "time,kind,what,amount,unit,note\n"
TANK = Tank(
    name="Loft tank", timezone="Europe/Oslo", country="NO", glass=Glass(water_l=150.0),
    turtles=(Turtle(id="bramble"),), plants=(Plant(species="Ceratophyllum demersum"),),
    lamps=(Fixture(use="plants"), Fixture(use="basking")), foods=(Packet(id="sinking-sticks"),),
)  # fmt: skip
LOG = read_events(
    HEADER + "2026-03-01T08:10,feed,pellet_adult,1.4,g,\n2026-03-01T08:11,feed,earthworm,2,g,\n"
    "2026-03-01T18:00,reading,nitrate,40,mg/L NO3,\n2026-03-01T18:02,reading,kh,5,dKH,\n"
    "2026-03-01T18:35,change,,36,L,\n",
    TANK,
).events
NOW = datetime(2026, 7, 10, 16, 0, 30, tzinfo=UTC)
"""A Friday, 18:00:30 on the tank's clock."""
MINUTE = NOW.replace(second=0)


def typed(text: str, tank: Tank = TANK, log: tuple[Event, ...] = LOG) -> Quick:
    """Type a line at six in the evening."""
    return parse_quick(text, tank, log, NOW)


def stored(text: str) -> dict[str, object]:
    """Return what the one event of a line holds, and make sure that nothing is asked."""
    quick = typed(text)
    assert not quick.questions, quick.questions
    assert len(quick.events) == 1, quick
    event = quick.events[0]
    return {
        "kind": event.kind,
        **{name: value for name, value in vars(event).items() if name not in ("time", "line")},
    }


def test_the_line_of_the_manual() -> None:
    """Four events at this minute, and what was understood is said."""
    quick = typed("fed 1.4 pellet; no3 40; changed 36 L; scraped 3")
    assert [event.kind for event in quick.events] == ["feed", "reading", "change", "scrape"]
    assert {event.time for event in quick.events} == {MINUTE}
    assert [problem.message for problem in quick.problems] == [
        "fed 1.4 pellet: pellet_adult.",
        "nitrate 40: mg/L NO3, as in your other nitrate lines.",
    ]
    assert all(problem.severity == "note" for problem in quick.problems)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("fed 1.4 g pellet", {"kind": "feed", "food": "pellet_adult", "grams": 1.4}),
        ("feed sink 2", {"food": "sinking-sticks", "grams": 2.0}),
        ("fed earthworm 2g (wriggled)", {"food": "earthworm", "note": "wriggled"}),
        ("fed 3 g of romaine", {"food": "romaine"}),
        ("leftovers 0.2 g pellet", {"kind": "leftovers", "grams": 0.2}),
        ("leftovers half pellet", {"fraction": 0.5}),
        ("nitrate <5 mg/L NO3", {"kind": "reading", "quantity": "nitrate", "below": True}),
        ("no2 0.3 mg/l no2-n", {"quantity": "nitrite", "value": 0.3}),
        ("nh4 0.5 mg/L N", {"quantity": "ammonia", "value": 0.5}),
        ("tan 0.5 mg/L N", {"quantity": "ammonia"}),
        ("po4 0,3 mg/L P", {"quantity": "phosphate", "value": 0.3}),
        ("tap no3 8 mg/L N", {"quantity": "tap_nitrate", "value": 8.0}),
        ("room temperature 20 °C", {"quantity": "room_temperature", "value": 20.0, "unit": "°C"}),
        ("ph 7.9", {"quantity": "ph", "value": 7.9}),
        ("temp 25", {"quantity": "temperature", "value": 25.0, "written": "25 °C"}),
        ("temp 77", {"value": pytest.approx(25.0), "written": "77 °F"}),
        ("kh 5", {"quantity": "kh", "written": "5 dKH"}),
        ("changed 25 %", {"kind": "change", "percent": 25.0, "litres": None}),
        ("changed 10 US gal", {"litres": pytest.approx(37.85411784)}),
        ("water change", None),
        ("topped up 2 L ro", {"kind": "top_up", "water": "demineralised", "litres": 2.0}),
        ("top up 2 L tap", {"water": "source"}),
        ("scraped", {"kind": "scrape", "where": "panes", "grade": None}),
        ("scraped panes 3", {"grade": 3.0}),
        ("looked 2", {"kind": "look", "where": "panes", "grade": 2.0}),
        ("look water 1", {"where": "water"}),
        ("siphoned", {"kind": "siphon", "fraction": None}),
        ("siphoned 0.4", {"fraction": 0.4}),
        ("siphoned 40", {"fraction": 0.4}),
        ("thinned 60 g", {"kind": "thin", "species": "Ceratophyllum demersum", "grams": 60.0}),
        ("thinned 60 hornwort", {"species": "Ceratophyllum demersum"}),
        ("planted 100 g Vallisneria spiralis", {"kind": "plant", "species": "vallisneria_spiralis"}),
        ("lost 30 g cerato", {"kind": "lost_plant", "species": "Ceratophyllum demersum"}),
        ("rinsed half in tank water", {"kind": "rinse", "extent": "half", "water": "tank"}),
        ("rinsed floss under the tap", {"extent": "floss", "water": "tap"}),
        ("weighed 523 g", {"kind": "weigh", "animal": "bramble", "grams": 523.0}),
        ("weighed bram 0.523 kg", {"animal": "bramble", "grams": 523.0}),
        ("measured 14.8", {"kind": "measure", "centimetres": 14.8}),
        ("lamp plants 8 h", {"kind": "lamp", "use": "plants", "hours": 8.0}),
        ("power off", {"kind": "power", "on": False}),
        ("dosed 5 mL conditioner", {"kind": "dose", "substance": "conditioner", "amount": 5.0, "unit": "mL"}),
        ("flow 400 L/h", {"kind": "flow", "litres_per_hour": 400.0}),
        ("sign bramble: left eye shut", {"kind": "sign", "animal": "bramble", "note": "left eye shut"}),
        ("sign not eating", {"animal": "bramble", "note": "not eating"}),
        ("rest bramble 6", {"kind": "rest", "animal": "bramble", "celsius": 6.0}),
        ("resting", {"kind": "rest", "animal": "bramble", "celsius": None}),
        ("woke", {"kind": "wake", "animal": "bramble"}),
        ("moved in 6 Tanichthys albonubes (0.6 g each)", {"kind": "animal_in", "count": 6, "mass_g": 0.6}),
        ("void 2026-03-01T18:35 change", {"kind": "void", "of_kind": "change"}),
    ],
)
def test_what_a_part_stores(text: str, fields: dict[str, object] | None) -> None:
    """Each way of saying it, or a refusal where nothing was said."""
    if fields is None:
        assert typed(text).events == ()
        assert typed(text).problems[0].severity == "refused"
        return
    held = stored(text)
    assert {name: held[name] for name in fields} == fields


def choices(text: str, tank: Tank = TANK, log: tuple[Event, ...] = LOG) -> tuple[str, ...]:
    """Return the choices of the one question that a line raises; nothing may be stored."""
    quick = typed(text, tank, log)
    assert quick.events == ()
    assert len(quick.questions) == 1, quick
    return quick.questions[0].choices


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no2 0.3", ("nitrite 0.3 mg/L NO2", "nitrite 0.3 mg/L NO2-N")),
        ("no2 0.3 ppm", ("nitrite 0.3 mg/L NO2", "nitrite 0.3 mg/L NO2-N")),
        ("nh4 0.5", ("ammonia 0.5 mg/L NH4", "ammonia 0.5 mg/L N")),
        ("temp 40", ("temperature 40 °C", "temperature 40 °F")),
        ("room temp 20", ("room_temperature 20 °C", "room_temperature 20 °F")),
        ("kh 140", ("kh 140 mg/L CaCO3",)),
        ("changed 10 gal", ("change 10 US gal", "change 10 imp gal")),
        ("lamp 8", ("lamp plants 8 h", "lamp basking 8 h")),
        ("lost 3 g java", ("lost_plant microsorum_pteropus 3 g", "lost_plant taxiphyllum_barbieri 3 g")),
        ("fed 2 caviar", ("feed pellet_adult 2 g", "feed earthworm 2 g", "feed sinking-sticks 2 g")),
    ],
)
def test_what_is_open_is_asked_and_not_stored(text: str, expected: tuple[str, ...]) -> None:
    """The choices are lines that can be typed."""
    assert choices(text) == expected


@pytest.mark.parametrize(
    "text", ["no2 0.3", "temp 40", "changed 10 gal", "lamp 8", "fed 2 caviar (all gone)"]
)
def test_every_choice_is_an_answer(text: str) -> None:
    """Typed back, each choice stores one event and asks nothing; the note is not lost on the way."""
    for choice in choices(text):
        quick = typed(choice)
        assert len(quick.events) == 1 and not quick.questions, choice
        assert quick.events[0].note == ("all gone" if "caviar" in text else "")


def test_a_choice_keeps_the_time_of_its_part() -> None:
    """An answer given later must not move the event to now."""
    (first, _) = choices("yesterday 18:00 no2 0.3")
    assert first == "2026-07-09 18:00 nitrite 0.3 mg/L NO2"
    assert typed(first).events[0].time == datetime(2026, 7, 9, 16, 0, tzinfo=UTC)


def test_with_two_units_in_the_log_the_unit_is_asked() -> None:
    """A habit is one unit, not the commoner of two."""
    other = Reading(
        time=NOW - timedelta(days=9), quantity="nitrate", value=9.0, unit="mg/L N", written="9 mg/L NO3-N"
    )
    assert len(choices("no3 40", log=(*LOG, other))) == 2


def test_two_pellets_are_told_apart_by_asking() -> None:
    """A beginning that fits two foods of the log is no name."""
    both = (*LOG, Feed(time=NOW - timedelta(days=1), food="pellet_juvenile", grams=1.0))
    assert choices("fed 1 pellet", log=both) == ("feed pellet_adult 1 g", "feed pellet_juvenile 1 g")


def test_a_gallon_is_the_keepers_own_or_the_countrys() -> None:
    """Ten short numbers of gallons tell the unit although the log holds litres."""
    gallons = (Change(time=NOW - timedelta(days=7), litres=44 * 3.785411784),)
    imperial = (Change(time=NOW - timedelta(days=7), litres=20 * 4.54609),)
    for log, litres in ((gallons, 37.85411784), (imperial, 45.4609)):
        quick = typed("changed 10 gal; changed 10", log=log)
        assert [event.litres for event in quick.events if isinstance(event, Change)] == pytest.approx(
            [litres, litres]
        )
        assert len(quick.problems) == 2
    american = Tank(name="Bay", timezone="America/Chicago", country="US")
    (event,) = typed("changed 10 gal", american, ()).events
    assert isinstance(event, Change) and event.litres == pytest.approx(37.85411784)
    assert len(choices("changed 30", american, ())) == 3


def test_top_up_water_is_as_before_or_source_and_said() -> None:
    """One kind of water in the log is a habit."""
    before = (TopUp(time=NOW - timedelta(days=1), water="demineralised", litres=2.0),)
    quick = typed("topped up 2 L", log=before)
    assert isinstance(quick.events[0], TopUp) and quick.events[0].water == "demineralised"
    assert "as before" in quick.problems[0].message
    quick = typed("topped up 2 L")
    assert isinstance(quick.events[0], TopUp) and quick.events[0].water == "source"


@pytest.mark.parametrize(
    ("prefix", "local"),
    [
        ("yesterday 18:00", "2026-07-09 18:00"),
        ("08:10", "2026-07-10 08:10"),
        ("at 8:10", "2026-07-10 08:10"),
        ("today 08:10", "2026-07-10 08:10"),
        ("monday 7:05", "2026-07-06 07:05"),
        ("friday 7:05", "2026-07-03 07:05"),
        ("2026-03-29 02:30", "2026-03-29 03:30"),
        ("2026-07-01", "2026-07-01 12:00"),
        ("today", "2026-07-10 18:00"),
    ],
)
def test_a_time_in_front(prefix: str, local: str) -> None:
    """It is the tank's clock, through the skipped hour too."""
    (event,) = typed(f"{prefix} ph 7.9").events
    assert TANK.local_time(event.time).strftime("%Y-%m-%d %H:%M") == local


def test_a_time_holds_for_the_parts_after_it() -> None:
    """Until the next one."""
    quick = typed("yesterday 18:00 ph 7.9; kh 5; 08:10 ph 8")
    assert [TANK.local_time(event.time).strftime("%d %H:%M") for event in quick.events] == [
        "09 18:00", "09 18:00", "10 08:10",
    ]  # fmt: skip


def test_an_unclear_time_holds_back_the_parts_after_it() -> None:
    """They would otherwise be stored at a time the keeper did not mean."""
    quick = typed("23:59 fed 1 pellet; ph 7.9; 08:10 kh 5")
    assert [event.kind for event in quick.events] == ["reading"]
    assert [question.choices for question in quick.questions] == [("2026-07-09 23:59 fed 1 pellet",), ()]
    assert typed("25:99 ph 7").events == ()
    assert typed("2026-02-31 ph 7").events == ()


@pytest.mark.parametrize(
    "text",
    [
        "no3 5000 mg/L NO3",
        "temp 240",
        "fed -3 pellet",
        "ph 19",
        "changed 900 L",
        "weighed brumble 500",
        "fed",
    ],
)
def test_the_impossible_is_not_stored(text: str) -> None:
    """The bounds of the files hold here too."""
    quick = typed(text)
    assert quick.events == ()
    assert quick.questions or quick.problems[0].severity == "refused"


def test_a_misspelt_word_is_answered_with_the_nearest() -> None:
    """And the rest of the line is stored."""
    quick = typed("fedd 3; ph 7.9")
    assert [event.kind for event in quick.events] == ["reading"]
    assert quick.problems[0].sentence == "'fedd 3' is not understood and is not stored. Did you mean fed?"


def test_drops_and_a_silent_rinse_are_stored_under_a_stated_assumption() -> None:
    """As in the files."""
    quick = typed("kh 6 drops; rinsed all")
    assert len(quick.events) == 2
    assert [problem.severity for problem in quick.problems] == ["ask", "ask"]


def test_an_empty_line_is_nothing() -> None:
    """No event, no question, no complaint."""
    assert typed(" ; ;") == Quick()


def test_void_names_the_tanks_clock() -> None:
    """18:35 in Oslo in winter is 17:35 UTC."""
    (event,) = typed("void 2026-03-01T18:35 change").events
    assert isinstance(event, Void) and event.of_time == datetime(2026, 3, 1, 17, 35, tzinfo=UTC)


def test_seconds_for_a_litre() -> None:
    """Twelve seconds for a litre are 300 L/h."""
    (event,) = typed("flow 12 s/L").events
    assert isinstance(event, Flow) and event.litres_per_hour == pytest.approx(300.0)
