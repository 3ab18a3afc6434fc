"""The ground the project stands on: what its documents promise is there, and what its rules forbid is not."""

import re
import subprocess
import tomllib
from importlib import import_module
from pathlib import Path
from typing import Any

import click
import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RECORDS = sorted((ROOT / "docs" / "decisions").glob("*.md"))
DOCUMENTS = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]

# In parts, so that this file does not name what it forbids.
FORBIDDEN = re.compile(
    "|".join(
        (
            "/" + "work/",
            "/" + r"home/\w",
            "/" + "root/",
            "/" + "opt/",
            r"\.\./" + "shared",
            "pypi" + r"\.",
            "files" + r"\.pythonhosted",
            "(?:extra-)?index" + "-url",
            "find" + "-links",
            "registry" + r"\.\w",
        )
    )
)


def tracked() -> list[Path]:
    """Every text file that belongs to the project, by git or, without git, by looking."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT, capture_output=True
    )
    if listed.returncode == 0:
        found = [ROOT / name for name in listed.stdout.decode().split("\0") if name]
    else:
        parts = ("src", "tests", "docs", "examples", ".ci")
        found = [path for part in parts for path in (ROOT / part).rglob("*")] + list(ROOT.glob("*.*"))
    return [path for path in found if path.is_file() and "__pycache__" not in path.parts]


def dependencies() -> list[str]:
    return [re.split(r"[<>=!~\[ ]", each)[0].lower() for each in PROJECT["project"]["dependencies"]]


def targets() -> set[str]:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    return set(re.findall(r"^([a-z]+):.*## \S", makefile, re.MULTILINE))


def test_every_make_target_that_a_document_names_exists_and_says_what_it_does() -> None:
    named = {
        word
        for path in [*DOCUMENTS, ROOT / ".ci" / "run"]
        for word in re.findall(r"(?:^|`)make ([a-z]+)\b", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert {"demo", "test", "check"} <= named
    assert named <= targets()


def test_continuous_integration_runs_the_test_command_of_the_readme_last() -> None:
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert "set -euo pipefail" in lines
    assert "make test" in README
    run = [line for line in lines if line.startswith("make ")]
    assert run == ["make lint || lint=$?", "make test"]
    assert lines[-1] == 'exit "$lint"'


def test_every_runtime_dependency_has_a_decision_record() -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in RECORDS)
    assert [name for name in dependencies() if f"`{name}`" not in text] == []


def test_no_record_explains_a_dependency_that_is_gone() -> None:
    record = (ROOT / "docs" / "decisions" / "0003-runtime-dependencies.md").read_text(encoding="utf-8")
    explained = re.findall(r"^\| `([a-z0-9-]+)` \|", record, re.MULTILINE)
    assert sorted(explained) == sorted(dependencies())


def test_every_dependency_is_pinned_and_every_pin_is_a_plain_version() -> None:
    pins = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert [pin for pin in pins if not re.fullmatch(r"[A-Za-z0-9._-]+==[\w.]+", pin)] == []
    pinned = {pin.split("==")[0].lower().replace("_", "-") for pin in pins}
    assert set(dependencies()) <= pinned
    assert "lentic" not in pinned


@pytest.mark.parametrize("record", RECORDS, ids=lambda path: path.stem)
def test_a_decision_record_is_short_and_has_its_parts(record: Path) -> None:
    text = record.read_text(encoding="utf-8")
    assert re.match(rf"# {record.stem[:4]} \S", text)
    assert re.search(r"^Status: (accepted|superseded)", text, re.MULTILINE)
    assert [part for part in ("## Context", "## Decision", "## Rejected") if part not in text] == []
    # a table of measurements may be as long as it must
    prose = [line for line in text.splitlines() if not line.startswith("|")]
    assert len(" ".join(prose).split()) <= 400


def test_every_command_is_in_the_readme_and_every_one_there_exists() -> None:
    cli = import_module("lentic.cli.main").cli
    assert isinstance(cli, click.Group)
    shown = set(re.findall(r"^\| `lentic (\w+)", README, re.MULTILINE))
    assert shown == set(cli.commands)


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_every_file_a_document_names_exists(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    linked = [each for each in re.findall(r"\]\(([^)#\s]+)\)", text) if "://" not in each]
    assert [each for each in linked if not (document.parent / each).exists()] == []
    named = re.findall(r"`((?:src|tests|examples|docs|benchmarks)/[\w./-]+)`", text)
    assert [each for each in named if not (ROOT / each).exists()] == []


def test_no_file_names_a_place_on_one_machine_or_a_registry() -> None:
    found = []
    for path in tracked():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:  # broken encodings are wanted among the test data
            continue
        found += [f"{path.relative_to(ROOT)}: {hit}" for hit in FORBIDDEN.findall(text)]
    assert found == []


def test_the_layer_contract_is_exhaustive_and_places_every_package() -> None:
    (layers,) = (c for c in PROJECT["tool"]["importlinter"]["contracts"] if c["type"] == "layers")
    placed = {name.strip() for layer in layers["layers"] for name in layer.split("|")}
    packages = {path.parent.name for path in (ROOT / "src" / "lentic").glob("*/__init__.py")}
    assert layers["exhaustive"] is True
    assert "exhaustive_ignores" not in layers and "ignore_imports" not in layers
    assert placed == packages
