"""Whether all that is kept is whole: chains, hashes, signatures, photos, summaries, the database.

In short at every start (`newest_faults`): the newest entries, as many as a second allows. In full
by `sillbook doctor --full` and by a running server once a day (`all_faults`). Nothing is changed or
mended: what is not whole is said, and a copy from before is put back (`sillbook restore`).
"""

import hashlib
import json
import logging
import time
from collections.abc import Iterator

from sqlalchemy import text
from sqlmodel import Session, col, select

from app.access.keys import Verifier, head_message, signing_message
from app.core.kinds import Json
from app.core.record.events import SIGNED_KINDS
from app.store import learning
from app.store.database import Database
from app.store.photo_places import known_names
from app.store.photos import PhotoPlace, PhotosAwayError
from app.store.summaries import Summaries
from app.store.tables import Aside, Device, Event, Head, Setting
from app.store.timed_work import TimedWork

DAY = 24 * 3600
START_SECONDS = 1.0
_AT_ONCE = 500
_COLUMNS = ("id", "opening", "device", "n", "prev", "turn", "kind")
_LOG = logging.getLogger("sillbook")

Chain = tuple[str, str]  # opening, device


def newest_faults(session: Session, seconds: float = START_SECONDS) -> list[str]:
    """Return what is wrong with the newest entries, as many as can be looked at in so long."""
    end = time.monotonic() + seconds
    found: list[str] = []
    before = None
    while time.monotonic() < end:
        wanted = select(Event).order_by(col(Event.seq).desc()).limit(_AT_ONCE)
        if before is not None:
            wanted = wanted.where(Event.seq < before)
        rows = session.exec(wanted).all()
        if not rows:
            break
        for row in rows:
            found.extend(_row_faults(row))
        before = rows[-1].seq
        session.expunge_all()
    return found


def all_faults(session: Session, photos: PhotoPlace, full: bool = True) -> Iterator[str]:
    """Yield all that is wrong, in words for whoever runs the server.

    full: every photo is read; else it is looked which are there.
    """
    yield from log_faults(session)
    yield from (photo_faults if full else _photos_missing)(session, photos)
    yield from summary_faults(session)


def log_faults(session: Session) -> Iterator[str]:
    """Yield what is wrong with the database's file, the entries and their signatures."""
    yield from _database_faults(session)
    ends: dict[Chain, dict[int, str]] = {}
    verifiers = {d.id: Verifier(d.key) for d in session.exec(select(Device))}
    yield from _chain_faults(session, ends, verifiers)
    yield from _head_faults(session, ends, verifiers)


def summary_faults(session: Session) -> Iterator[str]:
    """Yield what is kept otherwise than it follows from the entries."""
    yield from Summaries().differences(session)
    yield from learning.differences(session)


def _database_faults(session: Session) -> Iterator[str]:
    """Yield what SQLite says of its own file; PostgreSQL keeps checks of its own."""
    if session.connection().dialect.name != "sqlite":
        return
    for pragma, good in (("integrity_check", "ok"), ("foreign_key_check", None)):
        for row in session.connection().execute(text("PRAGMA " + pragma)):
            if row[0] != good:
                yield f"the database's {pragma}: {' '.join(str(part) for part in row)}"


def _row_faults(row: Event) -> Iterator[str]:
    where = f"entry {row.id} (number {row.seq}, opening {row.opening})"
    if hashlib.sha256(row.body.encode()).hexdigest() != row.hash:
        yield f"{where}: what it says is not what its hash was made of"
        return
    said: Json = json.loads(row.body)
    for name in _COLUMNS:
        if said[name] != getattr(row, name):
            yield f"{where}: its {name} is not as it says"


def _chain_faults(
    session: Session, ends: dict[Chain, dict[int, str]], verifiers: dict[str, Verifier]
) -> Iterator[str]:
    """Yield what is wrong with each entry and each link; notes of every chain the hashes by n."""
    placed: dict[Chain, dict[int, str]] = {}
    for aside in session.exec(select(Aside).where(col(Aside.placed).is_(True))):
        placed.setdefault((aside.opening, aside.device), {})[aside.n] = aside.hash
    wanted = select(Event).order_by(col(Event.opening), col(Event.device), col(Event.n))
    for row in session.exec(wanted.execution_options(yield_per=_AT_ONCE)):
        yield from _row_faults(row)
        chain = (row.opening, row.device)
        known = ends.setdefault(chain, dict(placed.get(chain, {})))
        if row.n > 1 and known.get(row.n - 1) != row.prev:
            yield f"entry {row.id}: the one before it in its chain is missing or another"
        known[row.n] = row.hash
        if row.kind in SIGNED_KINDS and row.device in verifiers:
            message = signing_message(row.id, row.hash)
            if not verifiers[row.device].fits(message, row.signature):
                yield f"sign-off {row.id}: its phone's signature is of something else"


def _head_faults(
    session: Session, ends: dict[Chain, dict[int, str]], verifiers: dict[str, Verifier]
) -> Iterator[str]:
    for head in session.exec(select(Head)):
        where = f"the chain of {head.device} in opening {head.opening}"
        message = head_message(head.device, head.opening, head.n, head.hash)
        if not verifiers[head.device].fits(message, head.signature):
            yield f"{where}: its signature is not its phone's"
        elif ends.get((head.opening, head.device), {}).get(head.n) != head.hash:
            yield f"{where}: entry {head.n} is not the one that its phone signed"


def photo_faults(session: Session, place: PhotoPlace) -> Iterator[str]:
    """Yield the photos that are missing, or not what they are named by."""
    for sha256 in known_names(session):
        try:
            data = place.read_photo(sha256)
        except PhotosAwayError:
            yield f"photo {sha256}: its file cannot be read"
            continue
        if data is None:
            yield f"photo {sha256}: its file is missing"
        elif hashlib.sha256(data).hexdigest() != sha256:
            yield f"photo {sha256}: its file is not what it is named by"


def _photos_missing(session: Session, place: PhotoPlace) -> Iterator[str]:
    try:
        there = set(place.photo_names())
    except PhotosAwayError:
        yield f"photos: {place.name} does not answer"
        return
    for sha256 in known_names(session):
        if sha256 not in there:
            yield f"photo {sha256}: its file is missing"


def say_newest(session: Session) -> None:
    """Look at the newest entries, and log what is wrong: serving goes on, for crews wait."""
    for fault in newest_faults(session):
        _LOG.error("not whole: %s (run sillbook doctor --full)", fault)


class DailyCheck(TimedWork):
    """Looks at all of it once a day while the server runs."""

    def __init__(self, database: Database, seconds: float = DAY) -> None:
        failed = "it could not be looked whether all is whole"
        super().__init__(database, seconds, "daily check", failed)
        self.faults: list[str] | None = None  # of the last time; None before the first

    def work_once(self) -> None:
        """Look at all, where it is this server's turn."""
        if self._is_ours():
            self.look()

    def _is_ours(self) -> bool:
        """Return whether this server is to look this time: of several only the quickest does."""
        if not self.database.is_shared:
            return True
        now = int(time.time())
        with self.database.write() as session:
            last = session.get(Setting, "daily-check")
            if last is not None and 0 <= now - int(last.value) < self.seconds / 2:
                return False
            session.merge(Setting(name="daily-check", value=str(now)))
            return True

    def look(self) -> None:
        """Look at all, and log what is wrong."""
        found = []
        with self.database.read() as session:
            for fault in all_faults(session, self.database.photos, self.database.photos.is_near):
                _LOG.error("not whole: %s", fault)
                found.append(fault)
                if self._stop.is_set():
                    return
        self.faults = found
