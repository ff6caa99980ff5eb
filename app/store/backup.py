"""Copies of the data, and how one is put back.

A copy is made while Sillbook runs. It gets its name once it is whole, read back from the disk.
Putting one back begins a new epoch: the phones then offer again all they hold, so that what was
entered since the copy comes back.
"""

import shutil
import sqlite3
from contextlib import closing
from fnmatch import fnmatchcase
from pathlib import Path
from time import gmtime, strftime

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg, Plural
from app.store.epoch import path_of
from app.store.lock import ProcessLock
from app.store.photos import path_of as path_of_photo
from app.store.whole import is_whole_copy, is_whole_photo, photos_unfit

DATABASE, PHOTOS = "sillbook.db", "photos"
HALF = ".part"  # a copy is called so until it is whole
NAME, PATTERN = "sillbook-%Y%m%dT%H%M%SZ", "sillbook-[0-9]*T[0-9]*Z*"


def back_up(data: Path, target: Path) -> list[str]:
    """Copy the database, whole and at one moment, and the photos into a new folder.

    The copy is read back before it gets its name. Returns the photos that the database knows and
    that were damaged or missing here already.
    Errors: RefusedError 'backup-exists', 'backup-missing', 'backup-failed'.
    """
    _must_have_database(data)
    if target.exists():
        raise RefusedError("backup-exists", Msg("{path} is there already.", path=str(target)))
    half = target.with_name(target.name + HALF)
    shutil.rmtree(half, ignore_errors=True)  # of a time when it was cut short
    half.mkdir(mode=0o700, parents=True)
    try:
        lacking = _fill_copy(data, half)
        half.rename(target)
    except BaseException:
        shutil.rmtree(half, ignore_errors=True)
        raise
    return lacking


def _fill_copy(data: Path, half: Path) -> list[str]:
    # VACUUM INTO ends even while others write; a stepwise copy may start again for ever.
    with closing(sqlite3.connect(data / DATABASE)) as connection:
        connection.execute("VACUUM INTO ?", (str(half / DATABASE),))
    (half / DATABASE).chmod(0o600)
    if (data / PHOTOS).is_dir():  # after the database: every photo it knows of is there by now
        shutil.copytree(data / PHOTOS, half / PHOTOS, ignore=shutil.ignore_patterns("*.part"))
    whole = is_whole_copy(half / DATABASE)
    lacking = list(photos_unfit(half / DATABASE, half / PHOTOS)) if whole else []
    if not whole or any(is_whole_photo(path_of_photo(data / PHOTOS, name)) for name in lacking):
        words = "The copy was read back and is not what was copied: look at both disks. No copy."
        raise RefusedError("backup-failed", Msg(words))
    return lacking


def named_copy(folder: Path, now: float) -> Path:
    """Return where a copy of this time is kept in a folder of copies."""
    return folder / strftime(NAME, gmtime(now))


def keep_newest(folder: Path, keep: int) -> None:
    """Take the older ones away of the copies in a folder, whole or encrypted; nothing else."""
    ours = sorted(path for path in folder.iterdir() if fnmatchcase(path.name, PATTERN))
    for old in ours[: max(0, len(ours) - keep)]:
        shutil.rmtree(old) if old.is_dir() else old.unlink()


def _must_have_database(folder: Path) -> None:
    if not (folder / DATABASE).is_file():
        words = Msg("There is no {name} in {path}.", name=DATABASE, path=str(folder))
        raise RefusedError("backup-missing", words)


def restore_copy(data: Path, source: Path, without_photos: bool = False) -> None:
    """Put a copy in the place of the database; the one that was there is kept beside it.

    Photos are added; none is taken away or written over. Nothing is touched where the copy is
    damaged, or lacks photos that it knows and that are not here; without_photos: those are given
    up. Errors: RefusedError 'database-in-use', 'backup-missing', 'backup-damaged'.
    """
    _must_have_database(source)
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = ProcessLock(data / DATABASE)
    fresh = data / (DATABASE + ".fresh")
    try:
        shutil.copyfile(source / DATABASE, fresh)
        fresh.chmod(0o600)
        _must_be_whole(fresh, source)
        if not without_photos:
            _must_have_photos(fresh, source, data)
        _swap_database(data, fresh)
    finally:
        fresh.unlink(missing_ok=True)
        lock.release()
    for photo in sorted((source / PHOTOS).glob("*/*.jpg")):
        _add_photo(photo, data / PHOTOS / photo.parent.name / photo.name)


def _must_be_whole(fresh: Path, source: Path) -> None:
    """Refuse a copy that is damaged or cut short, or that holds no log."""
    if not is_whole_copy(fresh):
        words = Msg(
            "The copy in {path} is damaged. Nothing was changed. Take another copy.",
            path=str(source),
        )
        raise RefusedError("backup-damaged", words)


def _must_have_photos(fresh: Path, source: Path, data: Path) -> None:
    """Refuse a copy that lacks photos: it was cut short, and phones may have let go of them."""
    lacking = [
        name
        for name in photos_unfit(fresh, source / PHOTOS)
        if not is_whole_photo(path_of_photo(data / PHOTOS, name))
    ]
    if lacking:
        words = Plural(
            "The copy in {path} lacks {count} photo, or has it damaged. Nothing was changed. Take "
            "another copy, or give it up with --without-photos.",
            "The copy in {path} lacks {count} photos, or has them damaged. Nothing was changed. "
            "Take another copy, or give them up with --without-photos.",
        ).of(len(lacking), path=str(source))
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
