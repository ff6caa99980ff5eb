"""What was measured, as rows: readings as typed, with who, when, whether they still count."""

from collections.abc import Iterator

from sqlmodel import Session

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.units import decimal_text
from app.core.record.canonical import digest
from app.core.record.events import is_of_visit
from app.core.record.state import State
from app.store import log

NAMES = (
    "job", "address", "letter", "room", "step", "point", "title", "panel", "place", "as_typed",
    "quantity", "base_units", "length_mm", "stands", "why", "instrument", "measured_by",
    "measured_at", "entered_by", "entered_at", "entry", "digest",
)  # fmt: skip


def reading_rows(
    session: Session, places: list[Json], known: dict[str, Json], people: dict[str, str]
) -> Iterator[dict[str, str]]:
    """Yield a row for each reading of each opening, in the order of the log."""
    for place in places:
        events = log.events_of(session, [place["id"]])[place["id"]]
        try:
            state = State(events, known)
        except AppError:  # not issued: nothing was measured
            continue
        for event in state.ledger.events:
            kinds = ("reading.taken", "reading.unreachable")
            if event["kind"] in kinds and state.ledger.is_shown(event):
                yield _reading_row(place, state, event, people)


def _reading_row(place: Json, state: State, event: Json, people: dict[str, str]) -> dict[str, str]:
    body = event["body"]
    point = state.points.get(body["point"], {})
    step = state.step_of_point.get(body["point"], {})
    value = body.get("value", "")
    length = body.get("quantity") == "length" and value
    return {
        "job": place["job_title"],
        "address": place["address"],
        "letter": place["letter"],
        "room": place["room"],
        "step": step.get("id", ""),
        "point": body["point"],
        "title": point.get("title", ""),
        "panel": body["panel"],
        "place": body["place"],
        "as_typed": body.get("text", ""),
        "quantity": body.get("quantity", ""),
        "base_units": value,
        "length_mm": millimetres(int(value)) if length else "",
        "stands": reading_counts(state, event),
        "why": body.get("why", ""),
        "instrument": body.get("instrument", ""),
        "measured_by": people.get(body.get("measured_by", ""), body.get("measured_by", "")),
        "measured_at": body.get("measured_at", ""),
        "entered_by": people.get(event["person"], event["person"]),
        "entered_at": event["at"],
        "entry": event["id"],
        "digest": digest(event),
    }


def millimetres(nm: int) -> str:
    """Return a length in nanometres as decimal millimetres, exactly: -1500 -> -0.0015."""
    return ("-" if nm < 0 else "") + decimal_text(abs(nm), 6)


def reading_counts(state: State, event: Json) -> str:
    """Return whether a reading counts: live, or struck, replaced, stale, set aside, of a visit."""
    if is_of_visit(event):
        return "visit"
    if not state.ledger.counts(event):
        return "set aside"
    if event["id"] in state.ledger.removed:
        return "struck"
    if state.ledger.replaced_by(event) is not None:
        return "replaced"
    return "stale" if state.stale_by(event) is not None else "live"
