"""How much of which plant takes what share of the waste: by hand, in the light there is, with the teeth there are."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from lentic.advice.company import ASK_FIRST, NO
from lentic.advice.estimate import exactly
from lentic.advice.planting import (
    CAREFUL,
    DIM,
    EATEN,
    OUT_OF_REACH,
    YES,
    Planting,
    growth_here,
    plant_light,
    planting_of,
)
from lentic.catalogue import plants
from lentic.logbook.events import Event, Feed, LostPlant, Planted, Reading, Thin
from lentic.logbook.tank import Fixture, Glass, Heater, Plant, SourceWater, Tank, Turtle

NOW = datetime(2026, 4, 29, 12, tzinfo=UTC)
FED: list[Event] = [Feed(time=NOW - timedelta(days=day), food="pellet_adult", grams=1.0) for day in range(28)]


def tank(
    species: str = "Sternotherus odoratus",
    country: str | None = "NO",
    celsius: float = 25.0,
    ppfd: float | None = 110.0,
) -> Tank:
    return Tank(
        name="Shelf", country=country, heater=Heater(set_c=celsius), glass=Glass(length_cm=120.0, width_cm=50.0),
        turtles=(Turtle(id="oak", species=species, mass_g=500.0, scl_cm=14.0, sex="female"),),
        lamps=(Fixture(use="plants", lamp_class="led_white", watts=48.0, ppfd=ppfd, hours=9.0),),
        plants=(Plant(species="hornwort", wet_g=300.0),), source_water=SourceWater(gh_dgh=14.0),
    )  # fmt: skip


def plant(name: str, of: Tank | None = None, grams: float | None = None, events: list[Event] | None = None) -> Planting:
    return planting_of(plants()[name], of or tank(), FED if events is None else events, NOW, grams)


ANSWERS = {
    "hygrophila_polysperma": YES,
    "ceratophyllum_demersum": YES,
    "anubias_barteri": CAREFUL,
    "epipremnum_aureum": OUT_OF_REACH,
    "lemna_minor": EATEN,
    "cabomba": NO,  # poor in hard water
}


@pytest.mark.parametrize("name", ANSWERS)
def test_the_answer_is_what_the_tables_add_up_to(name: str) -> None:
    assert plant(name).answer == ANSWERS[name]


@pytest.mark.parametrize(
    ("name", "country"), [("cabomba", "DE"), ("pistia_stratiotes", "SE"), ("hydrilla_verticillata", "US")]
)
def test_an_invasive_list_of_the_keepers_place_comes_first(name: str, country: str) -> None:
    found = plant(name, tank(country=country))
    assert found.answer == ASK_FIRST
    assert any("Ask your authority" in each.text for each in found.law)
    assert all("legal" not in each.text.lower() for each in found.law)


def test_too_warm_and_too_dark_are_said_with_the_reading() -> None:
    warm = plant("aegagropila", tank(celsius=27.0))
    assert warm.answer == NO and "27 °C" in warm.why
    dark = plant("pontederia_crassipes", tank(ppfd=40.0))
    assert dark.answer == DIM and "at least 150" in dark.why


def test_uptake_is_mass_times_growth_times_tissue_by_hand() -> None:
    """Wet mass x dry share x growth x tissue nitrogen, held against 51 mg eaten, 70 % of it in the water."""
    record = plants()["hygrophila_polysperma"]
    found = plant("hygrophila_polysperma", grams=150.0)
    assert found.growth is not None and found.uptake is not None and found.share is not None
    growth = found.growth.value
    by_hand = 150.0 * record.dry_fraction.middle * growth * record.facts["tissue_N_pct_dw"].middle / 100.0 * 1000.0
    assert found.uptake.value == pytest.approx(by_hand)
    assert found.share.value == pytest.approx(100.0 * by_hand / (51.2 * 0.7), rel=0.01)
    assert found.share.low < found.share.value / 1.8 and found.share.high <= 100.0


def test_enough_takes_30_to_50_percent() -> None:
    found = plant("hygrophila_polysperma")
    assert found.enough is not None
    low = plant("hygrophila_polysperma", grams=found.enough.low)
    high = plant("hygrophila_polysperma", grams=found.enough.high)
    assert low.share is not None and high.share is not None
    assert low.share.value == pytest.approx(30.0, rel=0.01)
    assert high.share.value == pytest.approx(50.0, rel=0.01)


def test_more_than_the_waste_feeds_is_too_much_and_says_what_it_does() -> None:
    found = plant("hygrophila_polysperma", grams=3000.0)
    assert found.most is not None and found.most.value < 3000.0
    words = " ".join(each.text for each in found.notes)
    assert "dawn" in words and "KH" in words
    assert not any("at dawn" in each.text for each in plant("hygrophila_polysperma", grams=50.0).notes)


def test_a_slow_plant_takes_next_to_nothing_beside_a_fast_one() -> None:
    slow, fast = plant("anubias_barteri", grams=100.0).share, plant("hygrophila_polysperma", grams=100.0).share
    assert slow is not None and fast is not None and slow.value < fast.value / 4.0


def test_growth_follows_the_light_and_never_exceeds_the_usual() -> None:
    record = plants()["hygrophila_polysperma"]
    found = [growth_here(record, exactly(light, "", ""), 9.0) for light in (10.0, 40.0, 110.0, 900.0)]
    rates = [each.value for each in found if each is not None]
    assert rates == sorted(rates) and len(rates) == 4
    assert rates[-1] == pytest.approx(record.facts["rgr_per_day_typical"].middle)
    short, long = (growth_here(record, exactly(60.0, "", ""), hours) for hours in (4.0, 8.0))
    assert short is not None and long is not None and short.value == pytest.approx(long.value / 2.0, rel=0.01)
    assert growth_here(record, None, 9.0) is None


def test_light_is_the_reading_then_the_description_then_the_watts() -> None:
    read = Reading(time=NOW - timedelta(days=3), quantity="ppfd", value=70.0, unit="µmol/m2/s")
    measured, described, watts = plant_light(tank(), [read]), plant_light(tank(), []), plant_light(tank(ppfd=None), [])
    assert measured is not None and described is not None and watts is not None
    assert (measured.value, described.value) == (70.0, 110.0)
    assert "own reading" in measured.origin and "watts" in watts.origin
    # 48 W of white LED on 0.6 m² at about 1.5 to 2.5 µmol/J, a third to two thirds of it in the water
    assert watts.low < 80.0 < watts.high
    assert plant_light(Tank(name="Shelf"), []) is None


def test_the_keepers_own_thinning_and_dried_plant_win() -> None:
    thinned: list[Event] = [
        Thin(time=NOW - timedelta(days=day), species="Ceratophyllum demersum", grams=80.0) for day in (5, 19, 33, 47)
    ]
    found = plant("ceratophyllum_demersum", events=[*FED, *thinned])
    assert found.thin is not None and found.thin.value == pytest.approx(40.0)
    assert "your own log" in found.thin.origin and found.growth is not None
    assert found.growth.value == pytest.approx(40.0 / 7.0 / 300.0)
    kept = tank()
    dried = Tank(
        name="Shelf", heater=kept.heater, glass=kept.glass, turtles=kept.turtles, lamps=kept.lamps,
        plants=(Plant(species="hornwort", wet_g=300.0, dry_fraction=0.04),),
    )  # fmt: skip
    wet = plant("ceratophyllum_demersum", dried, grams=300.0).uptake
    usual = plant("ceratophyllum_demersum", grams=300.0).uptake
    assert wet is not None and usual is not None and wet.value == pytest.approx(usual.value / 2.0)


def test_after_four_thinnings_the_uptake_lies_within_a_quarter() -> None:
    """Ten seeded stands: what grew is cut back every ten days or so; growth comes back from the thinnings alone."""
    for seed in range(10):
        rng = np.random.default_rng(seed)
        truth, day, since = float(rng.uniform(0.01, 0.04)), 44.0, 54.0
        events: list[Event] = [*FED]
        for _ in range(4):
            grown = 300.0 * truth * (since - day) * float(np.exp(rng.normal(0.0, 0.08)))
            events.append(Thin(time=NOW - timedelta(days=day), species="hornwort", grams=grown))
            since, day = day, day - float(rng.uniform(12.0, 14.0))
        found = plant("ceratophyllum_demersum", events=events).growth
        assert found is not None and found.value == pytest.approx(truth, rel=0.25), seed


def test_what_stands_follows_what_was_planted_lost_and_cut() -> None:
    def ago(days: float) -> datetime:
        return NOW - timedelta(days=days)

    events: list[Event] = [
        LostPlant(time=ago(60), species="hornwort", grams=100.0),
        Thin(time=ago(50), species="hornwort", grams=60.0),  # an ordinary thinning: only what had grown
        Thin(time=ago(45), species="hornwort", grams=150.0),  # a cut
        Planted(time=ago(40), species="coontail", grams=400.0),
    ]
    assert plant("ceratophyllum_demersum", events=[*FED, *events]).grams.value == pytest.approx(450.0)
    assert plant("hygrophila_polysperma").grams.origin == "a round amount to look at"


def test_a_plant_eater_grazes_more_than_a_snail_eater() -> None:
    cooter, musk = plant("egeria_densa", tank("Pseudemys concinna")).grazed, plant("egeria_densa").grazed
    assert cooter is not None and musk is not None and cooter.value > 3.0 * musk.value
    # dry plant stays within 0.003 g for a gram of turtle a day
    dry = plants()["egeria_densa"].dry_fraction.bounds[1]
    assert cooter.high * plants()["egeria_densa"].dry_fraction.middle <= 0.003 * 500.0 <= 0.003 * 500.0 * (1 + dry)


def test_what_is_not_known_is_named() -> None:
    bare = planting_of(plants()["hygrophila_polysperma"], Tank(name="Shelf"), [], NOW)
    words = " ".join(bare.unknown)
    assert "plant light" in words and "turtle eats" in words
    assert bare.share is None and bare.growth is None


def test_every_sentence_and_number_says_how_it_is_known() -> None:
    for name in plants():
        found = plant(name)
        assert all(each.origin for each in (*found.against, *found.notes, *found.law))
        numbers = (
            found.grams,
            found.light,
            found.growth,
            found.uptake,
            found.share,
            found.enough,
            found.most,
            found.thin,
        )
        assert all(known.origin for known in numbers if known is not None)


def test_lamps_of_unknown_power_or_class_leave_the_light_unknown() -> None:
    glass = Glass(length_cm=120.0, width_cm=50.0)
    for lamp in (Fixture(use="plants", lamp_class="led_white"), Fixture(use="plants", lamp_class="moon", watts=40.0)):
        assert plant_light(Tank(name="Shelf", glass=glass, lamps=(lamp,)), []) is None
    two = (Fixture(use="plants", ppfd=30.0), Fixture(use="plants", lamp_class="led_white", watts=20.0))
    both = plant_light(Tank(name="Shelf", glass=glass, lamps=two), [])
    assert both is not None and both.low > 30.0


def test_a_stand_lost_for_good_has_no_growth_of_its_own() -> None:
    events: list[Event] = [
        *(Thin(time=NOW - timedelta(days=day), species="hornwort", grams=60.0) for day in (30, 16)),
        LostPlant(time=NOW - timedelta(days=3), species="hornwort", grams=900.0),
    ]
    found = plant("ceratophyllum_demersum", events=[*FED, *events])
    assert found.grams.value == 0.0 and found.growth is None


def test_grazing_stays_unknown_without_the_mass_or_the_kind() -> None:
    kept = Tank(name="Shelf", heater=Heater(set_c=25.0), turtles=(Turtle(id="oak", species="Trachemys scripta"),))
    assert planting_of(plants()["egeria_densa"], kept, [], NOW).grazed is None
