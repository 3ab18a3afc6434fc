"""Whatever can stand in a tank's folder comes back the same in meaning after it is written and read."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Change,
    Dose,
    Event,
    Feed,
    Flow,
    Lamp,
    Leftovers,
    Look,
    LostPlant,
    Measure,
    Planted,
    Power,
    Reading,
    Rest,
    Rinse,
    Scrape,
    Sign,
    Siphon,
    Thin,
    TopUp,
    Void,
    Wake,
    Weigh,
)
from lentic.logbook.folder import Folder, read_folder, write_folder
from lentic.logbook.tank import (
    Filter,
    Fish,
    Fixture,
    Glass,
    Heater,
    Home,
    Packet,
    Plant,
    Room,
    SourceWater,
    Tank,
    Turtle,
)
from lentic.logbook.units import DROPS, QUANTITIES

ZONES = ("Europe/Oslo", "America/Chicago", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC")
WORD = st.from_regex(r"[a-z][a-z_]{0,11}", fullmatch=True)
SPECIES = st.sampled_from(["Ceratophyllum demersum", "Vallisneria spiralis", "Salvinia natans"])
TEXT = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=30).map(str.strip)
NOTE = st.one_of(st.just(""), TEXT, st.sampled_from(['said "more", twice', "a; b, c", "two\nlines", "<5"]))
START = datetime(2020, 1, 1, tzinfo=UTC)
CLOCKS_BACK = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
"""In Oslo the clock shows the half hour after two twice, an hour apart."""
TIME = st.one_of(
    st.integers(0, 10 * 366 * 24 * 60).map(lambda minutes: START + timedelta(minutes=minutes)),
    st.integers(-90, 90).map(lambda minutes: CLOCKS_BACK + timedelta(minutes=minutes)),
    st.integers(-86400, 86400).map(lambda seconds: CLOCKS_BACK + timedelta(seconds=seconds)),
)


def amount(high: float, low: float = 0.0) -> st.SearchStrategy[float]:
    """Numbers a keeper could write, and some no one would."""
    return st.floats(low, high, allow_nan=False).map(lambda value: value + 0.0)


def optional(values: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    """A number or nothing."""
    return st.one_of(st.none(), values)


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    """A reading in any of its units, made the way a keeper writes it."""
    name = draw(st.sampled_from(sorted(QUANTITIES)))
    quantity = QUANTITIES[name]
    unit = draw(
        st.sampled_from([unit for unit in quantity.units.values() if unit.name not in (DROPS, "mg/L NH3")])
    )
    number = draw(st.integers(1, 9)) if unit.reciprocal else draw(st.integers(0, 99)) / 8
    value = unit.convert(number)
    if not quantity.low <= value <= quantity.high:
        bound = quantity.high if value > quantity.high else quantity.low
        return Reading(
            time=draw(TIME), quantity=name, value=bound, unit=quantity.unit,
            below=quantity.colour_kit and bound == 0, written=f"{bound:g} {quantity.unit}".strip(),
        )  # fmt: skip
    sign = draw(st.sampled_from(["", "<", ">"])) if number else ""
    shown = "" if unit.name in ("pH", "UVI") else unit.name
    return Reading(
        time=draw(TIME), note=draw(NOTE), quantity=name, value=value, unit=quantity.unit,
        below=sign == "<" or (quantity.colour_kit and number == 0), above=sign == ">",
        written=f"{sign}{number:g} {shown}".strip(),
    )  # fmt: skip


G = amount(2000.0)
PLAIN_NOTE = NOTE.filter(lambda note: not note.casefold().startswith("sum"))
EVENTS: st.SearchStrategy[Event] = st.one_of(
    readings(),
    st.builds(Feed, time=TIME, note=PLAIN_NOTE, food=WORD, grams=G),
    st.builds(Feed, time=TIME, note=st.just("sum of a week"), food=WORD, grams=G, spread=st.just(True)),
    st.builds(Leftovers, time=TIME, note=NOTE, food=WORD, grams=G),
    st.builds(Leftovers, time=TIME, note=NOTE, food=WORD, fraction=amount(1.0)),
    st.builds(Look, time=TIME, note=NOTE, where=st.sampled_from(["panes", "water"]), grade=amount(4.0)),
    st.builds(Scrape, time=TIME, note=NOTE, where=st.just("panes"), grade=optional(amount(4.0))),
    st.builds(Change, time=TIME, note=NOTE, litres=amount(220.0)),
    st.builds(Change, time=TIME, note=NOTE, percent=amount(100.0)),
    st.builds(
        TopUp, time=TIME, note=NOTE, water=st.sampled_from(["source", "demineralised"]), litres=amount(100.0)
    ),
    st.builds(Siphon, time=TIME, note=NOTE, fraction=optional(amount(1.0))),
    st.builds(Thin, time=TIME, note=NOTE, species=SPECIES, grams=G),
    st.builds(Planted, time=TIME, note=NOTE, species=SPECIES, grams=G),
    st.builds(LostPlant, time=TIME, note=NOTE, species=SPECIES, grams=G),
    st.builds(Rinse, time=TIME, note=st.just("in tank water"), extent=st.just("half"), water=st.just("tank")),
    st.builds(Rinse, time=TIME, note=st.just("under the tap"), extent=st.just("all"), water=st.just("tap")),
    st.builds(Rinse, time=TIME, extent=st.just("floss")),
    st.builds(Lamp, time=TIME, note=NOTE, use=st.sampled_from(["plants", "room"]), hours=amount(24.0)),
    st.builds(Power, time=TIME, note=NOTE, on=st.booleans()),
    st.builds(Flow, time=TIME, note=NOTE, litres_per_hour=amount(2000.0)),
    st.builds(Weigh, time=TIME, note=NOTE, animal=st.just("bramble"), grams=amount(5000.0, 0.1)),
    st.builds(Measure, time=TIME, note=NOTE, animal=st.just("bramble"), centimetres=amount(50.0, 0.1)),
    st.builds(Dose, time=TIME, note=NOTE, substance=WORD, amount=G, unit=st.sampled_from(["g", "mL"])),
    st.builds(AnimalIn, time=TIME, what=WORD, count=st.integers(1, 99)),
    st.builds(
        AnimalOut, time=TIME, what=WORD, count=st.just(2), note=st.just("3 g together"), mass_g=st.just(1.5)
    ),
    st.builds(Sign, time=TIME, note=st.just("left eye shut"), animal=st.just("bramble")),
    st.builds(Rest, time=TIME, note=NOTE, animal=st.just("bramble"), celsius=optional(amount(12.0))),
    st.builds(Wake, time=TIME, note=NOTE, animal=st.just("bramble")),
    st.builds(Void, time=TIME, note=NOTE, of_time=TIME, of_kind=st.just("change"), of_what=st.just(None)),
    st.builds(Void, time=TIME, of_time=TIME, of_kind=st.just("feed"), of_what=WORD),
)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(EVENTS, max_size=12), st.sampled_from(ZONES))
def test_events_survive_the_file(events: list[Event], zone: str) -> None:
    """In any time zone, through its gaps and its doubled hours, with any note."""
    tank = Tank(name="Loft", timezone=zone, glass=Glass(water_l=150.0), turtles=(Turtle(id="bramble"),))
    ordered = tuple(sorted(events, key=lambda event: event.time))
    with TemporaryDirectory() as place:
        write_folder(Folder(tank=tank, events=ordered, plan=ordered[:2]), place)
        back = read_folder(place)
    assert not back.refused, back.problems
    assert back.events == ordered
    assert back.plan == ordered[:2]
    assert {problem.severity for problem in back.problems} <= {"ask"}


DAY = st.one_of(st.none(), st.dates(date(1990, 1, 1), date(2026, 1, 1)))
SHARE = optional(amount(1.0))
TANKS = st.builds(
    Tank,
    name=TEXT.filter(bool),
    timezone=st.sampled_from(ZONES),
    country=st.sampled_from([None, "NO", "US"]),
    as_of=DAY,
    latitude=optional(amount(90.0, -90.0)),
    home=st.builds(
        Home, gap_cm=optional(amount(90.0)), storey=st.sampled_from([None, -1, 4]), seams_made=DAY,
        ramp_rough=st.sampled_from([None, True, False]),
    ),
    glass=st.builds(
        Glass, pane=st.sampled_from([None, "glass", "acrylic"]), length_cm=optional(amount(300.0, 1.0)),
        braced=st.sampled_from([None, True, False]), water_l=amount(900.0, 1.0), lid_open_fraction=SHARE,
        shape=st.sampled_from([None, "rectangle", "cylinder"]),
    ),
    room=st.builds(Room, temperature_c=optional(amount(40.0, -10.0)), relative_humidity=SHARE),
    source_water=st.builds(SourceWater, ph=optional(amount(9.0, 6.0)), no3_mg_l=optional(amount(50.0))),
    filter=st.one_of(st.none(), st.builds(Filter, type=st.sampled_from([None, "none", "sponge"]))),
    heater=st.one_of(st.none(), st.builds(Heater, watts=optional(amount(500.0)))),
    turtles=st.lists(
        st.builds(Turtle, id=WORD, sex=st.sampled_from([None, "female"]), hatched=DAY),
        max_size=3, unique_by=lambda turtle: turtle.id,
    ).map(tuple),
    fish=st.lists(
        st.builds(Fish, species=SPECIES, count=st.one_of(st.none(), st.integers(1, 99))), max_size=2
    ).map(tuple),
    plants=st.lists(st.builds(Plant, species=SPECIES, wet_g=optional(G)), max_size=2).map(tuple),
    lamps=st.lists(
        st.builds(
            Fixture, use=st.sampled_from(["plants", "uvb"]), lamp_class=st.one_of(st.none(), WORD),
            on=st.times(time(0, 0), time(23, 59)).map(lambda clock: clock.replace(second=0, microsecond=0)),
            fitted=DAY, through=st.sampled_from([None, "mesh", "nothing"]), fixings=st.sampled_from([None, 2]),
        ), max_size=2,
    ).map(tuple),
    foods=st.lists(
        st.builds(Packet, id=WORD, protein=SHARE, phosphorus=SHARE), max_size=2,
        unique_by=lambda packet: packet.id,
    ).map(tuple),
)  # fmt: skip


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(TANKS)
def test_a_tank_survives_the_file(tank: Tank) -> None:
    """Every key, present or missing, with any name."""
    with TemporaryDirectory() as place:
        write_folder(Folder(tank=tank), place)
        back = read_folder(place)
    assert back.tank == tank
    assert {problem.severity for problem in back.problems} <= {"ask"}


KEEPERS = {
    "hornwort and a reeves turtle": ("Europe/Oslo", "mg/L NO3", "dKH", "L", "Ceratophyllum demersum"),
    "gallons and fahrenheit": ("America/Chicago", "mg/L NO3-N", "mg/L CaCO3", "US gal", None),
    "imperial gallons": ("Europe/London", "mg/L NO3", "°e", "imp gal", "Vallisneria spiralis"),
    "french degrees": ("Europe/Paris", "mg/L NO3", "°fH", "L", "Salvinia natans"),
    "an element kit": ("Asia/Seoul", "mg/L N", "meq/L", "%", None),
    "half-hour summer time": ("Australia/Lord_Howe", "mg/L NO3", "dKH", "L", "Ceratophyllum demersum"),
    "a quarter-hour zone": ("Asia/Kathmandu", "mg/L NO3", "mmol/L HCO3", "%", None),
    "winter in the south": ("America/Santiago", "ppm NO3", "gpg", "L", "Salvinia natans"),
}


@pytest.mark.parametrize("keeper", sorted(KEEPERS))
def test_eight_invented_keepers_are_read_without_a_word_and_written_back(keeper: str, tmp_path: Path) -> None:
    """A quarter of a year each, in each keeper's own units, across the change of the clocks."""
    zone, nitrate, kh, volume, plant = KEEPERS[keeper]
    lines = ["time,kind,what,amount,unit,note"]
    for day in range(90):
        on = (date(2026, 2, 15) + timedelta(days=day)).isoformat()
        lines.append(f"{on}T08:{day % 60:02},feed,pellet_adult,1.{day % 10},g,")
        if day % 7 == 0:
            lines.append(
                f'{on}T18:00,reading,nitrate,{"<" if day % 2 else ""}{5 + day % 4},{nitrate},"before, again"'
            )
            lines.append(f"{on}T18:05,reading,kh,{4 + day % 3 / 2},{kh},")
            lines.append(f"{on}T18:35,change,,{8 + day % 5},{volume},")
            lines += [f"{on}T18:50,thin,{plant},{40 + day},g,wet"] if plant else []
    tank = Tank(name=keeper, timezone=zone, glass=Glass(water_l=150.0))
    write_folder(Folder(tank=tank), tmp_path)
    (tmp_path / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    first = read_folder(tmp_path)
    assert first.problems == ()
    assert len(first.events) == len(lines) - 1
    write_folder(first, tmp_path / "back")
    again = read_folder(tmp_path / "back")
    assert (again.tank, again.events, again.problems) == (first.tank, first.events, ())
