"""What the board is asked for: a filter, words to find, an order, and the key to go on after."""

import binascii
import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, tuple_
from sqlalchemy import select as sql_select
from sqlmodel import Session, col, func, select

from app.core.quantity.messages import Msg
from app.office.board import finding
from app.store.summary_tables import FLAGS, NONE, NOTHING, PLACES, SHOWN_AS, Summary, Tally
from app.store.tables import Assigned, Person

PAGE = 50
QUIET_DAYS = 7
MOST_COUNTED = 1000
MOST_WORDS = 100
PRACTICE = "practice"
CREW = "crew:"  # what stands before the id of a crew, where a person's may stand as well

FILTERS = {
    "": Msg("All"),
    "review": Msg("Waits for review"),
    "look": Msg("Needs a look"),
    "outs": Msg("Out of tolerance"),
    "queries": Msg("Query without an answer"),
    "waiting": Msg("Told to wait"),
    "not_ready": Msg("Not ready"),
    "parts": Msg("Parts to reorder"),
    "otherwise": Msg("Judged otherwise today"),
    "late": Msg("Late"),
    "quiet": Msg("Not heard of for a week"),
    "work": Msg("Under way"),
    "new": Msg("Not begun"),
    "done": Msg("Accepted"),
    "closed": Msg("Closed"),
    PRACTICE: Msg("Practice"),
}
_STATES = {
    name: [state for state, shown_as in SHOWN_AS.items() if shown_as == name]
    for name in ("review", "look", "work", "new", "done", "closed")
}
ORDERS = {
    "urgent": (Msg("Most urgent first"), (Summary.place, Summary.heard, Summary.opening)),
    "job": (Msg("By job"), (Summary.title, Summary.letter, Summary.opening)),
    "heard": (Msg("Longest not heard of first"), (Summary.heard, Summary.opening)),
}


@dataclass(frozen=True)
class BoardQuery:
    """A page of the board as it is asked for; what makes no sense is taken as not asked."""

    show: str = ""
    find: str = ""
    sort: str = "urgent"
    after: str = ""
    crew: str = ""  # the id of somebody who is on it, or of the crew that it is planned with

    @staticmethod
    def of(query: Mapping[str, str]) -> "BoardQuery":
        """Return what the query of an address asks for."""
        show, sort = query.get("show", ""), query.get("sort", "")
        return BoardQuery(
            show if show in FILTERS else "",
            query.get("find", "").strip()[:MOST_WORDS],
            sort if sort in ORDERS else "urgent",
            query.get("after", "")[:2000],
            query.get("crew", "")[:MOST_WORDS],
        )

    @property
    def narrowed(self) -> bool:
        """Return whether the counts beside the filters, which are of all, would mislead."""
        return bool(self.find or self.crew)


def summary_page(session: Session, asked: BoardQuery, now: datetime) -> tuple[list[Summary], str]:
    """Return a page of summaries, and the key to go on after ("" at the end).

    By key, never by offset: a page far down costs what the first costs, and rows that
    come and go above shift nothing.
    """
    order = [col(column) for column in ORDERS[asked.sort][1]]
    wanted = _filter_conditions(asked, now)
    if asked.crew:
        wanted.append(_given_to(session, asked.crew))
    key = key_in(asked.after, len(order))
    if key is not None:
        wanted.append(tuple_(*order) > tuple_(*key))
    if asked.find:
        wanted = finding.matching_first(session, asked.find, wanted, order, PAGE + 1)
    page = select(Summary).where(*wanted).order_by(*order).limit(PAGE + 1)
    found = list(session.exec(page))
    more = len(found) > PAGE
    return found[:PAGE], key_of(found[PAGE - 1], asked.sort) if more else ""


def next_review(session: Session, but: str) -> dict[str, Any]:
    """Return the opening that waits longest for a review, but for one; {} where none does."""
    waiting = [*_shown_as("review"), col(Summary.opening) != but]
    order = [col(column) for column in ORDERS["urgent"][1]]
    found = session.exec(select(Summary).where(*waiting).order_by(*order).limit(1)).first()
    if found is None:
        return {}
    some = select(Summary.opening).where(*waiting).limit(MOST_COUNTED).subquery()
    count = session.exec(select(func.count()).select_from(some)).one()
    return {
        "opening": found.opening,
        "letter": found.letter,
        "room": found.room,
        "count": count,
    }


def _filter_conditions(asked: BoardQuery, now: datetime) -> list[ColumnElement[bool]]:
    out: list[ColumnElement[bool]] = []
    if asked.show in _STATES:
        out.extend(_shown_as(asked.show))
    elif asked.show in FLAGS:
        out.append(col(getattr(Summary, asked.show)) > NONE)
    elif asked.show == "late":
        out.extend(late_conditions(now))
    elif asked.show == "quiet":
        out.extend(_quiet_conditions(now))
    elif asked.show == PRACTICE:
        out.append(col(Summary.place) == PLACES.index(PRACTICE))
    elif not asked.show:
        out.append(col(Summary.place) < PLACES.index("closed"))
    return out


def _shown_as(name: str) -> list[ColumnElement[bool]]:
    """Return the conditions for openings that the board shows as this: the index serves place."""
    most = PLACES.index(name)
    return [col(Summary.state).in_(_STATES[name]), col(Summary.place) <= most]


def _given_to(session: Session, person: str) -> ColumnElement[bool]:
    """Return the condition for openings that were given to a crew, or to a person.

    Of few, they are looked up; of many, each opening is asked as the page comes to it.
    """
    if person.startswith(CREW):
        return col(Summary.crew) == person.removeprefix(CREW)
    own = select(Assigned.opening).where(Assigned.person == person)
    some = own.limit(finding.FEW).subquery()
    if session.exec(select(func.count()).select_from(some)).one() < finding.FEW:
        return col(Summary.opening).in_(own)
    return own.where(Assigned.opening == Summary.opening).exists()


def crew_names(session: Session, found: Sequence[Summary]) -> dict[str, list[str]]:
    """Return the names of who is on each opening's crew."""
    wanted = select(Assigned.opening, Person.name).join(Person, col(Person.id) == Assigned.person)
    wanted = wanted.where(col(Assigned.opening).in_([row.opening for row in found]))
    out: dict[str, list[str]] = {}
    for opening, name in session.exec(wanted.order_by(col(Person.name), col(Person.id))):
        out.setdefault(opening, []).append(name)
    return out


def late_conditions(now: datetime) -> list[ColumnElement[bool]]:
    """Return the conditions for openings with a day that was promised or planned and is past."""
    today = now.astimezone().date().isoformat()
    return [col(Summary.due) != NOTHING, col(Summary.due) < today]


def _quiet_conditions(now: datetime) -> list[ColumnElement[bool]]:
    """Return the conditions for work that was begun and that nobody has told of for a while."""
    since = (now.astimezone(UTC) - timedelta(days=QUIET_DAYS)).isoformat(timespec="milliseconds")
    begun = col(Summary.state).in_(_STATES["look"] + _STATES["work"])
    return [begun, col(Summary.place) <= PLACES.index("work"), col(Summary.heard) < since]


def key_of(row: Summary, sort: str) -> str:
    """Return a row's place in an order, as text for an address."""
    parts = [getattr(row, column.key) for column in ORDERS[sort][1]]  # type: ignore[attr-defined]
    return urlsafe_b64encode(json.dumps(parts).encode()).decode().rstrip("=")


def key_in(text: str, length: int) -> list[Any] | None:
    """Return the key that an address holds; None where it holds none that fits."""
    try:
        parts = json.loads(urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    except (ValueError, binascii.Error):
        return None
    fits = isinstance(parts, list) and len(parts) == length
    return parts if fits and all(isinstance(part, str | int) for part in parts) else None


def filter_counts(session: Session, now: datetime) -> dict[str, int]:
    """Return how many openings each filter shows; late and quiet up to MOST_COUNTED."""
    tally = dict(session.exec(select(Tally.name, Tally.count)).all())
    out = {flag: tally.get(flag, 0) for flag in FLAGS}
    for name, states in _STATES.items():
        out[name] = sum(tally.get("state:" + state, 0) for state in states)
    out[""] = sum(out[name] for name in _STATES if name != "closed")
    apart = {
        "late": late_conditions(now),
        "quiet": _quiet_conditions(now),
        PRACTICE: [col(Summary.place) == PLACES.index(PRACTICE)],
    }
    some = [
        select(Summary.opening).where(*conditions).limit(MOST_COUNTED).subquery()
        for conditions in apart.values()
    ]
    counts = [select(func.count()).select_from(one).scalar_subquery() for one in some]
    out |= dict(zip(apart, session.connection().execute(sql_select(*counts)).one(), strict=True))
    return out
