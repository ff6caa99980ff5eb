"""Photos: files named by the SHA-256 of their bytes, and who may see them."""

import os
import secrets
from pathlib import Path

from sqlmodel import Session, col, select

from app.store.tables import Aside, Event, Photo, PhotoOf


def path_of(folder: Path, sha256: str) -> Path:
    """Return where a photo is kept. Example: path_of(Path("d"), "ab12…") -> d/ab/ab12….jpg"""
    return folder / sha256[:2] / (sha256 + ".jpg")


def keep_photo(folder: Path, sha256: str, data: bytes) -> None:
    """Write a photo, whole or not at all; on the disk when this returns."""
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


def known_photo(session: Session, folder: Path, sha256: str) -> Photo | None:
    """Return what is kept of a photo, or None; a row whose file is gone counts for nothing."""
    row = session.get(Photo, sha256)
    return row if row is not None and path_of(folder, sha256).is_file() else None


def openings_with(session: Session, sha256: str) -> set[str]:
    """Return the openings of which an event names a photo."""
    return set(session.exec(select(PhotoOf.opening).where(PhotoOf.sha256 == sha256)))


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
