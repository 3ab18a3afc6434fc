"""Make a bank of small invented tanks, each with exactly one known cause of algae, or with none.

Run `python examples/make_bank.py DIRECTORY`. Every tank is a folder `T01`, `T02`, ... with tank.toml, log.csv
(fourteen weeks) and cause.json (what was done, since when, and whether the keeper wrote it down). About the
ninth week the cause begins: it acts through the equations of `daily_tank` and leaves the traces that such a
keeper would leave, sometimes a line, sometimes only readings. A draw is kept if its panes were scraped every
5 to 19 days before, and clearly oftener after the onset (for `none`: about as often). `CHOSEN` holds such
draws; `--search` looks for them again after a change of the generator.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from bank_causes import CAUSES, FIRST_DAY, SUITS, BankKeeper
from daily_tank import Conditions, DailyTank
from keeping import Feed, Hand, Keeper, Routine, Truth, toml_text

SEED, VARIANTS, DAYS, BURN_IN = 77120, 4, 98, 98
TURTLES = (  # species, g, g of pellet a day, eats greens
    ("Sternotherus odoratus", 230.0, 0.6, False),
    ("Kinosternon baurii", 280.0, 0.7, False),
    ("Mauremys reevesii", 480.0, 1.0, True),
    ("Graptemys pseudogeographica", 620.0, 1.3, True),
    ("Chrysemys picta", 540.0, 1.2, True),
    ("Emys orbicularis", 600.0, 1.2, False),
)
PLANTS = ("Ceratophyllum demersum", "Egeria densa", "Hygrophila difformis", "Elodea canadensis")
PLACES = (
    ("Europe/Madrid", "ES"),
    ("Europe/Vienna", "AT"),
    ("America/Chicago", "US"),
    ("Europe/Helsinki", "FI"),
)
NAMES = (
    "Kitchen end",
    "Long wall",
    "Under the stairs",
    "Blue shelf",
    "Hall",
    "Study",
    "East room",
    "Old cabinet",
)
TESTS = {
    "nitrate": 0.9,
    "kh": 0.45,
    "phosphate": 0.45,
    "ph": 0.45,
    "ammonia": 0.5,
    "nitrite": 0.4,
    "temp": 0.55,
    "flow": 0.3,
    "tap_nitrate": 0.15,
    "tap_phosphate": 0.15,
    "tap_kh": 0.1,
}

OFTENER = {"dirt": {"flow": 0.6}, "tap": {"tap_nitrate": 0.35, "tap_phosphate": 0.3}}
CHOSEN: dict[str, tuple[int, ...]] = {  # draws that show their cause, found with --search
    "light": (6, 27, 23, 22),
    "sun": (0, 1, 5, 5),
    "load": (5, 4, 0, 8),
    "plants": (0, 2, 3, 4),
    "overplanted": (2, 2, 1, 0),
    "carbon": (5, 18, 8, 4),
    "dirt": (0, 5, 7, 6),
    "filter": (12, 6, 4, 0),
    "tap": (2, 2, 2, 9),
    "changes": (3, 1, 17, 4),
    "dead": (0, 1, 1, 2),
    "warmth": (0, 1, 1, 1),
    "disturbance": (0, 0, 0, 5),
    "none": (8, 4, 14, 1),
}


@dataclass(frozen=True, kw_only=True)
class Draw:
    """One drawn tank: what it really is and what its keeper believes."""

    conditions: Conditions
    routine: Routine
    hand: Hand
    plant_wet: float
    flow: float
    species: str
    mass: float
    toml: dict[str, object]


def draw(cause: str, v: int, rng: np.random.Generator) -> Draw:
    """Draw a tank in which this cause could show."""
    suit = SUITS.get(cause, {})
    species, mass, pellet, greens = TURTLES[int(rng.integers(len(TURTLES)))]
    depth = float(rng.integers(38, 52))
    litres = pellet * rng.uniform(230.0, 380.0)
    surface = litres / 10.0 / depth
    width = float(round(np.sqrt(surface * 1e4 / 2.3)))
    length = float(round(surface * 1e4 / width))
    ppfd = rng.uniform(80.0, 120.0) * suit.get("ppfd", 1.0)
    plant_wet = litres * rng.uniform(1.8, 2.6) * suit.get("plants", 1.0)
    conditions = Conditions(
        water_l=litres,
        surface_m2=surface,
        pane_m2=2.0 * (length + width) * depth / 1e4 * 0.75,
        other_m2=1.6 * surface,
        ppfd=ppfd,
        hours=float(rng.integers(7, 10)),
        set_c=float(rng.uniform(23.5, 25.5)),
        side=0.25,
        room_light=float(rng.uniform(0.1, 0.25)),
        tap_no3=float(rng.uniform(3.0, 9.0)),
        tap_po4=float(rng.uniform(0.05, 0.2)),
        tap_kh=float(rng.uniform(4.0, 11.0)),
        bite_g=0.0003 * mass,
        algae_rate=float(rng.uniform(1.0, 2.0)) * suit.get("rate", 1.0),
        algae_fresh=1.2,
        film_floor=4.0,
        dust=suit.get("dust", 0.1),
        dirt_half=suit.get("dirt_half", 6.0) * litres,
        film_pace=suit.get("film_pace", 1.0),
        plant_light=suit.get("plant_light", float(rng.uniform(1.3, 1.9))) if cause != "overplanted" else 2.0,
        algae_light=suit.get("algae_light", 0.7),
        algae_n=suit.get("algae_n", 0.3),
        algae_p=suit.get("algae_p", 0.02),
        algae_warm=suit.get("algae_warm", 10.0),
    )
    hand = Hand(
        gram_bias=float(np.exp(0.08 * rng.normal())),
        litre_bias=float(np.exp(0.06 * rng.normal())),
        plant_bias=float(np.exp(0.1 * rng.normal())),
        forget=float(rng.uniform(0.02, 0.06)),
        siphon=float(rng.uniform(0.25, 0.45)),
        threshold=float(np.exp(np.log(2.0) + 0.25 * rng.normal())),
        leaves=float(rng.uniform(0.1, 0.2)),
        kit_bias={
            k: float(np.exp(0.12 * rng.normal())) for k in ("nitrate", "nitrite", "ammonia", "phosphate")
        },
    )
    share = rng.uniform(0.2, 0.32) * suit.get("change", 1.0)
    routine = Routine(
        feeds=_feeds(pellet, greens),
        change_l=float(max(round(share * litres / 5.0) * 5.0, 10.0)),
        chore_day=int(rng.integers(5, 7)),
        plant=PLANTS[int(rng.integers(len(PLANTS)))],
        keep_wet=plant_wet,
        rinse_weeks=4,
        look=0.6,
        tests={**TESTS, **OFTENER.get(cause, {})},
        notes=0.2,
    )
    flow = float(round(2.6 * litres / 10.0) * 10.0)
    believed = {
        "litres": litres / hand.litre_bias,
        "length": length,
        "width": width,
        "depth": depth,
        "mass": mass,
    }
    toml = _toml(cause, v, species, conditions, routine, believed, flow, rng)
    return Draw(
        conditions=conditions,
        routine=routine,
        hand=hand,
        plant_wet=plant_wet,
        flow=flow,
        species=species,
        mass=mass,
        toml=toml,
    )


def _feeds(pellet: float, greens: bool) -> dict[int, tuple[Feed, ...]]:
    fed: tuple[Feed, ...] = (("pellet_adult", pellet),)
    leaf: Feed = ("romaine", 6.0 * pellet) if greens else ("mealworm", 0.8 * pellet)
    return {
        0: fed,
        1: fed,
        2: (leaf,),
        3: fed,
        4: (("earthworm", 2.0 * pellet),),
        5: fed,
        6: (("gammarus_dried", 0.3),),
    }


def _toml(
    cause: str,
    v: int,
    species: str,
    c: Conditions,
    r: Routine,
    b: dict[str, float],
    flow: float,
    rng: np.random.Generator,
) -> dict[str, object]:
    zone, country = PLACES[int(rng.integers(len(PLACES)))]
    tank = {
        "pane": "glass",
        "length_cm": b["length"],
        "width_cm": b["width"],
        "water_depth_cm": b["depth"],
        "height_cm": b["depth"] + 10.0,
        "water_l": float(round(b["litres"] / 5.0) * 5.0),
        "lid_open_fraction": 0.4,
    }
    sunny = {"window_sun_h": 2.5 if cause == "sun" and v != 1 else 0.0}
    tap_said = {
        k: float(f"{x * np.exp(0.1 * rng.normal()):.2g}")
        for k, x in (("kh_dkh", c.tap_kh), ("no3_mg_l", c.tap_no3), ("po4_mg_l", c.tap_po4))
    }
    turtle = {
        "id": "t1",
        "species": species,
        "sex": "female",
        "mass_g": b["mass"],
        "scl_cm": float(round((b["mass"] / 0.14) ** (1.0 / 3.0), 1)),
    }
    lamp = {
        "use": "plants",
        "class": "led_white",
        "watts": float(round(c.ppfd * c.surface_m2 * 0.9)),
        "height_cm": 20.0,
        "ppfd": float(round(c.ppfd / 5.0) * 5.0),
        "hours": c.hours,
        "on": "09:00",
    }
    basking = {"use": "basking", "class": "halogen_flood", "watts": 50.0, "height_cm": 28.0, "hours": 9.0}
    return {
        "format": "lentic-tank-1",
        "name": NAMES[int(rng.integers(len(NAMES)))],
        "timezone": zone,
        "country": country,
        "tank": tank,
        "room": {"temperature_c": 20.5, **sunny},
        "source_water": tap_said,
        "filter": {
            "type": "canister",
            "media_l": float(max(round(b["litres"] / 60.0), 2)),
            "medium": ("foam_20ppi", "foam_30ppi", "ceramic_rings")[int(rng.integers(3))],
            "flow_l_h": flow,
        },
        "heater": {"watts": 150.0, "set_c": float(round(c.set_c * 2.0) / 2.0)},
        "turtle": [turtle],
        "plant": [{"species": r.plant, "wet_g": float(round(r.keep_wet or 0.0, -1))}],
        "lamp": [lamp, basking],
    }


def growth(truth: Truth, first: int, last: int) -> float:
    """Mean growth of the pane algae between two days, 1/d, days of scraping left out."""
    steps = np.diff(np.log(np.array(truth.series["algae_panes"][first:last])))
    return float(np.mean(steps[steps > -0.3])) if steps.size else 0.0


def scrapes(keeper: Keeper, first: date, last: date) -> int:
    """Scrapings written down in a span of days, the last day left out."""
    return sum(line[1] == "scrape" and first <= line[0].date() < last for line in keeper.book.lines)


def live(cause: str, v: int, rng: np.random.Generator) -> tuple[Keeper, Draw, dict[str, object]] | None:
    """Live one drawn tank through; None if it shows nothing that a keeper would see."""
    made = draw(cause, v, rng)
    start = FIRST_DAY.get(cause, date(2026, 1, 5) + timedelta(weeks=int(rng.integers(0, 30))))
    onset = int(rng.integers(53, 61)) if cause != "dirt" else int(rng.integers(36, 44))
    tank = DailyTank(made.conditions, rng, plant_wet=made.plant_wet, nitrate=10.0)
    keeper = BankKeeper(tank, made.hand, made.routine, rng, start - timedelta(days=BURN_IN))
    keeper.clean_flow, keeper.species, keeper.mass = made.flow, made.species, made.mass
    for number in range(BURN_IN):
        keeper.day(keeper.start + timedelta(days=number))
    keeper.begin_log(start)
    words = ""
    for number in range(DAYS):
        day = start + timedelta(days=number)
        keeper.busy = number // 7 in (4, 10)
        keeper.day(day)
        if number == onset:
            if not 3 <= scrapes(keeper, start, day) * 56.0 / onset <= 11:
                return None
            words = CAUSES[cause](keeper, v)
        elif number > onset:
            keeper.aftermath(cause, v, number - onset)
    return keeper, made, _verdict(cause, v, words, keeper, start, onset)


def _verdict(cause: str, v: int, words: str, keeper: Keeper, start: date, onset: int) -> dict[str, object]:
    wait = 4 if cause != "dirt" else 18
    since, shown, end = (start + timedelta(days=d) for d in (onset, onset + wait, DAYS))
    oftener = (scrapes(keeper, shown, end) / (DAYS - onset - wait)) / (scrapes(keeper, start, since) / onset)
    faster = growth(keeper.truth, onset + wait, DAYS) / growth(keeper.truth, 0, onset)
    return {
        "cause": cause,
        "variant": v,
        "what": words,
        "since": since.isoformat(),
        "shows_from": shown.isoformat(),
        "scrapings_after_over_before": round(oftener, 2),
        "growth_after_over_before": round(faster, 2),
    }


def kept(cause: str, verdict: dict[str, object]) -> bool:
    """Say whether the keeper could have seen it (or, for none, whether nothing was to be seen)."""
    oftener, faster = (
        float(str(verdict["scrapings_after_over_before"])),
        float(str(verdict["growth_after_over_before"])),
    )
    if cause == "none":
        return 0.75 <= oftener <= 1.3 and 0.88 <= faster <= 1.12
    return oftener >= 1.4 and faster >= 1.15


def search() -> dict[str, tuple[int, ...]]:
    """Find, for every cause and variant, the first draw that shows it."""
    found: dict[str, tuple[int, ...]] = {}
    for index, cause in enumerate(CAUSES):
        found[cause] = tuple(next(_shown(index, cause, v), -1) for v in range(VARIANTS))
    return found


def _shown(index: int, cause: str, v: int) -> Iterator[int]:
    for attempt in range(300):
        lived = live(cause, v, np.random.default_rng([SEED, index, v, attempt]))
        if lived is not None and kept(cause, lived[2]):
            yield attempt


def main(place: Path) -> None:
    """Write the whole bank."""
    number = 0
    for index, cause in enumerate(CAUSES):
        for v, attempt in enumerate(CHOSEN[cause]):
            number += 1
            lived = live(cause, v, np.random.default_rng([SEED, index, v, attempt]))
            if lived is None or not kept(cause, lived[2]):
                raise RuntimeError(f"draw {attempt} no longer shows {cause}, variant {v}: run with --search")
            keeper, made, verdict = lived
            folder = place / f"T{number:02d}"
            folder.mkdir(parents=True, exist_ok=True)
            (folder / "tank.toml").write_text(toml_text(made.toml), encoding="utf-8")
            (folder / "log.csv").write_text(keeper.book.text(), encoding="utf-8")
            answer = {**verdict, "draw": attempt, "truth": keeper.truth.as_dict()}
            (folder / "cause.json").write_text(json.dumps(answer, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit("say where: python examples/make_bank.py DIRECTORY (or --search for new draws)")
    if sys.argv[1] == "--search":
        print(search())
    else:
        main(Path(sys.argv[1]))
