"""PostgreSQL: one server, one writer, numbers in the order of commit (fault 17 of the list)."""

import os
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from threading import Event as Signal
from threading import Thread

import psycopg
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine, create_engine, text
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session

from app import cli
from app.core.errors import AppError, RefusedError
from app.core.kinds import Json
from app.main import create_app
from app.settings import Settings
from app.store import log, news
from app.store import postgres as ours
from app.store.database import Database
from app.store.migrate import migrate_database
from app.store.news import Cursor
from app.store.tables import Assigned, Device, DevicePerson, Setting
from tests.store import postgres
from tests.store.conftest import fill
from tests.store.events import tick


@pytest.fixture
def address(postgres_address: str, tmp_path: Path) -> str:
    """The address of a database with two openings and a phone that may see both."""
    opened = Database(tmp_path / "sillbook.db", postgres_address)
    migrate_database(opened)
    fill(opened)
    with opened.write() as session:
        session.add(Assigned(opening="op-2", person="inga"))
        phone = {"id": "phone-1", "name": "", "person": "inga", "key": "k", "made": 1}
        session.add(Device(**phone, key_hash="h", token_hash="t"))
        session.flush()
        session.add(DevicePerson(device="phone-1", person="inga", since=0))
    opened.close()
    return postgres_address


def entry(opening: str, device: str) -> Json:
    return {**tick([]), "opening": opening, "device": device}


def taken(engine: Engine, after: Cursor) -> tuple[list[str], Cursor]:
    """What a phone is given after its cursor, and the cursor that it keeps."""
    with Session(engine) as session:
        page = news.news_page(session, "phone-1", after)
    return [event["id"] for event in page.events], page.cursor


def writes(engine: Engine, event: Json, numbered: Signal, commits: Signal) -> Thread:
    """Start a writer that says when its event is numbered, and commits when it is told to."""

    def run() -> None:
        with Session(engine) as session:
            log.append_events(session, [event])
            numbered.set()
            commits.wait(30)
            session.commit()

    thread = Thread(target=run)
    thread.start()
    return thread


def test_17_no_reader_skips_an_event(address: str) -> None:
    """Two writers of two processes, polled between their commits: a number is never late."""
    readers = ours.make_engine(address)
    first, second = entry("op-1", "web-a"), entry("op-2", "web-b")
    numbered, late, commits = Signal(), Signal(), Signal()
    one = writes(ours.for_writing(ours.make_engine(address)), first, numbered, commits)
    assert numbered.wait(30)
    already = Signal()
    already.set()
    two = writes(ours.for_writing(ours.make_engine(address)), second, late, already)
    assert not late.wait(0.5)  # it waits for the first one's commit, before it takes a number
    seen, cursor = taken(readers, Cursor())
    assert seen == []
    commits.set()
    one.join(30)
    two.join(30)
    seen, _ = taken(readers, cursor)
    assert seen == [first["id"], second["id"]]


def test_17_without_the_lock_a_reader_would_skip_one(address: str) -> None:
    """The fault itself, so that the test above is known to look at it."""
    readers = ours.make_engine(address)
    plain = create_engine(readers.url, isolation_level="READ COMMITTED")
    with plain.connect() as slow, plain.connect() as quick:
        for connection, number, opening in ((slow, 101, "op-1"), (quick, 102, "op-2")):
            connection.execute(
                text(
                    "INSERT INTO event (id, opening, device, n, prev, hash, turn, kind, body,"
                    " received_at, seq)"
                    " VALUES (:id, :opening, 'web-a', 1, '', '', 1, '', :body, '', :seq)"
                ),
                {
                    "id": opening,
                    "opening": opening,
                    "body": f'{{"id": "{opening}"}}',
                    "seq": number,
                },
            )
        quick.commit()
        seen, cursor = taken(readers, Cursor())
        slow.commit()
    assert seen == ["op-2"]
    assert taken(readers, cursor)[0] == []


def test_a_second_server_on_the_same_database_is_refused(address: str, tmp_path: Path) -> None:
    """Also from another machine, whose folder knows nothing of ours."""
    opened = Database(tmp_path / "one" / "sillbook.db", address)
    with pytest.raises(RefusedError) as refused:
        Database(tmp_path / "two" / "sillbook.db", address)
    assert refused.value.code == "database-in-use"
    opened.close()
    Database(tmp_path / "two" / "sillbook.db", address).close()


def kill_a_backend(address: str) -> None:
    """Crash the server: where one of its processes is killed, PostgreSQL ends all and recovers."""
    other, killed = psycopg.connect(address, autocommit=True), psycopg.connect(address)
    os.kill(killed.info.backend_pid, signal.SIGKILL)
    with suppress(psycopg.OperationalError):  # all others are ended before it recovers
        for _ in range(2000):
            other.execute("SELECT 1")
            time.sleep(0.01)
    assert other.closed
    for _ in range(200):
        try:
            psycopg.connect(address).close()
            return
        except psycopg.OperationalError:
            time.sleep(0.05)


@pytest.fixture
def own_address(tmp_path: Path) -> Iterator[str]:
    """A database in a server of its own, which may be crashed."""
    if postgres.programs() is None:
        pytest.skip(postgres.HINT)
    with postgres.cluster() as server:
        yield postgres.make_database(server, "crashing")


def writes_something(app: FastAPI, name: str) -> None:
    with app.state.server.database.write() as session:
        session.merge(Setting(name=name, value="x"))


def test_after_a_crash_the_lock_is_taken_again(own_address: str, tmp_path: Path) -> None:
    """The database drops a lock with its connection; a second server must find none free."""
    app = create_app(Settings(tmp_path / "one", postgres=own_address))
    kill_a_backend(own_address)
    browser = TestClient(app, raise_server_exceptions=False)
    assert browser.get("/health").status_code == 200  # whoever watches asks for it
    with pytest.raises(RefusedError) as refused:
        Database(tmp_path / "two" / "sillbook.db", own_address)
    assert refused.value.code == "database-in-use"
    writes_something(app, "after")
    app.state.server.database.close()


def test_a_server_that_lost_its_database_in_a_crash_writes_no_more(
    own_address: str, tmp_path: Path
) -> None:
    """The second one is quicker: from its start on the first one's writes are refused."""
    app = create_app(Settings(tmp_path / "one", postgres=own_address))
    kill_a_backend(own_address)
    second = create_app(Settings(tmp_path / "two", postgres=own_address))
    for _ in range(2):
        with pytest.raises(AppError) as refused:
            writes_something(app, "lost")
        assert refused.value.code == "database-taken-over"
    assert TestClient(app).get("/health").status_code == 503
    writes_something(second, "kept")
    second.state.server.database.close()
    with pytest.raises(AppError) as refused:  # also when the second is gone again
        writes_something(app, "lost")
    assert refused.value.code == "database-taken-over"
    app.state.server.database.close()
    with psycopg.connect(own_address) as connection:
        found = connection.execute("SELECT name FROM setting WHERE name IN ('lost', 'kept')")
        assert found.fetchall() == [("kept",)]


@pytest.mark.control(29)
def test_no_error_repeats_what_was_bound_to_a_statement(
    store: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    """A phone's secret and its token's hash are bound; the text of an error goes into the log."""
    app = create_app(store)
    fill(app.state.server.database)
    phone = {"id": "phone-1", "name": "", "person": "nobody", "key": "k", "made": 1}
    row = Device(**phone, key_hash="h", token_hash="a-token-s-hash", secret="the-phone-s-secret")

    @app.get("/adds")
    def adds() -> None:
        with app.state.server.database.write() as session:
            session.add(row)

    assert TestClient(app, raise_server_exceptions=False).get("/adds").status_code == 500
    assert "unexpected error" in caplog.text
    assert "the-phone-s-secret" not in caplog.text
    assert "a-token-s-hash" not in caplog.text
    app.state.server.database.close()


def test_a_database_of_another_alphabet_is_refused(postgres_server: str, tmp_path: Path) -> None:
    other = postgres.make_database(postgres_server, "other", encoding="LATIN1")
    with pytest.raises(RefusedError) as refused:
        Database(tmp_path / "sillbook.db", other)
    assert refused.value.code == "database-order"


@pytest.mark.parametrize("bad", ["sqlite:///x.db", "mysql://x/y", "what is this", "postgres"])
def test_an_address_of_something_else_is_refused(bad: str, tmp_path: Path) -> None:
    with pytest.raises(RefusedError) as refused:
        Database(tmp_path / "sillbook.db", bad)
    assert refused.value.code == "database-address"
    Database(tmp_path / "sillbook.db").close()  # the folder is free again


def test_the_log_cannot_be_emptied(address: str) -> None:
    engine = ours.for_writing(ours.make_engine(address))
    with Session(engine) as session, pytest.raises(DBAPIError, match="append-only"):
        session.execute(text("TRUNCATE event CASCADE"))


def test_reader_sees_one_state(address: str, tmp_path: Path) -> None:
    """What is committed while a page is made does not come into it by halves."""
    opened = Database(Settings(tmp_path).database, address)
    with opened.read() as session:
        before = session.execute(text("SELECT count(*) FROM event")).scalar()
        with opened.write() as writer:
            log.append_events(writer, [entry("op-1", "web-a")])
        assert session.execute(text("SELECT count(*) FROM event")).scalar() == before
    opened.close()


@pytest.mark.parametrize("verb", ["backup", "restore"])
def test_copies_are_left_to_its_own_tools(
    verb: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_DATABASE", "postgresql://somebody@nowhere/none")
    assert cli.main([verb, str(tmp_path / "copy")]) != 0
    assert "pg_dump" in capsys.readouterr().err
    assert not (tmp_path / "copy").exists()
