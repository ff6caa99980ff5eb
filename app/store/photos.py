"""Photos: named by the SHA-256 of their bytes, where they lie, and who may see them.

They lie in a folder, or in a bucket (bucket.py). A photo that is there is never written over.
"""

import errno
import logging
import os
import secrets
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Protocol

from sqlmodel import Session, col, select

from app.core.errors import AppError
from app.core.quantity.messages import Msg
from app.store.records import Callback
from app.store.shop_drawings import openings_with_page
from app.store.tables import Aside, Event, Photo, PhotoOf

MARK = "sillbook-photos.txt"  # says whose photos these are: see photo_places.py
_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EROFS}
_LOG = logging.getLogger("sillbook")


class PhotosAwayError(AppError):
    """The place of the photos does not answer, or not as it should."""

    status = 503

    def __init__(self, place: str, why: str) -> None:
        _LOG.error("photos cannot be reached in %s: %s", place, why)
        words = Msg("The photos cannot be reached now. Try again in a minute.")
        super().__init__("photos-away", words)


class PhotoPlace(Protocol):
    """Where photos lie. name: as people may read it. is_near: all of it may be read each day.

    Every method raises PhotosAwayError where the place does not answer. keep_photo raises OSError
    where there is no room.
    """

    name: str
    is_near: bool

    def __hash__(self) -> int: ...

    def has_photo(self, sha256: str) -> bool:
        """Return whether a photo is there, whatever its bytes."""

    def read_photo(self, sha256: str) -> bytes | None:
        """Return the bytes of a photo, or None where it is not there."""

    def keep_photo(self, sha256: str, data: bytes) -> None:
        """Write a photo that is not there, whole or not at all; kept when this returns."""

    def drop_photo(self, sha256: str) -> None:
        """Take a photo away that nothing names; one that is not there is no fault."""

    def photo_names(self) -> Iterator[str]:
        """Yield the names of all that are there."""

    def read_mark(self) -> str:
        """Return what was written by write_mark, or ""."""

    def write_mark(self, mark: str) -> None:
        """Write whose photos these are; makes the place where it is not there."""


def path_of(folder: Path, sha256: str) -> Path:
    """Return where a photo is kept. Example: path_of(Path("d"), "ab12…") -> d/ab/ab12….jpg"""
    return folder / sha256[:2] / (sha256 + ".jpg")


class FolderPhotos:
    """Photos in a folder: of the data, or shared by several machines.

    marked: nothing is written before its mark is there. A network folder that is not mounted
    would else take photos onto the disk below it.
    """

    is_near = True

    def __init__(self, folder: Path, marked: bool = False) -> None:
        self.folder = folder
        self.name = str(folder)
        self._marked = marked

    def has_photo(self, sha256: str) -> bool:
        """Return whether a photo is there, whatever its bytes."""
        return path_of(self.folder, sha256).is_file()

    def read_photo(self, sha256: str) -> bytes | None:
        """Return the bytes of a photo, or None where it is not there."""
        try:
            return path_of(self.folder, sha256).read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            return None
        except OSError as error:
            raise PhotosAwayError(self.name, str(error)) from error

    def keep_photo(self, sha256: str, data: bytes) -> None:
        """Write a photo that is not there, whole or not at all; on the disk when this returns."""
        if self._marked and not (self.folder / MARK).is_file():
            raise PhotosAwayError(self.name, "its mark is not there")
        try:
            if not self.has_photo(sha256):
                keep_photo(self.folder, sha256, data)
        except OSError as error:
            if error.errno in _NO_ROOM:
                raise
            raise PhotosAwayError(self.name, str(error)) from error

    def drop_photo(self, sha256: str) -> None:
        """Take a photo away that nothing names; one that is not there is no fault."""
        try:
            path_of(self.folder, sha256).unlink(missing_ok=True)
        except OSError as error:
            raise PhotosAwayError(self.name, str(error)) from error

    def photo_names(self) -> Iterator[str]:
        """Yield the names of all that are there."""
        return (path.stem for path in sorted(self.folder.glob("??/*.jpg")))

    def read_mark(self) -> str:
        """Return what was written by write_mark, or ""."""
        try:
            return (self.folder / MARK).read_text("ascii").strip()
        except FileNotFoundError:
            return ""
        except (OSError, ValueError) as error:
            raise PhotosAwayError(self.name, str(error)) from error

    def write_mark(self, mark: str) -> None:
        """Write whose photos these are; makes the folder where it is not there."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        (self.folder / MARK).write_text(mark + "\n", "ascii")


def keep_photo(folder: Path, sha256: str, data: bytes) -> None:
    """Write a photo into a folder, whole or not at all; on the disk when this returns."""
    path = path_of(folder, sha256)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    half = path.with_name(f"{sha256}.{secrets.token_hex(4)}.part")
    try:
        with open(half, "xb", opener=_open_own) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)
    _sync_folder(path.parent)


def _open_own(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _sync_folder(folder: Path) -> None:
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def known_photo(session: Session, place: PhotoPlace, sha256: str) -> Photo | None:
    """Return what is kept of a photo, or None; a row whose file is gone counts for nothing."""
    row = session.get(Photo, sha256)
    return row if row is not None and place.has_photo(sha256) else None


def absent_photos(session: Session, place: PhotoPlace, names: list[str]) -> list[str]:
    """Return which of these are not here. While their place is away nobody is told of any."""
    try:
        return [sha256 for sha256 in names if known_photo(session, place, sha256) is None]
    except PhotosAwayError:
        return [sha256 for sha256 in names if session.get(Photo, sha256) is None]


def seems_here(place: PhotoPlace, sha256: str) -> bool:
    """Return whether a page may lead to a photo: it is there, or its place is away."""
    try:
        return place.has_photo(sha256)
    except PhotosAwayError:
        return True


def openings_with(session: Session, sha256: str) -> set[str]:
    """Return the openings of which an event names a photo, or whose shop drawing it is part of."""
    named = set(session.exec(select(PhotoOf.opening).where(PhotoOf.sha256 == sha256)))
    return named | openings_with_page(session, sha256)


def drop_unnamed(session: Session, place: PhotoPlace, names: Iterable[str]) -> None:
    """Take pictures away that were pages of a shop drawing and that nothing names any more.

    In a writing transaction of its own: who puts the same picture in meanwhile keeps it again.
    """
    for sha256 in sorted(set(names)):
        row = session.get(Photo, sha256)
        complained = session.exec(select(Callback.id).where(Callback.photo == sha256)).first()
        if row is None or complained or openings_with(session, sha256):
            continue
        session.delete(row)
        session.flush()
        place.drop_photo(sha256)


def is_named_by(session: Session, device: str, sha256: str) -> bool:
    """Return whether an event of a phone names a photo, its opening withdrawn or not."""
    wanted = select(PhotoOf.event).join(Event, col(Event.id) == col(PhotoOf.event))
    wanted = wanted.where(PhotoOf.sha256 == sha256, Event.device == device)
    return session.exec(wanted).first() is not None


def awaited_photos(session: Session, device: str) -> list[str]:
    """Return the photos that a phone's entries name and that are not here, or no longer."""
    wanted = select(PhotoOf.sha256).join(Event, col(Event.id) == col(PhotoOf.event)).distinct()
    wanted = wanted.where(Event.device == device, col(PhotoOf.sha256).not_in(select(Photo.sha256)))
    return sorted(session.exec(wanted))


def is_aside(session: Session, device: str, sha256: str) -> bool:
    """Return whether something of a phone that is held or set aside names a photo."""
    wanted = select(Aside.key).where(Aside.device == device, col(Aside.text).contains(sha256))
    return session.exec(wanted).first() is not None
