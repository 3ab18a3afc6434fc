"""A keeper's word finds its record, or brings back a question; it is never guessed."""

from random import Random

import pytest

from lentic.catalogue import (
    CatalogueError,
    Found,
    Record,
    Unknown,
    Which,
    find,
    find_among,
    normalise,
    records,
    resolve,
)
from lentic.catalogue.load import TABLES
from lentic.catalogue.names import ALL_KINDS, KINDS, OFFERED, spellings

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
    assert isinstance(asked, Which)
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
    assert isinstance(asked, Which)
    assert MISSPELT[kind, name] in {record.id for record in asked.candidates}
    assert len(asked.candidates) <= OFFERED


def test_a_word_out_of_a_longer_name_is_asked_about() -> None:
    asked = resolve("food", "lettuce leaf red")
    assert isinstance(asked, Which) and [record.id for record in asked.candidates] == ["red_leaf"]


@pytest.mark.parametrize("name", ["", "  ", "!?", "qwertyuiop"])
def test_nothing_like_it_is_none(name: str) -> None:
    assert resolve("food", name) is None


def test_an_unknown_kind_is_a_bug_of_the_caller() -> None:
    with pytest.raises(CatalogueError, match="not a kind of the catalogue"):
        resolve("stone", "granite")


def test_normalising_forgets_case_accents_and_punctuation() -> None:
    assert normalise("Évêque's  MOSS-ball_(Größe)") == "eveques moss ball grosse"


def found(pool: tuple[Record, ...], name: str) -> Record | None:
    answer = find_among(pool, name)
    return answer.record if isinstance(answer, Found) else None


@pytest.mark.parametrize("file", TABLES)
def test_every_record_is_found_by_its_id_and_its_scientific_name(file: str) -> None:
    pool = records(file)
    for record in pool:
        assert found(pool, record.id) is record
        assert not record.scientific or found(pool, record.scientific) is record
        assert found(pool, record.name) is record


def test_every_file_can_be_asked_for() -> None:
    assert {file for group in KINDS.values() for file in group} == set(TABLES)


def test_synonyms_repeat_no_name_of_the_same_record() -> None:
    for file in TABLES:
        for record in records(file):
            shown = {normalise(name) for name in record.names}
            assert not shown & {normalise(name) for name in record.synonyms}, record.id
            assert normalise(record.id) in spellings(record)


ANYWHERE = {
    "red-eared terrapin": "trachemys_scripta",
    "Red eared sliders": "trachemys_scripta",
    "guppies": "poecilia_reticulata",
    "common pleco": "pterygoplichthys",
    "Eichhornia": "pontederia_crassipes",
    "golden pothos": "epipremnum_aureum",
    "filter wool": "floss",
    "coil UVB": "compact_uvb",
    "bok choy": "pak_choi",
    "whitebait": "smelt_raw",
}


@pytest.mark.parametrize("name", ANYWHERE)
def test_a_trade_name_is_found_in_whichever_table_it_stands(name: str) -> None:
    answer = find(name)
    assert isinstance(answer, Found) and answer.record.id == ANYWHERE[name]


# words of the trade for several kinds: job descriptions of the trade list them as words not to use alone
SEVERAL = {
    "terrapin": {"trachemys_scripta", "malaclemys_terrapin", "emys_orbicularis"},
    "slider": {"trachemys_scripta", "pseudemys_concinna", "pseudemys_nelsoni"},
    "water turtle": {"trachemys_scripta", "pseudemys_concinna"},
    "pleco": {"pterygoplichthys", "ancistrus"},
    "algae eater": {"gyrinocheilus", "crossocheilus", "otocinclus"},
    "crayfish": {"procambarus", "crayfish_raw"},
    "shrimp": {"neocaridina", "shrimp_raw"},
    "snail": {"planorbella", "snail_raw"},
    "carbon": {"activated_carbon", "carbon"},
    "water conditioner": {"thiosulfate", "hydroxymethanesulfonate"},
    "UVB tube": {"t5_uvb_6", "t8_uvb"},
}


@pytest.mark.parametrize("name", SEVERAL)
def test_a_word_for_several_things_is_asked_about_across_the_tables(name: str) -> None:
    answer = find(name)
    assert isinstance(answer, Which)
    assert {record.id for record in answer.candidates} >= SEVERAL[name]
    assert answer.question.endswith("which one?")


def test_one_likely_spelling_is_asked_about_by_name() -> None:
    answer = find("hornwart")
    assert isinstance(answer, Which) and "Is hornwort (ceratophyllum_demersum) meant?" in answer.question


def test_a_name_like_none_says_where_it_was_sought() -> None:
    everywhere, among = find("qwertyuiop"), find("qwertyuiop", ("food", "plant"))
    assert isinstance(everywhere, Unknown) and "no name of the catalogue" in everywhere.sentence
    assert isinstance(among, Unknown) and "no name of food or plant" in among.sentence


def test_the_kinds_of_a_whole_search_cover_each_table_once() -> None:
    assert sorted(file for kind in ALL_KINDS for file in KINDS[kind]) == sorted(TABLES)


def slipped(name: str, rng: Random) -> str:
    """Drop, double, swap or replace one letter of a name."""
    place = rng.randrange(1, len(name) - 1)
    match rng.randrange(4):
        case 0:
            return name[:place] + name[place + 1 :]
        case 1:
            return name[:place] + name[place] + name[place:]
        case 2:
            return name[:place] + name[place + 1] + name[place] + name[place + 2 :]
        case _:
            return name[:place] + rng.choice("aeioulrnst") + name[place + 1 :]


def test_seeded_slips_of_the_pen_lead_back_to_the_record_and_never_to_another() -> None:
    rng = Random(7)
    asked, right, wrong = 0, 0, []
    for file in TABLES:
        for record in records(file):
            for name in (record.name, record.scientific):
                if len(name) < 6 or rng.random() < 0.5:
                    continue
                typed = slipped(name, rng)
                answer = find(typed)
                asked += 1
                if isinstance(answer, Found):
                    right += answer.record is record
                    wrong += [] if answer.record is record else [typed]
                elif isinstance(answer, Which):
                    right += any(each is record for each in answer.candidates)
    assert asked > 100 and wrong == []
    assert right / asked >= 0.97
