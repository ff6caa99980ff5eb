"""/office/visits: owners' complaints, the visits that answer them, and why doors come back."""

import json
import logging
from collections import Counter
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.photo_answer import photo_answer
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import visit as visit_page
from app.core.pages.request import VISIT
from app.core.quantity.messages import Msg
from app.field.server import local_now
from app.homeowner import service
from app.homeowner.wording import Teller
from app.office.pages import form_of, office_page
from app.store import callbacks, people, procedures
from app.store.devices import device_id
from app.store.records import Callback, ServiceSheet
from app.store.summary_tables import Summary
from app.store.tables import Event, Job, Opening, Person

router = APIRouter(prefix="/office/visits")
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 25  # visits: a door that was not looked at since its last entry is folded for it
MOST_TRACED = 1000  # signed visits that are counted
MOST_SHEETS = 3  # issued in one transaction: a phone that was away has one or two
_LOG = logging.getLogger("sillbook")


@router.get("")
def visits_page(request: Request, _: Asker, before: str = "") -> Response:
    """Show open complaints, and a page of the visits, those that were begun last first.

    before: the number of the entry that began the last one shown.
    """
    last = int(before) if before.isascii() and before.isdigit() and len(before) <= 18 else None
    with server_of(request).database.read() as session:
        begun = _visits_begun(session, last)
        rows = _visit_rows(request, session, begun[:PAGE])
        context = {
            "callbacks": _callback_rows(request, session),
            "visits": rows,
            "traces": _traces(request, session),
            "next": str(begun[PAGE - 1].seq) if len(begun) > PAGE else "",
        }
    return office_page(request, "office/visits.html", Msg("Service"), context)


def _places_of(session: Session, openings: Iterable[str]) -> dict[str, str]:
    """Return where each of these openings is."""
    wanted = select(Opening.id, Opening.letter, Opening.room, Job.address)
    wanted = wanted.join(Job, col(Job.id) == col(Opening.job))
    rows = session.exec(wanted.where(col(Opening.id).in_(set(openings)))).all()
    return {id: f"{letter} · {room} · {address}" for id, letter, room, address in rows}


def _callback_rows(request: Request, session: Session) -> list[Json]:
    found = callbacks.open_of(session)
    places = _places_of(session, [one.opening for one in found])
    names = people.names_by_id(session)
    crew = select(Person).where(col(Person.disabled).is_(False)).order_by(Person.name)
    takers = list(session.exec(crew)) if found else []
    return [_callback_row(request, one, places[one.opening], names, takers) for one in found]


def _callback_row(
    request: Request, one: Callback, where: str, names: dict[str, str], takers: list[Person]
) -> Json:
    day = datetime.fromtimestamp(one.at, UTC).date().isoformat()
    taken = (
        Msg("{who} has it", who=names.get(one.person, "–")) if one.person else Msg("Nobody has it")
    )
    return {
        "where": where,
        "words": one.words,
        "day": day,
        "photo": f"/office/visits/photo/{one.id}" if one.photo else "",
        "taken": speaker_of(request).say(taken),
        "give": form_of("/office/visits", act="give", callback=one.id),
        "people": [{"value": p.id, "text": p.name, "chosen": p.id == one.person} for p in takers],
        "close": form_of("/office/visits", act="close", callback=one.id),
        "field": f"/field/o/{one.opening}/visit",
    }


def _visits_begun(session: Session, before: int | None) -> list[Event]:
    """Return the entries that began visits, the last first: one more than a page shows."""
    wanted = select(Event).where(text("kind = 'visit.begun'")).order_by(col(Event.seq).desc())
    if before is not None:
        wanted = wanted.where(Event.seq < before)
    return list(session.exec(wanted.limit(PAGE + 1)))


def _visit_rows(request: Request, session: Session, begun: list[Event]) -> list[Json]:
    openings = sorted({one.opening for one in begun})
    known = procedures.all_of(session, request.app.state.office.procedures)
    teller = Teller(speaker_of(request), people.names_by_id(session))
    lines = request.app.state.visit_lines.lines_of(session, openings, teller.units, known)
    places = _places_of(session, openings)
    issued = select(ServiceSheet.visit, ServiceSheet.revision)
    sheets = dict(session.exec(issued.where(col(ServiceSheet.opening).in_(openings))).all())
    return [
        _visit_row(teller, one, lines[one.id], places[one.opening], sheets.get(one.id))
        for one in begun
        if one.id in lines
    ]


def _visit_row(teller: Teller, begun: Event, line: Json, where: str, sheet: int | None) -> Json:
    opening, signed, say = begun.opening, line["signed"], teller.say
    form = form_of("/office/visits", act="issue", opening=opening, visit=begun.id)
    return {
        "where": where,
        "words": json.loads(begun.body)["body"]["words"],
        "after": say(line["after"]),
        "moves": [
            {"text": f"{say(one['point'])}, {say(one['place'])}", "change": say(one["change"])}
            for one in line["moves"]
        ],
        "moved_by": line["moved_by"],
        "found": signed["words"] if signed else "",
        "by": teller.name(signed["person"]) if signed else say(Msg("goes on")),
        "trace": say(signed["trace"]) if signed else "",
        "sheet": f"/record/{opening}/service/{sheet}" if sheet else "",
        "issue": form if signed and not sheet else None,
        "field": f"/field/o/{opening}{VISIT}{begun.id}",
    }


def _traces(request: Request, session: Session) -> list[Json]:
    """Return how many of the visits that were signed last trace to what, most first."""
    known = procedures.all_of(session, request.app.state.office.procedures)
    wanted = select(Event.body, Summary.procedure)
    wanted = wanted.join(Summary, col(Summary.opening) == col(Event.opening))
    wanted = wanted.where(text("kind = 'visit.signed'")).order_by(col(Event.seq).desc())
    traced = Counter(
        (procedure, str(json.loads(body)["body"].get("trace", "")))
        for body, procedure in session.exec(wanted.limit(MOST_TRACED))
    )
    counted: Counter[str] = Counter()
    for (procedure, trace), count in traced.items():
        if procedure in known:
            words = visit_page.trace_words(known[procedure], trace)
            counted[speaker_of(request).say(words)] += count
    return [{"text": words, "count": str(count)} for words, count in counted.most_common()]


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
def change_visits(request: Request, person: Asker, form: FormFields) -> Response:
    """Give a complaint to somebody, close one, or issue the sheet of a visit."""
    _change_from(request, person, form)
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
