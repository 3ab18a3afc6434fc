"""The catalogue files keep their own rules, and their bulk has not changed unnoticed."""

import hashlib
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from importlib.resources import files

import pytest

from lentic.catalogue import (
    HOW,
    CatalogueError,
    Fact,
    common,
    laboratory_space,
    plant_classes,
    records,
    references,
)
from lentic.catalogue.keys import KEYS, UVI_AT
from lentic.catalogue.load import CLASSES, TABLES, parse_fact, parse_records, read

# file: records, facts, sum over all numbers (middles of ranges); regressions, changed together with the data
CHECKSUMS = {
    "foods": (40, 574, 43193.12),
    "plants": (32, 418, 2036.1625),
    "turtles": (29, 491, 56321.2762),
    "tankmates": (36, 360, 2021.25),
    "filter_media": (14, 53, 20668.0655),
    "lamps": (13, 73, 112341.1),
    "conditioners": (10, 54, 17.7),
}

# file: first digits of the SHA-256 of everything it says, words, notes and sources included; a change of a single
# letter shows; regressions like the above
DIGESTS = {
    "foods": "2e4d7a2ca5a9",
    "plants": "c1edf4cdc015",
    "turtles": "4530ab89ca61",
    "tankmates": "166c95e82c9d",
    "filter_media": "d171b8c7f8d9",
    "lamps": "2f820f5e220f",
    "conditioners": "5577f7a82520",
    "plant_classes": "b21f339d5035",
}

# column sums of the numbers the water balance rests on; regressions like the above
COLUMNS = {
    ("foods", "moisture_pct"): 2946.25,
    ("foods", "protein_pct"): 503.41,
    ("foods", "fat_pct"): 174.16,
    ("foods", "ash_pct"): 102.68,
    ("foods", "phosphorus_mg_100g"): 9983.0,
    ("plants", "dry_fraction"): 2.33,
    ("plants", "tissue_N_pct_dw"): 85.0,
    ("plants", "tissue_P_pct_dw"): 12.735,
}

ENUMERATIONS: Mapping[tuple[str, str], set[object]] = {
    ("turtles", "uvb_zone"): {1.0, 2.0, 3.0, 4.0},
    ("turtles", "swimmer"): {"weak", "weak to moderate", "moderate", "good", "strong", "weak for its size"},
    ("plants", "survives_turtle"): {1.0, 2.0, 3.0, 4.0, 5.0},
    ("plants", "growth_class"): {"fast_stem", "medium_stem", "ribbon", "floater", "emersed", "slow"},
    ("plants", "palatability"): {"low", "low to medium", "medium", "high", "very high"},
    ("tankmates", "kind"): {"fish", "snail", "shrimp", "crayfish", "mussel"},
    ("foods", "kind"): {"complete", "complete if formulated", "animal", "plant", "fruit"},
    ("foods", "oxalate"): {"low", "medium", "high"},
}


def every_fact() -> Iterator[tuple[str, Fact]]:
    for file in TABLES:
        for record in records(file):
            yield from ((f"{file}.{record.id}.{key}", fact) for key, fact in record.facts.items())
        yield from ((f"{file}.common.{key}", fact) for key, fact in common(file).items())
    for plant in plant_classes().values():
        yield from ((f"{CLASSES}.{plant.id}.{key}", fact) for key, fact in plant.facts.items())
    for step in laboratory_space():
        yield from ((f"laboratory_space.{step.id}.{key}", fact) for key, fact in step.facts.items())


def test_every_source_resolves_and_every_how_is_known() -> None:
    wrong = [where for where, fact in every_fact() if fact.how not in HOW or fact.source not in references()]
    assert wrong == []


def test_no_source_is_empty() -> None:
    assert [key for key, text in references().items() if len(text.strip()) < 8] == []


@pytest.mark.parametrize("file", TABLES)
def test_the_bulk_of_a_file_is_what_it_was(file: str) -> None:
    held = records(file)
    facts = [fact for record in held for fact in record.facts.values()]
    total = sum(fact.middle for fact in facts if fact.is_number)
    rows, count, checksum = CHECKSUMS[file]
    assert (len(held), len(facts)) == (rows, count)
    assert total == pytest.approx(checksum, abs=1e-3)


@pytest.mark.parametrize("file", DIGESTS)
def test_not_a_word_of_a_file_has_changed_unnoticed(file: str) -> None:
    text = (files("lentic.catalogue") / "data" / f"{file}.toml").read_text(encoding="utf-8")
    said = json.dumps(dict(read(file, text)), sort_keys=True, ensure_ascii=False)
    assert hashlib.sha256(said.encode()).hexdigest()[:12] == DIGESTS[file]


def test_every_file_has_its_digest() -> None:
    assert set(DIGESTS) == {*TABLES, CLASSES}


@pytest.mark.parametrize(("file", "key"), COLUMNS)
def test_a_column_adds_up_to_what_it_did(file: str, key: str) -> None:
    column = [fact.middle for record in records(file) if (fact := record.fact(key)) is not None]
    assert sum(column) == pytest.approx(COLUMNS[file, key], abs=1e-6)


@pytest.mark.parametrize(("file", "key"), ENUMERATIONS)
def test_a_closed_list_stays_closed(file: str, key: str) -> None:
    used: set[object] = {fact.value for record in records(file) if (fact := record.fact(key)) is not None}
    assert used <= ENUMERATIONS[file, key]


@pytest.mark.parametrize("file", TABLES)
def test_every_declared_key_is_used(file: str) -> None:
    held = (*records(file), *(laboratory_space() if file == "turtles" else ()))
    used = {key for record in held for key in record.facts} | set(common(file))
    assert set(KEYS[file]) == {key for key in used if not UVI_AT.fullmatch(key)}


@pytest.mark.parametrize("file", TABLES)
def test_ids_are_plain_and_living_things_have_a_scientific_name(file: str) -> None:
    held = records(file)
    assert all(re.fullmatch(r"[a-z0-9_]+", record.id) for record in held)
    assert [name for name, times in Counter(record.name for record in held).items() if times > 1] == []
    if file in {"plants", "turtles", "tankmates"}:
        assert all(re.match(r"[A-Z][a-z]+", record.scientific) for record in held)


def test_shares_of_a_food_never_exceed_the_whole() -> None:
    # a food table measures and rounds each share by itself: farmed trout adds up to 101.3 %
    for record in records("foods"):
        shares = [record.facts[key].bounds[0] for key in ("moisture_pct", "protein_pct", "fat_pct", "ash_pct")]
        assert sum(shares) <= 101.5, record.id


def test_no_mark_of_a_make_and_no_address_stands_in_the_files() -> None:
    for where, fact in every_fact():
        assert not re.search(r"[®™©]|https?:|www\.", f"{fact.text} {fact.note}"), where
    for key, text in references().items():
        assert not re.search(r"[®™©]|https?:|www\.", text), key


def test_no_file_speaks_in_the_first_person() -> None:
    person = re.compile(r"\bI (?:read|found|ran|recalled|used)\b|\bby me\b|\bmine\b|\bwe read\b", re.IGNORECASE)
    said = [f"{fact.text} {fact.note}" for _, fact in every_fact()] + list(references().values())
    assert [text for text in said if person.search(text)] == []


def test_no_value_decides_what_only_an_authority_can() -> None:
    said = [where for where, fact in every_fact() if re.search(r"\b(il)?legal(ly)?\b", f"{fact.text} {fact.note}")]
    assert said == []


GOOD = {"v": 1.0, "how": "memory", "src": "husb"}

WRONG: Mapping[str, tuple[object, str]] = {
    "not a table": (3.0, "write a table"),
    "value and range": ({**GOOD, "lo": 1, "hi": 2}, "either v, or lo and hi"),
    "half a range": ({"lo": 1, "how": "memory", "src": "husb"}, "either v, or lo and hi"),
    "strange key": ({**GOOD, "page": 3}, "page"),
    "strange how": ({**GOOD, "how": "guessed"}, "how must be one of"),
    "backwards": ({"lo": 2, "hi": 1, "how": "memory", "src": "husb"}, "lo 2 is above hi 1"),
    "words for a number": ({**GOOD, "v": "many"}, "does not fit the unit"),
    "nothing usable": ({**GOOD, "v": [1, 2]}, "neither a number"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_fact_is_refused_with_its_place(case: str) -> None:
    raw, message = WRONG[case]
    with pytest.raises(CatalogueError, match=message) as caught:
        parse_fact(raw, unit="%", file="foods", where="foods.toml, record x.fat_pct")
    assert "record x.fat_pct" in str(caught.value)


RECORD = '[[food]]\nid = "a"\nnames = ["a"]\n'

WRONG_FILES = {
    "no names": ('[[food]]\nid = "a"\n', "at least one name"),
    "unknown key": (RECORD + 'fibre_pct = { v = 1, how = "memory", src = "husb" }\n', "fibre_pct is not in"),
    "same id twice": (RECORD + RECORD, "occurs twice"),
}


@pytest.mark.parametrize("case", WRONG_FILES)
def test_a_wrong_record_is_refused(case: str) -> None:
    text, message = WRONG_FILES[case]
    with pytest.raises(CatalogueError, match=message):
        parse_records("foods", read("foods", text))


def test_a_file_that_does_not_parse_is_named() -> None:
    with pytest.raises(CatalogueError, match=r"foods\.toml cannot be read"):
        read("foods", "[[food")


def test_a_plant_without_growth_class_is_refused() -> None:
    with pytest.raises(CatalogueError, match="needs its growth_class"):
        parse_records("plants", read("plants", '[[plant]]\nid = "a"\nnames = ["a"]\n'))
