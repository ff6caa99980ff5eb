"""One writer, whole transactions, and the tables as the migrations make them."""

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from fastapi.testclient import TestClient
from sqlalchemy import text
from sqlmodel import Session, SQLModel, select

from app.core.errors import RefusedError
from app.main import create_app
from app.settings import Settings
from app.store import devices, instruments, log
from app.store.database import Database, has_wal_fault
from app.store.migrate import config_for, migrate_database
from app.store.openings import openings_of
from app.store.summary_tables import Summary
from app.store.tables import Assigned, Job, Person
from tests.store.events import tick
from tests.store.tables_kept import upgrade_for_real


@pytest.mark.sqlite
def test_models_and_migrations_agree(database: Database) -> None:
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, SQLModel.metadata) == []


def contents_of(path: Path) -> tuple[list[object], list[str]]:
    """Return what a database is made of, in order, and all that stands in it."""
    with sqlite3.connect(path) as plain:
        made_of = plain.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
        return sorted(made_of), sorted(plain.iterdump())


def test_tables_that_are_copied_are_those_of_the_migrations(tmp_path: Path) -> None:
    copied, migrated = Database(tmp_path / "copied.db"), Database(tmp_path / "migrated.db")
    migrate_database(copied)
    with migrated.writing.begin() as connection:
        upgrade_for_real(config_for(connection), "head")
    copied.close()
    migrated.close()
    assert len(contents_of(copied.path)[0]) > 40
    assert contents_of(copied.path) == contents_of(migrated.path)


def test_migrating_twice_changes_nothing(database: Database) -> None:
    migrate_database(database)
    with database.read() as session:
        assert session.get_one(Person, "inga").name == "Inga"


@pytest.mark.sqlite
@pytest.mark.parametrize(
    ("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)]
)
def test_connections_are_safe(database: Database, pragma: str, value: object) -> None:
    with database.read() as session:
        assert session.execute(text("PRAGMA " + pragma)).scalar() == value


def test_second_process_is_refused(database: Database) -> None:
    with pytest.raises(RefusedError) as refused:
        Database(database.path)  # the folder, whatever holds the tables
    assert refused.value.code == "database-in-use"


def test_database_is_free_again_after_close(tmp_path: Path) -> None:
    Database(tmp_path / "x.db").close()
    Database(tmp_path / "x.db").close()


def test_reading_then_writing_from_many_threads_loses_nothing(database: Database) -> None:
    """Each thread reads the chain and adds the next event; every number is given once."""

    def add_one(_: int) -> None:
        with database.write() as session:
            before = log.events_of(session, ["op-1"])["op-1"]
            log.append_events(session, [tick(before)])

    with ThreadPoolExecutor(20) as threads:
        list(threads.map(add_one, range(100)))
    with database.read() as session:
        events = log.events_of(session, ["op-1"])["op-1"]
    assert [event["n"] for event in events] == list(range(1, 101))


def test_readers_do_not_wait_for_the_writer(database: Database) -> None:
    seen: list[str] = []

    def read() -> None:
        with database.read() as session:
            seen.append(session.get_one(Person, "inga").name)

    with database.write() as session:
        session.get_one(Person, "inga").name = "Changed"
        session.flush()
        reader = threading.Thread(target=read)
        reader.start()
        reader.join(timeout=5)
        assert seen == ["Inga"]


def test_failed_write_leaves_nothing(database: Database) -> None:
    def change_and_fail() -> None:
        with database.write() as session:
            session.get_one(Person, "inga").name = "Changed"
            session.flush()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        change_and_fail()
    with database.read() as session:
        assert session.get_one(Person, "inga").name == "Inga"


def test_device_ids_are_made_once(database: Database) -> None:
    with database.write() as session:
        devices.make_devices(session)
    with database.read() as session:
        first = devices.device_id(session, "web")
        assert first.startswith("web-")
        assert devices.device_id(session, "office").startswith("office-")
    with database.write() as session:
        devices.make_devices(session)
    with database.read() as session:
        assert devices.device_id(session, "web") == first


def test_installer_sees_own_openings_supervisor_all(database: Database) -> None:
    with database.read() as session:
        own = openings_of(session, session.get_one(Person, "inga"))
        every = openings_of(session, session.get_one(Person, "sven"))
    assert [opening["id"] for opening in own] == ["op-1"]
    assert [opening["id"] for opening in every] == ["op-1", "op-2"]
    assert own[0]["address"] == "1 Invented Way"


@pytest.mark.parametrize(
    ("version", "fault"),
    # Source: the release notes named in has_wal_fault (restated in the project's design).
    [
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 52, 0), False),
    ],
)
def test_sqlite_versions_with_the_wal_fault(version: tuple[int, int, int], fault: bool) -> None:
    assert has_wal_fault(version) is fault


@pytest.mark.sqlite
def test_database_is_plain_sqlite(database: Database) -> None:
    """The owner can read the data with any SQLite, without this program."""
    with sqlite3.connect(database.path) as plain:
        assert plain.execute("SELECT count(*) FROM opening").fetchone() == (2,)


def database_from_before(path: Path) -> list[tuple[str, ...]]:
    """Lay out the database that was made before the migrations were one; returns its events."""
    with sqlite3.connect(path) as plain:
        plain.executescript((Path(__file__).parent / "before_one_migration.sql").read_text("utf-8"))
        return plain.execute("SELECT * FROM event ORDER BY seq").fetchall()


def columns_of(path: Path) -> dict[str, list[str]]:
    """Return each table's columns (name, type, not null, default, place in the key) and keys."""
    with sqlite3.connect(path) as plain:
        run = plain.execute
        names = run("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            name: sorted(str(row[1:]) for row in run(f"PRAGMA table_info({name})"))
            + sorted(str(row[2:]) for row in run(f"PRAGMA foreign_key_list({name})"))
            for (name,) in names
        }


def rules_of(path: Path) -> list[tuple[str, str]]:
    """Return the indexes and triggers with their SQL."""
    with sqlite3.connect(path) as plain:
        return plain.execute(
            "SELECT name, sql FROM sqlite_master WHERE sql <> '' AND type <> 'table' ORDER BY name"
        ).fetchall()


def test_the_program_starts_on_a_database_from_before_the_migrations_were_one(
    tmp_path: Path,
) -> None:
    """Every event is there to the byte, the log is append-only, and the tables are today's."""
    settings = Settings(tmp_path / "old")
    settings.data.mkdir()
    before = database_from_before(settings.database)
    assert len(before) == 3
    with TestClient(create_app(settings)) as browser:
        assert browser.get("/health").text == "ok"
    with sqlite3.connect(settings.database) as plain:
        assert plain.execute("SELECT * FROM event ORDER BY seq").fetchall() == before
        with pytest.raises(sqlite3.IntegrityError):
            plain.execute("UPDATE event SET seq = 9")
    create_app(new := Settings(tmp_path / "new")).state.server.database.close()
    assert columns_of(settings.database) == columns_of(new.database)
    assert rules_of(settings.database) == rules_of(new.database)


@pytest.mark.parametrize("version", ["0001", "0011", "of-next-year"])
def test_a_database_of_another_version_is_refused_and_left_alone(
    tmp_path: Path, version: str
) -> None:
    database_from_before(tmp_path / "sillbook.db")
    with sqlite3.connect(tmp_path / "sillbook.db") as plain:
        plain.execute("UPDATE alembic_version SET version_num = ?", (version,))
        whole = sorted(plain.iterdump())
    opened = Database(tmp_path / "sillbook.db")
    with pytest.raises(RefusedError) as refused:
        migrate_database(opened)
    opened.close()
    assert refused.value.code == "database-version"
    with sqlite3.connect(tmp_path / "sillbook.db") as plain:
        assert sorted(plain.iterdump()) == whole


def test_postgresql_from_before_is_brought_over(postgres_address: str, tmp_path: Path) -> None:
    """Its tables were the same but for two numbers of 32 bits (compared when this was made)."""
    opened = Database(tmp_path / "sillbook.db", postgres_address)
    with opened.writing.begin() as connection:
        upgrade_for_real(config_for(connection), "first")
        newest = ScriptDirectory.from_config(config_for(connection)).get_current_head()
    with opened.write() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '0012'"))
        session.execute(text("ALTER TABLE event ALTER COLUMN seq TYPE INTEGER"))
        session.execute(text("ALTER TABLE assigned ALTER COLUMN since TYPE INTEGER"))
    migrate_database(opened)
    with opened.read() as session:
        kinds = session.execute(
            text(
                "SELECT data_type FROM information_schema.columns WHERE (table_name, column_name)"
                " IN (('event', 'seq'), ('assigned', 'since'))"
            )
        ).all()
        assert [kind for (kind,) in kinds] == ["bigint", "bigint"]
        version = session.execute(text("SELECT version_num FROM alembic_version")).scalar_one()
    opened.close()
    assert version == newest


def test_a_summary_from_before_does_not_say_how_its_steps_stand(tmp_path: Path) -> None:
    must_have_no_step_states(Database(tmp_path / "sillbook.db"))


def test_a_summary_from_before_in_postgresql(postgres_address: str, tmp_path: Path) -> None:
    must_have_no_step_states(Database(tmp_path / "sillbook.db", postgres_address))


def must_have_no_step_states(opened: Database) -> None:
    """Keep a summary in the tables of before the column, migrate them, and look at it."""
    with opened.writing.begin() as connection:
        upgrade_for_real(config_for(connection), "voice_no_limit")
        for table, values in (
            ("job (id, title, address, homeowner, contact)", "'j', 'Hill house', 'Way', '', ''"),
            ("opening (id, job, letter, room)", "'o', 'j', 'A', 'Kitchen'"),
            (
                "summary (opening, job, title, address, letter, room, words, state, place, step,"
                " step_title, signed, steps, outs, queries, parts, not_ready, waiting, otherwise,"
                " heard, seq)",
                "'o', 'j', 'Hill house', 'Way', 'A', 'Kitchen', '', 'open', 5, 'B1',"
                " 'Substrate', 1, 13, 0, 0, 0, 0, 0, 0, '', 1",
            ),
        ):
            connection.execute(text(f"INSERT INTO {table} VALUES ({values})"))
    migrate_database(opened)
    with opened.read() as session:
        kept = session.get_one(Summary, "o")
        assert (kept.step, kept.signed, kept.step_states) == ("B1", 1, "")
    opened.close()


def test_assigning_is_numbered_and_taking_away_is_kept(database: Database) -> None:
    """By triggers, so that no way of doing it is forgotten."""
    with database.write() as session:
        log.append_events(session, [tick([])])
        session.execute(text("INSERT INTO assigned (opening, person) VALUES ('op-2', 'inga')"))
        session.execute(text("DELETE FROM assigned WHERE opening = 'op-1'"))
    with database.read() as session:
        found = session.execute(text("SELECT opening, since FROM assigned")).all()
        newest = session.execute(text("SELECT max(seq) FROM event")).scalar_one()
        assert [tuple(row) for row in found] == [("op-2", newest + 1)]
        gone = session.execute(text("SELECT opening, person FROM withdrawn")).all()
        assert [tuple(row) for row in gone] == [("op-1", "inga")]
    with database.write() as session:
        session.add(Assigned(opening="op-1", person="inga"))
    with database.read() as session:
        assert session.execute(text("SELECT count(*) FROM withdrawn")).scalar_one() == 0


def test_work_done_together_fails_alone(database: Database) -> None:
    """One of many fails: the others are committed, and it alone hears of it."""

    def work(turn: int) -> int:
        def add(session: Session) -> int:
            session.add(Job(id=f"job-{turn}", title="x", address="x"))
            session.flush()
            if turn % 7 == 3:
                raise ZeroDivisionError
            return turn

        try:
            return database.write_together(add)
        except ZeroDivisionError:
            return -turn

    with ThreadPoolExecutor(20) as threads:
        done = list(threads.map(work, range(100, 160)))
    kept = {f"job-{turn}" for turn in done if turn > 0}
    assert {-turn for turn in done if turn < 0} == {t for t in range(100, 160) if t % 7 == 3}
    with database.read() as session:
        found = set(session.exec(select(Job.id)))
    assert found == kept | {"job-1"}


def test_what_spoils_the_commit_of_many_costs_the_others_nothing(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three wait for the writer; what one of them did makes the settling before the commit fail."""
    settle = instruments.settle_instruments

    def spoilt(session: Session) -> None:
        if session.info.get("spoilt"):
            raise ZeroDivisionError
        settle(session)

    monkeypatch.setattr("app.store.instruments.settle_instruments", spoilt)

    def work(turn: int) -> str:
        def add(session: Session) -> str:
            session.add(Job(id=f"job-{turn}", title="x", address="x"))
            session.flush()
            session.info["spoilt"] = session.info.get("spoilt") or turn == 8
            return "kept"

        try:
            return database.write_together(add)
        except ZeroDivisionError:
            return "failed"

    database._one_writer.acquire()
    with ThreadPoolExecutor(3) as threads:
        told = [threads.submit(work, turn) for turn in (7, 8, 9)]
        while len(database._waiting._jobs) < 3:
            threading.Event().wait(0.01)
        database._one_writer.release()
    assert [each.result() for each in told] == ["kept", "failed", "kept"]
    with database.read() as session:
        assert set(session.exec(select(Job.id))) == {"job-1", "job-7", "job-9"}
