"""Bring a database to the tables that this version knows."""

from functools import cache

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.settings import MIGRATIONS
from app.store.database import Database

# The last of the twelve migrations that became one, and the one that made the same tables since.
BEFORE, FIRST = "0012", "first"


def migrate_database(database: Database) -> None:
    """Run what is missing of the migrations; does nothing on a database that is up to date.

    Errors: RefusedError 'database-version' where another version of Sillbook made the tables.
    """
    with database.writing.begin() as connection:
        if known_version(connection) != migration_scripts().get_current_head():
            command.upgrade(config_for(connection), "head")


def must_be_up_to_date(database: Database) -> None:
    """Refuse tables of another version, while other servers use them: they cannot be changed.

    Errors: RefusedError 'database-version'.
    """
    with database.engine.connect() as connection:
        made_by = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if made_by != migration_scripts().get_current_head():
        words = Msg("Another version of Sillbook uses this database. Stop all of it first.")
        raise RefusedError("database-version", words)


def known_version(connection: Connection) -> str | None:
    """Return the name of the migration that made the tables; None where there are none.

    Tables from before the migrations were one are brought over first. Errors: RefusedError
    'database-version' where these migrations do not know them.
    """
    if not inspect(connection).has_table("alembic_version"):
        return None
    made_by = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if made_by == BEFORE:
        bring_over(connection)
        return FIRST
    if made_by not in {script.revision for script in migration_scripts().walk_revisions()}:
        words = Msg(
            "Another version of Sillbook made this database ({version}). "
            "Start that one, or a newer.",
            version=str(made_by),
        )
        raise RefusedError("database-version", words)
    return str(made_by)


@cache
def migration_scripts() -> ScriptDirectory:
    """Return the migrations that this version has: they stay the same while it runs."""
    return ScriptDirectory(str(MIGRATIONS))


def bring_over(connection: Connection) -> None:
    """Name the tables by the one migration; the twelve made the same, but for two columns."""
    if connection.dialect.name == "postgresql":  # a number of an event had 32 bits there
        for column in ("event ALTER COLUMN seq", "assigned ALTER COLUMN since"):
            connection.execute(text(f"ALTER TABLE {column} TYPE BIGINT"))
    connection.execute(text("UPDATE alembic_version SET version_num = :first"), {"first": FIRST})


def config_for(connection: Connection) -> Config:
    """Return what Alembic needs to run the migrations over a connection."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
