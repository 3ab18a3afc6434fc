"""Make the example folder `loft-tank/` and the truth beside it: half a year of one invented keeper.

Run `python examples/make_example.py [directory]`; the same bytes come out every time.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
from daily_tank import Conditions, DailyTank
from keeping import Book, Feed, Hand, Keeper, Routine, Truth, tidy, toml_text

SEED = 20251006
START, DAYS, PLAN_DAYS = date(2025, 10, 6), 182, 56
PLANT = "Ceratophyllum demersum"
PELLETS: tuple[Feed, ...] = (("pellet_adult", 1.5),)
FEEDS: dict[int, tuple[Feed, ...]] = {
    0: PELLETS,
    1: PELLETS,
    2: (("gammarus_dried", 0.5), ("romaine", 7.0)),
    3: PELLETS,
    4: (("earthworm", 2.4),),
    5: PELLETS,
    6: (("dandelion", 8.0),),
}
WINTER = {**FEEDS, 6: (("romaine", 10.0),)}  # no dandelion to pick
TESTS = {
    "nitrate": 0.85,
    "kh": 0.5,
    "phosphate": 0.3,
    "ph": 0.35,
    "ammonia": 0.25,
    "nitrite": 0.25,
    "temp": 0.5,
}
HAND = Hand(
    gram_bias=1.07,
    litre_bias=0.95,
    plant_bias=1.1,
    forget=0.05,
    siphon=0.32,
    threshold=1.9,
    leaves=0.14,
    on_tool=0.2,
    kit_bias={"nitrate": 1.12, "phosphate": 0.9, "ammonia": 1.05, "nitrite": 0.95},
)
FAILED, AWAY, BACK, MENDED = date(2025, 11, 19), date(2025, 12, 20), date(2025, 12, 31), date(2026, 2, 8)
WEIGHED = tuple(
    date.fromisoformat(d) for d in ("2025-10-25", "2025-11-29", "2026-01-10", "2026-02-14", "2026-03-28")
)
BUSY = (3, 6, 15, 21)  # weeks with no time for tests
TANK: dict[str, object] = {
    "format": "lentic-tank-1",
    "name": "Loft tank under the gable",
    "timezone": "Europe/Brussels",
    "country": "BE",
    "tank": {
        "pane": "glass",
        "length_cm": 120.0,
        "width_cm": 50.0,
        "water_depth_cm": 46.0,
        "height_cm": 58.0,
        "pane_mm": 10.0,
        "braced": True,
        "solids_l": 13.0,
        "lid_open_fraction": 0.4,
    },
    "room": {"temperature_c": 19.5, "relative_humidity": 0.5, "window_sun_h": 0.0},
    "source_water": {
        "ph": 7.6,
        "kh_dkh": 9.0,
        "gh_dgh": 13.0,
        "no3_mg_l": 9.0,
        "chlorine_mg_l": 0.1,
        "temperature_c": 13.0,
    },
    "filter": {"type": "canister", "media_l": 5.0, "medium": "foam_20ppi", "flow_l_h": 620.0},
    "heater": {"watts": 200.0, "set_c": 24.5},
    "turtle": [
        {
            "id": "juniper",
            "species": "Graptemys pseudogeographica",
            "sex": "female",
            "mass_g": 545.0,
            "scl_cm": 15.9,
            "hatched": date(2019, 7, 15),
        }
    ],
    "plant": [{"species": PLANT, "wet_g": 800.0}],
    "lamp": [
        {
            "use": "plants",
            "class": "led_white",
            "watts": 48.0,
            "height_cm": 18.0,
            "ppfd": 110.0,
            "hours": 9.0,
            "on": "10:00",
        },
        {
            "use": "basking",
            "class": "halogen_flood",
            "watts": 60.0,
            "height_cm": 30.0,
            "hours": 10.0,
            "on": "09:00",
        },
        {
            "use": "uvb",
            "class": "t5_uvb_6",
            "watts": 24.0,
            "height_cm": 32.0,
            "hours": 8.0,
            "on": "10:00",
            "fitted": date(2025, 8, 30),
        },
    ],
}
STORY = """# Loft tank under the gable

Everything in this folder is invented: the keeper, the house, the turtle Juniper and every number. No real
tank was logged. `log.csv` was written by `examples/make_example.py`; what was really so in that small world
stands in `examples/truth.json`, for tests and for the curious.

1. Juniper, a female false map turtle of half a kilo, lives under a gable in Ghent in some 260 litres, with a
   big clump of hornwort that is thinned on most Sundays and holds nitrate near 10 and the panes clean for two
   weeks.
2. In November one of the two drivers of the plant lamp dies unnoticed, and under the half that still shines
   the hornwort starves, browns and falls apart, the worst of it over the holidays while a sitter feeds.
3. By January nitrate reads 40, and the panes have to be scraped every four or five days.
4. First a bag of carbon goes into the filter and nothing comes of it; on 8 February the dead half of the lamp
   is found, a new lamp is hung and a bucketful of fresh hornwort put in.
5. By April the panes stay clean for two weeks again and nitrate reads 20, better but not yet October,
   and `plan.csv` says how the keeper means to go on for eight weeks.
"""


def make_tank(rng: np.random.Generator) -> DailyTank:
    """Build the tank as it really is on the first morning: not quite what the keeper believes."""
    conditions = Conditions(
        water_l=254.0,
        surface_m2=0.60,
        pane_m2=1.15,
        other_m2=1.5,
        ppfd=101.0,
        hours=9.0,
        set_c=24.6,
        tap_no3=7.0,
        tap_po4=0.15,
        tap_kh=9.3,
        evaporation_mm=1.8,
        bite_g=0.12,
    )
    return DailyTank(conditions, rng, plant_wet=735.0, nitrate=6.0)


def season(day: date, keeper: Keeper) -> None:
    """Move room and tap with the year."""
    angle = 2.0 * np.pi * (day.timetuple().tm_yday - 28) / 365.0
    c = keeper.tank.c
    c.room_c = 20.5 - 2.0 * np.cos(angle) + 0.4 * keeper.rng.normal()
    c.tap_no3 = 8.0 + 2.0 * np.cos(angle)


def dead_plants(keeper: Keeper, wet: float, note: str) -> None:
    """Take out what has died and write down what the kitchen scale says."""
    keeper.at(17, 20)
    found = keeper.tank.take_dead(wet)
    if found > 5.0:
        grams = tidy(round(found * keeper.hand.plant_bias / 5.0) * 5.0)
        keeper.write("lost_plant", PLANT, grams, "g", note, sure=True)


def feed_sum(keeper: Keeper, food: str, grams: float, note: str) -> None:
    """Write one line for what the sitter fed."""
    keeper.at(10, 30)
    keeper.write("feed", food, tidy(grams), "g", note, sure=True)


def note(keeper: Keeper, hour: int, kind: str, what: str, amount: str, unit: str, words: str) -> None:
    """Write one line that is not forgotten."""
    keeper.at(hour)
    keeper.write(kind, what, amount, unit, words, sure=True)


def before(day: date, keeper: Keeper) -> None:
    """Let happen what happens on this day before anything else."""
    c, routine = keeper.tank.c, keeper.routine
    if day == date(2025, 11, 10):
        keeper.routine = replace(routine, feeds=WINTER)
    elif day == FAILED:
        c.lamp = 0.45
    elif day == AWAY:
        keeper.away = True
    elif day == BACK:
        keeper.away = False
    elif day == date(2026, 1, 2):
        keeper.routine = replace(routine, keep_wet=None, look=0.55)
    elif day == MENDED:
        c.lamp = 1.02
        keeper.tank.add_plant(910.0)
    elif day == date(2026, 3, 15):
        keeper.routine = replace(routine, feeds=FEEDS, keep_wet=880.0, look=0.4)
    if keeper.away and day.toordinal() % 3 == 0:
        keeper.tank.feed("pellet_adult", 1.7)


def after(day: date, keeper: Keeper) -> None:
    """Write what stands out on this day."""
    if day == date(2025, 10, 8):
        keeper.at(19, 50)
        keeper.read("tap_nitrate", "kitchen tap")
        keeper.read("tap_kh")
    elif day in (date(2025, 11, 8), date(2026, 1, 24), date(2026, 3, 22)):
        keeper.at(19, 40)
        keeper.read("flow", "jug at the outlet")
    elif day in WEIGHED:
        mass = 545.0 + 0.14 * (day - START).days + 3.0 * keeper.rng.normal()
        note(keeper, 11, "weigh", "juniper", f"{mass:.0f}", "g", "")
    elif day == date(2025, 11, 13):
        note(keeper, 8, "leftovers", "romaine", "3", "g", "not interested, basked all day")
    elif day == date(2025, 12, 7):
        note(keeper, 19, "look", "plants", "1", "grade", "no new tips this week, nothing to thin")
    elif day == BACK:
        feed_sum(keeper, "pellet_adult", 6.0, "sum: Lotte fed from the four little bags, all eaten she says")
        keeper.top_up()
        note(keeper, 17, "look", "plants", "2", "grade", "brown underneath, needles all over the floor")
    elif day == date(2026, 1, 17):
        words = "tank water; hung a bag of carbon behind the floss against the green"
        note(keeper, 19, "rinse", "floss", "", "", words)
        keeper.tank.rinse(0.3)
    elif day == date(2026, 1, 31):
        words = "two weeks of carbon, no difference, bag out again"
        note(keeper, 20, "look", "panes", str(keeper.grade()), "grade", words)
    elif day == MENDED:
        words = "one driver was dead, half the strip dark, no idea since when; new lamp, same size"
        note(keeper, 19, "lamp", "plants", "9", "h", words)
        note(keeper, 19, "plant", PLANT, "1000", "g", "a bucketful from the club pond, rinsed three times")
    elif day == date(2026, 2, 22):
        note(keeper, 19, "look", "plants", "1", "grade", "new green tips, a few needles dropped")
    elif day == date(2026, 2, 26):
        note(keeper, 8, "feed", "shrimp_raw", "3", "g", "birthday shrimp")
        keeper.tank.feed("shrimp_raw", 3.2)


LOSSES = {
    date(2025, 12, 12): (140.0, "loose brown pieces at the inlet, must be the new outlet angle"),
    date(2026, 1, 3): (260.0, "slimy stems from the bottom of the clump"),
    date(2026, 1, 11): (120.0, "more of it gone soft"),
    date(2026, 1, 19): (90.0, "mush"),
    date(2026, 1, 30): (60.0, "netted out"),
}


def live(keeper: Keeper) -> None:
    """Live the half year."""
    for number in range(DAYS):
        day = START + timedelta(days=number)
        season(day, keeper)
        before(day, keeper)
        keeper.busy = number // 7 in BUSY
        keeper.day(day)
        if day in LOSSES:
            dead_plants(keeper, *LOSSES[day])
        after(day, keeper)


def plan_book(rng: np.random.Generator) -> Book:
    """Write how the keeper means to go on."""
    book = Book(rng, 0.0)
    for number in range(PLAN_DAYS):
        day = datetime.combine(START + timedelta(days=DAYS + number), datetime.min.time())
        for i, (food, grams) in enumerate(FEEDS[day.weekday()]):
            book.write(day + timedelta(hours=8, minutes=5 + 4 * i), "feed", food, tidy(grams), "g")
        if day.weekday() == 6:
            evening = day + timedelta(hours=18)
            book.write(evening + timedelta(minutes=20), "siphon", "", "0.4", "fraction")
            book.write(evening + timedelta(minutes=30), "change", "", "50", "L")
    return book


def live_plan(keeper: Keeper, plan: Book) -> Truth:
    """Do what the plan says, and return what would really come of it."""
    keeper.truth = Truth(keeper.tank)
    keeper.start, hand, tank = START + timedelta(days=DAYS), keeper.hand, keeper.tank
    keeper.routine = replace(keeper.routine, feeds={}, chore_day=-1)
    by_day: dict[date, list[tuple[str, str, float]]] = {}
    for when, kind, what, amount, *_ in plan.lines:
        by_day.setdefault(when.date(), []).append((kind, what, float(amount)))
    for number in range(PLAN_DAYS):
        day = keeper.start + timedelta(days=number)
        season(day, keeper)
        doings = by_day.get(day, [])
        for kind, what, much in doings:
            if kind == "feed":
                tank.feed(what, much * hand.gram_bias)
        keeper.day(day)
        for kind, _what, much in doings:
            if kind == "siphon":
                tank.siphon(hand.siphon)
            elif kind == "change":
                tank.change(much * hand.litre_bias)
                if tank.plant / 0.08 > 1.12 * 880.0:
                    tank.thin(tank.plant / 0.08 - 880.0)
    return keeper.truth


def main(place: Path) -> None:
    """Write the folder and the truth."""
    rng = np.random.default_rng(SEED)
    routine = Routine(
        feeds=FEEDS,
        change_l=50.0,
        siphon=0.4,
        plant=PLANT,
        keep_wet=720.0,
        rinse_weeks=6,
        look=0.4,
        tests=TESTS,
        notes=0.25,
        top_up_days=4.5,
    )
    keeper = Keeper(make_tank(rng), HAND, routine, rng, START)
    keeper.clean_flow = 610.0
    live(keeper)
    past, log = keeper.truth, keeper.book.text()
    plan = plan_book(rng)
    future = live_plan(keeper, plan)
    folder = place / "loft-tank"
    folder.mkdir(parents=True, exist_ok=True)
    tank = toml_text(TANK, "Invented, like everything in this folder.")
    (folder / "tank.toml").write_text(tank, encoding="utf-8")
    (folder / "log.csv").write_text(log, encoding="utf-8")
    (folder / "plan.csv").write_text(plan.text(), encoding="utf-8")
    (folder / "README.md").write_text(STORY, encoding="utf-8")
    truth = {
        "note": "what was really so: noon values in the log's units, plant in wet grams, panes in g dry/m2",
        "seed": SEED,
        "lamp_failed": FAILED.isoformat(),
        "mended": MENDED.isoformat(),
        "keeper": {
            "gram_bias": HAND.gram_bias,
            "litre_bias": HAND.litre_bias,
            "true_litres": 254.0,
            "kit_bias": HAND.kit_bias,
            "scrape_threshold_g_m2": HAND.threshold,
        },
        "past": past.as_dict(),
        "future": future.as_dict(),
    }
    (place / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
