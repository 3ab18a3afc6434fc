"""What single lines mean: units, bounds of kits, spreads, notes and the clock of the tank."""

import sys
from datetime import UTC, datetime

import pytest

from lentic.logbook.events import (
    AnimalIn,
    Change,
    Dose,
    Event,
    Feed,
    Flow,
    Lamp,
    Leftovers,
    Power,
    Reading,
    Rinse,
    Scrape,
    Siphon,
    TopUp,
    Void,
    without_voided,
)
from lentic.logbook.folder import read_events
from lentic.logbook.tank import Fixture, Glass, SourceWater, Tank, Turtle, described_on
from lentic.logbook.tank_file import read_tank, tank_text

HEADER = "time,kind,what,amount,unit,note\n"
TANK = Tank(
    name="Loft tank", timezone="Europe/Oslo", glass=Glass(water_l=150.0), turtles=(Turtle(id="bramble"),)
)


def one(line: str, tank: Tank = TANK) -> Event:
    """Read one line that has nothing wrong with it."""
    log = read_events(f"{HEADER}2026-03-01T18:00,{line}\n", tank)
    assert not log.problems, [problem.sentence for problem in log.problems]
    return log.events[0]


def reading(line: str) -> Reading:
    """Read one line of a test kit."""
    event = one(f"reading,{line}")
    assert isinstance(event, Reading)
    return event


# By hand from the molar masses (IUPAC): NO3 62.004, NO2 46.005, NH4 18.039, PO4 94.970, N 14.007, P 30.974.
# German degree: 17.848 mg/L CaCO3, 0.35665 meq/L; French: 10 mg/L CaCO3 (from memory, as in DIN 38409-6).
@pytest.mark.parametrize(
    ("cells", "value", "unit"),
    [
        ("nitrate,50,mg/L NO3,", 11.295, "mg/L N"),
        ("nitrate,11.3,mg/L NO3-N,", 11.3, "mg/L N"),
        ("nitrate,11.3,mg/l no₃⁻-n,", 11.3, "mg/L N"),
        ("nitrate,11.3,ppm N,", 11.3, "mg/L N"),
        ("nitrite,1,mg/L NO2,", 0.30447, "mg/L N"),
        ("ammonia,1,mg/L NH4,", 0.77649, "mg/L N"),
        ("phosphate,1,mg/L PO4,", 0.32614, "mg/L P"),
        ("phosphate,1,mg/L P,", 1.0, "mg/L P"),
        ("kh,10,dKH,", 3.5665, "meq/L"),
        ("kh,178.48,mg/L CaCO3,", 3.5665, "meq/L"),
        ("gh,10,°dH,", 3.5665, "meq/L"),
        ("gh,10,°fH,", 1.9983, "meq/L"),
        ("temperature,77,°F,", 25.0, "°C"),
        ("temperature,77,℉,", 25.0, "°C"),
        ("flow,12,s/L,", 300.0, "L/h"),
        ("conductivity,0.5,mS/cm,", 500.0, "µS/cm"),
        ("ph,7.9,,", 7.9, ""),
        ("tap_nitrate,50,mg/L NO3,", 11.295, "mg/L N"),
    ],
)
def test_readings_come_in_the_unit_used_inside(cells: str, value: float, unit: str) -> None:
    """Every kit's label ends as the element or as milliequivalents."""
    event = reading(cells)
    assert event.value == pytest.approx(value, rel=2e-4)
    assert event.unit == unit


def test_a_reading_keeps_what_the_keeper_wrote() -> None:
    """The label of the kit is not lost in the conversion."""
    assert reading("nitrate,40,mg/L NO3,").written == "40 mg/L NO3"
    assert reading('kh,"5,5",dKH,').written == "5.5 dKH"


@pytest.mark.parametrize(
    ("amount", "below", "above"),
    [
        ("<5", True, False),
        ("< 5", True, False),
        (">160", False, True),
        ("5", False, False),
        ("≤5", True, False),
    ],
)
def test_beyond_the_steps_of_the_kit(amount: str, below: bool, above: bool) -> None:
    """Both signs are kept as such, the number stays the bound."""
    event = reading(f"nitrate,{amount},mg/L NO3,")
    assert (event.below, event.above) == (below, above)


def test_a_plain_zero_of_a_colour_kit_is_below_its_first_step_but_a_meter_can_read_zero() -> None:
    """Zero from a colour chart is no measured zero."""
    assert reading("nitrite,0,mg/L NO2,").below
    assert not reading("temperature,0,°C,").below


@pytest.mark.parametrize(
    ("line", "event"),
    [
        ("feed,pellet_adult,1.4,g,", {"food": "pellet_adult", "grams": 1.4, "spread": False}),
        ("feed,pellet_adult,1400,mg,sum since Sunday", {"grams": 1.4, "spread": True}),
        ("feed,pellet_adult,1.4 g,,", {"grams": 1.4}),
        ("leftovers,romaine,30,%,", {"grams": None, "fraction": 0.3}),
        ("leftovers,romaine,3,g,", {"grams": 3.0, "fraction": None}),
        ("change,,36,L,", {"litres": 36.0, "percent": None}),
        ("change,,25,%,", {"litres": None, "percent": 25.0}),
        ("change,,10,US gal,", {"litres": 37.85411784}),
        ("change,,10,imp gal,", {"litres": 45.4609}),
        ("top_up,demineralised,2,L,", {"water": "demineralised", "litres": 2.0}),
        ("siphon,,,fraction,", {"fraction": None}),
        ("siphon,,40,%,", {"fraction": 0.4}),
        ("scrape,panes,,grade,", {"where": "panes", "grade": None}),
        ("scrape,,3,grade,", {"where": "panes", "grade": 3.0}),
        ("rinse,half,,,in tank water", {"extent": "half", "water": "tank"}),
        ("rinse,floss,,,under the tap", {"extent": "floss", "water": "tap"}),
        ("lamp,basking_uvb,9,h,", {"use": "basking_uvb", "hours": 9.0}),
        ("power,off,,,", {"on": False}),
        ("flow,,12,s/L,", {"litres_per_hour": 300.0}),
        ("weigh,bramble,0.52,kg,", {"animal": "bramble", "grams": 520.0}),
        ("measure,bramble,148,mm,", {"centimetres": 14.8}),
        ("dose,sodium_bicarbonate,3,g,", {"substance": "sodium_bicarbonate", "amount": 3.0, "unit": "g"}),
        ("dose,conditioner,0.005,L,", {"amount": 5.0, "unit": "mL"}),
        ("animal_in,Tanichthys albonubes,6,,0.6 g each", {"count": 6, "mass_g": 0.6}),
        ("animal_in,Tanichthys albonubes,6,,3 g together", {"mass_g": 0.5}),
        ("animal_out,Planorbarius corneus,2,,", {"count": 2, "mass_g": None}),
        ("sign,bramble,,,left eye shut", {"animal": "bramble"}),
        ("lost_plant,Ceratophyllum demersum,110,g,mush", {"grams": 110.0}),
        ("look,water,2,grade,", {"where": "water", "grade": 2.0}),
    ],
)
def test_every_kind_of_line(line: str, event: dict[str, object]) -> None:
    """Each kind gives its own record with its own fields."""
    read = one(line)
    assert {name: getattr(read, name) for name in event} == pytest.approx(event)
    assert read.kind == line.split(",")[0]


def test_kinds_have_their_types() -> None:
    """The dispatch of the table above reaches every class that later rooms match on."""
    made = {
        "feed,a,1,g,": Feed, "leftovers,a,1,g,": Leftovers, "change,,1,L,": Change,
        "top_up,source,1,L,": TopUp,
        "siphon,,,,": Siphon, "scrape,panes,,,": Scrape, "rinse,all,,,tap": Rinse, "lamp,room,1,h,": Lamp,
        "power,on,,,": Power, "flow,,1,L/h,": Flow, "dose,a,1,g,": Dose, "animal_in,a,1,,": AnimalIn,
        "void,2026-03-01T18:00 void,,,": Void,
    }  # fmt: skip
    for line, kind in made.items():
        log = read_events(f"{HEADER}2026-03-01T18:00,{line}\n", TANK)
        assert type(log.events[0]) is kind


def test_times_are_the_tanks_clock_and_become_utc() -> None:
    """Oslo is an hour ahead of UTC in winter and two in summer; an offset in the file wins."""
    text = (
        HEADER
        + "2026-03-01T18:00,power,off,,,\n2026-07-01T18:00,power,on,,,\n2026-07-02T18:00-05:00,power,on,,,\n"
    )
    times = [event.time for event in read_events(text, TANK).events]
    assert times == [
        datetime(2026, 3, 1, 17, tzinfo=UTC), datetime(2026, 7, 1, 16, tzinfo=UTC),
        datetime(2026, 7, 2, 23, tzinfo=UTC)
    ]  # fmt: skip


def test_slashed_dates_follow_the_one_date_that_can_only_be_meant_one_way() -> None:
    """A thirteenth month does not exist, so the file says its order itself."""
    american = read_events(HEADER + "3/1/2026 8:10 AM,power,on,,,\n3/14/2026 6:35 PM,power,on,,,\n", TANK)
    assert [TANK.local_time(event.time).strftime("%d.%m. %H:%M") for event in american.events] == [
        "01.03. 08:10", "14.03. 18:35",
    ]  # fmt: skip
    british = read_events(HEADER + "3/1/2026 8:10,power,on,,,\n14/1/2026 18:35,power,on,,,\n", TANK)
    assert [TANK.local_date(event.time).month for event in british.events] == [1, 1]


def test_two_events_on_one_minute_keep_their_order() -> None:
    """The file's order is the order of things that share a minute."""
    text = HEADER + "2026-03-01T18:00,scrape,panes,3,grade,\n2026-03-01T18:00,change,,36,L,\n"
    assert [event.kind for event in read_events(text, TANK).events] == ["scrape", "change"]


def test_a_void_in_a_file_takes_its_line_back() -> None:
    """Times of a void are the tank's clock too."""
    text = HEADER + "2026-03-01T18:35,change,,36,L,\n2026-03-01T19:00,void,2026-03-01T18:35 change,,,\n"
    log = read_events(text, TANK)
    assert not log.problems
    assert without_voided(log.events) == ()


def _busy(first_year: int, years: int) -> str:
    days = [
        f"{first_year + n // 336}-{n % 336 // 28 + 1:02}-{n % 28 + 1:02}" for n in range(years * 336)
    ]  # fmt: skip
    lines = [
        f"{day}T08:10,feed,pellet_adult,1.4,g,\n{day}T18:00,reading,nitrate,40,mg/L NO3,\n"
        f"{day}T18:35,change,,36,L,\n{day}T18:36,siphon,,0.4,fraction,\n{day}T19:00,top_up,source,2,L,\n"
        for day in days
    ]  # fmt: skip
    return HEADER + "".join(lines) + "\n"


def test_work_grows_with_the_length_of_a_log_and_no_faster() -> None:
    """A busy keeper's four years, some 6700 lines, cost no more than about four times one year: calls are counted."""

    def calls(text: str, lines: int) -> int:
        count = 0

        def counted(frame: object, event: str, arg: object) -> None:
            nonlocal count
            count += event == "call"

        sys.setprofile(counted)
        try:
            log = read_events(text, TANK)
        finally:
            sys.setprofile(None)
        assert len(log.events) == lines
        assert not log.problems
        return count

    assert calls(_busy(2020, 4), 4 * 1680) < 4.4 * calls(_busy(2023, 1), 1680)


def test_volume_by_bucket_wins_over_the_measures() -> None:
    """1.00 x 0.45 x 0.36 m is 162 L, less 12 L of wood and stone."""
    measures = Glass(length_cm=100.0, width_cm=45.0, water_depth_cm=36.0, solids_l=12.0)
    assert Tank(name="a", glass=measures).water_litres == pytest.approx(150.0)
    assert Tank(name="a", glass=Glass(length_cm=100.0, width_cm=45.0)).water_litres is None
    assert TANK.water_litres == 150.0


def test_source_water_in_the_units_used_inside() -> None:
    """The same factors as in the log; what is not known stays unknown."""
    tap = SourceWater(no3_mg_l=50.0, po4_mg_l=1.0, kh_dkh=10.0, gh_dgh=10.0)
    assert tap.nitrate_mgn_l == pytest.approx(11.295, rel=2e-4)
    assert tap.phosphate_mgp_l == pytest.approx(0.32614, rel=2e-4)
    assert tap.alkalinity_meq_l == tap.hardness_meq_l == pytest.approx(3.5665, rel=2e-4)
    empty = SourceWater()
    assert (empty.nitrate_mgn_l, empty.phosphate_mgp_l, empty.alkalinity_meq_l, empty.hardness_meq_l) == (
        None,
    ) * 4


def test_the_day_the_description_stands_for() -> None:
    """The first day of the log on the tank's own calendar, unless the file says another."""
    late = Feed(time=datetime(2026, 3, 1, 23, 30, tzinfo=UTC), food="a", grams=1.0)
    day = described_on(TANK, [late])
    assert day is not None and day.isoformat() == "2026-03-02"
    assert described_on(TANK, []) is None


def test_a_tank_reads_back_as_it_was_written() -> None:
    """A lamp's class and hour are written under the names of the file."""
    tank = Tank(name='The "deep" one', lamps=(Fixture(use="plants", lamp_class="led_white", hours=8.0),))
    text = tank_text(tank)
    assert 'class = "led_white"' in text and 'on = "09:00"' in text
    assert read_tank(text)[0] == tank
