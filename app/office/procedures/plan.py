"""What moving many openings to another version of their procedure would do, opening by opening."""

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.core.errors import AppError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import heads_of
from app.core.record.state import State
from app.core.trade.drawing import title_of
from app.core.where.places import lengths_needed
from app.office.issue import work
from app.store import log
from app.store.summary_tables import SETTLED, Summary

MOST = 200  # openings in one act: each is folded with the move, and all are written together


@dataclass(frozen=True)
class KnownProcedures:
    """The procedures, what is known of sign-offs, and the version that is moved to."""

    procedures: dict[str, Json]
    truths: dict[str, bool]
    key: str

    @property
    def compiled(self) -> Json:
        """Return the version that is moved to."""
        found: Json = self.procedures[self.key]
        return found

    @property
    def others(self) -> list[str]:
        """Return the other versions of the same procedure."""
        same = self.compiled["id"]
        return [k for k, v in self.procedures.items() if v["id"] == same and k != self.key]


@dataclass(frozen=True)
class Planned:
    """An opening, with the sign-offs that break, or why it cannot be moved."""

    row: Summary
    breaks: list[tuple[str, Msg]]
    refused: Msg | None


def why_not_movable(state: State, key: str, compiled: Json) -> Msg | None:
    """Return why an opening cannot be moved to a version, or None."""
    if state.procedure_key == key:
        return Msg("The opening stands under this version already.")
    if state.drawing.data.get("door", "") not in compiled["doors"]:
        return Msg("This procedure is not for that kind of door.")
    silent = [name for name in lengths_needed(compiled) if not state.drawing.length(name)]
    if silent:
        return Msg(
            "Its drawing does not give “{what}”, which this version needs. Revise it first.",
            what=Msg(title_of(silent[0])),
        )
    return None


def open_under(session: Session, known: KnownProcedures, job: str) -> list[Summary]:
    """Return the open openings under another version, of a job or of all ("")."""
    wanted = select(Summary).where(
        col(Summary.procedure).in_(known.others),
        col(Summary.state).not_in(SETTLED),
        col(Summary.practice).is_(False),  # it keeps what it was issued with
    )
    if job:
        wanted = wanted.where(Summary.job == job)
    order = (col(Summary.title), col(Summary.letter), col(Summary.opening))
    return list(session.exec(wanted.order_by(*order).limit(MOST + 1)))


def of_ids(session: Session, ids: Sequence[str]) -> list[Summary]:
    """Return these openings' summaries; ones that are not there are left out."""
    return list(session.exec(select(Summary).where(col(Summary.opening).in_(ids))))


def move_plan(session: Session, known: KnownProcedures, rows: Sequence[Summary]) -> list[Planned]:
    """Return what moving these would do: first what breaks most, then by job and letter."""
    events = log.events_of(session, [row.opening for row in rows])
    out = [_planned_move(known, row, events[row.opening]) for row in rows]
    return sorted(out, key=_plan_order)


def _planned_move(known: KnownProcedures, row: Summary, events: list[Json]) -> Planned:
    try:
        state = State(events, known.procedures, known.truths)
    except AppError as error:
        return Planned(row, [], error.message)
    refused = why_not_movable(state, known.key, known.compiled)
    if refused is not None or not row.signed:
        return Planned(row, [], refused)
    trial = work.trial_move(events, row.opening, known.compiled)
    return Planned(row, work.broken_sign_offs(events, trial, known.procedures, known.truths), None)


def _plan_order(one: Planned) -> tuple[bool, int, str, str, str]:
    row = one.row
    return (one.refused is None, -len(one.breaks), row.title, row.letter, row.opening)


def movable(planned: Sequence[Planned]) -> list[Planned]:
    """Return those that can be moved."""
    return [one for one in planned if one.refused is None]


def plan_digest(planned: Sequence[Planned]) -> str:
    """Return a digest of what a plan would move and break: what a person has looked at."""
    told = sorted(
        (one.row.opening, one.row.procedure, [key for key, _ in one.breaks])
        for one in movable(planned)
    )
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def event_id(form: str, opening: str) -> str:
    """Return the id of an opening's event, the same for the same form: its time, then a digest.

    Source: RFC 9562 section 5.7, with 74 bits of a digest in the place of chance.
    """
    drawn = hashlib.sha256(f"{form}|{opening}".encode()).hexdigest()
    return f"{form[:13]}-7{drawn[:3]}-{'89ab'[int(drawn[3], 16) % 4]}{drawn[4:7]}-{drawn[7:19]}"


def carry_out(
    session: Session,
    known: KnownProcedures,
    planned: Sequence[Planned],
    hand: work.Hand,
    form: Json,
) -> None:
    """Move all of them, or none. form: its id, and why.

    Errors: RefusedError 'plan-changed' where something came in for one of them since the plan.
    """
    ids = [one.row.opening for one in planned]
    now = {row.opening: row.seq for row in of_ids(session, ids)}
    if any(now.get(one.row.opening) != one.row.seq for one in planned):
        raise RefusedError("plan-changed", CHANGED)
    events = log.events_of(session, ids)
    for moved in _move_drafts(known, planned, events, form):
        work.move_procedure(session, moved, hand)


def _move_drafts(
    known: KnownProcedures, planned: Sequence[Planned], events: dict[str, list[Json]], form: Json
) -> Iterator[work.ProcedureMove]:
    for one in planned:
        opening = one.row.opening
        seen = heads_of(events[opening])
        id_ = event_id(form["id"], opening)
        yield work.ProcedureMove(id_, opening, known.compiled, form["why"], seen)


CHANGED = Msg(
    "What this would move or break has changed since the page was made. Look again, then send it."
)
