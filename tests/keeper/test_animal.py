"""The record of an animal from the store, with the photos that lie beside its entries."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from lentic.keeper.animal import animal
from lentic.keeper.answers import Answer
from lentic.keeper.logbook import import_folder
from lentic.keeper.opening import AskError, NotYet, Where, open_store
from lentic.logbook.events import Weigh

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
CLOCK = datetime(2026, 4, 6, 8, tzinfo=UTC)


def test_photos_beside_weighings_stand_in_their_month(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    name = import_folder(LOFT, CLOCK).tank
    with open_store() as store:
        entry = next(each for each in store.entries(name) if isinstance(each.event, Weigh))
        store.attach(name, entry.id, "0" * 64, (1600, 1200), CLOCK)
    answer = animal(Where(name=name, clock=CLOCK), "Juniper")
    assert isinstance(answer, Answer)
    (view,) = answer.view.animals
    shown = {month.first: month.photos for month in view.shell if month.photos}
    assert len(shown) == 1
    ((day, digest),) = next(iter(shown.values()))
    assert digest == "0" * 64 and day == entry.event.time.date()


def test_a_name_nobody_has_and_a_tank_without_turtles(tmp_path: Path) -> None:
    with pytest.raises(AskError, match="There are: juniper"):
        animal(Where(folder=LOFT, clock=CLOCK), "nobody")
    (tmp_path / "tank.toml").write_text('format = "lentic-tank-1"\nname = "Shelf"\n', encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,kind,what,amount,unit,note\n", encoding="utf-8")
    answer = animal(Where(folder=tmp_path, clock=CLOCK))
    assert isinstance(answer, NotYet) and "[[turtle]]" in answer.wanted[0]
