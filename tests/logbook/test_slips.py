"""Slips that need the lines around them, or the tank, to be told apart."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from lentic.logbook.events import Change, Event, Reading, Refused
from lentic.logbook.folder import Folder, read_events, write_folder
from lentic.logbook.log_file import Log
from lentic.logbook.rows import write_row
from lentic.logbook.tank import Tank, Turtle
from lentic.logbook.tank_file import read_tank

HEADER = "time,kind,what,amount,unit,note\n"
TANK = Tank(name="Bay", timezone="America/Chicago", turtles=(Turtle(id="bramble"), Turtle(id="fern")))


def log(*lines: str, tank: Tank | None = TANK) -> Log:
    """Read lines a day apart."""
    return read_events(
        HEADER + "".join(f"2026-03-{day:02}T18:00,{line}\n" for day, line in enumerate(lines, 1)), tank
    )


def only(read: Log) -> str:
    """Return the one problem as severity and sentence."""
    (problem,) = read.problems
    return f"{problem.severity}: {problem.message} {problem.remedy}"


def test_fahrenheit_written_as_celsius_is_refused_with_the_keepers_own_unit() -> None:
    """74 °C is no water a turtle lives in; the other lines say what may be meant, the keeper decides."""
    read = log("reading,temperature,75,°F,", "reading,temperature,74.4,°C,", "reading,temperature,76,°F,")
    assert len(read.events) == 2
    assert only(read) == (
        "refused: temperature cannot be 74.4 °C. "
        "Your other temperature lines are in °F; if this one is too, write that."
    )


def test_drops_beyond_any_water_are_in_the_keepers_other_unit() -> None:
    """140 degrees do not exist; 140 mg/L CaCO3, as on every other line, does. Asked all the same."""
    read = log("reading,kh,140,mg/L CaCO3,", "reading,kh,120,drops,")
    assert isinstance(read.events[1], Reading)
    assert read.events[1].value == pytest.approx(120 / 50.043, rel=1e-4)  # meq weight of CaCO3 by hand
    assert only(read).startswith("ask: 120 drops is beyond any water; mg/L CaCO3 is assumed")


@pytest.mark.parametrize(
    ("country", "first", "litres", "why"),
    [
        ("US", "power,on,,,", 37.85411784, "as the tank stands in the US"),
        ("US", "change,,5,imp gal,", 45.4609, "as in your other lines"),
        (None, "change,,5,US gal,", 37.85411784, "as in your other lines"),
    ],
)
def test_which_gallon(country: str | None, first: str, litres: float, why: str) -> None:
    """The keeper's other lines go before the country."""
    read = log(first, "change,,10,gal,", tank=Tank(name="Bay", timezone="America/Chicago", country=country))
    change = read.events[1]
    assert isinstance(change, Change) and change.litres == pytest.approx(litres)
    assert why in only(read)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "feed,,1,g,",
            "refused: A feed needs the id of the food. Write the id of the food in the column what.",
        ),
        (
            "rinse,,,,in tank water",
            "refused: The column what of this rinse is empty. Write one of: half, all, floss.",
        ),
        (
            "weigh,,500,g,",
            "refused: A weigh needs the id of the turtle. Write the id of the turtle in the column what.",
        ),
        ("void,31.31.2026 change,,,", "refused: '31.31.2026' is not a time. Write it as 2026-03-01T18:00."),
        (
            "leftovers,romaine,<3,g,",
            "refused: '<' stands before the amount. Only a reading may be < or >; write a number.",
        ),
        ("change,,36 L,mL,", "refused: The amount says L, the unit says mL. Write one of them."),
        (
            "reading,ammonia,0.5,mg/L NH3,",
            "ask: mg/L NH3 is read as total ammonia expressed as NH3, not as the free share. "
            "Write mg/L NH4 or mg/L N if the kit says so.",
        ),
    ],
)
def test_what_is_said(line: str, said: str) -> None:
    """One sentence on what is wrong, one on what to do."""
    assert only(log(line)) == said


def test_a_line_with_too_many_cells_where_the_note_is_not_last() -> None:
    """Nothing tells which comma is the odd one."""
    read = read_events("note,time,kind,what,amount\nslow, today,2026-03-01T18:00,siphon,,0.4\n", TANK)
    assert not read.events
    assert only(read) == "refused: The line has 6 cells, the header 5. Quote text with commas."


def test_a_spreadsheets_unicode_text() -> None:
    """Tabs, UTF-16 and decimal commas, as a spreadsheet saves Unicode text."""
    text = HEADER.replace(",", "\t") + "2026-03-01 18:00\tfeed\tpellet_adult\t1,4\tg\t\n"
    read = read_events_bytes(text.encode("utf-16"))
    assert read.events[0].kind == "feed"
    assert only(read) == "note: The file is not UTF-8; read as UTF-16. Save it as UTF-8."


def read_events_bytes(data: bytes) -> Log:
    """Read bytes as a file would be."""
    from lentic.logbook.log_file import read_log

    return read_log(data, TANK)


def test_a_plan_is_read_from_any_file(tmp_path: Path) -> None:
    """Problems name the file they stand in."""
    file = tmp_path / "plan-b.csv"
    file.write_text(HEADER + "2026-08-01T18:00,chnge,,36,L,\n", encoding="utf-8")
    assert read_events(file, TANK).problems[0].where == "plan-b.csv line 2"
    assert read_events("", TANK) == Log()


def test_a_log_without_a_tank_can_still_be_read_and_written(tmp_path: Path) -> None:
    """A broken tank.toml must not cost the log."""
    read = log("weigh,bramble,500,g,", tank=None)
    write_folder(Folder(tank=None, events=read.events), tmp_path)
    assert not (tmp_path / "tank.toml").exists()
    assert read_events(tmp_path / "log.csv", None).events == read.events


def test_a_reading_made_by_hand_is_written_in_the_unit_used_inside() -> None:
    """Without the keeper's own words there is still a line that reads back."""
    now = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
    below: Event = Reading(time=now, quantity="nitrite", value=0.05, unit="mg/L N", below=True)
    above: Event = Reading(time=now, quantity="nitrate", value=36.0, unit="mg/L N", above=True)
    assert write_row(below, TANK.zone)[1:5] == ["reading", "nitrite", "<0.05", "mg/L N"]
    assert write_row(above, TANK.zone)[1:5] == ["reading", "nitrate", ">36", "mg/L N"]
    with pytest.raises(ValueError, match="as it stood"):
        write_row(Refused(time=now, text="x"), TANK.zone)


def test_a_long_text_in_a_tank_file_does_not_shift_the_lines() -> None:
    """A key inside a text of several lines is no key."""
    text = (
        'format = "lentic-tank-1"\nname = """\nThe\nwater_l = 3"""\n\n[tank]\nwater_l = 150.0\ncolour = 1\n'
    )
    tank, problems = read_tank(text)
    assert tank is not None and tank.water_litres == 150.0
    assert [(problem.line, problem.field) for problem in problems] == [(None, "timezone"), (8, "tank.colour")]


def test_values_of_the_wrong_kind_in_a_tank_file() -> None:
    """A text that is empty, a clock in TOML's own spelling."""
    head = 'format = "lentic-tank-1"\nname = "Loft"\ntimezone = "UTC"\n[tank]\nwater_l = 9.0\n'
    tank, problems = read_tank(head + '[filter]\nmedium = ""\n[[lamp]]\nuse = "room"\non = 07:30:00\n')
    assert tank is not None and tank.filter is not None and tank.filter.medium is None
    assert [problem.line for problem in problems] == [7]
    assert tank.lamps[0].on.hour == 7
