"""/office/aside: the list, and one entry with what may be done about it."""

import json
import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.office.aside import taking
from app.office.issue.jobs import is_id
from app.office.pages import Form, form_field, form_of, office_page, received_text, show_form
from app.store import aside, people
from app.store.ids import uuid7
from app.store.tables import Aside, Device, Event, Opening, Person
from app.sync import reasons

router = APIRouter(prefix="/office/aside")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.access")
_STATES = {reasons.HELD: Msg("Held."), reasons.ASIDE: Msg("Set aside.")}
_LATE = {
    "withdrawn": Msg("The opening was no longer theirs when it came in."),
    "ended": Msg("The pairing of its phone had ended when it was taken in from a file."),
}
_TITLE = Msg("Held or set aside")
_TAKING = Form(
    Msg("Set aside: one entry"),
    Msg("Take it in"),
    Msg(
        "The office then enters the same once more, in your name, and says where it came from. "
        "The entry itself stays here. It replaces nothing that it had not seen: where another "
        "reading says otherwise, both stand until somebody measures again or strikes one."
    ),
    "office/aside_one.html",
)
_REFUSED = Form(_TAKING.title, None, template=_TAKING.template)
PAGE = 50
MOST_TEXT = 4000
MOST_REASON = 1000


@router.get("")
def list_aside(request: Request, _: Asker, after: str = "", late: str = "") -> Response:
    """List what is held or set aside, and what came later than it should have."""
    before = int(late) if late.isascii() and late.isdigit() and len(late) < 18 else None
    with server_of(request).database.read() as session:
        rows = aside.page_of(session, after[:200], PAGE + 1)
        came = aside.came_late(session, before, PAGE + 1)
        names = people.names_by_id(session)
        owners = aside.phone_owners(session, [row.device for row in rows])
        places = _openings_by_id(
            session, [row.opening for row in rows] + [one.opening for one in came]
        )
    speaker = speaker_of(request)
    last, end = rows[PAGE - 1 : PAGE], came[PAGE - 1 : PAGE]
    context = {
        "entries": [_entry_row(speaker, row, owners, places) for row in rows[:PAGE]],
        "late": [_late_row(speaker, event, names, places) for event in came[:PAGE]],
        "next": f"{last[0].received_at}|{last[0].key}" if len(rows) > PAGE else "",
        "next_late": str(end[0].seq) if len(came) > PAGE else "",
    }
    return office_page(request, "office/aside.html", _TITLE, context)


def _openings_by_id(session: Session, openings: list[str]) -> dict[str, Opening]:
    found = session.exec(select(Opening).where(col(Opening.id).in_(set(openings))))
    return {opening.id: opening for opening in found}


def _entry_row(
    speaker: Speaker, row: Aside, owners: dict[str, tuple[str, str]], places: dict[str, Opening]
) -> Json:
    phone, person = owners.get(row.device, ("", ""))
    return {
        "state": speaker.say(Msg("Taken in.") if row.taken else _STATES[row.state]),
        "why": speaker.say(reasons.BY_CODE[row.why].words),
        "whose": f"{person}, {phone}",
        "more": "/office/aside/" + row.key,
        **_place_words(speaker, places.get(row.opening), row.received_at),
    }


def _late_row(
    speaker: Speaker, event: Event, names: dict[str, str], places: dict[str, Opening]
) -> Json:
    whose = names.get(json.loads(event.body)["person"], "")
    why = speaker.say(_LATE[event.flag])
    return {
        "whose": whose,
        "why": why,
        **_place_words(speaker, places.get(event.opening), event.received_at),
    }


def _place_words(speaker: Speaker, opening: Opening | None, at: str) -> Json:
    return {
        "opening": f"{opening.letter} {opening.room}" if opening else "",
        "href": f"/office/o/{opening.id}" if opening else "",
        "received": speaker.say(Msg("Received {when}", when=received_text(speaker, at))),
    }


@router.get("/all.json")
def export_aside(request: Request, _: Asker) -> Response:
    """Give all that is held or set aside, as it came, with why and from whom."""
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        rows = [_exported_entry(speaker, *found) for found in aside.latest_aside(session, None)]
    named = {"Content-Disposition": 'attachment; filename="set-aside.json"'}
    text = json.dumps({"kind": "sillbook-set-aside", "entries": rows})  # ASCII: see reading.answer
    return Response(text, media_type="application/json", headers=named)


def _exported_entry(speaker: Speaker, row: Aside, device: Device, by: Person) -> Json:
    fields = ("id", "opening", "n", "device", "state", "why", "received_at", "taken", "signature")
    out = {name: getattr(row, name) for name in fields}
    words = speaker.say(reasons.BY_CODE[row.why].words)
    told = {"words": words, "phone": device.name, "paired_by": by.name}
    return {**out, **told, "entry": _entry_of(row)}


def _entry_of(row: Aside) -> Json:
    """Return an entry as it came; what is no number in JSON stands as a word."""
    found: Json = json.loads(row.text, parse_constant=str)
    return found


@router.get("/{key}")
def entry_page(request: Request, _: Asker, key: str) -> Response:
    """Show one entry as it came, and the form to take it in, or why it cannot be."""
    return _entry_response(request, key, "", "")


def _entry_response(request: Request, key: str, reason: str, error: str) -> Response:
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        row = taking.row_of(session, key)
        owners = aside.phone_owners(session, [row.device])
        places = _openings_by_id(session, [row.opening])
        names = people.names_by_id(session)
        refused = _why_refused(speaker, session, row)
    label = speaker.say(Msg("Why it is taken in, as it will stand in the record"))
    fields = [form_field("reason", label, reason, kind="area", error=error)]
    return show_form(
        request,
        _REFUSED if refused else _TAKING,
        form_of("/office/aside/" + key, id=uuid7()),
        fields,
        back={"href": "/office/aside", "words": speaker.say(_TITLE)},
        entry=_entry_row(speaker, row, owners, places),
        facts=_entry_facts(speaker, row, names),
        text=json.dumps(_entry_of(row), indent=2, ensure_ascii=False)[:MOST_TEXT],
        refused=refused,
    )


def _why_refused(speaker: Speaker, session: Session, row: Aside) -> str:
    try:
        taking.fit_entry(session, row)
    except RefusedError as error:
        return speaker.say(error.message)
    return ""


def _entry_facts(speaker: Speaker, row: Aside, names: dict[str, str]) -> list[Json]:
    """Return what the entry says of itself: claims, each of them."""
    raw = _entry_of(row)
    told = (
        (Msg("Kind"), raw.get("kind")),
        (Msg("Person, as it says"), names.get(str(raw.get("person")), raw.get("person"))),
        (Msg("Time, as it says"), raw.get("at")),
        (Msg("Its own id"), raw.get("id")),
        (Msg("Phone, as it says"), raw.get("device")),
    )
    return [
        {"label": speaker.say(label), "words": str(words)[:200]} for label, words in told if words
    ]


@router.post("/{key}")
def enter_anew(request: Request, asker: Asker, key: str, form: FormFields) -> Response:
    """Take an entry in, with a reason."""
    reason = form.get("reason", "").strip()
    say = speaker_of(request).say
    if not 0 < len(reason) <= MOST_REASON:
        words = Msg("Give the reason in writing, at most {count} characters.", count=MOST_REASON)
        return _entry_response(request, key, reason, say(words))
    if not is_id(form.get("id", "")):
        raise InputError("form-damaged", Msg("This form arrived damaged. Load the page again."))
    with server_of(request).database.write() as session:
        taking.take_in(session, taking.row_of(session, key), asker, reason, form["id"])
    _LOG.warning("set aside %r taken in by %r", key, asker.id)
    return RedirectResponse("/office/aside/" + key, 303)
