"""Signs are found in a keeper's words, taken back by a no, and never name an illness or a medicine."""

import re
import tomllib

import pytest

from lentic.catalogue.facts import CatalogueError
from lentic.catalogue.signs import URGENCIES, _sign, signs, signs_in

FOUND = [
    ("left eye shut", {"eyes_shut"}),
    ("bubbles at the nose since this morning", {"nose_bubbles"}),
    ("breathing with open mouth", {"open_mouth_breathing"}),
    ("swims lopsided", {"tilted_swimming"}),
    ("shell smells a bit, soft spot near the tail", {"soft_shell", "smelly_shell"}),
    ("pink patch on the plastron", {"red_shell"}),
    ("won't eat", {"not_eating"}),
    ("has not touched food", {"not_eating"}),
    ("strains in the sand", {"straining"}),
    ("lump behind the ear", {"ear_lump"}),
    ("lying limp in the water", {"limp_under_water", "weak"}),
    ("something pink hanging out of the vent", {"prolapse"}),
    ("bitten in the leg", {"bleeding"}),
]


@pytest.mark.parametrize(("words", "ids"), FOUND)
def test_words_are_understood(words: str, ids: set[str]) -> None:
    assert {sign.id for sign in signs_in(words)} == ids


@pytest.mark.parametrize(
    "words", ["no bubbles at the nose, eats well", "shed two clear scutes", "without any smell of the shell", ""]
)
def test_what_is_absent_or_usual_is_no_sign(words: str) -> None:
    assert signs_in(words) == ()


def test_every_sign_has_an_urgency_and_says_no_illness_and_no_medicine() -> None:
    forbidden = re.compile(r"infection|pneumonia|rot\b|antibiotic|vitamin|drug|dose|ointment|iodine|mg/", re.IGNORECASE)
    assert len(signs()) >= 18
    for sign in signs().values():
        assert sign.urgency in URGENCIES
        assert not forbidden.search(f"{sign.name} {sign.meanwhile}"), sign.id
    order = [URGENCIES.index(sign.urgency) for sign in signs().values()]
    assert order == sorted(order)


def test_a_row_that_breaks_the_rules_is_refused_by_name() -> None:
    row = tomllib.loads(
        'id = "x"\nname = "x"\nwords = ["x"]\nurgency = "soon"\nmeanwhile = ""\nhow = "verified"\nsrc = "a"'
    )
    with pytest.raises(CatalogueError, match=r"signs\.toml, x: urgency"):
        _sign(row, {"a": "A source"})
    with pytest.raises(CatalogueError, match="src a key"):
        _sign({**row, "urgency": "now"}, {})
