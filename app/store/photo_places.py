"""Which place photos lie in, by the settings; that it is this database's; how it is changed.

Photos that lie elsewhere than in the folder of the data have a mark beside them, which the
database knows too. So no server works with another place, nor with an empty mount point. Servers
on several machines then share nothing but database and photos; each has a copy of the signing key.
"""

import hashlib
import secrets
import sqlite3
from contextlib import closing
from pathlib import Path
from urllib.parse import SplitResult, urlsplit

from sqlmodel import Session, select

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg
from app.settings import Settings
from app.store.photos import FolderPhotos, PhotoPlace
from app.store.records import Callback
from app.store.tables import Photo, Setting

_SETTING = "photos-mark"


def photo_place(settings: Settings) -> PhotoPlace:
    """Return where photos lie. Errors: RefusedError 'photos-address', 'photos-library'."""
    if settings.photos:
        return place_of(settings.photos)
    return FolderPhotos(settings.data / "photos")


def place_of(text: str) -> PhotoPlace:
    """Return a place by its address (https://HOST/BUCKET[/FOLDER]) or by its folder's path.

    Errors: RefusedError 'photos-address', 'photos-library'.
    """
    if "://" not in text:
        return FolderPhotos(Path(text).expanduser().absolute(), marked=True)
    address = urlsplit(text)
    if not _is_bucket(address):
        words = Msg(
            "SILLBOOK_PHOTOS must be a folder, or like https://HOST/BUCKET. Keys do not belong "
            "there: set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY."
        )
        raise RefusedError("photos-address", words)
    try:
        from app.store.bucket import BucketPhotos  # noqa: PLC0415  (an extra: not always installed)
    except ImportError as error:
        words = Msg("Photos in a bucket need a library: .venv/bin/pip install minio")
        raise RefusedError("photos-library", words) from error
    return BucketPhotos(address)


def _is_bucket(address: SplitResult) -> bool:
    known = address.scheme in ("http", "https") and bool(address.hostname)
    plain = "@" not in address.netloc and not address.query and not address.fragment
    return known and plain and bool(address.path.strip("/"))


def are_apart(session: Session) -> bool:
    """Return whether photos lie elsewhere than in the folder of the data, marked as ours."""
    return session.get(Setting, _SETTING) is not None


def must_be_ours(session: Session, named: str, place: PhotoPlace) -> None:
    """See that the place is this database's; one that is empty, as the database is, gets a mark.

    named: what the settings say of the place; "": it is in the folder of the data.
    Errors: RefusedError 'photos-elsewhere'; PhotosAwayError.
    """
    kept = session.get(Setting, _SETTING)
    if kept is None and not named:
        return
    if kept is None and not known_names(session) and next(place.photo_names(), None) is None:
        mark_as_ours(session, place)
    elif kept is None or kept.value != place.read_mark():
        words = Msg(
            "{place} does not hold the photos of this database. Look at SILLBOOK_PHOTOS. To bring "
            "them there: sillbook copy, with SILLBOOK_PHOTOS as it was.",
            place=place.name,
        )
        raise RefusedError("photos-elsewhere", words)


def mark_as_ours(session: Session, *places: PhotoPlace) -> None:
    """Mark places as this database's. Errors: RefusedError 'photos-of-another'."""
    kept = session.get(Setting, _SETTING)
    mark = kept.value if kept else secrets.token_hex(16)
    for place in places:
        _mark(place, mark)
    session.merge(Setting(name=_SETTING, value=mark))
    session.flush()


def _mark(place: PhotoPlace, mark: str) -> None:
    """Write the mark of a place. Errors: RefusedError 'photos-of-another'."""
    there = place.read_mark()
    if there not in ("", mark) and next(place.photo_names(), None) is not None:
        words = Msg(
            "In {place} are photos of another Sillbook. Name an empty place.", place=place.name
        )
        raise RefusedError("photos-of-another", words)
    if there != mark:
        place.write_mark(mark)


def mark_restored(database: Path, named: str, place: PhotoPlace) -> None:
    """Have a copy of a database, that nobody has open yet, and a place know each other.

    named: see must_be_ours. Errors: RefusedError 'photos-of-another'.
    """
    with closing(sqlite3.connect(database)) as opened, opened:
        row = opened.execute("SELECT value FROM setting WHERE name = ?", (_SETTING,)).fetchone()
        mark = row[0] if row else place.read_mark()
        if mark or named:
            mark = mark or secrets.token_hex(16)
            _mark(place, mark)
            opened.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (_SETTING, mark))


def known_names(session: Session) -> list[str]:
    """Return the names of the photos that the database knows: of phones, and of complaints."""
    complained = session.exec(select(Callback.photo).where(Callback.photo != ""))
    return sorted({*session.exec(select(Photo.sha256)), *complained})


def copy_photo(name: str, source: PhotoPlace, target: PhotoPlace) -> bool:
    """Copy a photo into another place, and read it back; returns whether it is whole there."""
    data = None if target.has_photo(name) else source.read_photo(name)
    if data is not None and _is_named(data, name):  # a damaged one would keep a whole one out
        target.keep_photo(name, data)
    return is_whole_photo(target, name)


def is_whole_photo(place: PhotoPlace, sha256: str) -> bool:
    """Return whether a photo is there and has the bytes of its name."""
    data = place.read_photo(sha256)
    return data is not None and _is_named(data, sha256)


def _is_named(data: bytes, sha256: str) -> bool:
    return hashlib.sha256(data).hexdigest() == sha256
