"""A record shown with unit, range, source and how; asked where two fit; a tank's own values win."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.record import Card, card_of, label_of
from lentic.catalogue import HOW_WORDS, Unknown, Which, plants, records, references
from lentic.catalogue.keys import KEYS, TEXT
from lentic.catalogue.load import TABLES
from lentic.cli.main import cli
from lentic.keeper.opening import AskError, Where
from lentic.keeper.whatis import what

CLOCK = datetime(2026, 5, 1, 8, tzinfo=UTC)


@pytest.mark.parametrize("file", TABLES)
def test_every_value_of_every_record_shows_how_it_is_known_and_its_source(file: str) -> None:
    for record in records(file):
        card = card_of(record)
        assert len(card.rows) == len(record.facts)
        for row in card.rows:
            assert row.value and row.label and row.origin in HOW_WORDS.values(), (record.id, row.key)
            assert row.source.startswith(references()[record.facts[row.key].source])


def test_a_number_with_a_unit_shows_it() -> None:
    bare = {"", "1", "pH", "1 to 4", "1 to 5"}
    for file in TABLES:
        for record in records(file):
            for row in card_of(record).rows:
                unit = KEYS[file].get(row.key, "UV index")
                assert bool(row.unit) == (unit != TEXT and unit not in bare), (record.id, row.key)


def test_keys_of_sources_are_spelled_out() -> None:
    for file in TABLES:
        keys = {key.partition(":")[2] for key in references() if key.startswith(f"{file}:")}
        for record in records(file):
            for row in card_of(record).rows:
                inside = {
                    part.strip() for group in re.findall(r"\(([^()]*)\)", row.value) for part in re.split("[;,]", group)
                }
                assert not inside & keys, (record.id, row.key)
    law = next(row for row in card_of(plants()["limnobium_laevigatum"]).rows if row.key == "legal")
    assert law.value.endswith("Northern Territory") and "27 July 2017" in law.source


def test_no_label_claims_what_only_an_authority_can_say() -> None:
    labels = [label_of(key) for keys in KEYS.values() for key in keys]
    assert not any("legal" in label or label == "safety" for label in labels)


def test_a_range_a_trade_name_and_the_law_note() -> None:
    card = what("yellow-bellied terrapin")
    assert isinstance(card, Card) and card.id == "trachemys_scripta"
    rows = {row.key: row for row in card.rows}
    assert (rows["water_adult_C"].value, rows["water_adult_C"].unit) == ("22 to 28", "°C")
    assert rows["water_adult_C"].origin == "common practice, no source"
    assert any("ask your authority" in remark for remark in card.remarks)


def test_two_that_fit_are_asked_about_and_none_is_said() -> None:
    assert isinstance(what("pleco"), Which)
    assert isinstance(what("qwertyuiop"), Unknown)
    assert isinstance(what("pellet", kinds=("food",)), Which)
    with pytest.raises(AskError, match="no kind"):
        what("pellet", kinds=("stone",))


def test_a_packet_of_this_tank_wins(tmp_path: Path) -> None:
    toml = 'format = "lentic-tank-1"\nname = "Shelf"\n[[food]]\nid = "pellet_adult"\nprotein = 0.31\n'
    (tmp_path / "tank.toml").write_text(toml, encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,kind,what,amount,unit,note\n", encoding="utf-8")
    card = what("adult pellet", where=Where(folder=tmp_path, clock=CLOCK))
    assert isinstance(card, Card)
    rows = {row.key: row for row in card.rows}
    assert (rows["protein_pct"].value, rows["protein_pct"].origin) == ("31", "your own value")
    assert rows["calcium_mg_100g"].origin == "common practice, no source"


def test_the_command_shows_a_record_and_leaves_with_one_on_a_question(tmp_path: Path) -> None:
    shown = CliRunner().invoke(cli, ["what", "Lemna", "minor", "--json", str(tmp_path / "card.json")])
    assert shown.exit_code == 0, shown.output
    assert "water temperature: 6 to 33 °C" in shown.output and "Sources:" in shown.output
    assert json.loads((tmp_path / "card.json").read_text(encoding="utf-8"))["id"] == "lemna_minor"
    asked = CliRunner().invoke(cli, ["what", "pleco", "--json", "-"])
    assert asked.exit_code == 1 and len(json.loads(asked.output)["candidates"]) == 2
    assert CliRunner().invoke(cli, ["what", "qwertyuiop"]).exit_code == 1
