"""One writer, whole transactions, and the tables as the migrations make them."""

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session, SQLModel, select

from app.core.errors import RefusedError
from app.settings import MIGRATIONS
from app.store import devices, log
from app.store.database import Database, has_wal_fault
from app.store.migrate import config_for, migrate_database
from app.store.openings import openings_of
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


def test_a_database_of_the_first_version_is_brought_up(tmp_path: Path) -> None:
    """What was there is numbered in its order, keeps every byte, and stays append-only."""
    opened = Database(tmp_path / "old.db")
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with opened.engine.execution_options(writes=True).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
    with opened.write() as session:
        for statement in FIRST_VERSION:
            session.execute(text(statement))
    migrate_database(opened)
    with opened.read() as session:
        rows = session.execute(
            text("SELECT id, seq, signature, flag, body FROM event ORDER BY seq")
        )
        assert [tuple(row) for row in rows] == [("b", 1, "", "", "{1}"), ("a", 2, "", "", "{2}")]
        assert session.execute(text("SELECT since FROM assigned")).scalar_one() == 0
    with pytest.raises(IntegrityError), opened.write() as session:
        session.execute(text("UPDATE event SET seq = 9"))
    opened.close()


FIRST_VERSION = (
    "INSERT INTO person VALUES ('p', 'P', 'installer', 'p', 'none', 'in', 'en', 0)",
    "INSERT INTO job VALUES ('j', 'J', 'A', '')",
    "INSERT INTO opening VALUES ('o', 'j', 'A', 'R')",
    "INSERT INTO assigned VALUES ('o', 'p')",
    "INSERT INTO event VALUES ('b', 'o', 'web-1', 1, '', 'h1', 1, 'k', '{1}', 't')",
    "INSERT INTO event VALUES ('a', 'o', 'web-1', 2, 'h1', 'h2', 2, 'k', '{2}', 't')",
)


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
