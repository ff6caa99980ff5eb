"""One writer, whole transactions, and the tables as the migrations make them."""

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlmodel import SQLModel

from app.core.errors import RefusedError
from app.store import devices, log
from app.store.database import Database, has_wal_fault
from app.store.migrate import migrate
from app.store.openings import openings_of
from app.store.tables import Person
from tests.store.events import tick


def test_models_and_migrations_agree(database: Database) -> None:
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, SQLModel.metadata) == []


def test_migrating_twice_changes_nothing(database: Database) -> None:
    migrate(database)
    with database.read() as session:
        assert session.get_one(Person, "inga").name == "Inga"


@pytest.mark.parametrize(
    ("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)]
)
def test_connections_are_safe(database: Database, pragma: str, value: object) -> None:
    with database.read() as session:
        assert session.execute(text("PRAGMA " + pragma)).scalar() == value


def test_second_process_is_refused(database: Database) -> None:
    with pytest.raises(RefusedError) as refused:
        Database(database.path)
    assert refused.value.code == "database-in-use"


def test_database_is_free_again_after_close(tmp_path: Path) -> None:
    Database(tmp_path / "x.db").close()
    Database(tmp_path / "x.db").close()


def test_reading_then_writing_from_many_threads_loses_nothing(database: Database) -> None:
    """Each thread reads the chain and adds the next event; every number is given once."""

    def add_one(_: int) -> None:
        with database.write() as session:
            before = log.events_of(session, ["op-1"])["op-1"]
            log.append(session, [tick(before)])

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
        devices.make(session)
    with database.read() as session:
        first = devices.device(session, "web")
        assert first.startswith("web-")
        assert devices.device(session, "office").startswith("office-")
    with database.write() as session:
        devices.make(session)
    with database.read() as session:
        assert devices.device(session, "web") == first


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


def test_database_is_plain_sqlite(database: Database) -> None:
    """The owner can read the data with any SQLite, without this program."""
    with sqlite3.connect(database.path) as plain:
        assert plain.execute("SELECT count(*) FROM opening").fetchone() == (2,)
