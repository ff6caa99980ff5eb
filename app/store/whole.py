"""Whether a database of SQLite is whole: its pages, and what its rows say of themselves."""

import hashlib
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg

START_SECONDS = 10  # a start waits no longer for the check; `sillbook doctor` does


def must_be_whole(database: Path) -> None:
    """Refuse a file whose pages do not fit together, as after a fault of the disk.

    What is found within START_SECONDS counts. Errors: RefusedError 'database-damaged'.
    """
    late = time.monotonic() + START_SECONDS
    try:
        with closing(sqlite3.connect(database)) as connection:
            connection.set_progress_handler(lambda: time.monotonic() > late, 100_000)
            whole = connection.execute("PRAGMA quick_check(1)").fetchone() == ("ok",)
    except sqlite3.OperationalError:  # out of time, or no room for its files: not for us to say
        return
    except sqlite3.DatabaseError:
        whole = False
    if not whole:
        words = Msg(
            "{path} is damaged. Nothing was changed. Put a copy back with `sillbook restore`: "
            "the phones then send again what came after it.",
            path=str(database),
        )
        raise RefusedError("database-damaged", words)


def is_whole_copy(database: Path) -> bool:
    """Return whether a copy that nobody has open is whole, down to the hash of every entry."""
    try:
        with closing(sqlite3.connect(f"file:{quote(str(database))}?immutable=1", uri=True)) as copy:
            pages = copy.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",)
            return pages and all(
                hashlib.sha256(body.encode()).hexdigest() == hash_
                for body, hash_ in copy.execute("SELECT body, hash FROM event")
            )
    except (sqlite3.DatabaseError, UnicodeEncodeError):
        return False


def names_of_photos(database: Path) -> list[str]:
    """Return the names of the photos that a copy of a database knows: of phones, of complaints."""
    with closing(sqlite3.connect(f"file:{quote(str(database))}?immutable=1", uri=True)) as copy:
        wanted = "SELECT sha256 FROM photo"
        if copy.execute("SELECT 1 FROM sqlite_master WHERE name = 'callback'").fetchone():
            wanted += " UNION SELECT photo FROM callback WHERE photo <> ''"
        return sorted(name for (name,) in copy.execute(wanted))
