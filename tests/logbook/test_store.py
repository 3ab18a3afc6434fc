"""The store keeps what it was given, adds nothing twice, loses nothing, and refuses to forget."""

import os
import random
import sqlite3
import subprocess
import sys
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from lentic.logbook import migrations
from lentic.logbook import store as store_module
from lentic.logbook.events import Change, Feed, Reading, Refused, Void, without_voided
from lentic.logbook.folder import Folder, read_folder, write_folder
from lentic.logbook.store import METADATA, REVISION, Store, StoreError, UnknownTankError
from lentic.logbook.tank import Glass, Plant, Tank, Turtle

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
T = datetime(2026, 3, 1, 17, 0, tzinfo=UTC)
LOFT = Tank(
    name="Loft tank",
    timezone="Europe/Oslo",
    glass=Glass(water_l=150.0),
    turtles=(Turtle(id="bramble", mass_g=520.0),),
)
FED = Feed(time=T, food="pellet_adult", grams=1.4, note='asked for "more", as ever')
TESTED = Reading(time=T, quantity="nitrate", value=9.0, unit="mg/L N", written="9 mg/L N")
CHANGED = Change(time=T + timedelta(minutes=35), litres=36.0)
SAVED = Path(__file__).parents[1] / "data" / "store"
POSTGRESQL = os.environ.get("LENTIC_TEST_PG", "")


@pytest.fixture(params=["sqlite", *(["postgresql"] if POSTGRESQL else [])])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A fresh database; on PostgreSQL a schema of its own, if the environment names a server."""
    if request.param == "sqlite":
        yield str(tmp_path / "new folder" / "logbook.db")
        return
    schema = f"test_{uuid.uuid4().hex}"
    engine = sa.create_engine(POSTGRESQL)
    with engine.begin() as connection:
        connection.execute(sa.schema.CreateSchema(schema))
    yield f"{POSTGRESQL}?options=-csearch_path%3D{schema}"
    with engine.begin() as connection:
        connection.execute(sa.schema.DropSchema(schema, cascade=True))
    engine.dispose()


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    """A new store in that place."""
    with Store.open(place) as opened:
        yield opened


def test_what_goes_in_comes_out_after_closing(place: str) -> None:
    """What goes in comes out after closing."""
    with Store.open(place) as store:
        store.save_tank(LOFT, NOW)
        assert store.append(LOFT.name, [CHANGED, TESTED, FED], NOW) == 3
    with Store.open(place) as store:
        assert store.tanks() == ("Loft tank",)
        tank, events = store.read("Loft tank")
    assert tank == LOFT
    assert events == (TESTED, FED, CHANGED)
    assert all(event.time.tzinfo is UTC for event in events)


def test_a_moment_in_another_zone_comes_back_as_the_same_moment(store: Store) -> None:
    """A moment in another zone comes back as the same moment."""
    store.save_tank(LOFT, NOW)
    east = T.astimezone(timezone(timedelta(hours=9)))
    store.append(LOFT.name, [Change(time=east, litres=1.0)], NOW)
    assert store.read(LOFT.name)[1][0].time == T


def test_a_naive_time_is_a_bug_and_nothing_of_the_batch_is_kept(store: Store) -> None:
    """A naive time is a bug and nothing of the batch is kept."""
    store.save_tank(LOFT, NOW)
    naive = Change(time=T.replace(tzinfo=None), litres=1.0)
    with pytest.raises(Exception, match="without a zone"):
        store.append(LOFT.name, [FED, naive], NOW)
    assert store.read(LOFT.name)[1] == ()


def test_the_same_folder_twice_adds_nothing(store: Store) -> None:
    """The same folder twice adds nothing."""
    folder = Folder(
        tank=LOFT, events=(FED, FED, CHANGED), refused=(Refused(time=T, text="2026-03-01,fed,pellet,1,g,"),)
    )
    first = store.import_folder(folder, NOW)
    assert (first.added, first.already, first.refused, first.described) == (3, 0, 1, True)
    moved = Folder(
        tank=LOFT, events=folder.events, refused=(Refused(time=NOW, text="2026-03-01,fed,pellet,1,g,"),)
    )
    again = store.import_folder(moved, NOW + timedelta(days=1))
    assert (again.added, again.already, again.refused, again.described) == (0, 3, 0, False)
    assert store.read(LOFT.name)[1] == (FED, FED, CHANGED)
    assert len(store.descriptions(LOFT.name)) == 1
    assert [line.text for line in store.refused(LOFT.name)] == ["2026-03-01,fed,pellet,1,g,"]


def test_an_import_adds_only_what_is_new_and_counts_what_the_folder_lacks(store: Store) -> None:
    """An import adds only what is new and counts what the folder lacks."""
    store.save_tank(LOFT, NOW)
    store.append(LOFT.name, [FED, TESTED], NOW)
    report = store.import_folder(Folder(tank=LOFT, events=(FED, CHANGED)), NOW)
    assert (report.added, report.already, report.absent) == (1, 1, 1)
    assert len(store.read(LOFT.name)[1]) == 3


def test_a_line_read_under_another_assumption_is_not_new(store: Store) -> None:
    """A line read under another assumption is not new."""
    drops = Reading(time=T, quantity="kh", value=2.1, unit="meq/L", written="6 drops")
    other = Reading(time=T, quantity="kh", value=1.2, unit="meq/L", written="6 drops")
    store.import_folder(Folder(tank=LOFT, events=(drops,)), NOW)
    assert store.import_folder(Folder(tank=LOFT, events=(other,)), NOW).added == 0


def test_a_folder_survives_the_way_through_the_store(store: Store, tmp_path: Path) -> None:
    """A folder survives the way through the store."""
    bad = Refused(time=T, text='2026-03-01T10:00,fed,"a, b",1,g,')
    store.import_folder(Folder(tank=LOFT, events=(FED, TESTED, CHANGED), refused=(bad,)), NOW)
    write_folder(store.export_folder(LOFT.name), tmp_path)
    back = read_folder(tmp_path)
    assert back.tank == LOFT
    assert set(back.events) == {FED, TESTED, CHANGED}
    assert [line.text for line in back.refused] == [bad.text]


def test_descriptions_are_versions_and_the_newest_counts(store: Store) -> None:
    """Descriptions are versions and the newest counts."""
    assert store.save_tank(LOFT, NOW)
    assert not store.save_tank(LOFT, NOW)
    planted = Tank(name=LOFT.name, plants=(Plant(species="Ceratophyllum demersum", wet_g=300.0),))
    assert store.save_tank(planted, NOW + timedelta(days=1))
    assert store.read(LOFT.name)[0] == planted
    assert store.descriptions(LOFT.name) == ((NOW, LOFT), (NOW + timedelta(days=1), planted))


def test_a_void_is_kept_beside_what_it_takes_back(store: Store) -> None:
    """A void is kept beside what it takes back."""
    store.save_tank(LOFT, NOW)
    store.append(LOFT.name, [CHANGED], NOW)
    void = Void(time=NOW, of_time=CHANGED.time, of_kind="change")
    store.append(LOFT.name, [void], NOW)
    events = store.read(LOFT.name)[1]
    assert events == (CHANGED, void)
    assert without_voided(events) == ()


def test_an_unknown_tank_is_told_with_the_known_ones(store: Store) -> None:
    """An unknown tank is told with the known ones."""
    with pytest.raises(UnknownTankError, match="import one first"):
        store.read("Loft")
    store.save_tank(LOFT, NOW)
    with pytest.raises(UnknownTankError, match="Known are: Loft tank"):
        store.append("Loft", [FED], NOW)
    with pytest.raises(StoreError, match=r"no readable tank\.toml"):
        store.import_folder(Folder(tank=None, events=(FED,)), NOW)


@pytest.mark.parametrize(
    "deed", ["UPDATE events SET note = 'x'", "DELETE FROM events", "DELETE FROM descriptions"]
)
def test_the_database_itself_refuses_to_change_or_forget(place: str, deed: str) -> None:
    """The database itself refuses to change or forget."""
    with Store.open(place) as store:
        store.save_tank(LOFT, NOW)
        store.append(LOFT.name, [FED], NOW)
        engine = sa.create_engine(place if "://" in place else f"sqlite:///{place}")
        with pytest.raises(sa.exc.DBAPIError, match="only ever added to"), engine.begin() as connection:
            connection.execute(sa.text(deed))
        engine.dispose()
        assert store.read(LOFT.name) == (LOFT, (FED,))


def test_answers_are_kept_replaced_and_forgotten(store: Store) -> None:
    """Answers are kept replaced and forgotten."""
    assert store.cached("forecast") is None
    store.keep("forecast", b"one", NOW)
    store.keep("forecast", b"two", NOW + timedelta(days=1))
    assert store.cached("forecast") == b"two"
    assert store.forget(NOW + timedelta(hours=1)) == 0
    assert store.forget(NOW + timedelta(days=2)) == 1
    assert store.cached("forecast") is None


def test_the_schema_in_code_is_the_schema_of_the_migrations(place: str) -> None:
    """The schema in code is the schema of the migrations."""
    assert ScriptDirectory.from_config(migrations.config()).get_current_head() == REVISION
    Store.open(place).close()
    engine = sa.create_engine(place if "://" in place else f"sqlite:///{place}")
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    engine.dispose()


def saved(tmp_path: Path, revision: str) -> Path:
    """A database as an older program left it."""
    file = tmp_path / "logbook.db"
    connection = sqlite3.connect(file)
    connection.executescript((SAVED / f"revision_{revision}.sql").read_text("utf-8"))
    connection.close()
    return file


def test_a_saved_database_of_revision_1_opens_with_everything_in_it(tmp_path: Path) -> None:
    """A saved database of revision 1 opens with everything in it."""
    file = saved(tmp_path, "0001")
    with Store.open(file) as store:
        tank, events = store.read("Loft tank")
        assert tank.turtles[0].id == "bramble"
        assert [event.kind for event in events] == ["feed", "change", "void"]
        assert len(store.refused("Loft tank")) == 1
        store.keep("key", b"answer", NOW)
    before = sqlite3.connect(tmp_path / "logbook.db.revision-0001")
    assert before.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
    assert before.execute("SELECT count(*) FROM events").fetchone() == (4,)
    before.close()


def test_a_migration_that_fails_leaves_the_database_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A migration that fails leaves the database as it was."""
    file = saved(tmp_path, "0001")
    upgrade = migrations.upgrade

    def fails(connection: sa.Connection) -> None:
        upgrade(connection)
        raise RuntimeError("power cut")

    monkeypatch.setattr(migrations, "upgrade", fails)
    with pytest.raises(RuntimeError, match="power cut"):
        Store.open(file)
    after = sqlite3.connect(file)
    assert after.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
    assert after.execute("SELECT count(*) FROM sqlite_master WHERE name = 'answers'").fetchone() == (0,)
    after.close()
    monkeypatch.undo()
    with Store.open(file) as store:
        assert len(store.read("Loft tank")[1]) == 3


def test_broken_links_stop_a_migration(tmp_path: Path) -> None:
    """Broken links stop a migration."""
    file = saved(tmp_path, "0001")
    connection = sqlite3.connect(file)
    connection.execute("DELETE FROM tanks")
    connection.commit()
    connection.close()
    with pytest.raises(StoreError, match="would break 5 links"):
        Store.open(file)


def test_files_that_are_no_logbook_are_told_apart(tmp_path: Path) -> None:
    """Files that are no logbook are told apart."""
    text = tmp_path / "letter.txt"
    text.write_text("Dear aunt, the turtle is well. " * 400)
    with pytest.raises(StoreError, match="It is no logbook"):
        Store.open(text)
    other = sqlite3.connect(tmp_path / "music.db")
    other.execute("CREATE TABLE songs (name)")
    other.close()
    with pytest.raises(StoreError, match="another program"):
        Store.open(tmp_path / "music.db")
    newer = saved(tmp_path, "0001")
    connection = sqlite3.connect(newer)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    with pytest.raises(StoreError, match="newer version"):
        Store.open(newer)


def test_two_open_stores_see_each_other(place: str) -> None:
    """A page and a command line may be open on the same logbook."""
    with Store.open(place) as page, Store.open(place) as command:
        page.save_tank(LOFT, NOW)
        command.append(LOFT.name, [FED], NOW)
        page.append(LOFT.name, [CHANGED], NOW)
        assert command.read(LOFT.name) == page.read(LOFT.name) == (LOFT, (FED, CHANGED))


def test_a_logbook_that_another_program_holds_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The keeper can read on and is told what to do; nothing is half written."""
    monkeypatch.setattr(store_module, "WAIT_FOR_LOCK_MS", 1)
    file = tmp_path / "logbook.db"
    with Store.open(file) as store:
        store.save_tank(LOFT, NOW)
        other = sqlite3.connect(file, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="Another program is writing; try again"):
            store.append(LOFT.name, [FED], NOW)
        assert store.read(LOFT.name) == (LOFT, ())
        other.execute("ROLLBACK")
        other.close()
        assert store.append(LOFT.name, [FED], NOW) == 1


def test_alembic_is_not_loaded_when_the_schema_is_up_to_date(tmp_path: Path) -> None:
    """Alembic is not loaded when the schema is up to date."""
    file = tmp_path / "logbook.db"
    Store.open(file).close()
    code = (
        "import sys; from lentic.logbook.store import Store; Store.open(sys.argv[1]).close();"
        "sys.exit('alembic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code, str(file)], check=False).returncode == 0


def test_three_years_of_log_go_in_and_out_unchanged(store: Store) -> None:
    """Some 4400 events, written in one batch and read back equal."""
    store.save_tank(LOFT, NOW)
    events = [
        Feed(time=T + timedelta(hours=6 * hour), food="pellet_adult", grams=1.0) for hour in range(4400)
    ]
    store.append(LOFT.name, events, NOW)
    assert store.read(LOFT.name)[1] == tuple(events)


WRITER = """
import sys
from datetime import UTC, datetime, timedelta
from lentic.logbook.events import Feed
from lentic.logbook.store import Store

start = datetime(2026, 1, 1, tzinfo=UTC)
store = Store.open(sys.argv[1])
for batch in range(10_000):
    name = f"{sys.argv[2]}-{batch}"
    events = [Feed(time=start + timedelta(minutes=n), food="pellet", grams=1.0, note=name) for n in range(40)]
    store.append("Loft tank", events, start)
    print(name, flush=True)
"""


def test_a_killed_writer_leaves_every_batch_whole_or_absent(tmp_path: Path) -> None:
    """A process that appends without pause is killed ten times at moments drawn by chance."""
    file = tmp_path / "logbook.db"
    with Store.open(file) as store:
        store.save_tank(LOFT, NOW)
    chance = random.Random(20260301)
    promised: set[str] = set()
    for run in range(10):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(file), str(run)], stdout=subprocess.PIPE, text=True
        )
        assert child.stdout is not None
        promised.update(child.stdout.readline().strip() for _ in range(chance.randint(1, 6)))
        with pytest.raises(subprocess.TimeoutExpired):
            child.wait(timeout=chance.uniform(0.0, 0.02))
        child.kill()
        promised.update(child.stdout.read().split())
        child.wait()
        child.stdout.close()
        check = sqlite3.connect(file)
        assert check.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        check.close()
    with Store.open(file) as store:
        events = store.read("Loft tank")[1]
    sizes: dict[str, int] = {}
    for event in events:
        sizes[event.note] = sizes.get(event.note, 0) + 1
    assert set(sizes.values()) == {40}
    assert promised <= set(sizes)
