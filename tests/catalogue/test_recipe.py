"""The recipes for new records work as they are written."""

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from lentic.catalogue import Food, Found, Which, find_among, records
from lentic.catalogue.load import TABLES, parse_records, read

RECIPE = (Path(__file__).parents[2] / "docs" / "recipes" / "add-a-food.md").read_text(encoding="utf-8")
HELD = (files("lentic.catalogue") / "data" / "foods.toml").read_text(encoding="utf-8")


def block() -> str:
    found = re.search(r"```toml\n(.*?)```", RECIPE, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_block_added_at_the_end_of_the_file_is_found_by_every_name() -> None:
    document = read("foods", f"{HELD}\n{block()}")
    pool = parse_records("foods", document)
    assert len(pool) == len(records("foods")) + 1
    for name in ("okra", "Okra pod", "lady’s fingers", "abelmoschus esculentus"):
        food = find_among(pool, name)
        assert isinstance(food, Found) and isinstance(food.record, Food) and food.record.id == "okra"
    asked = find_among(pool, "okre")
    assert isinstance(asked, Which) and asked.candidates[0].id == "okra"
    assert find_among(records("foods"), "okra") is None


def test_the_block_keeps_the_rules_of_the_file() -> None:
    (food,) = parse_records("foods", read("foods", block()))
    assert isinstance(food, Food)
    sources = tomllib.loads(HELD)["sources"]
    assert all(fact.source.removeprefix("foods:") in sources for fact in food.facts.values())
    assert food.nitrogen is not None and food.carbohydrate is not None
    assert food.facts["N_mg_per_g"].middle == pytest.approx(1000 * food.nitrogen.middle, abs=0.005)
    # what water, protein, fat and ash of the block leave
    assert food.carbohydrate.middle == pytest.approx(1 - 0.896 - 0.0193 - 0.0019 - 0.0086)


def test_every_file_the_recipe_names_exists() -> None:
    root = Path(__file__).parents[2]
    named = re.findall(r"`((?:src|tests)/[\w/.]+)`", RECIPE)
    assert len(named) >= 4
    assert [name for name in named if not (root / name).is_file()] == []


GENERAL = (Path(__file__).parents[2] / "docs" / "recipes" / "add-a-record.md").read_text(encoding="utf-8")
BLOCKS = {found[1]: found[0] for found in re.findall(r"```toml\n(\[\[(\w+)\]\]\n.*?)```", GENERAL, re.DOTALL)}


@pytest.mark.parametrize("file", TABLES)
def test_a_record_added_to_each_table_is_read_found_and_sourced(file: str) -> None:
    held = (files("lentic.catalogue") / "data" / f"{file}.toml").read_text(encoding="utf-8")
    added = parse_records(file, read(file, f"{held}\n{BLOCKS[TABLES[file]]}"))
    new = added[-1]
    assert len(added) == len(records(file)) + 1
    for name in (new.id, *new.names, *new.synonyms):
        answer = find_among(added, name)
        assert isinstance(answer, Found) and answer.record is new, name
    sources = {f"{file}:{key}" for key in tomllib.loads(held)["sources"]}
    assert new.facts and all(fact.source in sources for fact in new.facts.values())


def test_the_general_recipe_has_one_block_a_table() -> None:
    assert set(BLOCKS) == set(TABLES.values())
