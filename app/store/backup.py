"""Copies of the data, and how one is put back.

A copy is made while Sillbook runs. Putting one back begins a new epoch: the phones
then offer again all they hold, so that what was entered since the copy comes back.
"""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.store.epoch import path_of
from app.store.lock import ProcessLock

DATABASE, PHOTOS = "sillbook.db", "photos"


def back_up(data: Path, target: Path) -> None:
    """Copy the database, whole and at one moment, and the photos into a new folder.

    Errors: RefusedError 'backup-exists', 'backup-missing'.
    """
    _must_have_database(data)
    if target.exists():
        raise RefusedError("backup-exists", Msg("{path} is there already.", path=str(target)))
    target.mkdir(mode=0o700, parents=True)
    # VACUUM INTO ends even while others write; a stepwise copy may start again for ever.
    with closing(sqlite3.connect(data / DATABASE)) as connection:
        connection.execute("VACUUM INTO ?", (str(target / DATABASE),))
    if (data / PHOTOS).is_dir():  # after the database: every photo it knows of is there by now
        shutil.copytree(data / PHOTOS, target / PHOTOS, ignore=shutil.ignore_patterns("*.part"))


def _must_have_database(folder: Path) -> None:
    if not (folder / DATABASE).is_file():
        words = Msg("There is no {name} in {path}.", name=DATABASE, path=str(folder))
        raise RefusedError("backup-missing", words)


def restore_copy(data: Path, source: Path) -> None:
    """Put a copy in the place of the database; the one that was there is kept beside it.

    Photos are added; none is taken away or written over. Nothing is touched where the copy is
    damaged. Errors: RefusedError 'database-in-use', 'backup-missing', 'backup-damaged'.
    """
    _must_have_database(source)
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = ProcessLock(data / DATABASE)
    fresh = data / (DATABASE + ".fresh")
    try:
        shutil.copyfile(source / DATABASE, fresh)
        _must_be_whole(fresh, source)
        _swap_database(data, fresh)
    finally:
        fresh.unlink(missing_ok=True)
        lock.release()
    for photo in sorted((source / PHOTOS).glob("*/*.jpg")):
        _add_photo(photo, data / PHOTOS / photo.parent.name / photo.name)


def _must_be_whole(fresh: Path, source: Path) -> None:
    """Refuse a copy that SQLite finds damaged or cut short, or that holds no log."""
    try:
        with closing(sqlite3.connect(f"file:{quote(str(fresh))}?immutable=1", uri=True)) as copy:
            whole = copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            whole = whole and copy.execute("SELECT count(*) FROM event").fetchone() is not None
    except sqlite3.DatabaseError:
        whole = False
    if not whole:
        words = Msg(
            "The copy in {path} is damaged. Nothing was changed. Take another copy.",
            path=str(source),
        )
        raise RefusedError("backup-damaged", words)


def _add_photo(photo: Path, place: Path) -> None:
    """Copy a photo that is not here yet: a whole one is never written over by a damaged one."""
    if not place.exists():
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        half = place.with_name(place.name + ".part")
        shutil.copy2(photo, half)
        half.replace(place)


def _swap_database(data: Path, fresh: Path) -> None:
    path_of(data / DATABASE).unlink(missing_ok=True)  # first of all: from here on it is another
    for end in ("", "-wal", "-shm"):
        old = data / (DATABASE + end)
        if old.exists():
            old.replace(data / (DATABASE + ".replaced" + end))
    fresh.replace(data / DATABASE)
