"""Tables made once in a process and copied: most tests need a database and not how it came about.

What the migrations made of an empty SQLite file is kept as statements, and put into the next
empty file. A database that is not empty, and PostgreSQL's, are migrated as ever; what the command
line starts is another process, and migrates. `tests/store/test_database.py` compares the two.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, create_engine

from app.store import migrate

upgrade_for_real: Callable[[Config, str], None] = command.upgrade


@cache
def statements() -> tuple[str, ...]:
    """Return what makes the tables as the migrations make them, with what they put in."""
    engine = create_engine("sqlite://")
    with engine.begin() as connection:
        upgrade_for_real(migrate.config_for(connection), "head")
    with engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        return tuple(
            line for line in raw.iterdump() if line not in ("BEGIN TRANSACTION;", "COMMIT;")
        )


def is_empty_sqlite(connection: Connection) -> bool:
    """Return whether this is a SQLite database without a table."""
    if connection.dialect.name != "sqlite":
        return False
    return not connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar_one()


@contextmanager
def copied_tables() -> Iterator[None]:
    """Copy the tables into every empty SQLite database as long as this lasts."""

    def upgrade(config: Config, revision: str) -> None:
        connection = config.attributes["connection"]
        if revision == "head" and is_empty_sqlite(connection):
            for statement in statements():
                connection.exec_driver_sql(statement)
        else:
            upgrade_for_real(config, revision)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(migrate.command, "upgrade", upgrade)
        yield
