"""Bring a database to the tables that this version knows."""

from alembic import command
from alembic.config import Config

from app.settings import MIGRATIONS
from app.store.database import Database


def migrate_database(database: Database) -> None:
    """Run what is missing of the migrations; does nothing on a database that is up to date."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with database.writing.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
