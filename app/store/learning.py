"""Keeps what accepted doors teach: worked out of each door once, added up by month and crew.

Not in the transaction of the entries: a door is replayed whole, and its crew need not wait for
that. A running server does it in a thread of its own (`Learner`), a few doors at a time, and rests
in between. Where two processes do it, the second finds the door counted. `forget_all` has
everything counted anew; the rows come to the same.
"""

import json
import logging
import time
from collections.abc import Iterable, Iterator

from sqlalchemy import insert
from sqlmodel import Session, col, delete, func, or_, select

from app.core.kinds import Json
from app.core.record import rules
from app.core.record.state import State
from app.store import log, procedures
from app.store.database import Database
from app.store.learned_tables import LearnedDoor, LearnedMonth
from app.store.lessons import DoorLessons, Key, Lesson, lessons_of
from app.store.summary_tables import Summary, Tally
from app.store.tables import Setting
from app.store.timed_work import TimedWork

# another one has all doors counted anew; so do other rules
VERSION = f"1 by rules {rules.RULES}"
COUNTED = ("done", "archived")  # states of openings that stand accepted
AT_ONCE = 20
FIRST_LOOK = 10.0  # seconds after the start
LOOK_EVERY = 60.0  # seconds
REST = 2.0  # times as long as the work took: pages go first
ALL_CREWS = "*"
_SETTING = "learned"
_LOG = logging.getLogger("sillbook")

Month = dict[Key, Lesson]  # all that is added up for one month and crew


def count_waiting(session: Session) -> int:
    """Return how many accepted doors are not counted yet."""
    names = ["state:" + state for state in COUNTED]
    accepted = session.exec(select(func.sum(Tally.count)).where(col(Tally.name).in_(names))).one()
    counted = session.exec(select(func.count()).select_from(LearnedDoor)).one()
    return max(0, (accepted or 0) - counted)


def waiting_doors(session: Session, most: int = AT_ONCE) -> list[str]:
    """Return doors to look at: accepted ones with entries that were not looked at, and counted
    ones that stand accepted no more."""
    accepted = col(Summary.state).in_(COUNTED) & col(Summary.practice).is_(False)
    wanted = (
        select(Summary.opening)
        .outerjoin(LearnedDoor, col(LearnedDoor.opening) == col(Summary.opening))
        .where(
            or_(
                accepted & (col(LearnedDoor.seq).is_(None) | (LearnedDoor.seq != Summary.seq)),
                ~accepted & col(LearnedDoor.seq).is_not(None),
            )
        )
    )
    return list(session.exec(wanted.order_by(col(Summary.opening)).limit(most)))


def learned_door(session: Session, summary: Summary, known: dict[str, Json]) -> LearnedDoor | None:
    """Return what an opening teaches as it is kept; None where it is not to be counted."""
    if summary.state not in COUNTED or summary.practice:
        return None
    try:
        state = State(log.events_of(session, [summary.opening])[summary.opening], known)
        taught = lessons_of(state)
    except Exception:  # noqa: BLE001  (a fault at one door keeps no other from being counted)
        _LOG.exception("the opening %s could not be counted", summary.opening)
        taught = None
    if taught is None:
        taught = DoorLessons("", "", None, False, {})
    return LearnedDoor(
        opening=summary.opening, seq=summary.seq, month=taught.month, crew=taught.crew,
        job=summary.job, floor=taught.floor, floor_out=taught.floor_out,
        facts=facts_text(taught.lessons),
    )  # fmt: skip


def facts_text(lessons: Month) -> str:
    """Return a door's lessons as they are kept."""
    rows = [[*key, one.count, one.good, one.sizes] for key, one in sorted(lessons.items())]
    return json.dumps(rows, separators=(",", ":"))


def lessons_in(door: LearnedDoor) -> Month:
    """Return the lessons of a door as it is kept."""
    return {
        (kind, step, name, way): Lesson(count, good, sizes)
        for kind, step, name, way, count, good, sizes in json.loads(door.facts)
    }


def learn_some(database: Database, cache: dict[str, Json], most: int = AT_ONCE) -> int:
    """Count some doors that wait for it; returns how many were looked at."""
    with database.read() as session:
        openings = waiting_doors(session, most)
        if not openings:
            return 0
        known = procedures.all_of(session, cache)
        wanted = select(Summary).where(col(Summary.opening).in_(openings))
        seqs = {row.opening: row.seq for row in session.exec(wanted)}
        doors = {row.opening: learned_door(session, row, known) for row in session.exec(wanted)}
    with database.write() as session:
        # what has changed meanwhile waits for the next time
        now = select(Summary.opening, Summary.seq).where(col(Summary.opening).in_(openings))
        same = [opening for opening, seq in session.exec(now) if seqs[opening] == seq]
        keep_doors(session, {opening: doors[opening] for opening in same})
    return len(openings)


def keep_doors(session: Session, doors: dict[str, LearnedDoor | None]) -> None:
    """Put doors in the place of what was kept of them, and bring their months up to date."""
    wanted = select(LearnedDoor).where(col(LearnedDoor.opening).in_(doors))
    before = {row.opening: row for row in session.exec(wanted)}
    months: dict[tuple[str, str], Month] = {}
    for opening, door in doors.items():
        old = before.get(opening)
        if old is not None and door is not None and _says_the_same(old, door):
            continue
        for one, sign in ((old, -1), (door, 1)):
            if one is not None:
                for at in _months_with(one):
                    if at not in months:
                        months[at] = month_of(session, *at)
                    add_lessons(months[at], lessons_in(one), sign)
    session.connection().execute(
        delete(LearnedDoor).where(col(LearnedDoor.opening).in_(list(doors)))
    )
    rows = [door.model_dump() for door in doors.values() if door is not None]
    if rows:
        session.connection().execute(insert(LearnedDoor), rows)
    _keep_months(session, months)


def _months_with(door: LearnedDoor) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the months that a door is added to: its crew's, and that of all crews."""
    return (door.month, door.crew), (door.month, ALL_CREWS)


def _says_the_same(old: LearnedDoor, new: LearnedDoor) -> bool:
    return (old.month, old.crew, old.facts) == (new.month, new.crew, new.facts)


def month_of(session: Session, month: str, crew: str) -> Month:
    """Return what is added up for a month and crew."""
    wanted = select(LearnedMonth).where(LearnedMonth.month == month, LearnedMonth.crew == crew)
    return {
        (row.kind, row.step, row.name, row.way): Lesson(row.count, row.good, sizes_in(row.sizes))
        for row in session.exec(wanted)
    }


def sizes_in(text: str) -> list[int]:
    """Return the amounts of a row."""
    return [int(word) for word in text.split()]


def add_lessons(month: Month, lessons: Month, sign: int = 1) -> None:
    """Add what a door teaches to a month; sign -1 takes it away again."""
    for key, one in lessons.items():
        sum_ = month.setdefault(key, Lesson())
        sum_.count += sign * one.count
        sum_.good += sign * one.good
        for size in one.sizes:
            sum_.sizes.append(size) if sign > 0 else sum_.sizes.remove(size)
        if not sum_.count:
            del month[key]


def _keep_months(session: Session, months: dict[tuple[str, str], Month]) -> None:
    for month, crew in months:
        session.connection().execute(
            delete(LearnedMonth).where(
                col(LearnedMonth.month) == month, col(LearnedMonth.crew) == crew
            )
        )
    rows = [row for (month, crew), sums in months.items() for row in _month_rows(month, crew, sums)]
    if rows:
        session.connection().execute(insert(LearnedMonth), rows)


def _month_rows(month: str, crew: str, sums: Month) -> Iterator[Json]:
    for (kind, step, name, way), one in sorted(sums.items()):
        yield {
            "month": month, "crew": crew, "kind": kind, "step": step, "name": name, "way": way,
            "count": one.count, "good": one.good, "sizes": " ".join(map(str, sorted(one.sizes))),
        }  # fmt: skip


def begin_learning(session: Session) -> None:
    """Have all doors counted anew where another version counted them."""
    made = session.get(Setting, _SETTING)
    if made is None or made.value != VERSION:
        forget_all(session)
        session.merge(Setting(name=_SETTING, value=VERSION))


def forget_all(session: Session) -> None:
    """Have every door counted anew."""
    for table in (LearnedMonth, LearnedDoor):
        session.connection().execute(delete(table))


def differences(session: Session, most: int = AT_ONCE) -> Iterator[str]:
    """Yield where months are not the sum of their doors, or one of the newest doors is not what
    its entries give; changes nothing."""
    sums: dict[tuple[str, str], Month] = {}
    for door in session.exec(select(LearnedDoor).execution_options(yield_per=500)):
        for at in _months_with(door):
            add_lessons(sums.setdefault(at, {}), lessons_in(door))
    rows = [row for at, month in sums.items() for row in _month_rows(*at, month)]
    kept = [row.model_dump() for row in session.exec(select(LearnedMonth))]
    for at in sorted({(row["month"], row["crew"]) for row in _only_in_one(rows, kept)}):
        yield f"what was learned of {at}: not the sum of its doors (rebuild)"
    known = procedures.all_of(session, {})
    newest = (
        select(Summary, LearnedDoor)
        .join(LearnedDoor, col(LearnedDoor.opening) == col(Summary.opening))
        .where(LearnedDoor.seq == Summary.seq, col(Summary.state).in_(COUNTED))
        .order_by(col(Summary.seq).desc())
    )
    for summary, door in session.exec(newest.limit(most)).all():
        now = learned_door(session, summary, known)
        if now is None or now.model_dump() != door.model_dump():
            yield f"opening {door.opening}: what was learned is not what its entries give (rebuild)"


def _only_in_one(some: list[Json], others: list[Json]) -> Iterable[Json]:
    one, other = ({json.dumps(row, sort_keys=True): row for row in rows} for rows in (some, others))
    return [{**one, **other}[key] for key in one.keys() ^ other.keys()]


class Learner(TimedWork):
    """Counts accepted doors while the server runs."""

    def __init__(self, database: Database, seconds: float = LOOK_EVERY) -> None:
        failed = "accepted doors could not be counted"
        super().__init__(database, seconds, "learner", failed, min(seconds, FIRST_LOOK))
        self._known: dict[str, Json] = {}

    def work_once(self) -> None:
        """Count all doors that wait."""
        self.learn_all()

    def learn_all(self) -> None:
        """Count all doors that wait, one at a time, with rests."""
        began = time.monotonic()
        while learn_some(self.database, self._known, 1):
            if self._stop.wait(REST * (time.monotonic() - began)):
                return
            began = time.monotonic()
