"""What service visits came to, as /office/visits says it: folded once, in no language.

A door is folded when one of its visits is shown, and again only when an entry has come in since.
"""

from threading import Lock
from typing import Any

from sqlmodel import Session, col, func, select

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import visit as visit_page
from app.core.pages.request import VISIT
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.moments import moment_of
from app.core.record import visits
from app.core.record.state import State
from app.homeowner import issuing, snapshot
from app.homeowner.wording import FactsRequest, FactsSpeaker, as_json
from app.store import log
from app.store.epoch import epoch_of
from app.store.tables import Event

MOST = 500  # doors that are kept, those shown last
MOST_MOVES = 3  # of a visit on this page; its sheet has them all
_DAY = 24 * 60 * 60 * 10**9


class VisitLines:
    """The lines of visits, by door and units: of each as it was after its last entry."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str, str], tuple[int, dict[str, Json]]] = {}
        self._lock = Lock()

    def lines_of(
        self, session: Session, openings: list[str], units: str, known: dict[str, Json]
    ) -> dict[str, Json]:
        """Return the line of each visit of these openings, by its id.

        {"after", "moves": [{"point", "place", "change"}], "moved_by": ids of steps, "signed": None
        or {"words", "person", "trace"}}: words as homeowner/wording.py has them. An opening that
        cannot be folded has none: its own page says so. known: procedures by id@version.
        """
        newest = select(Event.opening, func.max(Event.seq)).group_by(Event.opening)
        lines: dict[str, Json] = {}
        ours = epoch_of(session)  # a database that went back gives its numbers again
        for opening, seq in session.exec(newest.where(col(Event.opening).in_(openings))).all():
            key = (ours, opening, units)
            with self._lock:
                kept = self._kept.pop(key, None)
            if kept is None or kept[0] != seq:
                kept = (seq, _lines_of_opening(session, opening, units, known))
            with self._lock:
                self._kept[key] = kept  # at the end: those shown last stay longest
                for old in list(self._kept)[:-MOST]:
                    del self._kept[old]
            lines.update(kept[1])
        return lines


def _lines_of_opening(
    session: Session, opening: str, units: str, known: dict[str, Json]
) -> dict[str, Json]:
    events = log.events_of(session, [opening])[opening]
    asked = FactsRequest(snapshot.request_of(issuing.about(session, opening), events, known))
    asked.speaker = FactsSpeaker(None, units)
    try:
        state = asked.state(opening)
        return {
            begun["id"]: _line(asked, opening, state, begun) for begun in visits.visits_of(state)
        }
    except AppError:
        return {}


def _line(asked: FactsRequest, opening: str, state: State, begun: Json) -> Json:
    signed = visits.signed_of(state, begun["id"])
    visited = asked.state(opening + VISIT + begun["id"])
    moves = [move for move in visits.moves_of(state, visited) if move.is_moved]
    shown = [visit_page.move_shown(asked, visited, 0, move) for move in moves[:MOST_MOVES]]
    traced = [visits.trace_of(visited, move.point["id"])[0] for move in moves]
    return {
        "after": as_json(_after_words(state, begun)),
        "moves": [{name: one[name] for name in ("point", "place", "change")} for one in shown],
        "moved_by": ", ".join(dict.fromkeys(traced)),
        "signed": None if signed is None else _signed_line(state, signed),
    }


def _signed_line(state: State, signed: Json) -> Json:
    trace: Any = visit_page.trace_words(state.procedure, signed["body"]["trace"])
    return {
        "words": signed["body"]["words"],
        "person": signed["person"],
        "trace": as_json(trace),
    }


def _after_words(state: State, begun: Json) -> Msg:
    """Return how long after the office accepted the door somebody was called back."""
    review = state.review()
    start, end = moment_of(review["at"]) if review else None, moment_of(begun["at"])
    if start is None or end is None:
        return Msg("–")
    days = max(0, (end - start) // _DAY)
    return Plural("{count} day after acceptance", "{count} days after acceptance").of(days)
