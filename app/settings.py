"""What can be set from outside, and where things are."""

import os
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TEMPLATES = ROOT / "templates"
STATIC = ROOT / "static"
MIGRATIONS = ROOT / "migrations"
SEED_DATA = ROOT / "seed_data"


@dataclass(frozen=True)
class Settings:
    """Where the data are kept; one folder holds everything that must be backed up.

    address: where the server is reached, as printed in links and codes; "" for as it was asked.
    postgres: the address of a PostgreSQL database for the tables; "" for SQLite's file.
    """

    data: Path = ROOT / "data"
    address: str = ""
    postgres: str = ""

    @property
    def database(self) -> Path:
        """Return the path of the SQLite database."""
        return self.data / "sillbook.db"


def from_environment() -> Settings:
    """Return the settings: SILLBOOK_DATA names another folder for the data, SILLBOOK_ADDRESS where
    the server is reached ("https://book.example.org"), SILLBOOK_DATABASE a PostgreSQL database
    ("postgresql://name@host/database")."""
    named = os.environ.get("SILLBOOK_DATA")
    address = os.environ.get("SILLBOOK_ADDRESS", "").rstrip("/")
    data = Path(named).expanduser().absolute() if named else Settings.data
    return Settings(data, address, os.environ.get("SILLBOOK_DATABASE", ""))
