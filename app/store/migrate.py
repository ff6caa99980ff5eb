"""Bring a database to the tables that this version knows."""

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

from app.settings import MIGRATIONS
from app.store.database import Database


def migrate_database(database: Database) -> None:
    """Run what is missing of the migrations; does nothing on a database that is up to date."""
    with database.writing.begin() as connection:
        command.upgrade(config_for(connection), "head")


def config_for(connection: Connection) -> Config:
    """Return what Alembic needs to run the migrations over a connection."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config
