"""Who lives with a turtle: water, weapons, teeth, waste and law, against sums by hand and what the tables say."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from lentic.advice.company import (
    AS_FOOD,
    ASK_FIRST,
    LOSSES,
    NO,
    NONE,
    POSSIBLE,
    UNSURE,
    Fit,
    Here,
    fit_of,
    here_of,
    prey_odds,
    survey_of,
)
from lentic.advice.waste import mate_nitrogen, turtle_nitrogen
from lentic.catalogue import Animal, tankmates, turtles
from lentic.logbook.events import Feed, Reading
from lentic.logbook.tank import Glass, Heater, SourceWater, Tank, Turtle

NOW = datetime(2026, 4, 29, 12, tzinfo=UTC)


def tank(
    species: str = "Trachemys scripta", scl: float | None = 18.0, country: str | None = "NO", gh: float = 12.0
) -> Tank:
    turtle = Turtle(id="oak", species=species, mass_g=800.0, scl_cm=scl)
    return Tank(
        name="Shelf", country=country, turtles=(turtle,), heater=Heater(set_c=25.0), glass=Glass(length_cm=120.0),
        source_water=SourceWater(gh_dgh=gh),
    )  # fmt: skip


def here(of: Tank | None = None) -> Here:
    return here_of(tank() if of is None else of, [], NOW)


def fit(name: str, of: Tank | None = None, count: int = 1, size: float | None = None) -> Fit:
    return fit_of({**tankmates(), **turtles()}[name], here(of), count, size)


ANSWERS = {
    "corydoras_paleatus": NO,  # locking spines
    "pterygoplichthys": NO,  # spines, sucker, size
    "procambarus": NO,  # claws
    "puntigrus_tetrazona": NO,  # nips
    "tanichthys": NO,  # no temperature for both
    "koi": NO,  # a pond fish of 70 cm
    "paracheirodon_innesi": NO,  # soft water
    "neocaridina": AS_FOOD,
    "planorbella": AS_FOOD,
    "danio_rerio": LOSSES,
    "xiphophorus_hellerii": POSSIBLE,
}


@pytest.mark.parametrize("name", ANSWERS)
def test_the_answer_is_what_the_tables_add_up_to(name: str) -> None:
    assert fit(name).answer == ANSWERS[name]


# All 36 of the table beside a grown slider in hard, warm water where no list of the notes holds: by hand from the
# traits and what the trade says of each (common practice; the notes on water were read, see the table)
EVERY = {
    POSSIBLE: {"xiphophorus_hellerii", "crossocheilus"},
    LOSSES: {
        "danio_rerio", "poecilia_reticulata", "xiphophorus_maculatus", "poecilia_sphenops", "gambusia",
    },
    AS_FOOD: {"pomacea", "planorbella", "physa", "melanoides", "neocaridina", "caridina_multidentata"},
    NO: {
        "tanichthys", "carassius_auratus", "pethia_conchonius", "puntigrus_tetrazona", "paracheirodon_innesi",
        "macropodus",
        "corydoras_paleatus", "corydoras_aeneus", "pterygoplichthys", "ancistrus", "otocinclus", "gyrinocheilus",
        "misgurnus", "chromobotia", "ameiurus", "synodontis", "amatitlania", "koi", "betta", "nerite", "procambarus",
        "macrobrachium", "unionid",
    },
}  # fmt: skip


def test_every_animal_of_the_table_gets_the_answer_worked_out_by_hand() -> None:
    found: dict[str, set[str]] = {}
    for each in survey_of(here()).fits:
        found.setdefault(each.answer, set()).add(each.id)
    assert found == EVERY
    assert sum(len(names) for names in EVERY.values()) == 36


@pytest.mark.parametrize(
    "species",
    [
        "Chelydra serpentina",
        "Staurotypus triporcatus",
        "Pelodiscus sinensis",
        "Pelomedusa subrufa",
        "Malaclemys terrapin",
    ],
)
def test_none_is_said_plainly_where_it_is_true(species: str) -> None:
    survey = survey_of(here(tank(species)))
    assert survey.answer == NONE and "no tank mates" in survey.why[0].text
    assert {each.answer for each in survey.fits} == {NONE}
    assert fit("poecilia_reticulata", tank(species)).answer == NONE


def test_none_is_also_said_where_no_kind_suits_the_water() -> None:
    """A spotted turtle (16 to 22 °C) in very soft water: nothing of the table fits both."""
    cold = Tank(
        name="Shelf", turtles=(Turtle(id="oak", species="Clemmys guttata", scl_cm=11.0, mass_g=200.0),),
        heater=Heater(set_c=8.0), source_water=SourceWater(gh_dgh=0.5), glass=Glass(length_cm=60.0),
    )  # fmt: skip
    survey = survey_of(here(cold))
    assert survey.answer == NONE and "suits this water" in survey.why[0].text


def test_a_turtle_that_takes_company_gets_a_list_by_answer() -> None:
    survey = survey_of(here())
    assert "may do" in survey.answer
    answers = [each.answer for each in survey.fits]
    assert len(answers) == len(tankmates()) and answers.index(NO) > answers.index(POSSIBLE)


def test_odds_fall_with_size_and_are_wide_and_marked_as_practice() -> None:
    bands = [prey_odds(size, 20.0) for size in (3.0, 8.0, 14.0, 25.0)]
    assert [band.bounds for band in bands] == [(60.0, 100.0), (30.0, 90.0), (5.0, 60.0), (0.0, 30.0)]
    assert {band.how for band in bands} == {"common-practice"}
    small, grown = fit("xiphophorus_hellerii", size=3.0), fit("xiphophorus_hellerii")
    assert small.answer == AS_FOOD and grown.answer == POSSIBLE


def test_a_turtle_that_will_grow_changes_the_odds() -> None:
    numbers = dict(fit("danio_rerio", tank(scl=8.0)).numbers)
    later = next(known for name, known in numbers.items() if name.startswith("the same, should"))
    assert later.low > numbers["eaten within a year"].low


def test_without_the_shell_of_the_turtle_it_cannot_be_said() -> None:
    found = fit("danio_rerio", tank(scl=None))
    assert found.answer == UNSURE
    assert any("shell length" in each for each in found.unknown)


def test_a_fish_of_a_gram_eats_what_the_trade_says() -> None:
    """2 % of body mass of food with 45 % protein: 1.4 mg N a day for a fish of 1 g, inside the range."""
    by_hand = 1000.0 * 0.02 * 0.45 / 6.25
    length = (1.0 / 0.014) ** (1.0 / 3.0)
    found = mate_nitrogen(length, 1)
    assert found.low < by_hand < found.high
    assert mate_nitrogen(length, 10).value == pytest.approx(10.0 * found.value)


def test_a_large_turtle_outweighs_scores_of_small_fish() -> None:
    """One 1 kg turtle makes as much waste as tens of fish of a gram (stated in the trade as some 70)."""
    kept = Tank(name="Shelf", turtles=(Turtle(id="oak", mass_g=1000.0),), heater=Heater(set_c=26.0))
    turtle = turtle_nitrogen(kept, [], NOW)
    assert turtle is not None
    fish = mate_nitrogen((1.0 / 0.014) ** (1.0 / 3.0), 1)
    assert 20.0 < turtle.value / fish.value < 150.0


def test_the_load_is_held_against_what_the_log_fed() -> None:
    """28 days of 1 g adult pellet: 0.32 protein / 6.25 = 51 mg N a day."""
    events = [Feed(time=NOW - timedelta(days=day), food="pellet_adult", grams=1.0) for day in range(28)]
    found = turtle_nitrogen(tank(), events, NOW)
    assert found is not None and found.value == pytest.approx(51.2, rel=0.01)
    numbers = dict(fit_of(tankmates()["poecilia_reticulata"], here_of(tank(), events, NOW), 10).numbers)
    assert "sum over your log" in numbers["waste beside the turtle's"].origin


def test_the_keepers_own_reading_wins_over_the_tap() -> None:
    read = Reading(time=NOW - timedelta(days=3), quantity="gh", value=1.0, unit="meq/L")
    hardness = here_of(tank(), [read], NOW).hardness
    assert hardness is not None and hardness.value == pytest.approx(2.8, abs=0.01)
    assert "own reading" in hardness.origin
    assert fit_of(tankmates()["poecilia_reticulata"], here_of(tank(), [read], NOW)).answer == NO


def test_a_reading_at_the_edge_is_told_but_does_not_decide() -> None:
    read = Reading(time=NOW - timedelta(days=3), quantity="ph", value=8.3, unit="")
    found = fit_of(tankmates()["danio_rerio"], here_of(tank(), [read], NOW))
    assert found.answer == LOSSES and any("pH here 8.3" in each.text for each in found.neutral)


LISTED = {("gambusia", "BE"), ("pomacea", "DE"), ("misgurnus", "FR")}


@pytest.mark.parametrize(("name", "country"), sorted(LISTED))
def test_a_list_that_may_hold_where_the_keeper_lives_comes_first(name: str, country: str) -> None:
    found = fit(name, tank(country=country))
    assert found.answer in (ASK_FIRST, NO)
    assert any(country in each.text for each in found.law)
    assert any("Ask your authority" in each.text for each in found.law)


def test_a_note_that_does_not_speak_of_the_place_decides_nothing() -> None:
    assert fit("gambusia", tank(country="BE")).answer == ASK_FIRST
    elsewhere = fit("gambusia", tank(country="CA"))
    assert elsewhere.answer not in (ASK_FIRST, NO)
    assert any("2022" in each.text for each in elsewhere.law)
    assert any("country is not given" in each.text for each in fit("gambusia", tank(country=None)).law)


def test_nothing_is_ever_called_allowed_or_legal() -> None:
    for name in tankmates():
        found = fit(name, tank(country="DE"))
        words = " ".join(each.text for each in (*found.law, *found.against, *found.neutral, *found.truths))
        assert "legal" not in words.lower() and "is allowed" not in words.lower(), name


def test_why_cleaner_animals_do_not_clean_is_told_where_one_is_sold_as_such() -> None:
    for name in ("ancistrus", "crossocheilus", "nerite", "caridina_multidentata"):
        truths = fit(name).truths
        assert any("as dung" in each.text for each in truths), name
    assert fit("danio_rerio").truths == ()


def test_a_second_turtle_is_no_company_and_its_waste_is_said() -> None:
    found = fit("sternotherus_odoratus")
    assert found.answer == NO and "does not need company" in found.why
    assert "waste when grown, nitrogen eaten" in dict(found.numbers)


def test_every_sentence_and_number_says_how_it_is_known() -> None:
    for name in tankmates():
        found = fit(name)
        assert all(each.origin for each in (*found.against, *found.neutral, *found.law, *found.truths))
        assert all(known.origin for _, known in found.numbers)


def test_what_is_missing_of_an_animal_is_named_and_not_guessed() -> None:
    bare = Animal(id="x", names=("stranger",), facts={})
    found = fit_of(bare, here(Tank(name="Shelf", turtles=(Turtle(id="oak", species="Trachemys scripta"),))))
    assert found.answer == UNSURE and found.numbers == ()
    assert {"its water temperature", "GH of this water", "its size"} <= set(found.unknown)
    sized = fit_of(tankmates()["danio_rerio"], here(Tank(name="Shelf")))
    assert any("what the turtle eats" in each for each in sized.unknown)
