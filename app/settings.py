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
    """Where the data are kept; one folder holds everything that must be backed up."""

    data: Path = ROOT / "data"

    @property
    def database(self) -> Path:
        """Return the path of the SQLite database."""
        return self.data / "sillbook.db"


def from_environment() -> Settings:
    """Return the settings; SILLBOOK_DATA names another folder for the data."""
    named = os.environ.get("SILLBOOK_DATA")
    return Settings(Path(named).expanduser().absolute()) if named else Settings()
