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
from app.store.photo_places import copy_photo, is_whole_photo, mark_restored
from app.store.photos import FolderPhotos, PhotoPlace
from app.store.whole import is_whole_copy, names_of_photos

DATABASE, PHOTOS = "sillbook.db", "photos"
HALF = ".part"  # a copy is called so until it is whole
NAME, PATTERN = "sillbook-%Y%m%dT%H%M%SZ", "sillbook-[0-9]*T[0-9]*Z*"


def back_up(data: Path, target: Path, place: PhotoPlace | None = None) -> list[str]:
    """Copy the database, whole and at one moment, and its photos into a new folder.

    place: where the photos lie, if not in the folder of the data. The copy is read back before it
    gets its name. Returns the photos that the database knows and that were damaged or missing here
    already. Errors: RefusedError 'backup-exists', 'backup-missing', 'backup-failed';
    PhotosAwayError.
    """
    _must_have_database(data)
    if target.exists():
        raise RefusedError("backup-exists", Msg("{path} is there already.", path=str(target)))
    half = target.with_name(target.name + HALF)
    shutil.rmtree(half, ignore_errors=True)  # of a time when it was cut short
    half.mkdir(mode=0o700, parents=True)
    try:
        lacking = _fill_copy(data, half, place or FolderPhotos(data / PHOTOS))
        half.rename(target)
    except BaseException:
        shutil.rmtree(half, ignore_errors=True)
        raise
    return lacking


def _fill_copy(data: Path, half: Path, place: PhotoPlace) -> list[str]:
    # VACUUM INTO ends even while others write; a stepwise copy may start again for ever.
    with closing(sqlite3.connect(data / DATABASE)) as connection:
        connection.execute("VACUUM INTO ?", (str(half / DATABASE),))
    (half / DATABASE).chmod(0o600)
    whole = is_whole_copy(half / DATABASE)
    copied = FolderPhotos(half / PHOTOS)
    # after the database: every photo it knows of is there by now
    names = names_of_photos(half / DATABASE) if whole else []
    lacking = [name for name in names if not copy_photo(name, place, copied)]
    for name in set(place.photo_names()) - set(names):  # what it does not know may be known again
        copy_photo(name, place, copied)
    if not whole or any(is_whole_photo(place, name) for name in lacking):
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


def restore_copy(
    data: Path,
    source: Path,
    without_photos: bool = False,
    named: str = "",
    place: PhotoPlace | None = None,
) -> None:
    """Put a copy in the place of the database; the one that was there is kept beside it.

    Photos are added; none is taken away or written over. Nothing is touched where the copy is
    damaged, or lacks photos that it knows and that are not here; without_photos: those are given
    up. named, place: where photos lie, if not in the folder of the data.
    Errors: RefusedError 'database-in-use', 'backup-missing', 'backup-damaged',
    'photos-of-another'; PhotosAwayError.
    """
    place, copied = place or FolderPhotos(data / PHOTOS), FolderPhotos(source / PHOTOS)
    _must_have_database(source)
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = ProcessLock(data / DATABASE)
    fresh = data / (DATABASE + ".fresh")
    try:
        shutil.copyfile(source / DATABASE, fresh)
        fresh.chmod(0o600)
        _must_be_whole(fresh, source)
        names = names_of_photos(fresh)
        if not without_photos:
            _must_have_photos(source, [n for n in names if not _is_in(n, place, copied)])
        mark_restored(fresh, named, place)
        _swap_database(data, fresh)
    finally:
        fresh.unlink(missing_ok=True)
        lock.release()
    # one that is here is never written over by a damaged one
    for name in {*names, *copied.photo_names()}:
        copy_photo(name, copied, place)


def _is_in(name: str, *places: PhotoPlace) -> bool:
    return any(is_whole_photo(place, name) for place in places)


def _must_be_whole(fresh: Path, source: Path) -> None:
    """Refuse a copy that is damaged or cut short, or that holds no log."""
    if not is_whole_copy(fresh):
        words = Msg(
            "The copy in {path} is damaged. Nothing was changed. Take another copy.",
            path=str(source),
        )
        raise RefusedError("backup-damaged", words)


def _must_have_photos(source: Path, lacking: list[str]) -> None:
    """Refuse a copy that lacks photos: it was cut short, and phones may have let go of them."""
    if lacking:
        words = Plural(
            "The copy in {path} lacks {count} photo, or has it damaged. Nothing was changed. Take "
            "another copy, or give it up with --without-photos.",
            "The copy in {path} lacks {count} photos, or has them damaged. Nothing was changed. "
            "Take another copy, or give them up with --without-photos.",
        ).of(len(lacking), path=str(source))
        raise RefusedError("backup-damaged", words)


def _swap_database(data: Path, fresh: Path) -> None:
    path_of(data / DATABASE).unlink(missing_ok=True)  # first of all: from here on it is another
    for end in ("", "-wal", "-shm"):
        old = data / (DATABASE + end)
        if old.exists():
            old.replace(data / (DATABASE + ".replaced" + end))
    fresh.replace(data / DATABASE)
