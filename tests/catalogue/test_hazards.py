"""The hazard rules keep the rules of their file, and their bulk has not changed unnoticed."""

import re
from collections import Counter
from collections.abc import Mapping

import pytest

from lentic.catalogue import CatalogueError, references, turtles
from lentic.catalogue.hazards import (
    OPEN,
    SEVERITIES,
    fact_kinds,
    hazards,
    parse_fact_kinds,
    parse_hazards,
    things,
    turtle_groups,
)
from lentic.catalogue.load import read
from lentic.catalogue.names import normalise

# regressions, changed together with the data: rules, facts, things, sum of all numbers the rules compare with
RULES, FACTS, THINGS, SUM = 145, 189, 29, 1418.95


def test_the_bulk_of_the_file_is_what_it_was() -> None:
    numbers = [
        each.times if each.other else each.value
        for rule in hazards().values()
        for each in rule.comparisons
        if each.other or isinstance(each.value, float)
    ]
    assert (len(hazards()), len(fact_kinds()), len(things())) == (RULES, FACTS, THINGS)
    assert sum(each for each in numbers if isinstance(each, float)) == pytest.approx(SUM, abs=1e-6)
    assert Counter(rule.severity for rule in hazards().values()) == {"STOP": 30, "ACT": 56, "WARN": 54, "NOTE": 5}


def test_every_source_resolves() -> None:
    lost = [(rule.id, key) for rule in hazards().values() for key in rule.sources if key not in references()]
    assert lost == []


def test_every_fact_is_used_by_a_rule_and_every_word_of_an_open_list_is_said_to_be_open() -> None:
    used = {name for rule in hazards().values() for name in rule.names}
    assert set(fact_kinds()) - used <= OPEN
    assert {name for name, kind in fact_kinds().items() if kind.type == "text" and not kind.values} == OPEN


def test_a_question_is_one_short_line_and_ends_as_a_question_or_an_offer() -> None:
    for kind in fact_kinds().values():
        assert not kind.ask or (kind.ask[0].isupper() and "?" in kind.ask), kind.name
    # facts only the program itself can know are not asked about
    assert {name for name, kind in fact_kinds().items() if not kind.ask} == {
        "turtle.species", "fish.n_ratio", "plan.actions", "plan.sick_before_healthy", "session.ended",
        "advice.load_ratio",
    }  # fmt: skip


def test_every_genus_of_turtles_has_its_kind() -> None:
    assert {record.scientific.split()[0] for record in turtles().values()} <= set(turtle_groups())
    assert set(turtle_groups().values()) <= set(fact_kinds()["turtle.group"].values)


def test_a_thing_is_found_by_one_name_only() -> None:
    names = Counter(
        spelling
        for thing in things()
        for spelling in {normalise(word) for word in (thing.id, *thing.names, *thing.synonyms)}
    )
    assert [name for name, times in names.items() if times > 1] == []


# what must never stand in what a keeper reads: a verdict on law, an illness by name, a dose against illness, a make
FORBIDDEN = re.compile(
    r"\blegal|\billegal|\binfection\b|pneumonia|septic|blood poisoning|\bmg/kg\b|antibiotic|[®™©]|https?:|www\.",
    re.IGNORECASE,
)


def test_no_rule_diagnoses_doses_or_decides_on_law() -> None:
    for rule in hazards().values():
        assert not FORBIDDEN.search(f"{rule.message} {rule.instead}"), rule.id
        assert "!" not in rule.message + rule.instead, rule.id


def test_every_rule_on_health_that_presses_leads_to_a_vet_or_to_warmth() -> None:
    for rule in hazards().values():
        if rule.group == "Health" and rule.severity in ("STOP", "ACT") and rule.id not in ("HEALTH-09", "HEALTH-10"):
            assert "vet" in rule.instead.lower(), rule.id


def test_severities_are_in_order() -> None:
    assert SEVERITIES == ("STOP", "ACT", "WARN", "NOTE")
    assert hazards()["MATE-01"].rank < hazards()["MATE-03"].rank


HEAD = (
    '[sources]\nhusb = "x"\n[facts]\n"a.b" = { type = "bool", meaning = "m" }\n'
    '"a.n" = { type = "number", unit = "cm", meaning = "m" }\n'
)
RULE = (
    '[[hazard]]\nid = "X-01"\ngroup = "g"\nwhen = "w"\nwhen_all = [{ fact = "a.b", op = "==", value = true }]\n'
    'severity = "ACT"\nmessage = "m"\ninstead = "i"\nhow = "memory"\nsrc = ["husb"]\n'
    'firing_example = { "a.b" = true }\nsilent_example = { "a.b" = false }\n'
)
WRONG: Mapping[str, tuple[str, str]] = {
    "twice": (HEAD + RULE + RULE, "occurs twice"),
    "no such fact": (HEAD + RULE.replace('fact = "a.b"', 'fact = "a.c"'), "no comparison of a listed fact"),
    "operator of another type": (HEAD + RULE.replace('"=="', '"<"'), "needs an operator for a bool"),
    "value of another type": (HEAD + RULE.replace("value = true", "value = 3"), "is no value of a.b"),
    "two right sides": (HEAD + RULE.replace("value = true", 'value = true, other = "a.n"'), "either value or other"),
    "other of another type": (HEAD + RULE.replace("value = true", 'other = "a.n"'), "cannot be compared"),
    "no such source": (HEAD + RULE.replace('["husb"]', '["gone"]'), "no such source"),
    "strange severity": (HEAD + RULE.replace('"ACT"', '"PANIC"'), "severity is one of"),
    "strange example": (HEAD + RULE.replace('{ "a.b" = false }', '{ "a.z" = 1 }'), "not on the list of facts"),
    "no message": (HEAD + RULE.replace('message = "m"\n', ""), "message is missing"),
    "nothing compared": (HEAD + RULE.replace('[{ fact = "a.b", op = "==", value = true }]', "[]"), "compares nothing"),
    "strange key": (HEAD + RULE + "page = 3\n", "page"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_rule_is_refused_with_its_place(case: str) -> None:
    text, said = WRONG[case]
    with pytest.raises(CatalogueError, match=said):
        parse_hazards(read("hazards", text))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[facts]\nab = { type = "bool", meaning = "m" }\n', "a name is"),
        ('[facts]\n"a.b" = { type = "date", meaning = "m" }\n', "type of"),
        ('[facts]\n"a.b" = { type = "text", meaning = "m" }\n', "closed list"),
    ],
)
def test_a_wrong_fact_is_refused(text: str, said: str) -> None:
    with pytest.raises(CatalogueError, match=said):
        parse_fact_kinds(read("hazards", text))


def test_a_value_is_taken_only_where_it_fits() -> None:
    kinds = fact_kinds()
    assert kinds["turtle.any"].take(True) is True
    assert kinds["turtle.any"].take(1) is None
    assert kinds["turtle.scl_cm"].take(12) == 12.0
    assert kinds["turtle.scl_cm"].take(True) is None
    assert kinds["tank.pane"].take("steel") is None
    assert kinds["keeper.country"].take("NO") == "NO"
    assert kinds["home.faults"].take(["draught"]) == frozenset({"draught"})
    assert kinds["home.faults"].take(["mice"]) is None
