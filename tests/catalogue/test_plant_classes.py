"""Growth classes: complete, with a spread for every number, and inside what has been published."""

import math

import pytest

from lentic.catalogue import CatalogueError, PlantClass, plant_class, plant_classes, plants, references
from lentic.catalogue.load import PARAMETERS, _plant_class

NAMES = ("fast_stem", "medium_stem", "ribbon", "floater", "emersed", "slow")


def test_the_six_classes() -> None:
    assert tuple(plant_classes()) == NAMES
    assert {plant.growth_class for plant in plants().values()} == set(NAMES)


def test_an_unknown_class_is_refused_by_name() -> None:
    with pytest.raises(CatalogueError, match="'fern' is not a growth class; there are fast_stem"):
        plant_class("fern")


@pytest.mark.parametrize("name", NAMES)
def test_every_number_has_spread_scale_and_source(name: str) -> None:
    plant = plant_class(name)
    assert set(plant.facts) == set(plant.spread) == set(plant.scale) == set(PARAMETERS)
    for key, fact in plant.facts.items():
        value = getattr(plant, key)
        assert isinstance(value, float) and value == fact.middle
        assert fact.source in references()
        assert plant.scale[key] in {"ln", "abs"}
        # a logarithmic spread needs a number above zero; a number that never applies has no spread
        assert (plant.spread[key] > 0 and value > 0) if plant.scale[key] == "ln" else plant.spread[key] >= 0


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_the_numbers_makes_sense(name: str) -> None:
    plant = plant_class(name)
    assert plant.qn_min < plant.qn_max and plant.qp_min < plant.qp_max
    assert plant.t_min < plant.t_opt < plant.t_max
    assert plant.mu > plant.r20 + plant.m0
    assert 0 < plant.dry < 1 and 0 < plant.litter_labile < 1
    assert (plant.sigma > 0) == (name == "floater")
    assert (plant.eps > 0) == (not plant.air_leaves)


@pytest.mark.parametrize("name", ["floater", "emersed"])
def test_leaves_in_air_are_never_limited_by_carbon_in_the_water(name: str) -> None:
    plant = plant_class(name)
    assert plant.air_leaves
    ph, carbon = 9.5, 0.001
    limit = carbon / (carbon + plant.k_c) / (1 + 10 ** (ph - plant.ph_max))
    assert limit == pytest.approx(1.0, abs=1e-4)
    assert all(plant.spread[key] == 0 for key in ("k_c", "beta", "ph_max"))


def cardinal(plant: PlantClass, celsius: float) -> float:
    """Cardinal temperature model with inflection (Rosso et al. 1993, from memory)."""
    low, best, high = plant.t_min, plant.t_opt, plant.t_max
    below = (best - low) * ((best - low) * (celsius - best) - (best - high) * (best + low - 2 * celsius))
    return (celsius - high) * (celsius - low) ** 2 / below


@pytest.mark.parametrize("name", ["fast_stem", "medium_stem", "ribbon"])
def test_submerged_growth_reaches_what_nielsen_and_sand_jensen_measured(name: str) -> None:
    # Nielsen & Sand-Jensen 1991, abstract: 14 species at 15 °C, 14.4 mol/m2/d, rich carbon: 0.007-0.109 /d.
    # 16 h of light are assumed; tissue full, so that only light and temperature act.
    plant, light_h = plant_class(name), 16.0
    ppfd = 14.4e6 / (light_h * 3600)
    gain = plant.mu * cardinal(plant, 15.0) * math.tanh(ppfd / plant.ik) * light_h / 24
    net = gain - plant.r20 * 2 ** ((15.0 - 20.0) / 10) - plant.m0
    # carbon and tissue always take something off, so the ceiling may be passed by a fifth
    assert 0.007 < net < 1.2 * 0.109


def test_crowding_of_floating_plants_is_near_the_published_limits() -> None:
    # Klein et al. 2022: 177 g/m2; Driever et al. 2005: about 180 g/m2; a tank is thinned below that
    assert 0.8 * 177 <= plant_class("floater").cap <= 180


def test_duckweed_half_growth_contents_lie_inside_the_tissue_range() -> None:
    # Klein et al. 2022: growth is halved at 0.034 g N and 0.0043 g P per g dry
    plant = plant_class("floater")
    assert 1 - plant.qn_min / 0.034 == pytest.approx(0.5, abs=0.1)
    assert plant.qp_min < 0.0043 < plant.qp_max


def test_growth_stops_at_the_critical_content_of_hornwort() -> None:
    # Gerloff & Krombholz 1966, from memory: 1.3 % N and 0.13 % P of dry mass
    plant = plant_class("fast_stem")
    assert (plant.qn_min, plant.qp_min) == (0.013, 0.0013)


def test_a_class_with_a_missing_number_is_refused() -> None:
    with pytest.raises(CatalogueError, match="missing or not known: beta"):
        _plant_class(
            {"id": "x", "names": ["x"], "air_leaves": False},
            {
                key: {"v": 1.0, "sd": 0.1, "scale": "ln", "how": "memory", "src": "judged"}
                for key in PARAMETERS
                if key != "beta"
            },
        )


def test_classes_add_up_to_what_they_did() -> None:
    # a regression over all numbers and spreads, to be changed together with the data
    total = sum(getattr(plant, key) for plant in plant_classes().values() for key in PARAMETERS)
    spread = sum(sum(plant.spread.values()) for plant in plant_classes().values())
    assert total == pytest.approx(3234.7198, abs=1e-4)
    assert spread == pytest.approx(79.05, abs=1e-6)
