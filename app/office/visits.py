"""/office/visits: owners' complaints, the visits that answer them, and why doors come back."""

import json
import logging
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session, col, select
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.forms import read_form
from app.access.pages import speaker_of
from app.access.photo_answer import photo_answer
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import AppError, InputError, MissingError
from app.core.kinds import Json
from app.core.pages import visit as visit_page
from app.core.pages.request import VISIT
from app.core.pages.request import Request as CoreRequest
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.moments import moment_of
from app.core.record import visits
from app.core.record.state import State
from app.field.server import local_now
from app.homeowner import issuing, service, snapshot
from app.office.pages import form_of, office_page
from app.store import callbacks, log, people, procedures
from app.store.devices import device_id
from app.store.records import Callback, ServiceSheet, sheets_of
from app.store.tables import Event, Person

router = APIRouter(prefix="/office/visits")
Asker = Annotated[Person, Depends(need_supervisor)]
DAY = 24 * 60 * 60 * 10**9
MOST_MOVES = 3  # of a visit on this page; its sheet has them all
MOST_VISITS = 200
MOST_SHEETS = 3  # issued in one transaction: a phone that was away has one or two
_LOG = logging.getLogger("sillbook")


@router.get("")
def visits_page(request: Request, _: Asker) -> Response:
    """Show open complaints, then the visits, newest first."""
    with server_of(request).database.read() as session:
        rows = _visit_rows(request, session)
        context = {
            "callbacks": [_callback_row(request, session, c) for c in callbacks.open_of(session)],
            "visits": rows,
            "traces": _traces(rows),
        }
    return office_page(request, "office/visits.html", Msg("Service"), context)


def _where(about: Json) -> str:
    return f"{about['letter']} · {about['room']} · {about['address']}"


def _callback_row(request: Request, session: Session, one: Callback) -> Json:
    say = speaker_of(request).say
    names = people.names_by_id(session)
    day = datetime.fromtimestamp(one.at, UTC).date().isoformat()
    taken = (
        Msg("{who} has it", who=names.get(one.person, "–")) if one.person else Msg("Nobody has it")
    )
    crew = session.exec(select(Person).where(col(Person.disabled).is_(False)).order_by(Person.name))
    return {
        "where": _where(issuing.about(session, one.opening)),
        "words": one.words,
        "day": day,
        "photo": f"/office/visits/photo/{one.id}" if one.photo else "",
        "taken": say(taken),
        "give": form_of("/office/visits", act="give", callback=one.id),
        "people": [{"value": p.id, "text": p.name, "chosen": p.id == one.person} for p in crew],
        "close": form_of("/office/visits", act="close", callback=one.id),
        "field": f"/field/o/{one.opening}/visit",
    }


def _visit_rows(request: Request, session: Session) -> list[Json]:
    wanted = select(Event.opening).where(Event.kind == "visit.begun").distinct()
    openings = list(session.exec(wanted))[:MOST_VISITS]
    events = log.events_of(session, openings)
    compiled = procedures.all_of(session, {})
    out = []
    for opening in openings:
        about = issuing.about(session, opening)
        asked = snapshot.request_of(about, events[opening], compiled)
        asked.speaker, asked.people = speaker_of(request), people.names_by_id(session)
        try:
            state = asked.state(opening)
            out += [_visit_row(asked, session, about, state, e) for e in visits.visits_of(state)]
        except AppError:  # an opening that cannot be folded says so on its own page
            continue
    return sorted(out, key=lambda row: str(row["at"]), reverse=True)


def _visit_row(
    asked: CoreRequest, session: Session, about: Json, state: State, begun: Json
) -> Json:
    id, opening = begun["id"], about["id"]
    signed = visits.signed_of(state, id)
    visited = asked.state(opening + VISIT + id)
    moves = [move for move in visits.moves_of(state, visited) if move.is_moved]
    shown = [visit_page.move_shown(asked, visited, 0, move) for move in moves[:MOST_MOVES]]
    sheet = next((one for one in sheets_of(session, opening) if one.visit == id), None)
    traced = [visits.trace_of(visited, move.point["id"])[0] for move in moves]
    trace = visit_page.trace_words(state, signed["body"]["trace"]) if signed else None
    return {
        "at": begun["at"],
        "where": _where(about),
        "words": begun["body"]["words"],
        "after": asked.say(_after_words(state, begun)),
        "moves": [
            {"text": f"{one['point']}, {one['place']}", "change": one["change"]} for one in shown
        ],
        "moved_by": ", ".join(dict.fromkeys(traced)),
        "found": signed["body"]["words"] if signed else "",
        "by": asked.name(signed["person"]) if signed else asked.say(Msg("goes on")),
        "trace": asked.say(trace) if trace else "",
        "sheet": f"/record/{opening}/service/{sheet.revision}" if sheet else "",
        "issue": form_of("/office/visits", act="issue", opening=opening, visit=id)
        if signed and sheet is None
        else None,
        "field": f"/field/o/{opening}{VISIT}{id}",
    }


def _after_words(state: State, begun: Json) -> Msg:
    """Return how long after the office accepted the door somebody was called back."""
    review = state.review()
    start, end = moment_of(review["at"]) if review else None, moment_of(begun["at"])
    if start is None or end is None:
        return Msg("–")
    days = max(0, (end - start) // DAY)
    return Plural("{count} day after acceptance", "{count} days after acceptance").of(days)


def _traces(rows: list[Json]) -> list[Json]:
    """Return how many signed visits trace to what, most first."""
    named = [row["trace"] for row in rows if row["trace"]]
    counted = sorted({name: named.count(name) for name in named}.items(), key=lambda p: -p[1])
    return [{"text": name, "count": str(count)} for name, count in counted]


@router.get("/photo/{id}")
def complaint_photo(request: Request, id: str, _: Asker) -> Response:
    """Show the photo that came with a complaint."""
    server = server_of(request)
    with server.database.read() as session:
        found = session.get(Callback, id)
    answer = photo_answer(server.database.photos, found.photo) if found and found.photo else None
    if answer is None:
        raise MissingError("photo-unknown", Msg("There is no such photo."))
    return answer


@router.post("")
async def change_visits(request: Request, person: Asker) -> Response:
    """Give a complaint to somebody, close one, or issue the sheet of a visit."""
    await run_in_threadpool(_change_from, request, person, await read_form(request))
    return RedirectResponse("/office/visits", 303)


def _change_from(request: Request, person: Person, form: dict[str, str]) -> None:
    server = server_of(request)
    with server.database.write() as session:
        if form.get("act") == "issue":
            device, at = device_id(session, "office"), local_now()
            visit = form.get("visit", "")
            if not _knows(session, form):
                raise MissingError("visit-unknown", Msg("There is no such service visit."))
            service.issue(session, form.get("opening", ""), visit, device, person.id, at)
            _close_answered(session, visit)
            return
        found = session.get(Callback, form.get("callback", ""))
        if found is None:
            raise MissingError("callback-unknown", Msg("There is no such complaint."))
        if form.get("act") == "give":
            if session.get(Person, form.get("person", "")) is None:
                raise InputError("choice-missing", Msg("Choose one."))
            callbacks.give(session, found, form["person"], int(server.clock()))
        elif form.get("act") == "close":
            words = form.get("words", "").strip()[:200]
            if not words:
                raise InputError("empty", Msg("Say why it is closed."))
            callbacks.close(session, found.id, words)


def issue_signed_sheets(session: Session) -> None:
    """Issue the service sheets of visits that this transaction signs, MOST_SHEETS at most.

    A fault at one visit keeps no entry out: it is logged, and the office has a button for it. No
    visit is tried twice: each try folds the opening, while all others wait to write.
    """
    for visit, signed in _visits_signed(session).items():
        try:
            with session.begin_nested():
                device, person = device_id(session, "office"), signed["person"]
                service.issue(session, signed["opening"], visit, device, person, local_now())
                _close_answered(session, visit)
        except SQLAlchemyError:
            raise  # nothing of the transaction can be kept
        except Exception:  # noqa: BLE001  (whatever it is, the entries are kept)
            _LOG.exception("no service sheet of %s could be issued", signed["opening"])


def _visits_signed(session: Session) -> dict[str, Json]:
    """Return visit -> the first entry of this transaction that signs it, where it has no sheet."""
    out: dict[str, Json] = {}
    for id in session.info.pop("signed_visits", []):
        row = session.get(Event, id)
        if row is None or len(out) == MOST_SHEETS:  # None: it was noted, and then not kept
            continue
        signed: Json = json.loads(row.body)
        visit = signed["body"]["visit"]
        begun = session.get(Event, visit)
        is_here = begun is not None and (begun.kind, begun.opening) == ("visit.begun", row.opening)
        has_sheet = session.exec(select(ServiceSheet.visit).where(ServiceSheet.visit == visit))
        if is_here and has_sheet.first() is None:
            out.setdefault(visit, signed)
    return out


def _knows(session: Session, form: dict[str, str]) -> bool:
    begun = session.get(Event, form.get("visit", ""))
    return begun is not None and begun.opening == form.get("opening")


def _close_answered(session: Session, visit: str) -> None:
    begun = session.get(Event, visit)
    for one in callbacks.open_of(session, [begun.opening]) if begun is not None else []:
        if begun is not None and f'"callback":"{one.id}"' in begun.body:
            callbacks.close(session, one.id, visit)
