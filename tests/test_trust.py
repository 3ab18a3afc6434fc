"""The page of published checks is what the tests say today."""

import importlib.util
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_page_is_up_to_date() -> None:
    """Run `make numbers` after a relation, a row or a source was changed."""
    spec = importlib.util.spec_from_file_location("make_trust", ROOT / "docs" / "make_trust.py")
    assert spec is not None and spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = script  # a dataclass looks its own module up
    spec.loader.exec_module(script)
    written = (ROOT / "docs" / "trust.md").read_text(encoding="utf-8")
    assert script.page() == written, "docs/trust.md is older than the code: run `make numbers`"


def test_nothing_published_is_missed_by_its_own_tolerance() -> None:
    """The page shows no deviation above its tolerance, and names the rows that are left out with a reason."""
    text = (ROOT / "docs" / "trust.md").read_text(encoding="utf-8")
    rows = [line.split("|") for line in text.splitlines() if line.startswith("| `") and line.count("|") == 6]
    assert len(rows) > 100
    assert all(cells[3].strip().startswith("under") or float(cells[3]) <= 1.0 for cells in rows)
    assert "Rows that are not compared, and why" in text and "memory or common practice alone" in text
