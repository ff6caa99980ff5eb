"""The epoch: a name for the unbroken life of a database.

A database that was put back from a copy has lost what came after the copy. Phones
must learn of it, to offer again all they hold: every answer of the server names the
epoch, and a database that went back gets a new one.

How going back is noticed. A stamp stands both in the database and in a file beside
it, which copies of the database do not hold; it is made anew at every start, and the file also
holds the last number given to an event. At the start they must agree: another stamp,
no file, or a file that knows of events which the database lacks means a new epoch.
Several servers on one PostgreSQL share the folder and with it this file: the first one to start
makes the stamp anew, those that come beside it must find theirs in the database.
`sillbook restore` takes the file away, so that what it puts back always begins a new
epoch; and a phone that shows a cursor from our own epoch beyond our last number
proves the same of a whole machine that was put back (see news.py). We sealed that cursor: a
phone cannot make one up.

A new epoch too many costs a few requests; one too few could cost somebody's work.
"""

import hmac
import os
import secrets
from pathlib import Path

from sqlalchemy import text
from sqlmodel import Session

from app.core.record.canonical import canonical_bytes
from app.store import devices
from app.store.log import newest_number
from app.store.photo_places import are_apart
from app.store.tables import Setting


class Stamp:
    """The file beside the database: "<stamp> <last number>", of one length always."""

    def __init__(self, database: Path) -> None:
        self.path = path_of(database)
        self._file: int | None = None
        self._stamp = ""

    def read(self) -> tuple[str, int]:
        """Return the stamp and the last number; ("", 0) where no such file is, or no sense."""
        try:
            stamp, number = self.path.read_text(encoding="ascii").split()
            return stamp, int(number)
        except (OSError, ValueError):
            return "", 0

    def begin(self, stamp: str, number: int) -> None:
        """Write a new stamp."""
        self._stamp = stamp
        if self._file is None:
            self._file = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        self.note(number)
        os.fsync(self._file)

    def is_ours(self, session: Session) -> bool:
        """Return whether no other server has begun on the database since we did."""
        return not self._stamp or self._stamp == _read_setting(session, "stamp")

    def may_join(self, session: Session) -> bool:
        """Return whether our file is that of the servers that began on the database last.

        Servers that share their photos by another way than the folder need not share this file.
        """
        if are_apart(session):
            return True
        stamp, _ = self.read()
        return stamp != "" and stamp == _read_setting(session, "stamp")

    def join(self, session: Session) -> None:
        """Take part in what another server began; only where may_join()."""
        self.begin(_read_setting(session, "stamp"), newest_number(session))

    def note(self, number: int) -> None:
        """Note the last number, after its commit; not forced to the disk, and need not be."""
        if self._file is not None:
            os.pwrite(self._file, f"{self._stamp} {number:020d}\n".encode(), 0)

    def close(self) -> None:
        """Close the file."""
        if self._file is not None:
            os.close(self._file)
            self._file = None


def path_of(database: Path) -> Path:
    """Return the path of the stamp that belongs to a database."""
    return database.with_name(database.name + ".stamp")


def start_epoch(session: Session, stamp: Stamp) -> None:
    """Look whether the database went back since it last ran, and begin a new stamp.

    The caller commits the database's own stamp after the file's: where the machine stops
    between the two, the next start sees them differ.
    """
    kept, last = stamp.read()
    newest = newest_number(session)
    if not kept or kept != _read_setting(session, "stamp") or last > newest:
        renew_epoch(session)
    fresh = secrets.token_hex(8)
    _write_setting(session, "stamp", fresh)
    stamp.begin(fresh, newest)


def renew_epoch(session: Session) -> str:
    """Begin a new epoch and return it.

    The database's own devices get new ids: what they said after the copy was made still lives on
    phones, and another event in its place would divide the books for good.
    """
    if epoch_of(session):
        _write_setting(session, "went-back", "yes")
    epoch = secrets.token_hex(8)
    _write_setting(session, "epoch", epoch)
    devices.renew_devices(session)
    return epoch


def epoch_of(session: Session) -> str:
    """Return the epoch."""
    return _read_setting(session, "epoch")


def has_gone_back(session: Session) -> bool:
    """Return whether this database was ever put back from a copy, or may have been."""
    return _read_setting(session, "went-back") != ""


WAIT = 60  # seconds between two epochs that cursors begin


def renew_by_cursor(session: Session, now: int) -> bool:
    """Begin a new epoch because a cursor proves that we went back; not twice within a minute."""
    last = _read_setting(session, "renewed-at")
    if last and 0 <= now - int(last) < WAIT:
        return False
    renew_epoch(session)
    _write_setting(session, "renewed-at", str(now))
    return True


def make_secret(session: Session) -> None:
    """Give the database the secret that seals cursors, where it has none yet."""
    if not _read_setting(session, "cursor-secret"):
        _write_setting(session, "cursor-secret", secrets.token_hex(32))


def cursor_seal(session: Session, device: str, place: str) -> str:
    """Return what shows that we gave this place in our news to this phone, in this epoch."""
    secret = bytes.fromhex(_read_setting(session, "cursor-secret"))
    about = canonical_bytes([epoch_of(session), device, place])
    return hmac.new(secret, about, "sha256").hexdigest()[:32]


def _read_setting(session: Session, name: str) -> str:
    return session.connection().execute(_SETTING, {"name": name}).scalar() or ""


_SETTING = text("SELECT value FROM setting WHERE name = :name")


def _write_setting(session: Session, name: str, value: str) -> None:
    session.merge(Setting(name=name, value=value))
    session.flush()
