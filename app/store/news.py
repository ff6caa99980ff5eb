"""What is new for a phone: the events of its people's openings, in one order for good.

Events and the openings handed to people are numbered in one row (triggers number what is
assigned), in the order of commit; of several servers on PostgreSQL nearly so. An event's place for
a phone is its own number, or the number under which its opening came to the phone, whichever is
later: so an opening that is handed over late brings its whole past, after all that the phone
has already.
"""

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import text
from sqlmodel import Session

from app.core.kinds import Json

PAGE = 500
MOST_TALLIES = 1000  # phones
MARK = 8  # hexadecimal digits of a hash in a cursor

# Openings of all people of a device who are not disabled, with the number they came under.
_MINE = """
WITH person_of AS (
  SELECT p.id, p.role, d.since FROM device_person d JOIN person p ON p.id = d.person
  WHERE d.device = :device AND NOT p.disabled
), each AS (
  SELECT a.opening, CASE WHEN a.since > w.since THEN a.since ELSE w.since END AS since
  FROM assigned a JOIN person_of w ON w.id = a.person WHERE w.role = 'installer'
  UNION ALL
  SELECT o.id, w.since FROM opening o JOIN person_of w ON w.role <> 'installer'
), mine AS (
  SELECT opening, min(since) AS since FROM each GROUP BY opening
)
"""
_EVENTS = text(
    _MINE
    + """
SELECT e.body, e.seq, CASE WHEN e.seq > m.since THEN e.seq ELSE m.since END AS place
FROM mine m JOIN event e ON e.opening = m.opening
  AND e.seq > CASE WHEN m.since < :place THEN :place WHEN m.since = :place THEN :seq ELSE 0 END
ORDER BY place, e.seq LIMIT :most
"""
)
_HASHES = text(
    _MINE + "SELECT e.id, e.hash FROM mine m JOIN event e ON e.opening = m.opening ORDER BY e.id"
)
_COUNTS = text(
    _MINE + "SELECT e.opening, count(*) AS count FROM mine m JOIN event e ON e.opening = m.opening"
    " GROUP BY e.opening ORDER BY e.opening"
)
_HASH_AT = text("SELECT hash FROM event WHERE seq = :seq")
_WITHDRAWN = text(
    _MINE
    + """
SELECT DISTINCT w.opening FROM withdrawn w JOIN device_person d ON d.person = w.person
WHERE d.device = :device AND w.opening NOT IN (SELECT opening FROM mine) ORDER BY w.opening
"""
)
_WHOSE = text(
    _MINE
    + """
SELECT m.opening, w.id FROM mine m JOIN person_of w ON w.role <> 'installer'
  OR EXISTS (SELECT 1 FROM assigned a WHERE a.opening = m.opening AND a.person = w.id)
ORDER BY w.id
"""
)


@dataclass(frozen=True)
class Cursor:
    """How far a phone has come: the place of the last event it has, and that event's number."""

    place: int = 0
    seq: int = 0

    def __str__(self) -> str:
        return f"{self.place}-{self.seq}"


def cursor_from(words: str) -> Cursor | None:
    """Return the cursor that a phone shows, its mark and seal left out; the start for "".

    None for what is no cursor.

    Example: cursor_from("12-7") -> Cursor(12, 7)
    """
    if not words:
        return Cursor()
    place, _, rest = words.partition("-")
    seq = rest.partition("-")[0]
    if not all(part.isascii() and part.isdigit() and len(part) <= 18 for part in (place, seq)):
        return None
    return Cursor(int(place), int(seq))


def mark_in(words: str) -> str:
    """Return the mark in a cursor that a phone shows; "" where there is none.

    Example: mark_in("12-7-9f86d081-5e88…") -> "9f86d081"
    """
    mark = [*words.split("-"), "", "", ""][2]
    return mark if mark.isascii() and mark.isalnum() and len(mark) <= MARK else ""


def mark_of(session: Session, cursor: Cursor) -> str:
    """Return the mark of a cursor's last event: the beginning of its hash, "0" for none.

    A database that was put back may give the same number to another event: then it differs.
    """
    hash_ = session.connection().execute(_HASH_AT, {"seq": cursor.seq}).scalar()
    return str(hash_)[:MARK] if hash_ else "0"


@dataclass(frozen=True)
class NewsPage:
    """A page of news: events, how far it goes, whether there is more."""

    events: list[Json]
    cursor: Cursor
    more: bool


def news_page(
    session: Session, device: str, after: Cursor, most: int = PAGE, upto: int | None = None
) -> NewsPage:
    """Return the events after a cursor, at most so many.

    upto: the place beyond which another server may still put something before what is here
    (Database.settled_number): no page goes beyond, and says that there is more.
    """
    asked = {"device": device, "place": after.place, "seq": after.seq, "most": most + 1}
    rows = _all_rows(session, _EVENTS, **asked)
    shown = [row for row in rows[:most] if upto is None or row[2] <= upto]
    cursor = Cursor(shown[-1][2], shown[-1][1]) if shown else after
    return NewsPage([json.loads(row[0]) for row in shown], cursor, len(rows) > len(shown))


class Tallies:
    """The tallies of what phones should hold, worked out again only where there is more or less.

    Events are only added: in one life of a database as many of the same openings are the same.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[str, list[tuple[str, int]], tuple[int, str]]] = {}

    def clear(self) -> None:
        """Forget all: the database may have another past now, with other events as many."""
        self._kept.clear()

    def of_device(self, session: Session, device: str, epoch: str) -> tuple[int, str]:
        """Return the count of all events a phone should hold in this epoch, and their tally."""
        counts = [(row.opening, row.count) for row in _all_rows(session, _COUNTS, device=device)]
        known = self._kept.get(device)
        if known is None or known[:2] != (epoch, counts):
            hashes = dict(_all_rows(session, _HASHES, device=device))
            known = (epoch, counts, (len(hashes), tally_of(hashes)))
            if len(self._kept) >= MOST_TALLIES:
                self._kept.clear()
            self._kept[device] = known
        return known[2]


def tally_of(hashes: dict[str, str]) -> str:
    """Return the SHA-256 of lines "id hash" of events, sorted by id, a line feed after each."""
    lines = (f"{id_} {hash_}\n" for id_, hash_ in sorted(hashes.items()))
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def withdrawn_openings(session: Session, device: str) -> list[str]:
    """Return the openings that people of a phone had and have no longer."""
    return [row[0] for row in _all_rows(session, _WITHDRAWN, device=device)]


def openings_of_people(session: Session, device: str) -> dict[str, list[str]]:
    """Return each opening of a phone with the ids of its people who may see it."""
    out: dict[str, list[str]] = {}
    for opening, person in _all_rows(session, _WHOSE, device=device):
        out.setdefault(opening, []).append(person)
    return out


def _all_rows(session: Session, statement: Any, **asked: object) -> list[Any]:
    return list(session.connection().execute(statement, asked))
