"""Emergency cards: every one fits a frightened reader, any tank, and says nothing that is not ours to say."""

from __future__ import annotations

import re

import pytest

from lentic.advice.cards.emergency import MOST_WORDS, WHO, cards_for, unknown_contacts
from lentic.catalogue.emergencies import CONTACTS, emergencies, parse
from lentic.catalogue.facts import CatalogueError
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, Tank, Turtle

FULL = Tank(
    name="Shelf tank",
    glass=Glass(water_l=1234.0, pane="glass"),
    filter=Filter(type="canister"),
    heater=Heater(watts=100.0, set_c=25.0),
    turtles=(Turtle(id="old moss", species="Sternotherus odoratus"),),
    fish=(Fish(species="Tanichthys albonubes", count=6),),
    lamps=(Fixture(use="plants"),),
)
BARE = Tank(name="Tub")
MANY = Tank(name="Pool", turtles=(Turtle(id="a"), Turtle(id="b")))


def test_there_are_the_fourteen_cards_of_the_trade() -> None:
    assert len(emergencies()) == 14
    assert set(WHO) == set(CONTACTS)


@pytest.mark.parametrize("tank", [FULL, BARE, MANY], ids=lambda tank: tank.name)
def test_every_step_is_short_and_filled_in(tank: Tank) -> None:
    for card in cards_for(tank, {}):
        assert 3 <= len(card.steps) <= 8, card.id
        for text in (*card.steps, card.line, *card.dont):
            assert "{" not in text and "None" not in text
        for step in card.steps:
            assert len(step.split()) <= MOST_WORDS, step
        assert card.dont and card.calls and card.log


def test_litres_and_devices_are_those_of_the_tank() -> None:
    cards = {card.id: card for card in cards_for(FULL, {"vet": "0555 01"})}
    assert "Swap 120 L for water at most 3 °C cooler." in cards["heater_stuck"].steps
    assert any("canister" in step for step in cards["power_cut"].steps)
    assert cards["limp"].calls[0].number == "0555 01"
    assert any("Old moss" in step for step in cards["leak"].steps)
    sponge = Tank(name="Tub", filter=Filter(type="sponge"))
    plain = {card.id: card for card in cards_for(sponge, {})}
    assert not any("canister" in step for step in plain["power_cut"].steps)
    assert not any("Fish" in step for step in plain["leak"].steps)
    assert plain["limp"].calls[0].number is None
    assert any("a tenth" in step for step in plain["heater_stuck"].steps)


def test_a_filter_that_is_not_known_is_treated_as_the_one_that_can_go_wrong() -> None:
    steps = {card.id: card for card in cards_for(BARE, {})}["power_cut"].steps
    assert any("canister" in step for step in steps)


FORBIDDEN = re.compile(
    r"antibiotic|inject|\bmg\b|disinfectant|iodine|diagnos|disease|infection|pneumonia|rot\b|legal|illegal|salt\b", re.I
)


def test_no_card_names_a_medicine_a_dose_a_disease_or_the_law() -> None:
    for tank in (FULL, BARE):
        for card in cards_for(tank, {}):
            for text in (card.title, card.line, *card.steps, *card.dont, *(c.when for c in card.calls)):
                assert not FORBIDDEN.search(text), text


def test_people_are_sent_to_people_who_may_help_them() -> None:
    cards = {card.id: card for card in cards_for(FULL, {})}
    assert {c.who for c in cards["bite"].calls} == {"Doctor", "Emergency number"}
    assert "Electrician" in {c.who for c in cards["leak"].calls}
    assert {c.who for c in cards["limp"].calls} == {"Reptile vet"}


def test_contacts_that_no_card_uses_are_named() -> None:
    assert unknown_contacts({"vet": "1", "plumber": "2"}) == ("plumber",)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('how = "memory"', 'how = "hearsay"', "needs `how`"),
        ('who = "vet"', 'who = "wizard"', "names wizard"),
        ('only = "fish"', 'only = "whale"', "names whale"),
        ('id = "leak"', 'id = "bite"', "share an id"),
    ],
)
def test_a_card_that_breaks_the_rules_is_refused(old: str, new: str, said: str) -> None:
    from importlib.resources import files

    text = files("lentic.catalogue").joinpath("data", "emergencies.toml").read_text(encoding="utf-8")
    with pytest.raises(CatalogueError, match=said):
        parse(text.replace(old, new, 1))
