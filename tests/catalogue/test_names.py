"""A keeper's word finds its record, or brings back a question; it is never guessed."""

import pytest

from lentic.catalogue import CatalogueError, Choices, Record, find, normalise, records, resolve
from lentic.catalogue.load import TABLES
from lentic.catalogue.names import KINDS, OFFERED, spellings

FOUND = {
    ("plant", "ceratophyllum_demersum"): "ceratophyllum_demersum",
    ("plant", "Ceratophyllum demersum"): "ceratophyllum_demersum",
    ("plant", "  HORNWORT "): "ceratophyllum_demersum",
    ("plant", "Eichhornia crassipes"): "pontederia_crassipes",
    ("plant", "Vallisneria spiralis"): "vallisneria_spiralis",
    ("plant", "Vallisneria americana"): "vallisneria_spiralis",
    ("plant", "Salvinia natans"): "salvinia_natans",
    ("plant", "devil’s ivy"): "epipremnum_aureum",
    ("plant", "Devils Ivy"): "epipremnum_aureum",
    ("turtle", "red eared slider"): "trachemys_scripta",
    ("turtle", "Trachemys scripta elegans"): "trachemys_scripta",
    ("turtle", "Chinemys reevesii"): "mauremys_reevesii",
    ("fish", "white cloud"): "tanichthys",
    ("animal", "guppy"): "poecilia_reticulata",
    ("animal", "Emys orbicularis"): "emys_orbicularis",
    ("food", "pellet_adult"): "pellet_adult",
    ("food", "cos lettuce"): "romaine",
    ("food", "carrot"): "carrot",
    ("medium", "foam_20ppi"): "foam_20ppi",
    ("lamp", "led_white"): "led_white",
    ("conditioner", "sodium thiosulphate"): "thiosulfate",
}


@pytest.mark.parametrize(("kind", "name"), FOUND)
def test_an_exact_name_gives_the_record(kind: str, name: str) -> None:
    found = resolve(kind, name)
    assert isinstance(found, Record) and found.id == FOUND[kind, name]


ASKED = {
    ("turtle", "mud turtle"): {"kinosternon_baurii", "kinosternon_subrubrum", "pelusios_castaneus"},
    ("plant", "salvinia"): {"salvinia_auriculata", "salvinia_natans"},
    ("food", "pellet"): {"pellet_juvenile", "pellet_adult"},
    ("food", "shrimp"): {"gammarus_dried", "shrimp_raw"},
    ("plant", "hygrophila"): {"hygrophila_polysperma", "hygrophila_difformis"},
}


@pytest.mark.parametrize(("kind", "name"), ASKED)
def test_a_name_of_several_brings_back_all_of_them(kind: str, name: str) -> None:
    asked = resolve(kind, name)
    assert isinstance(asked, Choices)
    assert {record.id for record in asked.candidates} == ASKED[kind, name]
    assert asked.question.startswith(f"“{name}” may mean") and " or " in asked.question


MISSPELT = {
    ("plant", "Ceratophylum demersum"): "ceratophyllum_demersum",
    ("plant", "hornwart"): "ceratophyllum_demersum",
    ("food", "romain lettuce"): "romaine",
    ("turtle", "Mauremys reevsii"): "mauremys_reevesii",
    ("fish", "gupy"): "poecilia_reticulata",
}


@pytest.mark.parametrize(("kind", "name"), MISSPELT)
def test_a_misspelling_is_asked_about_not_guessed(kind: str, name: str) -> None:
    asked = resolve(kind, name)
    assert isinstance(asked, Choices)
    assert MISSPELT[kind, name] in {record.id for record in asked.candidates}
    assert len(asked.candidates) <= OFFERED


def test_a_word_out_of_a_longer_name_is_asked_about() -> None:
    asked = resolve("food", "lettuce leaf red")
    assert isinstance(asked, Choices) and [record.id for record in asked.candidates] == ["red_leaf"]


@pytest.mark.parametrize("name", ["", "  ", "!?", "qwertyuiop"])
def test_nothing_like_it_is_none(name: str) -> None:
    assert resolve("food", name) is None


def test_an_unknown_kind_is_a_bug_of_the_caller() -> None:
    with pytest.raises(CatalogueError, match="not a kind of the catalogue"):
        resolve("stone", "granite")


def test_normalising_forgets_case_accents_and_punctuation() -> None:
    assert normalise("Évêque's  MOSS-ball_(Größe)") == "eveques moss ball grosse"


@pytest.mark.parametrize("file", TABLES)
def test_every_record_is_found_by_its_id_and_its_scientific_name(file: str) -> None:
    pool = records(file)
    for record in pool:
        assert find(pool, record.id) is record
        assert not record.scientific or find(pool, record.scientific) is record
        assert find(pool, record.name) is record


def test_every_file_can_be_asked_for() -> None:
    assert {file for group in KINDS.values() for file in group} == set(TABLES)


def test_synonyms_repeat_no_name_of_the_same_record() -> None:
    for file in TABLES:
        for record in records(file):
            shown = {normalise(name) for name in record.names}
            assert not shown & {normalise(name) for name in record.synonyms}, record.id
            assert normalise(record.id) in spellings(record)
