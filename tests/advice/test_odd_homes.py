"""Any description that can be read, with any log, gets an answer in text and JSON from all three checks."""

from __future__ import annotations

import json
import random
from datetime import UTC, date, datetime, timedelta
from typing import TypeVar

import pytest

from lentic.advice.animal import Animals, animal_of
from lentic.advice.home import home_of
from lentic.advice.lamps import lamps_of
from lentic.catalogue import lamps, turtles
from lentic.cli.show_animal import animal_lines, vet_lines
from lentic.cli.show_home import home_lines
from lentic.cli.show_lamps import lamps_lines
from lentic.keeper.as_json import plain
from lentic.logbook.events import AnimalIn, Event, Lamp, Look, Measure, Reading, Rest, Sign, Wake, Weigh
from lentic.logbook.tank import SHAPES, Fixture, Glass, Home, Room, Tank, Turtle

T = TypeVar("T")
BEGIN = datetime(2025, 1, 1, tzinfo=UTC)
QUANTITIES = ("uvi", "lux", "ppfd", "surface_temperature", "room_temperature")
NOTES = ("x", "bubbles at the nose", "not eating", "digging", "soft shell", "new bulb")


class Odd:
    """Draws measures at and beyond the edge of sense, and leaves three in ten away."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)

    def maybe(self, *choices: T) -> T | None:
        return self.draw.choice(choices) if self.draw.random() < 0.7 else None

    def turtle(self) -> Turtle:
        return Turtle(
            id="a", species=self.maybe(*turtles(), "slider", "nonsense"), sex=self.maybe("female", "male", "unknown"),
            mass_g=self.maybe(1.0, 30.0, 500.0, 9000.0), scl_cm=self.maybe(1.0, 5.0, 16.0, 40.0, 200.0),
            hatched=self.maybe(date(1990, 1, 1), date(2024, 1, 1), date(2027, 1, 1)),
        )  # fmt: skip

    def glass(self) -> Glass:
        return Glass(
            pane=self.maybe("glass", "acrylic"), length_cm=self.maybe(1.0, 30.0, 120.0, 2000.0),
            width_cm=self.maybe(1.0, 50.0, 2000.0), water_depth_cm=self.maybe(1.0, 5.0, 46.0, 300.0),
            height_cm=self.maybe(1.0, 58.0, 400.0), pane_mm=self.maybe(1.0, 10.0, 200.0),
            braced=self.maybe(True, False), solids_l=self.maybe(0.0, 13.0, 1e5), water_l=self.maybe(0.5, 260.0),
            lid_open_fraction=self.maybe(0.0, 0.4), shape=self.maybe(*SHAPES), bow_cm=self.maybe(20.0),
            bottom_length_cm=self.maybe(30.0), bottom_width_cm=self.maybe(30.0),
        )  # fmt: skip

    def fixture(self) -> Fixture:
        return Fixture(
            use=self.draw.choice(("plants", "basking", "uvb", "basking_uvb", "room")),
            lamp_class=self.maybe(*lamps(), "odd"), watts=self.maybe(0.0, 50.0), height_cm=self.maybe(0.0, 30.0, 500.0),
            hours=self.maybe(0.0, 8.0, 24.0), fitted=self.maybe(date(2020, 1, 1), date(2027, 1, 1)),
            through=self.maybe("mesh", "glass", "nothing"), mesh_wire_mm=self.maybe(0.05, 20.0),
            length_cm=self.maybe(60.0), mesh_pitch_mm=self.maybe(0.1, 100.0), width_cm=self.maybe(30.0),
            shell_cm=self.maybe(0.0, 27.0),
        )  # fmt: skip

    def tank(self) -> Tank:
        home = Home(
            gap_cm=self.maybe(0.0, 5.0, 50.0), grain_mm=self.maybe(0.0, 0.5, 30.0), storey=self.maybe(-1, 0, 4),
            rim_above_foothold_cm=self.maybe(0.0, 500.0), platform_carries_g=self.maybe(0.0, 2000.0),
            seams_made=self.maybe(date(2030, 1, 1)), ramp_deg=self.maybe(0.0, 90.0), stand_kg=self.maybe(0.0),
        )  # fmt: skip
        return Tank(
            name="Odd", timezone="Europe/Oslo", latitude=self.maybe(-90.0, 0.0, 90.0),
            as_of=self.maybe(date(2025, 1, 1)), glass=self.glass(), home=home, turtles=(self.turtle(),),
            room=Room(temperature_c=self.maybe(-40.0, 60.0)),
            lamps=tuple(self.fixture() for _ in range(self.draw.randrange(4))),
        )  # fmt: skip

    def event(self) -> Event:
        at = BEGIN + timedelta(days=self.draw.uniform(0.0, 500.0))
        pick = self.draw.choice
        return pick((
            Weigh(time=at, animal="a", grams=pick((1.0, 50.0, 5000.0, 200000.0))),
            Measure(time=at, animal="a", centimetres=pick((1.0, 10.0, 60.0, 200.0))),
            Sign(time=at, animal="a", note=pick(NOTES)), Rest(time=at, animal="a", celsius=self.maybe(-5.0, 6.0, 30.0)),
            Wake(time=at, animal="a"), AnimalIn(time=at, what="fish", count=3), Look(time=at, where="shell", grade=4.0),
            Reading(time=at, quantity=pick(QUANTITIES), value=pick((0.0, 0.1, 5.0, 50.0)), unit=""),
            Lamp(time=at, use="uvb", hours=pick((0.0, 24.0)), note=pick(NOTES)),
        ))  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_every_readable_home_gets_its_answers(seed: int) -> None:
    odd = Odd(seed)
    tank = odd.tank()
    events = sorted((odd.event() for _ in range(odd.draw.randrange(25))), key=lambda event: event.time)
    now = BEGIN + timedelta(days=odd.draw.choice((0, 100, 500, 1000)))
    day = tank.local_date(now)
    animals = Animals(tank=tank.name, day=day, animals=(animal_of(tank, events, tank.turtles[0], day),))
    light, home = lamps_of(tank, events, day), home_of(tank, events, now, move=day, reseal=day)
    for view in (animals, light, home):
        json.dumps(plain(view), allow_nan=False)
    texts = [*animal_lines(animals, winter=True), *vet_lines(animals), *lamps_lines(light), *home_lines(home)]
    assert not any("nan" in line.split() or "None" in line or "inf " in line for line in texts)
