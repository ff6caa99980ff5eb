"""What was measured, as rows: readings as typed, with who, when, whether they still count."""

from collections.abc import Iterator

from sqlmodel import Session

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.results import limit_quantity
from app.core.quantity.units import decimal_text
from app.core.record.canonical import digest
from app.core.record.events import is_of_visit
from app.core.record.judge import Result, results_of
from app.core.record.state import State
from app.office.issue.writing import text_of
from app.store import log

NAMES = (
    "job", "address", "letter", "room", "practice",
    "step", "point", "title", "panel", "place", "as_typed",
    "quantity", "base_units", "length_mm", "stands", "limit", "verdict", "basis", "why",
    "instrument", "measured_by", "measured_at", "entered_by", "entered_at", "entry", "digest",
)  # fmt: skip
_READ = ("reading.taken", "reading.unreachable")


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
        judged = _judged_by_reading(state)
        for event in state.ledger.events:
            if event["kind"] in _READ and state.ledger.is_shown(event):
                row = _reading_row(place, state, event, people)
                yield {**row, **_judged_columns(judged.get(event["id"], []))}


def readings_with_checks(
    events: list[Json], known: dict[str, Json], people: dict[str, str]
) -> list[Json]:
    """Return the readings of an opening, each with `checks`: what rests on it; [] if not issued."""
    try:
        state = State(events, known)
    except AppError:
        return []
    judged = _judged_by_reading(state)
    place = dict.fromkeys(("job_title", "address", "letter", "room"), "")
    out = []
    for event in state.ledger.events:
        if event["kind"] in _READ and state.ledger.is_shown(event):
            row: Json = dict(_reading_row(place, state, event, people))
            for name in ("job", "address", "letter", "room", "practice"):
                del row[name]
            row["id"] = row.pop("entry")
            out.append({**row, "checks": [_check_of(one) for one in judged.get(event["id"], [])]})
    return out


def _check_of(result: Result) -> Json:
    columns = _judged_columns([result])
    return {
        "check": result.check["id"],
        "verdict": result.verdict,
        "conceded": result.conceded is not None,
        "limits": columns["limit"].split(" | ") if columns["limit"] else [],
        "bases": columns["basis"].split(" | ") if columns["basis"] else [],
    }


def _judged_by_reading(state: State) -> dict[str, list[Result]]:
    """Return the checks that rest on each live reading, by the reading's id."""
    out: dict[str, list[Result]] = {}
    for step in state.steps:
        for result in results_of(state, step):
            for id in result.readings:
                out.setdefault(id, []).append(result)
    return out


def _judged_columns(results: list[Result]) -> dict[str, str]:
    """Return limit, verdict and basis of the checks that rest on a reading, a | between checks."""
    limits, bases = [], []
    for result in results:
        check = result.check["id"]
        for limit in result.limits:
            if limit["value"] is not None:
                quantity = limit_quantity(result, limit["name"])
                amount = text_of(quantity, int(limit["value"]), "in")
                limits.append(f"{check}.{limit['name']} = {amount}")
            text = limit["basis"].get("text", "")
            bases.append(f"{check}: {limit['basis']['kind']}" + (f", {text}" if text else ""))
    return {
        "limit": " | ".join(limits),
        "verdict": " | ".join(f"{one.check['id']}: {one.verdict}" for one in results),
        "basis": " | ".join(dict.fromkeys(bases)),
    }


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
        "practice": "yes" if state.practice is not None else "",
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
