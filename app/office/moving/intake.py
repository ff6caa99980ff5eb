"""A file on its way in: read in the background, shown with all its problems, then taken or not.

Nothing of it is written before somebody has seen the preview and says so; then all is
written in one transaction. It waits in memory: after a restart the file is chosen again.
"""

import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock, Thread

from app.core.errors import AppError, InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural
from app.field.server import local_now
from app.office.issue.work import Hand
from app.office.moving import openings, records, sheet
from app.store.database import Database

FORGET_SECONDS = 3600
MOST_WAITING = 20


@dataclass
class Intake:
    """One file: who chose it, how far it is, what is wrong with it, what it would add."""

    person: str
    units: str
    name: str
    began: float
    token: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    state: str = "reading"  # reading, wrong, ready, taking, done
    total: int = 0
    done: int = 0
    wrong: list[openings.Wrong] = field(default_factory=list)
    taken: list[openings.OpeningRow] = field(default_factory=list)
    records: Json = field(default_factory=dict)
    made: Msg | None = None
    thread: Thread | None = None

    def fail(self, message: Msg) -> None:
        """Stop with what is wrong with the whole file."""
        self.wrong = [openings.Wrong(0, "", "", message)]
        self.state = "wrong"


class Intakes:
    """All files on their way in."""

    def __init__(self) -> None:
        self._all: dict[str, Intake] = {}
        self._lock = Lock()

    def begin(self, made: Intake) -> None:
        """Keep a new one; what is old, and the same person's last one, is forgotten."""
        with self._lock:
            now = time.monotonic()
            busy = ("reading", "taking")
            self._all = {
                token: one
                for token, one in self._all.items()
                if one.state in busy
                or (now - one.began < FORGET_SECONDS and one.person != made.person)
            }
            if len(self._all) >= MOST_WAITING:
                words = Msg("Other files are being imported. Try again in a minute.")
                raise InputError("intakes-full", words)
            self._all[made.token] = made

    def find(self, token: str, person: str) -> Intake | None:
        """Return a person's own intake."""
        found = self._all.get(token)
        return found if found is not None and found.person == person else None

    def claim(self, intake: Intake) -> bool:
        """Return whether this call is the one that may take it in."""
        with self._lock:
            if intake.state != "ready":
                return False
            intake.state, intake.done = "taking", 0
            return True


def start_in_background(intake: Intake, work: Callable[[], None]) -> None:
    """Do the work in the background; whatever stops it is said on the page."""

    def run() -> None:
        try:
            work()
        except AppError as error:
            intake.fail(error.message)
        except BaseException:
            intake.fail(Msg("Something in Sillbook went wrong. Nothing of this file was imported."))
            raise

    intake.thread = Thread(target=run, daemon=True)
    intake.thread.start()


def read_file(intake: Intake, data: bytes, database: Database, cache: dict[str, Json]) -> None:
    """Read a file: CSV with openings, or JSON with records."""
    if data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        intake.records = records.parsed_records(data)
        intake.total = intake.done = len(intake.records["openings"])
        intake.state = "ready"
        return
    found = sheet.read_sheet(data, openings.COLUMNS)
    intake.total = len(found.rows)

    def told(count: int) -> None:
        intake.done = count

    with database.read() as session:
        known = openings.known_of(session, intake.units, cache)
    made = openings.read_openings(found, known, told)
    intake.wrong, intake.taken = made.wrong, made.taken
    intake.state = "wrong" if made.wrong else "ready"


def write_all(intake: Intake, database: Database, cache: dict[str, Json]) -> None:
    """Write all of it, in one transaction."""
    with database.write() as session:
        if intake.records:
            new, events = records.take_records(session, intake.records)
            made = Plural(
                "{count} opening with {entries} is new here.",
                "{count} openings with {entries} are new here.",
            ).of(new, entries=Plural("{count} entry", "{count} entries").of(events))
        else:
            _must_still_fit(intake, openings.known_of(session, intake.units, cache))
            openings.write_openings(session, intake.taken, Hand(intake.person, local_now()))
            made = Plural("{count} opening was issued.", "{count} openings were issued.").of(
                len(intake.taken)
            )
    intake.made, intake.state, intake.done = made, "done", intake.total
    intake.taken, intake.records = [], {}


def _must_still_fit(intake: Intake, known: openings.KnownNames) -> None:
    """Refuse letters that somebody else took since the preview was made."""
    for one in intake.taken:
        if one.letter in known.letters.get(one.job, ()):
            words = Msg("This job has an opening {letter} already.", letter=one.letter)
            raise InputError("letter-used", words)
