"""Readings in their meaning: against published lines and worked examples, and never an alarm on one odd number."""

import csv
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lentic.advice.ammonia_now import after_change, criteria, free_of
from lentic.advice.buffer import rescue_of
from lentic.advice.disinfected import new_water
from lentic.advice.estimate import exactly
from lentic.advice.load import load_from
from lentic.advice.readings import Meaning, case_of, meaning_of, odd_lines
from lentic.logbook.events import Change, Dose, Event, Feed, Reading, Weigh
from lentic.logbook.quick import parse_quick
from lentic.logbook.tank import Fish, Glass, Packet, SourceWater, Tank, Turtle

NOW = datetime(2026, 5, 3, 17, 0, tzinfo=UTC)
TURTLES = Tank(
    name="Sill", glass=Glass(water_l=150.0), turtles=(Turtle(id="moss", species="Sternotherus odoratus"),),
    source_water=SourceWater(ph=7.8, kh_dkh=8.0, gh_dgh=11.0, no3_mg_l=8.0), foods=(Packet(id="sticks", protein=0.4),),
)  # fmt: skip
FISH = Tank(
    name="Sill", glass=Glass(water_l=150.0), turtles=TURTLES.turtles, fish=(Fish(species="Danio rerio", count=8),),
    source_water=TURTLES.source_water, foods=TURTLES.foods,
)  # fmt: skip
DATA = Path(__file__).parents[1] / "data"


def typed(text: str, tank: Tank = TURTLES, events: tuple[Event, ...] = ()) -> tuple[Reading, ...]:
    """Return the readings of a typed line."""
    quick = parse_quick(text, tank, events, NOW)
    assert not quick.questions
    return tuple(event for event in quick.events if isinstance(event, Reading))


def meaning(text: str, tank: Tank = TURTLES, events: tuple[Event, ...] = ()) -> Meaning:
    """Return what a typed line means."""
    return meaning_of(tank, events, typed(text, tank, events), NOW)


def words(view: Meaning) -> str:
    """Return all sentences."""
    return " ".join(each.sentence for each in view.said)


# Emerson et al. 1975, per cent un-ionised at zero salinity, from memory of the printed table; the pK form was
# read in a software manual, its constant checked in a second public code.
EMERSON = [(7.0, 20.0, 0.396), (7.0, 25.0, 0.566), (8.0, 20.0, 3.82), (8.0, 25.0, 5.38), (9.0, 20.0, 28.4)]


@pytest.mark.parametrize(("ph", "temperature", "percent"), EMERSON)
def test_the_free_share_is_that_of_the_printed_table(ph: float, temperature: float, percent: float) -> None:
    """Within 2 %, where no salts are known."""
    readings = typed(f"nh4 1 mg/L N; ph {ph}; temp {temperature} °C")
    free = free_of(case_of(TURTLES, (), readings, NOW).known, fish=False)
    assert free is not None
    assert 100.0 * free.share.value == pytest.approx(percent, rel=0.02)
    assert free.share.low < free.share.value < free.share.high


def epa_rows() -> Iterable[tuple[float, float, str, float]]:
    """Yield the cells of the criteria document: pH, temperature, which line, mg N/L."""
    with (DATA / "checks_water.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["quantity"].startswith("EPA 2013 ammonia criterion"):
                given = dict(part.split("=") for part in row["inputs"].split(";"))
                yield float(given["pH"]), float(given["T_C"]), row["quantity"], float(row["expected"])


def test_the_lines_for_fish_are_those_of_the_document() -> None:
    """EPA-822-R-13-001: every cell of the check table, rounded to its two figures."""
    cells = list(epa_rows())
    assert len(cells) == 28
    for ph, temperature, which, expected in cells:
        lines = criteria(ph, temperature, salmonids="present" in which and "absent" not in which)
        value = lines.chronic if "CCC" in which or "chronic" in which else lines.acute
        assert float(f"{value:.1e}") == expected, (which, ph, temperature)


def test_the_same_ammonia_is_an_alarm_for_fish_and_none_for_turtles() -> None:
    """0.5 mg/L N at pH 8.4 and 26 °C: about 0.07 mg/L NH3, above the guideline of 0.019."""
    line = "nh4 0.5 mg/L N; ph 8.4; temp 26 °C; kh 8 dKH"
    fish, turtles = meaning(line, FISH), meaning(line)
    assert any(each.level == "act" and each.protects == "fish" for each in fish.said)
    assert all(each.protects != "fish" for each in turtles.said if each.about == "ammonia")
    assert "EPA-822-R-13-001" in " ".join(each.source for each in fish.said)
    assert "EPA" not in " ".join(each.source for each in turtles.said)
    assert "Only turtles live here" in words(turtles)
    assert "Without mussels, as here" in words(fish)
    with_mussel = replace(FISH, fish=(*FISH.fish, Fish(species="Anodonta cygnea", count=1)))
    assert "Without mussels" not in words(meaning(line, with_mussel))


def test_ammonia_alone_is_not_judged() -> None:
    """Without pH and temperature the share is not said, it is asked for."""
    view = meaning("nh4 1 mg/L N", FISH)
    assert "cannot be said without pH and temperature" in words(view)
    assert any("pH and temperature" in each for each in view.asked)
    assert all(each.level is None for each in view.said)


def test_a_change_that_raises_ph_can_raise_free_ammonia() -> None:
    """Soft sour water with ammonium, hard alkaline tap: free ammonia rises though the total falls."""
    readings = typed("nh4 2 mg/L N; ph 6.3; temp 25 °C; kh 1 dKH")
    case = case_of(TURTLES, (), readings, NOW)
    before, after = free_of(case.known, fish=True), after_change(case.known, 0.5)
    assert before is not None and after is not None
    assert after.total_n == pytest.approx(1.0, rel=1e-3)
    assert after.ph > 6.5 and after.free_nh3 > 2.0 * before.free_nh3.value
    assert "change little and often" in words(meaning_of(TURTLES, (), readings, NOW, change_l=75.0))


def test_what_harms_fish_comes_with_what_harms_nobody() -> None:
    """Food stops, a change, a test tomorrow; not where the change would raise free ammonia, nor for turtles alone."""
    line = "nh4 1 mg/L N; ph 8.4; temp 26 °C; kh 8 dKH"
    assert "no food today" in words(meaning(line, FISH))
    assert "no food today" not in words(meaning(line))
    sour = "nh4 2 mg/L N; ph 6.3; temp 25 °C; kh 1 dKH"
    assert "no food today" not in words(meaning(sour, FISH))


def test_conditioner_for_buckets_and_for_the_whole_tank() -> None:
    """40 L at 0.5 mg/L free chlorine are 20 mg: 38 to 140 mg of thiosulfate; a worked example from practice tables."""
    water = new_water(40.0, 200.0, exactly(0.5, "mg/L", "read"), None, None)
    dose = next(each for each in water.doses if "thiosulfate" in each.conditioner)
    assert 1e3 * dose.for_buckets.low == pytest.approx(38.0, abs=0.5)
    assert 1e3 * dose.for_buckets.value == pytest.approx(140.0, abs=0.5)
    assert dose.for_tank.value == pytest.approx(5.0 * dose.for_buckets.value)
    assert water.ammonia_after is None


def test_chloramine_leaves_ammonia_that_a_test_shows() -> None:
    """2 mg/L chloramine add 0.4 mg/L N to the new water (0.1975 mg N per mg Cl2); no vitamin C is offered for it."""
    water = new_water(60.0, 150.0, None, exactly(2.0, "mg/L", "supplier"), exactly(0.1, "mg/L N", "read"))
    assert water.ammonia_in_new_water == pytest.approx(0.395, abs=0.001)
    assert water.ammonia_after is not None
    assert water.ammonia_after.value == pytest.approx(0.6 * 0.1 + 0.4 * 0.395, abs=0.001)
    assert not [each for each in water.doses if "vitamin" in each.conditioner or "ascorb" in each.conditioner]


def test_ammonia_right_after_a_chloraminated_change_is_explained() -> None:
    """60 of 150 L with 2 mg/L chloramine leave 0.4 x 2 x 0.1975 = 0.158 mg/L N; a binder in the water is named."""
    tank = replace(TURTLES, source_water=SourceWater(chloramine_mg_l=2.0))
    late = (
        Change(time=NOW - timedelta(hours=3), litres=60.0),
        Dose(time=NOW - timedelta(hours=3), substance="hydroxymethanesulfonate", amount=5.0, unit="mL"),
    )
    view = meaning_of(tank, late, typed("nh4 0.2 mg/L N; ph 7.8; temp 25 °C"), NOW)
    line = next(each for each in view.said if "brought chloramine" in each.sentence)
    assert line.known is not None and line.known.value == pytest.approx(0.158, abs=0.001)
    assert any("was dosed" in each.sentence and "Nessler" in each.sentence for each in view.said)
    old = tuple(replace(each, time=NOW - timedelta(days=4)) for each in late)
    later = meaning_of(tank, old, typed("nh4 0.2 mg/L N; ph 7.8; temp 25 °C"), NOW)
    assert not any("brought chloramine" in each.sentence for each in later.said)


def test_odd_lines_of_a_whole_log_are_named() -> None:
    """A weighing in the wrong unit among good ones, with its day."""
    log = tuple(
        Weigh(time=NOW - timedelta(days=70 - 7 * n), animal="moss", grams=310.0 + n if n != 7 else 31.7)
        for n in range(10)
    )
    found = odd_lines(TURTLES, log)
    assert len(found) == 1 and "2026-04-12" in found[0] and "decimal point" in found[0]


def test_days_of_kh_follow_the_steady_loss() -> None:
    """Without changes KH falls in a straight line: the use of 0.73 dKH a week takes 1.5 dKH in 14.5 days."""
    load = load_from(1.4, 0.42, 127.0, 0.0, "by hand")
    days = load.days_to_kh(4.0, 2.5, 0.7)
    assert days is not None and days.value == pytest.approx(1.5 / load.kh_use.value * 7.0)
    assert load_from(1.4, 0.42, 127.0, 0.3, "by hand").days_to_kh(6.0, 2.5, 9.0) is None


def fed(days: int, readings: dict[int, float], changes: tuple[int, ...] = ()) -> tuple[Event, ...]:
    """Return a log: a gram of sticks a day, nitrate readings so many days ago, changes of 50 L."""
    events: list[Event] = [Feed(time=NOW - timedelta(days=d), food="sticks", grams=1.0) for d in range(1, days)]
    for ago, value in readings.items():
        at = NOW - timedelta(days=ago)
        events.append(
            Reading(time=at, quantity="nitrate", value=value / 4.4268, unit="mg/L N", written=f"{value} mg/L NO3")
        )
    events += [Change(time=NOW - timedelta(days=d, hours=1), litres=50.0) for d in changes]
    return tuple(sorted(events, key=lambda event: event.time))


def test_nitrate_that_fell_without_a_change_is_to_be_repeated() -> None:
    """80, 80, then 40 mg/L within a week and no change: shake the bottle and repeat; nothing is done on it."""
    log = fed(30, {21: 80.0, 14: 80.0, 7: 80.0})
    view = meaning("no3 40 mg/L NO3", events=log)
    assert view.repeat and "nothing in the log takes so much away" in view.repeat[0]
    assert "shake" in view.repeat[0] and "date on the kit" in view.repeat[0]
    assert all(each.believe == "repeat" for each in view.said if each.about == "nitrate")


def test_nitrate_that_fell_with_changes_is_believed() -> None:
    """Two changes of a third explain the fall."""
    log = fed(30, {21: 80.0, 14: 80.0, 7: 80.0}, changes=(2, 4))
    assert not meaning("no3 40 mg/L NO3", events=log).repeat


def test_one_odd_reading_never_alarms() -> None:
    """A ten-fold nitrate says repeat, in the same breath as its level."""
    log = fed(30, {21: 30.0, 14: 40.0, 7: 40.0}, changes=(6, 13))
    reading = Reading(time=NOW, quantity="nitrate", value=400 / 4.4268, unit="mg/L N", written="400 mg/L NO3")
    view = meaning_of(TURTLES, log, (reading,), NOW)
    assert view.repeat and "decimal point" in view.repeat[0]
    assert "Repeat it before anything is done" in words(view)


def test_nitrite_with_fish_speaks_of_chloride() -> None:
    """Chloride 6 to 10 times the nitrite; none of that for turtles."""
    assert "6 to 10 mg/L of chloride" in words(meaning("no2 1 mg/L NO2", FISH))
    assert "chloride" not in words(meaning("no2 1 mg/L NO2"))


def test_a_filter_with_carbonate_is_not_rescued() -> None:
    """Only KH at the floor, sour water and ammonium together make a starved filter."""
    starved = case_of(TURTLES, (), typed("nh4 1.5 mg/L NH4; ph 6.2; temp 25 °C; kh 0 dKH"), NOW)
    assert rescue_of(starved.known, 127.0) is not None
    for text in ("nh4 1.5 mg/L NH4; ph 6.2; temp 25 °C; kh 5 dKH", "nh4 0.1 mg/L NH4; ph 6.2; temp 25 °C; kh 0 dKH"):
        assert rescue_of(case_of(TURTLES, (), typed(text), NOW).known, 127.0) is None
