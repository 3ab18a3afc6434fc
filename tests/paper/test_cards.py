"""Cards on paper: printed by a real browser and counted, readable without anything else, and never two pages."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.away import Away, Course, Portion
from lentic.advice.balance import NAMES
from lentic.advice.cards.emergency import cards_for
from lentic.advice.cards.explain import Explained, Lever, Part
from lentic.advice.vet import Part as VetPart
from lentic.advice.vet import VetPage
from lentic.advice.words import Spread
from lentic.cli.main import cli
from lentic.keeper.cards import Emergencies, SitterCard, VetCard, people_of
from lentic.keeper.opening import AskError, Where, open_store
from lentic.logbook.folder import Folder
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, Tank, Turtle
from lentic.paper.pdf import PrintError, browser, fitted, pages_in, printed
from lentic.paper.render import Card, body_of, document_of

LONG = "A name that somebody thought would be a good one for a tank by the window on the second floor"
TANK = Tank(
    name=LONG, glass=Glass(water_l=1234.0, pane="acrylic"), filter=Filter(type="canister"),
    heater=Heater(watts=300.0, set_c=25.0), turtles=(Turtle(id="moss", species="Sternotherus odoratus"),),
    fish=(Fish(species="Tanichthys albonubes", count=6),), lamps=(Fixture(use="plants"),),
)  # fmt: skip
SOME = Spread(p10=12.345, p50=23.456, p90=34.567)
ENDS = dict.fromkeys(("nitrate", "ammonia", "nitrite", "oxygen_dawn", "kh", "temperature"), SOME)


def _away(days: int) -> Away:
    portions = tuple(
        Portion(day=date(2026, 5, 1 + day), bag=chr(65 + day), food="pellet_adult", grams=1.55) for day in range(days)
    )
    courses = tuple(
        Course(behaviour=name, ends=ENDS, left=(), safe_days=28)
        for name in ("as told", "three times the food", "no visit at all")
    )
    return Away(
        tank=LONG, first=date(2026, 5, 1), last=date(2026, 5, 29), days=28, change_before_l=40.0, portions=portions,
        courses=courses, evaporated_mm=SOME, evaporated_l=SOME, temperature=(22.0, 28.0), longest_d=28, unfed_d=7,
        go=True, sentence="The water allows it.", warnings=("A long warning about what is taken for granted. " * 4,),
    )  # fmt: skip


def _explained() -> Explained:
    parts = tuple(Part(name=name, mg_per_week=SOME, percent=40) for name in NAMES.values())
    return Explained(
        tank=LONG, facts=("1200 litres of water",) * 6, sentence="Of 100 parts 80 are food. " * 3, comes=parts[:3],
        goes=parts[3:], levers=(Lever(what="A fifth less food", effect="nitrate 12 instead of 20, " * 4),) * 3,
        unknown=("what the tap brings with it",) * 4, origin="Worked out from this tank's own log. " * 3,
    )  # fmt: skip


def _vet(lines: int) -> VetCard:
    part = VetPart(title="Readings", lines=tuple(f"line {n} with a reading of 12.3 mg/L" for n in range(lines)))
    page = VetPage(title=LONG, day=date(2026, 5, 1), parts=(part,) * 7)
    return VetCard(tank=LONG, pages=(page,), people={"keeper": "Ines", "keeper_phone": "0555 01"})


CARDS: dict[str, Card] = {
    "emergency": Emergencies(
        tank=LONG, cards=cards_for(TANK, {"vet": "Dr Osk, Kellgate 4, 0555 01 88 05, day and night"})
    ),
    "sitter": SitterCard(away=_away(9), tank=TANK, people={"keeper": "Ines", "vet": "0555 01 88 05"}),
    "vet": _vet(8),
    "tank": _explained(),
}


def test_there_is_a_browser_that_prints() -> None:
    assert browser(), "no chromium on the path: cards cannot be printed and counted; .ci/run installs it"


@pytest.mark.parametrize("kind", CARDS)
def test_each_card_keeps_to_its_page(kind: str) -> None:
    """Counted in the PDF of a real browser: one page, and fourteen for fourteen emergencies."""
    pdf, _ = fitted(CARDS[kind])
    assert pages_in(pdf) == (14 if kind == "emergency" else 1)


def test_what_does_not_fit_is_cut_in_a_fixed_order_and_said() -> None:
    _, left_out = fitted(_vet(9))
    assert left_out[0] == "older lines of long lists"


def test_a_card_that_cannot_fit_refuses_to_be_two() -> None:
    with pytest.raises(PrintError, match="does not fit"):
        fitted(_explained(), render=lambda html: b"/Type /Page\n/Type /Page\n/Type /Pages")


def test_without_a_browser_the_sentence_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: None)
    with pytest.raises(PrintError, match="--html"):
        printed("<p>")


@pytest.mark.parametrize("kind", CARDS)
def test_a_card_is_one_file_that_needs_nothing_else(kind: str) -> None:
    html = document_of(CARDS[kind])
    assert not re.search(r"<script|<link|<img|url\(|@import|https?://", html)
    assert html.count("<!doctype html>") == 1 and "None" not in html


def test_emergencies_are_two_actions_away() -> None:
    html = document_of(CARDS["emergency"])
    found = re.findall(r'<a href="#(\w+)">', html)
    assert len(found) == 14
    assert all(f'id="{name}"' in html for name in found)
    alone = body_of(Emergencies(tank="x", cards=cards_for(TANK, {})[:1]))
    assert "index" not in alone


def test_names_from_outside_cannot_write_html() -> None:
    tank = replace(TANK, name="<script>alert(1)</script>")
    assert "<script>" not in document_of(Emergencies(tank=tank.name, cards=cards_for(tank, {"vet": "<b>x</b>"})))


def test_numbers_to_fill_in_by_hand_are_lines_not_guesses() -> None:
    bare = SitterCard(away=_away(3), tank=TANK, people={})
    assert body_of(bare).count('class="blank"') == 4
    assert "Call the keeper" in re.sub(r"\s+", " ", body_of(bare))


def test_a_sitter_is_told_not_to_be_left_alone_with_a_tank_that_will_leave_its_limits() -> None:
    away = replace(_away(3), go=False, sentence="Do not go for 28 days like this.")
    assert "Do not go for 28 days" in body_of(SitterCard(away=away, tank=TANK, people={}))


def test_people_are_kept_in_the_store_and_strange_ones_refused(tmp_path: Path) -> None:
    clock = datetime(2026, 5, 1, 8, tzinfo=UTC)
    with open_store(tmp_path) as store:
        store.import_folder(Folder(tank=TANK, events=(), refused=()), clock)
    where = Where(name=LONG, clock=clock, home=tmp_path)
    assert people_of(where, {"vet": "0555"}) == {"vet": "0555"}
    assert people_of(where) == {"vet": "0555"}
    with pytest.raises(AskError, match="plumber"):
        people_of(where, {"plumber": "1"})


def test_the_command_prints_and_writes_emergencies(tmp_path: Path) -> None:
    loft = Path(__file__).parents[2] / "examples" / "loft-tank"
    target = tmp_path / "cards.html"
    args = [
        "card",
        "emergency",
        "--folder",
        str(loft),
        "--only",
        "power_cut",
        "--note",
        "vet=0555",
        "--html",
        str(target),
    ]
    done = CliRunner().invoke(cli, args)
    assert done.exit_code == 0, done.output
    assert "1. Note the time." in done.stdout and "0555" in target.read_text(encoding="utf-8")
    wrong = CliRunner().invoke(cli, ["card", "emergency", "--folder", str(loft), "--only", "flood"])
    assert wrong.exit_code == 2 and "There are: heater_off" in wrong.output
