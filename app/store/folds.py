"""What the one writer has folded of openings: carried forward by what is new, never read again.

A transaction that fails must drop what it touched (`drop`): its events are in no log. Nothing here
is asked by readers.
"""

import json
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import String, bindparam, text
from sqlmodel import Session

from app.core.kinds import Json
from app.core.record.fold import carried_forward
from app.core.record.state import State
from app.store import procedures

MOST = 100  # openings that are kept, those that were touched last


@dataclass
class Fold:
    """The events of an opening as they came in, when it was heard of last, what they fold to.

    begun: when the first entry of a crew came in. names: what may be named there, kept by
    sync/chains.py with what it was made of.
    """

    events: list[Json] = field(default_factory=list)
    crew: str = ""
    begun: str = ""
    issue: str = ""
    seq: int = 0
    state: State | None = None
    names: tuple[tuple[str, ...], Any] | None = None

    @property
    def heard(self) -> str:
        """Return when a crew was heard of last, else when it was issued."""
        return self.crew or self.issue

    def hear(self, row: Any) -> None:
        """Take one more row of the log in."""
        self.events.append(json.loads(row.body))
        self.seq = row.seq
        self.issue = self.issue or row.received_at
        if not row.device.startswith("office-"):
            self.crew = max(self.crew, row.received_at)
            self.begun = self.begun or row.received_at


class Folds:
    """Opening -> what was folded of it."""

    def __init__(self) -> None:
        self._kept: dict[str, Fold] = {}

    def get(self, opening: str) -> Fold | None:
        """Return what is kept of an opening: up to the last commit of this server."""
        return self._kept.get(opening)

    def get_heard(self, session: Session, opening: str) -> Fold | None:
        """Return what is kept of an opening: up to the last commit, of whatever server."""
        heard: set[str] = session.info.setdefault("heard", set())
        if session.info.get("several") and opening in self._kept and opening not in heard:
            self._hear_others(session, opening)
        heard.add(opening)
        return self._kept.get(opening)

    def _hear_others(self, session: Session, opening: str) -> None:
        fold = self._kept[opening]
        _hear_more(session, opening, fold)
        if fold.state is None:
            return
        known = procedures.all_of(session, fold.state.procedures)
        try:
            self.state_of(fold, known, fold.state.truths)
        except Exception:  # noqa: BLE001  (it is logged where the opening is judged)
            self.drop([opening])

    def clear(self) -> None:
        """Forget all."""
        self._kept.clear()

    def up_to_now(self, session: Session, openings: list[str]) -> dict[str, Fold]:
        """Return what is folded of these openings, with what this transaction has added."""
        out = {opening: self._kept.get(opening, Fold()) for opening in openings}
        self.drop(openings)
        fresh = [opening for opening in openings if not out[opening].seq]
        for row in session.connection().execute(_ALL, {"openings": fresh}) if fresh else ():
            out[row.opening].hear(row)
        kept = session.info.get("kept")  # the last number of this transaction: nothing is newer
        for opening in set(openings) - set(fresh):
            if kept is None or out[opening].seq < kept:
                _hear_more(session, opening, out[opening])
        self._kept.update(out)  # at the end: they are the last to go
        return out

    def state_of(self, fold: Fold, procedures: dict[str, Json], truths: dict[str, bool]) -> State:
        """Return the state of an opening. Errors: as State()."""
        before, fold.state = fold.state, None  # used up, also where folding fails
        fold.state = carried_forward(before, fold.events, procedures, truths)
        return fold.state

    def drop(self, openings: Any) -> None:
        """Forget openings: what was done there may not have come to be."""
        for opening in openings:
            self._kept.pop(opening, None)

    def trim(self) -> None:
        """Keep no more than may be kept."""
        for opening in list(self._kept)[:-MOST]:
            del self._kept[opening]


def _hear_more(session: Session, opening: str, fold: Fold) -> None:
    for row in session.connection().execute(_MORE, {"opening": opening, "seq": fold.seq}):
        fold.hear(row)


_ROWS = "SELECT opening, device, body, received_at, seq FROM event WHERE opening"
_ALL = text(_ROWS + " IN :openings ORDER BY seq").bindparams(
    bindparam("openings", expanding=True, type_=String)
)
_MORE = text(_ROWS + " = :opening AND seq > :seq ORDER BY seq")
