"""Lamps: what reaches the shell, zones, warnings that always stand, dark time, plants, the day outdoors."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import numpy as np
import pytest

from lentic.advice.basking import basking_of, mounting_of
from lentic.advice.findings import Finding
from lentic.advice.lamps import Lamps, lamps_of
from lentic.advice.lighting import PlantLight, circuits_of, dark_hours, day_outdoors, lit_minutes, plant_light_of
from lentic.advice.uvb import band_of, by_class, fitted_on, passes, ultraviolet_of
from lentic.catalogue import lamps, turtles
from lentic.logbook.events import Event, Lamp, Reading
from lentic.logbook.tank import Fixture, Glass, Plant, Room, Tank, Turtle

TODAY = date(2026, 6, 1)
FITTED = date(2025, 9, 1)
MAP = Turtle(id="juno", species="Graptemys pseudogeographica", sex="female")
MUSK = Turtle(id="moss", species="Sternotherus odoratus")


def at(day: date, hour: int = 12) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def read(quantity: str, value: float, day: date = TODAY, note: str = "") -> Reading:
    return Reading(time=at(day), quantity=quantity, value=value, unit="", note=note)


def uvb(through: str | None = "nothing", **more: object) -> Fixture:
    return Fixture(use="uvb", lamp_class="t5_uvb_6", through=through, fitted=FITTED, hours=8.0, **more)  # type: ignore[arg-type]


def tank(*fixtures: Fixture, turtles_: tuple[Turtle, ...] = (MAP,), **more: object) -> Tank:
    glass = Glass(length_cm=120.0, width_cm=50.0, water_depth_cm=46.0)
    return Tank(name="Loft", timezone="UTC", glass=glass, turtles=turtles_, lamps=fixtures, **more)  # type: ignore[arg-type]


def state_of(found: tuple[Finding, ...] | list[Finding], what: str) -> str:
    (one,) = [each for each in found if each.what == what]
    return one.state


def at_shell(value: float, through: str | None = "nothing") -> tuple[Finding, ...]:
    events: list[Event] = [read("uvi", value, TODAY - timedelta(days=1))]
    band = band_of([turtles()["graptemys_pseudogeographica"]])
    return ultraviolet_of(tank(), events, uvb(through), band, TODAY).findings


def test_the_published_bands_of_the_zones() -> None:
    """Ferguson et al. 2010, Zoo Biology 29:317, as read on an educational page; which kind has which zone is memory."""
    one = band_of([turtles()["graptemys_pseudogeographica"]])
    assert one is not None and (one.low, one.high, one.highest) == (1.0, 2.6, 7.4)
    assert "from memory" in one.source
    both = band_of([turtles()["graptemys_pseudogeographica"], turtles()["sternotherus_odoratus"]])
    assert both is not None and (both.high, both.highest) == (1.0, 3.0)
    assert band_of([]) is None


@pytest.mark.parametrize(
    ("value", "state"), [(0.3, "act"), (0.8, "watch"), (1.6, "fine"), (4.0, "watch"), (9.0, "act")]
)
def test_a_reading_is_judged_by_the_band(value: float, state: str) -> None:
    assert state_of(at_shell(value), "UV index at the shell") == state


def test_without_a_reading_or_a_kind_one_fact_is_asked_for() -> None:
    band = band_of([turtles()["graptemys_pseudogeographica"]])
    bare = ultraviolet_of(tank(), [], uvb(shell_cm=27.0), band, TODAY)
    assert state_of(bare.findings, "UV index at the shell") == "ask"
    assert "it may be off by half" in bare.origin and bare.next_reading == TODAY
    assert state_of(ultraviolet_of(tank(), [], uvb(), None, TODAY).findings, "UV index at the shell") == "ask"
    unknown = ultraviolet_of(tank(), [], Fixture(use="uvb"), band, TODAY)
    assert state_of(unknown.findings, "age") == "ask" and unknown.replace is None


@pytest.mark.parametrize("through", ["glass", "acrylic", "mesh", "nothing", None])
def test_glass_acrylic_and_mesh_are_always_warned_of(through: str | None) -> None:
    (path,) = [each for each in at_shell(1.6, through) if each.what == "path of the light"]
    text = path.sentence + path.do
    if through in ("glass", "acrylic"):
        assert path.state == "act" and f"passes {through}" in text and "no ultraviolet B" in text
        assert not any(each.what == "replacement" for each in at_shell(1.6, through))
    else:
        assert "Glass and acrylic stop ultraviolet B; a mesh takes a quarter to a half" in text
    assert lamps_of(tank(), [], TODAY).always.startswith("Glass and acrylic")


def test_a_mesh_lets_its_open_area_through() -> None:
    mesh = uvb("mesh", mesh_wire_mm=1.0, mesh_pitch_mm=7.1)
    assert passes(mesh)[1] == pytest.approx(0.74, abs=0.005)  # (1 - d/p)²: geometry
    assert passes(uvb("mesh")) == (0.5, 0.75)
    assert passes(uvb("glass")) == (0.0, 0.0)


def test_the_replacement_day_comes_from_readings_and_the_next_reading_before_it() -> None:
    events: list[Event] = [
        read("uvi", 2.4 * 2.0 ** (-days / 300.0), FITTED + timedelta(days=days)) for days in (0, 90, 180, 270)
    ]
    band = band_of([turtles()["graptemys_pseudogeographica"]])
    found = ultraviolet_of(tank(), events, uvb(), band, TODAY)
    true = FITTED + timedelta(days=300.0 * float(np.log2(2.4)))
    assert found.replace is not None and found.replace.p50 is not None
    assert abs((found.replace.p50 - true).days) <= 28
    assert found.next_reading is not None and TODAY <= found.next_reading <= found.replace.p50
    assert found.line == 1.0


def test_a_zone_that_begins_at_nought_takes_half_of_the_new_lamp() -> None:
    events: list[Event] = [read("uvi", 0.6, FITTED), read("uvi", 0.4, FITTED + timedelta(days=120))]
    found = ultraviolet_of(tank(), events, uvb(), band_of([turtles()["chelydra_serpentina"]]), TODAY)
    assert found.line is None and found.replace is not None


def test_a_new_bulb_in_the_log_starts_a_new_life_and_shade_is_no_shell() -> None:
    renewed: list[Event] = [Lamp(time=at(date(2026, 3, 1)), use="uvb", hours=8.0, note="new tube")]
    assert fitted_on(tank(), renewed, uvb()) == date(2026, 3, 1)
    shaded: list[Event] = [read("uvi", 0.1, note="in the shade")]
    band = band_of([turtles()["graptemys_pseudogeographica"]])
    assert ultraviolet_of(tank(), shaded, uvb(), band, TODAY).readings == 0


def test_an_old_lamp_without_readings_is_watched() -> None:
    old = Fixture(use="uvb", lamp_class="t5_uvb_6", through="nothing", fitted=date(2025, 1, 1))
    found = ultraviolet_of(tank(), [], old, band_of([turtles()["trachemys_scripta"]]), TODAY)
    assert state_of(found.findings, "age") == "watch"


def test_a_class_is_read_between_its_known_distances_and_not_beyond() -> None:
    t5 = lamps()["t5_uvb_6"]
    assert by_class(t5, 30.0) == pytest.approx(1.5)
    middle = by_class(t5, 25.0)
    assert middle is not None and 1.5 < middle < 2.75
    assert by_class(t5, 15.0) is None and by_class(t5, 60.0) is None and by_class(None, 30.0) is None


def test_two_lamps_share_a_reading() -> None:
    events: list[Event] = [read("uvi", 2.0)]
    view = lamps_of(tank(uvb(), uvb()), events, TODAY)
    assert [each.replace for each in view.ultraviolet] == [None, None]
    assert view.ultraviolet[0].origin.startswith("own reading")


BASKING = Fixture(use="basking", lamp_class="halogen_flood", height_cm=30.0, fixings=2, guarded=True)


def surface(value: float, room: float | None = None) -> tuple[Finding, ...]:
    events: list[Event] = [read("surface_temperature", value)]
    events += [read("room_temperature", room)] if room is not None else []
    return basking_of(tank(BASKING), events, [turtles()["graptemys_pseudogeographica"]])


@pytest.mark.parametrize(
    ("value", "state"),
    [(26.0, "watch"), (30.0, "watch"), (34.0, "fine"), (38.0, "watch"), (42.0, "act"), (47.0, "act")],
)
def test_the_basking_surface_is_judged_by_the_kind(value: float, state: str) -> None:
    assert state_of(surface(value, 20.0), "basking surface") == state
    assert ("It burns" in " ".join(each.sentence for each in surface(value, 20.0))) == (value > 45.0)


def test_the_surface_follows_the_room_into_a_warm_summer() -> None:
    (warm,) = [each for each in surface(34.0, 19.0) if each.what == "warm days"]
    assert warm.state == "watch" and "15 K above the room" in warm.sentence and "25 °C" in warm.sentence
    (cool,) = [each for each in surface(32.0, 26.0) if each.what == "warm days"]
    assert cool.state == "fine"
    assert state_of(surface(34.0), "warm days") == "ask"
    described = basking_of(tank(BASKING, room=Room(temperature_c=19.0)), [read("surface_temperature", 34.0)], [])
    assert state_of(described, "warm days") == "watch"
    assert state_of(basking_of(tank(BASKING), [read("surface_temperature", 44.0)], []), "basking surface") == "act"


def test_a_dry_warm_place_that_is_not_described_is_asked_for() -> None:
    assert basking_of(tank(), [], [])[0].state == "ask"
    assert "shell height" in basking_of(tank(BASKING), [], [])[0].sentence


def test_one_fixing_or_a_hot_lamp_in_reach_is_a_stop() -> None:
    assert mounting_of([BASKING]) == []
    assert mounting_of([Fixture(use="uvb", fixings=1)])[0].state == "stop"
    assert mounting_of([Fixture(use="basking", height_cm=15.0, fixings=2)])[0].state == "stop"
    assert mounting_of([Fixture(use="plants")])[0].state == "ask"


def lit(*spans: tuple[int, float]) -> Tank:
    return tank(*(Fixture(use="room", on=time(hour), hours=hours) for hour, hours in spans))


@pytest.mark.parametrize(
    ("spans", "dark"),
    [(((9, 10.0),), 14.0), (((9, 8.0), (11, 10.0)), 12.0), (((22, 4.0), (8, 10.0)), 6.0), (((0, 24.0),), 0.0)],
)
def test_the_longest_dark_time_across_midnight(spans: tuple[tuple[int, float], ...], dark: float) -> None:
    minutes = lit_minutes(lit(*spans), [])
    assert minutes is not None
    assert dark_hours(minutes) == pytest.approx(dark)


def test_dark_time_has_two_lines() -> None:
    def found(hours: float) -> str:
        return state_of(lamps_of(lit((8, hours)), [], TODAY).findings, "dark time")

    assert (found(10.0), found(13.0), found(15.0)) == ("fine", "watch", "act")
    assert state_of(lamps_of(tank(Fixture(use="room")), [], TODAY).findings, "dark time") == "ask"


def test_animal_and_plants_have_circuits_of_their_own() -> None:
    def found(animal: Fixture, plants: Fixture) -> str:
        return state_of(circuits_of(tank(animal, plants), []), "circuits")

    on = time(9)
    assert found(Fixture(use="uvb", circuit="a"), Fixture(use="plants", circuit="b")) == "fine"
    assert found(Fixture(use="uvb", circuit="a"), Fixture(use="plants", circuit="a")) == "watch"
    assert found(Fixture(use="uvb", on=on, hours=8.0), Fixture(use="plants", on=on, hours=9.0)) == "fine"
    assert found(Fixture(use="uvb", on=on, hours=8.0), Fixture(use="plants", on=on, hours=8.0)) == "ask"
    assert circuits_of(tank(Fixture(use="plants")), []) == []


def light(events: list[Event], **more: object) -> PlantLight | Finding:
    lamp = Fixture(use="plants", hours=10.0, **more)  # type: ignore[arg-type]
    return plant_light_of(tank(lamp), events, lamp)


def test_plant_light_takes_the_best_source_there_is() -> None:
    metered = light([read("ppfd", 120.0)], lamp_class="led_white", ppfd=100.0)
    assert isinstance(metered, PlantLight) and metered.ppfd.p50 == 120.0 and "own meter" in metered.origin
    # 120 µmol/m²/s for 10 h are 4.32 mol/m² a day: definition
    assert metered.mol_per_day.p50 == pytest.approx(4.32)
    described = light([], ppfd=100.0)
    assert isinstance(described, PlantLight) and described.ppfd.p50 == 100.0
    # 74 lx per µmol/m²/s under a daylight tube: conversion table of an instrument maker, read
    by_lux = light([read("lux", 7400.0)], lamp_class="t5_daylight")
    assert isinstance(by_lux, PlantLight) and by_lux.ppfd.p50 == pytest.approx(100.0)
    shaped = light([], lamp_class="led_white", watts=48.0, height_cm=20.0, length_cm=60.0, width_cm=30.0)
    assert isinstance(shaped, PlantLight) and shaped.ppfd.p10 is not None and shaped.ppfd.p90 is not None
    assert shaped.ppfd.p10 < 250.0 < shaped.ppfd.p90 and "measure lux" in shaped.origin
    assert isinstance(light([], lamp_class="led_white", watts=48.0), Finding)


def test_light_at_the_ground_and_on_the_panes_is_less_than_at_the_water() -> None:
    found = light([read("ppfd", 120.0)])
    assert isinstance(found, PlantLight)
    assert found.at_ground.p50 is not None and found.on_panes.p50 is not None
    # Beer-Lambert with 2 % reflection over 46 cm at 0.2 and 0.4 per metre
    assert found.at_ground.p10 == pytest.approx(120.0 * 0.98 * np.exp(-0.4 * 0.46), rel=0.005)
    assert found.on_panes.p50 < found.at_ground.p50 < 120.0


def test_a_plant_that_gets_too_little_is_named() -> None:
    def view(ppfd: float) -> Lamps:
        lamp = Fixture(use="plants", hours=10.0, on=time(9), ppfd=ppfd)
        return lamps_of(tank(lamp, plants=(Plant(species="Ceratophyllum demersum"),)), [], TODAY)

    assert state_of(view(12.0).findings, "plant light") == "watch"
    assert state_of(view(120.0).findings, "plant light") == "fine"


@pytest.mark.parametrize(("latitude", "longest", "shortest"), [(40.0, 15.02, 9.33), (51.5, 16.64, 7.83)])
def test_the_day_outdoors_against_an_almanac(latitude: float, longest: float, shortest: float) -> None:
    """Longest and shortest day of 2025 by a published solar position algorithm (NREL SPA)."""
    found = day_outdoors(tank(latitude=latitude), date(2025, 6, 21))
    shown = [float(word) for word in found.sentence.replace("°", " ").replace(";", " ").split() if word[0].isdigit()]
    assert shown[0] == pytest.approx(longest, abs=0.15)
    assert shown[-1] == pytest.approx(longest, abs=0.15) and shown[-2] == pytest.approx(shortest, abs=0.15)


def test_the_day_outdoors_needs_a_latitude_and_is_rough_near_the_pole() -> None:
    assert day_outdoors(tank(), TODAY).state == "ask"
    assert "rough" in day_outdoors(tank(latitude=66.0), TODAY).sentence
    south, north = (day_outdoors(tank(latitude=sign * 35.0), date(2025, 12, 21)).sentence for sign in (-1, 1))
    assert south.startswith("14.") and north.startswith("9.")


def test_no_ultraviolet_lamp_at_all_is_a_question() -> None:
    view = lamps_of(tank(BASKING, turtles_=(MUSK,)), [], TODAY)
    assert state_of(view.findings, "ultraviolet") == "ask"
