"""From SQLite to PostgreSQL: every row, proved by digests; whole or not at all.

Compared by the databases' own drivers, beside the program's own digests.
"""

import lzma
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Connection, Table

from app import cli
from app.core.errors import RefusedError
from app.main import create_app
from app.settings import Settings
from app.store import copying, epoch, log
from tests.store.events import tick
from tests.tooling.sources import ROOT

DUMP = ROOT / "tests" / "archive" / "before-first-release" / "sqlite.sql.xz"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """The archive's database: a whole job by two phones, with a record and its revision."""
    folder = tmp_path / "data"
    folder.mkdir()
    shutil.copy(ROOT / "tests" / "archive" / "signing-key.pem", folder)
    with closing(sqlite3.connect(folder / "sillbook.db")) as connection:
        connection.executescript(lzma.decompress(DUMP.read_bytes()).decode())
    return folder


def rows_in_sqlite(data: Path, table: str) -> list[str]:
    with closing(sqlite3.connect(data / "sillbook.db")) as plain:
        return sorted(str(row) for row in plain.execute(f'SELECT * FROM "{table}"'))


def rows_in_postgres(address: str, table: str, data: Path) -> list[str]:
    with closing(sqlite3.connect(data / "sillbook.db")) as plain:
        names = [f'"{row[1]}"' for row in plain.execute(f'PRAGMA table_info("{table}")')]
    with psycopg.connect(address) as connection:
        found = connection.execute(f'SELECT {", ".join(names)} FROM "{table}"').fetchall()
    plain_rows = [tuple(int(x) if isinstance(x, bool) else x for x in row) for row in found]
    return sorted(str(row) for row in plain_rows)


def test_every_row_of_a_whole_job_is_there_and_work_goes_on(
    data: Path, postgres_address: str, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("SILLBOOK_DATA", str(data))
    monkeypatch.delenv("SILLBOOK_DATABASE", raising=False)
    assert cli.main(["copy", postgres_address]) == 0
    told = [line.split() for line in capsys.readouterr().out.splitlines() if " rows " in line]
    assert len(told) > 20
    assert sum(int(line[0]) for line in told) > 500
    for _count, _, digest, table in told:
        assert len(digest) == 64
        assert rows_in_sqlite(data, table) == rows_in_postgres(postgres_address, table, data), table
    app = create_app(Settings(data, postgres=postgres_address))
    database = app.state.server.database
    assert TestClient(app).get("/health").text == "ok"
    with database.write() as session:
        opening = session.connection().exec_driver_sql("SELECT opening FROM event LIMIT 1").scalar()
        newest = log.newest_number(session)
        log.append_events(session, [{**tick([]), "opening": opening, "device": "another"}])
        assert log.newest_number(session) == newest + 1
    with pytest.raises(Exception, match="append-only"), database.write() as session:
        session.connection().exec_driver_sql("UPDATE event SET seq = 1")
    database.close()


def test_phones_notice_nothing(data: Path, postgres_address: str) -> None:
    """The mark goes along and its file stays: it is the same database, so the epoch goes on."""
    app = create_app(Settings(data))
    with app.state.server.database.read() as session:
        before = epoch.epoch_of(session)
    app.state.server.database.close()
    copying.copy_tables(data / "sillbook.db", postgres_address)
    app = create_app(Settings(data, postgres=postgres_address))
    with app.state.server.database.read() as session:
        assert epoch.epoch_of(session) == before
    app.state.server.database.close()


def test_a_database_with_something_in_it_is_refused(data: Path, postgres_address: str) -> None:
    copying.copy_tables(data / "sillbook.db", postgres_address)
    with pytest.raises(RefusedError) as refused:
        copying.copy_tables(data / "sillbook.db", postgres_address)
    assert refused.value.code == "copy-not-empty"


def test_a_sillbook_that_runs_is_not_copied(data: Path, postgres_address: str) -> None:
    app = create_app(Settings(data))
    with pytest.raises(RefusedError) as refused:
        copying.copy_tables(data / "sillbook.db", postgres_address)
    assert refused.value.code == "database-in-use"
    app.state.server.database.close()


def test_a_copy_that_differs_is_taken_back_whole(
    data: Path, postgres_address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A row that is lost on the way: found by the digests, and nothing stays."""
    whole: Callable[[Connection, Table], object] = copying._rows_in_order

    def loses_one(connection: Connection, table: Table) -> object:
        for rows in whole(connection, table):  # type: ignore[attr-defined]
            lossy = table.name == "event" and connection.dialect.name == "sqlite"
            yield rows[1:] if lossy and not lost else rows
            lost.append(lossy) if lossy else None

    lost: list[bool] = []
    monkeypatch.setattr(copying, "_rows_in_order", loses_one)
    with pytest.raises(RefusedError) as refused:
        copying.copy_tables(data / "sillbook.db", postgres_address)
    assert refused.value.code == "copy-differs"
    with psycopg.connect(postgres_address) as connection:
        assert connection.execute("SELECT count(*) FROM person").fetchone() == (0,)
