"""What an event does: each amount lands where it should, and every gram that comes or goes stands in the books."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import array_kernel
from lentic.model import jumps
from lentic.model.components import ALGAE, BACTERIA
from lentic.model.jumps import ACCOUNT_ROWS, FLOWS, KEEPER_ROWS, Meal, Operator
from lentic.model.processes import build_table

KERNEL = array_kernel(build_table(2))
PELLET = Meal(cod=1.4, c=0.45, n=0.064, p=0.012)
NUMBERS = {
    "true_gram": 0.9, "appetite": 1.1, "true_litre": 1.05, "plant_gram": 1.2, "uneaten": 0.05,
    "nitrogen_factor": 1.1, "phosphorus_factor": 0.8, "fish_share": 0.2, "siphon_share": 0.4, "rinse_share": 0.8,
    "scrape_leaves": 0.1, "scrape_kept": 0.15, "scrape_threshold": 2.5, "full_volume": 0.28, "tap_nitrate": 1.5,
    "tap_phosphate": 0.05, "tap_alkalinity": 2.0, "tap_carbon": 24.5, "tap_ammonium": 0.02, "new_plant_n": 0.032,
    "new_plant_p": 0.0045, "died_per_found": 2.0,
}  # fmt: skip


@pytest.fixture
def tank() -> Ensemble:
    """Three versions of a tank, the second with twice, the third with half of everything in the water."""
    own = ("in_algae", "ip_algae", "in_bacteria", "ip_bacteria", "pane_area", "days_to_scrape", "clock")
    rows = dict.fromkeys((*KEEPER_ROWS, *ACCOUNT_ROWS, *own, "dry_1", "dry_2", "clump_1", "clump_2"))
    e = Ensemble(KERNEL, 3, [name for name in rows if name not in KERNEL.layout.rows])
    e.set_all({c.name: [0.5, 1.0, 0.25] for c in KERNEL.layout.table.components})
    e.set_all(NUMBERS)
    e.set_all({"volume": 0.27, "temperature": 25.0, "plant_1": 20.0, "plant_n_1": 0.6, "plant_p_1": 0.08})
    e.set_all({"in_algae": ALGAE["N"], "ip_algae": ALGAE["P"], "in_bacteria": BACTERIA["N"]})
    e.set_all({"ip_bacteria": BACTERIA["P"], "pane_area": 1.1, "dry_1": 0.08, "dry_2": 0.08})
    e.set_all({"clump_1": 250.0, "clump_2": 50.0, "days_to_scrape": -1.0, "litter_labile_share": 0.6})
    return e


def held(e: Ensemble, element: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Nitrogen or phosphorus of each version by composition."""
    parts = [c.composition.get(element, 0.0) * e[c.name] for c in KERNEL.layout.table.components]
    return np.asarray(sum(parts))


ACTS: dict[str, Callable[[], Operator]] = {
    "feed": lambda: jumps.feed(1.3, PELLET, to_fish=False),
    "feed_fish": lambda: jumps.feed(0.2, PELLET, to_fish=True),
    "change_litres": lambda: jumps.change(80.0, None),
    "change_share": lambda: jumps.change(None, 0.3, 0.2),
    "top_up": lambda: jumps.top_up(demineralised=False),
    "top_up_pure": lambda: jumps.top_up(demineralised=True),
    "siphon": lambda: jumps.siphon(None),
    "siphon_given": lambda: jumps.siphon(0.7),
    "scrape": lambda: jumps.scrape_where(),
    "thin": lambda: jumps.thin(1, 60.0),
    "thin_back": lambda: jumps.thin_back(1, 60.0),
    "die_back": lambda: jumps.die_back(1, 30.0),
    "plant": lambda: jumps.plant(2, 50.0),
    "rinse_floss": lambda: jumps.rinse("floss", in_tap_water=False),
    "rinse_all": lambda: jumps.rinse("all", in_tap_water=True),
    "bicarbonate": lambda: jumps.bicarbonate(4.0),
    "leftovers": lambda: jumps.leftovers(0.2, PELLET),
}


@pytest.mark.parametrize("act", ACTS)
def test_the_books_hold_what_the_tank_gained_or_lost(tank: Ensemble, act: str) -> None:
    """Conservation: in minus out in the accounts is the change of what the tank holds; nothing turns negative."""
    before = {element: held(tank, element) for element in ("N", "P")}
    books = {name: tank[name].copy() for name in ACCOUNT_ROWS}
    ACTS[act]()(tank)
    into = ("food", "tap", "planted")
    for element in ("N", "P"):
        names = {f: f"{f}_{element.lower()}" for f in FLOWS}
        booked = sum((1 if f in into else -1) * (tank[name] - books[name]) for f, name in names.items())
        np.testing.assert_allclose(held(tank, element) - before[element], booked, rtol=1e-9, atol=1e-12)
    for component in KERNEL.layout.table.components:
        assert (tank[component.name] >= 0.0).all(), component.name


def test_no_account_is_a_number_of_the_keeper() -> None:
    """One row cannot be both: opening the books would set the keeper's number to zero."""
    assert not set(KEEPER_ROWS) & set(ACCOUNT_ROWS)


def test_a_meal_is_shared_between_guts_and_dirt(tank: Ensemble) -> None:
    """By hand: 1 g logged is 0.9 x 1.1 g; 5 % lie uneaten, a fifth of the rest goes to the fish."""
    before = {n: tank[n].copy() for n in ("turtle_gut_cod", "fish_gut_cod", "labile_cod")}
    jumps.feed(1.0, PELLET, to_fish=False)(tank)
    for name, share in (("turtle_gut_cod", 0.95 * 0.8), ("fish_gut_cod", 0.95 * 0.2), ("labile_cod", 0.05)):
        np.testing.assert_allclose(tank[name] - before[name], 0.9 * 1.1 * 1.4 * share)


def test_a_change_thins_and_fills_to_the_mark(tank: Ensemble) -> None:
    """By hand: 81 of 270 L out, 91 L of tap in; dirt stays."""
    before, dirt = tank["nitrate"].copy(), tank["labile_n"].copy()
    jumps.change(None, 0.3)(tank)
    np.testing.assert_allclose(tank["nitrate"], 0.7 * before + 0.091 * 1.5)
    np.testing.assert_allclose(tank["volume"], 0.28)
    np.testing.assert_array_equal(tank["labile_n"], dirt)


@pytest.mark.parametrize(
    ("extent", "tap", "dirt", "film"),
    [("floss", False, 0.28, 0.05), ("half", False, 0.4, 0.08), ("all", False, 0.8, 0.15), ("half", True, 0.4, 0.4)],
)
def test_a_rinse_takes_dirt_and_some_of_the_film(
    tank: Ensemble, extent: str, tap: bool, dirt: float, film: float
) -> None:
    """By hand, shares of common practice: 35, 50 or all of the dirt is reached and 8 in 10 of it leaves.

    In tank water 5, 8 or 15 % of the film go with it; under the tap 8 in 10 of the film that is reached.
    """
    names = ("filter_labile_n", "filter_refractory_p", "ammonia_oxidisers_filter", "nitrite_oxidisers_filter")
    before = {n: tank[n].copy() for n in names}
    jumps.rinse(extent, in_tap_water=tap)(tank)
    for name in names:
        left = 1.0 - (film if name.endswith("oxidisers_filter") else dirt)
        np.testing.assert_allclose(tank[name], left * before[name])


def test_demineralised_water_brings_nothing(tank: Ensemble) -> None:
    """Evaporated water is replaced, salts are not."""
    before = tank["alkalinity"].copy()
    jumps.top_up(demineralised=True)(tank)
    np.testing.assert_array_equal(tank["alkalinity"], before)
    np.testing.assert_allclose(tank["volume"], 0.28)


def test_only_panes_that_are_due_are_scraped(tank: Ensemble) -> None:
    """2.5 g/m2 on 1.1 m2 is 2.75 g; the day of the first scrape is kept."""
    tank.set_all({"algae_panes": [2.7, 2.8, 1.0], "clock": 12.0})
    jumps.scrape_when_due()(tank)
    np.testing.assert_allclose(tank.gather(tank["algae_panes"])[[0, 2]], [2.7, 1.0])
    assert tank.gather(tank["algae_panes"])[1] < 0.5
    np.testing.assert_array_equal(tank.gather(tank["days_to_scrape"]), [-1.0, 12.0, -1.0])


def test_thinning_back_stays_near_the_log(tank: Ensemble) -> None:
    """From a third (all but nothing below the liked clump) to three times of what was written."""
    small, large = tank, {n: tank[n] * 1.0 for n in ("plant_1", "plant_gram", "dry_1", "clump_1")}
    large["plant_1"] = large["plant_1"] * 100.0
    np.testing.assert_allclose(jumps.thinned(large, 1, 60.0), 60.0 / 1.2 * 3.0)
    assert (jumps.thinned(small, 1, 60.0) >= 0.0).all()


def test_bicarbonate_adds_equal_moles(tank: Ensemble) -> None:
    """84.01 g of sodium bicarbonate (IUPAC masses) are one equivalent and 12.011 g of carbon."""
    before = tank["alkalinity"].copy(), tank["carbon"].copy()
    jumps.bicarbonate(84.01)(tank)
    np.testing.assert_allclose(tank["alkalinity"] - before[0], 1.0, rtol=1e-3)
    np.testing.assert_allclose(tank["carbon"] - before[1], 12.011, rtol=1e-3)
