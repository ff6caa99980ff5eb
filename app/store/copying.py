"""Moves the tables of a Sillbook from SQLite into PostgreSQL, and proves that they are the same.

Photos, signing key and stamp stay in the folder of the data: they are the same with either. So the
epoch goes on, and phones notice nothing.
"""

import hashlib
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Row, Table, func, inspect, select, text
from sqlmodel import Session, SQLModel

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.store import log
from app.store.database import Database
from app.store.migrate import migrate_database

AT_ONCE = 1000  # rows
_NOT_OURS = {"alembic_version"}  # each database says by itself which tables it has


def copy_tables(file: Path, address: str) -> dict[str, tuple[int, str]]:
    """Copy all rows of a SQLite file into an empty PostgreSQL database, whole or not at all.

    Returns table -> number of rows, and the SHA-256 that both came to.
    Errors: RefusedError 'database-in-use', 'copy-not-empty', 'copy-differs', those of opening.
    """
    source = Database(file)
    try:
        migrate_database(source)
        with TemporaryDirectory() as folder:
            target = Database(Path(folder) / "sillbook.db", address)
            try:
                migrate_database(target)
                with source.engine.connect() as reading, target.writing.begin() as writing:
                    return _copy_all(reading, writing)
            finally:
                target.close()
    finally:
        source.close()


def _copy_all(reading: Connection, writing: Connection) -> dict[str, tuple[int, str]]:
    tables = _tables(reading)
    _must_be_empty(writing, tables)
    for table in tables:
        writing.execute(text(f"ALTER TABLE {table.name} DISABLE TRIGGER USER"))
        writing.execute(table.delete())  # what the migrations put there
    for table in tables:
        for rows in _rows_in_order(reading, table):
            writing.execute(table.insert(), [dict(row._mapping) for row in rows])
    for table in tables:
        writing.execute(text(f"ALTER TABLE {table.name} ENABLE TRIGGER USER"))
    log.go_on_numbering(Session(writing))
    copied = {table.name: table_digest(writing, table) for table in tables}
    for table in tables:
        if table_digest(reading, table) != copied[table.name]:
            words = Msg("The copy of {table} differs. Nothing was copied.", table=table.name)
            raise RefusedError("copy-differs", words)
    return copied


def _tables(reading: Connection) -> list[Table]:
    """Return all tables, each after those it refers to; a table that is forgotten is a mistake."""
    tables = SQLModel.metadata.sorted_tables
    there = {name for name in inspect(reading).get_table_names() if not name.startswith("sqlite_")}
    assert there - _NOT_OURS == {table.name for table in tables}  # noqa: S101
    return tables


def _must_be_empty(writing: Connection, tables: Sequence[Table]) -> None:
    counted = [table for table in tables if table.name in ("event", "person")]
    if any(writing.execute(select(func.count()).select_from(table)).scalar() for table in counted):
        words = Msg("There is a Sillbook in that database already. Make an empty one.")
        raise RefusedError("copy-not-empty", words)


def _rows_in_order(connection: Connection, table: Table) -> Iterator[Sequence[Row[Any]]]:
    """Yield the rows by their keys, so many at once; both databases compare text by its bytes."""
    wanted = select(table).order_by(*table.primary_key.columns)
    streamed = connection.execution_options(stream_results=True, max_row_buffer=AT_ONCE)
    yield from streamed.execute(wanted).partitions(AT_ONCE)


def table_digest(connection: Connection, table: Table) -> tuple[int, str]:
    """Return the number of a table's rows, and the SHA-256 of all of them in order."""
    whole, count = hashlib.sha256(), 0
    for rows in _rows_in_order(connection, table):
        for row in rows:
            whole.update(json.dumps(list(row)).encode() + b"\n")
            count += 1
    return count, whole.hexdigest()
