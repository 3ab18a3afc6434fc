"""The action levels keep the rules of their file; computed ones agree with published figures."""

from collections.abc import Mapping

import pytest

from lentic.catalogue import CatalogueError, references
from lentic.catalogue.load import read
from lentic.catalogue.targets import Bound, parse_targets, target, targets, targets_for

# regressions, changed together with the data: rows, sum of all fixed bounds
ROWS, SUM = 37, 1656.825
RELATIONS = "\n".join(
    f'{name} = {{ inputs = ["ph"], unit = "1", how = "derived", src = "calc" }}'
    for name in (
        "nh3_fraction", "tan_at_nh3", "epa2013_ccc", "epa2013_cmc", "us_copper_acute", "us_zinc_acute",
        "oxygen_saturation", "species_water_lo", "species_water_hi", "zone_avg_lo", "zone_avg_hi", "zone_max_hi",
    )
)  # fmt: skip


def bounds() -> list[Bound]:
    sides = [side for row in targets().values() for side in (row.high, row.low) if side is not None]
    return [bound for side in sides for bound in (side.good, side.watch, side.act) if bound is not None]


def test_the_bulk_of_the_file_is_what_it_was() -> None:
    assert len(targets()) == ROWS
    assert sum(bound.value for bound in bounds() if bound.value is not None) == pytest.approx(SUM, abs=1e-6)


def test_every_source_resolves() -> None:
    assert [(row.id, key) for row in targets().values() for key in row.sources if key not in references()] == []


def bound_of(id: str, level: str) -> Bound:
    high = target(id).high
    assert high is not None
    bound = getattr(high, level)
    assert isinstance(bound, Bound)
    return bound


@pytest.mark.parametrize(("ph", "total"), [(7.0, 3.1), (7.5, 1.0), (8.0, 0.33), (8.2, 0.21), (8.5, 0.12)])
def test_total_ammonia_at_the_guideline_for_free_ammonia(ph: float, total: float) -> None:
    # Emerson et al. 1975 with the Canadian guideline rounded to 0.02 mg/L NH3, at 24 C, to the two digits in the row
    found = bound_of("ammonia_total.fish", "watch").at({"ph": ph, "water_C": 24.0})
    assert found == pytest.approx(total, rel=0.045)


def test_criteria_of_the_us_epa_2013_at_their_reference_point() -> None:
    # US EPA 2013, table of criteria: 17 (acute) and 1.9 (chronic) mg/L N at pH 7 and 20 C
    water = {"ph": 7.0, "water_C": 20.0}
    assert bound_of("ammonia_total.fish_epa", "act").at(water) == pytest.approx(17, abs=0.5)
    assert bound_of("ammonia_total.fish_epa", "watch").at(water) == pytest.approx(1.9, abs=0.05)


@pytest.mark.parametrize(("hardness", "zinc"), [(50.0, 0.065), (100.0, 0.117)])
def test_zinc_by_hardness(hardness: float, zinc: float) -> None:
    # US criteria for dissolved metals, figures as printed for 50 and 100 mg/L CaCO3
    assert bound_of("zinc.fish", "watch").at({"hardness_mg_L": hardness}) == pytest.approx(zinc, abs=0.001)


def test_levels_follow_the_value_from_good_to_emergency() -> None:
    row = target("nitrite.fish")
    assert [row.level(value) for value in (0.0, 0.1, 0.3, 0.5, 1.0, 3.0)] == [
        "good", "good", "watch", "watch", "act", "emergency",
    ]  # fmt: skip
    kh = target("kh.filter")
    assert [kh.level(value) for value in (18.0, 6.0, 3.0, 2.0, 0.5)] == ["watch", "good", "watch", "act", "emergency"]


def test_a_level_that_needs_more_than_is_known_is_not_said() -> None:
    row = target("water_temperature.turtle")
    assert row.level(23.0) is None
    assert row.level(23.0, {"turtle.species": "trachemys_scripta"}) == "good"
    assert row.level(22.5, {"turtle.species": "trachemys_scripta", "turtle.stage": "juvenile"}) == "act"
    assert row.level(21.0, {"turtle.species": "trachemys_scripta"}) == "watch"


def test_one_fish_switches_other_rows_on() -> None:
    assert [row.id for row in targets_for("nitrate", fish=True)] == ["nitrate.fish"]
    assert [row.id for row in targets_for("nitrate", fish=False)] == ["nitrate.turtle"]
    assert targets_for("nitrate") == ()
    assert [row.id for row in targets_for("kh")] == ["kh.filter"]


ROW = (
    '[[target]]\nid = "kh.x"\nquantity = "kh"\nunit = "dKH"\nprotects = ["filter"]\ndirection = "low"\n'
    'low = { good_from = 4, watch_from = 2 }\nhow = "memory"\nbasis = ["calc"]\n'
)
HEAD = f'[sources]\ncalc = "x"\n[relations]\n{RELATIONS}\n'
WRONG: Mapping[str, tuple[str, str]] = {
    "twice": (HEAD + ROW + ROW, "occurs twice"),
    "backwards": (HEAD + ROW.replace("watch_from = 2", "watch_from = 5"), "out of order"),
    "no unit": (HEAD + ROW.replace('unit = "dKH"\n', ""), "has a unit"),
    "nobody": (HEAD + ROW.replace('["filter"]', '["cat"]'), "protects is of"),
    "no source": (HEAD + ROW.replace('["calc"]', '["gone"]'), "basis must name"),
    "no relation": (HEAD + ROW.replace("good_from = 4", 'good_from = { relation = "moon" }'), "known relation"),
    "wrong side": (HEAD + ROW.replace('direction = "low"', 'direction = "high"'), "direction does not match"),
    "wrong switch": (HEAD + ROW + "when = { moon = true }\n", "does not switch"),
    "other relations": (HEAD.replace("zone_max_hi", "zone_sum"), "must name"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_row_is_refused(case: str) -> None:
    text, said = WRONG[case]
    with pytest.raises(CatalogueError, match=said):
        parse_targets(read("targets", text))


def test_an_unknown_row_is_a_mistake_in_the_code() -> None:
    with pytest.raises(CatalogueError, match="no row"):
        target("nitrate.moon")
