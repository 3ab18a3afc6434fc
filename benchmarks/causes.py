"""How often the cause of a trouble is found on a bank of invented tanks: `python benchmarks/causes.py BANK [--rerun]`.

The bank comes from `python examples/make_bank.py BANK`; cause.json is read here only, after the answer was given. With
`--rerun` every tank is fitted and lived through again without each suspected cause, as the program does when asked:
about four minutes. Without it the log alone is weighed.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path

from lentic.advice.causes import SUBJECTS, Causes
from lentic.keeper.opening import NotYet, open_folder
from lentic.keeper.reasons import causes_in


@dataclass(frozen=True, kw_only=True)
class Row:
    """One tank of the bank and what was said of it."""

    tank: str
    truth: str
    said: tuple[str, ...]
    chances: tuple[float, ...]

    @property
    def right(self) -> bool:
        """Whether the true cause is among the first two, or nothing was found where nothing was."""
        return not self.said if self.truth == "none" else self.truth in self.said[:2]


def evaluate(bank: Path, of: str = "algae", rerun: bool = False) -> list[Row]:
    """Return what was said of a trouble in every tank of a bank."""
    rows = []
    for folder in sorted(path for path in bank.iterdir() if (path / "cause.json").is_file()):
        opened = open_folder(folder)
        found: Causes | None = None if isinstance(opened, NotYet) else causes_in(opened, of, rerun=rerun)
        truth = json.loads((folder / "cause.json").read_text(encoding="utf-8"))["cause"]
        causes = found.causes if found else ()
        rows.append(
            Row(
                tank=folder.name,
                truth=truth,
                said=tuple(c.cause for c in causes),
                chances=tuple(c.chance for c in causes),
            )
        )
    return rows


def others(bank: Path, of: str) -> list[Row]:
    """Return what was said of a trouble that a bank of algae shows beside, where it shows at all."""
    return [row for row in evaluate(bank, of) if row.said and row.truth != "none"]


def main() -> None:
    """Print one line a tank and the shares."""
    bank = Path(sys.argv[1])
    rows = evaluate(bank, rerun="--rerun" in sys.argv[2:])
    for row in rows:
        said = (
            ", ".join(f"{c} {p:.2f}" for c, p in zip(row.said[:3], row.chances[:3], strict=True))
            or "nothing to explain"
        )
        print(f"{row.tank} {'ok  ' if row.right else 'MISS'} {row.truth:<12} {said}")
    real = [row for row in rows if row.truth != "none"]
    none = [row for row in rows if row.truth == "none"]
    first = sum(r.said[:1] == (r.truth,) for r in real)
    print(f"top one {first}/{len(real)}, top two {sum(r.right for r in real)}/{len(real)}")
    print(f"nothing to explain recognised {sum(r.right for r in none)}/{len(none)}")
    for of in [subject for subject in SUBJECTS if subject != "algae"]:
        found = others(bank, of)
        print(f"{of}, where it shows, by the log alone: top two {sum(r.right for r in found)}/{len(found)}")


if __name__ == "__main__":
    main()
