"""/office/o/ID/entries: an opening's entries as they are kept; a phone's is set aside here.

The last resort where an entry harms and cannot be struck, as from a phone in wrong hands. Nothing
is deleted: an event of the office leaves the entry out of every book, the phones' too.
"""

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
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.field.server import local_now
from app.office.closing import REASON
from app.office.issue import work
from app.office.pages import Form, form_field, form_of, office_page, received_text, show_form
from app.store import aside, people
from app.store.summary_tables import CLOSED, Summary
from app.store.tables import Event, Opening, Person

router = APIRouter(prefix="/office/o/{opening}/entries")
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50
MOST_TEXT = 4000
MOST_REASON = 1000
_LOG = logging.getLogger("sillbook.access")
_FORM = Form(
    Msg("One entry"),
    Msg("Set it aside"),
    Msg(
        "From then on no book counts it, the phones' neither; it stays here as it came. "
        "Where it can be struck, strike it instead. A step that was signed with it has to be "
        "signed anew."
    ),
    "office/aside_one.html",
)
_REFUSED = Form(_FORM.title, None, template=_FORM.template)


@router.get("")
def entries_page(request: Request, _: Asker, opening: str, before: str = "") -> Response:
    """List an opening's entries as they are kept, the latest first."""
    last = int(before) if before.isascii() and before.isdigit() and len(before) < 18 else None
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        place = work.opening_of(session, opening)
        wanted = select(Event).where(Event.opening == opening)
        if last is not None:
            wanted = wanted.where(Event.seq < last)
        rows = list(session.exec(wanted.order_by(col(Event.seq).desc()).limit(PAGE + 1)))
        names = people.names_by_id(session)
        owners = aside.phone_owners(session, [row.device for row in rows])
        gone = asides_of(session, opening)
    entries = [_entry_row(speaker, row, names, owners, gone) for row in rows[:PAGE]]
    context = {
        "entries": entries,
        "place": place_words(place),
        "back": f"/office/o/{opening}",
        "next": str(rows[PAGE - 1].seq) if len(rows) > PAGE else "",
        "action": f"/office/o/{opening}/entries",
    }
    return office_page(request, "office/entries.html", Msg("All entries"), context)


def place_words(opening: Opening) -> str:
    """Return an opening's letter and room."""
    return f"{opening.letter} {opening.room}"


def asides_of(session: Session, opening: str) -> dict[str, Json]:
    """Return id -> the office's event that leaves that entry out of every book."""
    wanted = select(Event.body).where(Event.opening == opening, Event.kind == "entry.set-aside")
    said = [json.loads(body) for body in session.exec(wanted.order_by(col(Event.seq)))]
    return {event["body"]["target"]: event for event in said}


def _entry_row(
    speaker: Speaker,
    row: Event,
    names: dict[str, str],
    owners: dict[str, tuple[str, str]],
    gone: dict[str, Json],
) -> Json:
    event = json.loads(row.body)
    phone = owners.get(row.device, ("", ""))[0] or speaker.say(Msg("the office"))
    when = received_text(speaker, row.received_at)
    return {
        "kind": row.kind,
        "whose": f"{names.get(event['person'], event['person'])}, {phone}",
        "received": speaker.say(Msg("Received {when}", when=when)),
        "state": speaker.say(Msg("Set aside.")) if row.id in gone else "",
        "why": gone[row.id]["body"]["why"] if row.id in gone else "",
        "href": "",
        "more": f"/office/o/{row.opening}/entries/{row.id}",
    }


@router.get("/{entry}")
def entry_page(request: Request, _: Asker, opening: str, entry: str) -> Response:
    """Show one entry as it is kept, and the form to set it aside, or why it cannot be."""
    return _entry_response(request, opening, entry, "", "")


def _entry_response(
    request: Request, opening: str, entry: str, reason: str, error: str
) -> Response:
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        place = work.opening_of(session, opening)
        row = _event_of(session, opening, entry)
        names = people.names_by_id(session)
        owners = aside.phone_owners(session, [row.device])
        gone = asides_of(session, opening)
        refused = _why_refused(session, row, gone)
    shown = _entry_row(speaker, row, names, owners, gone)
    event = json.loads(row.body)
    facts = ((Msg("Kind"), row.kind), (Msg("Time, as it says"), event["at"]))
    fields = [form_field("reason", speaker.say(Msg("Why")), reason, kind="area", error=error)]
    path = f"/office/o/{opening}/entries"
    return show_form(
        request,
        _REFUSED if refused else _FORM,
        form_of(f"{path}/{entry}"),
        fields,
        entry={**shown, "href": f"/office/o/{opening}", "opening": place_words(place)},
        facts=[{"label": speaker.say(label), "words": str(text)[:200]} for label, text in facts],
        text=json.dumps(event, indent=2, ensure_ascii=False)[:MOST_TEXT],
        refused=speaker.say(refused) if refused else "",
        back={"href": path, "words": speaker.say(Msg("All entries"))},
    )


def _event_of(session: Session, opening: str, entry: str) -> Event:
    row = session.get(Event, entry)
    if row is None or row.opening != opening:
        raise MissingError("entry-unknown", Msg("There is no such entry."))
    return row


def _why_refused(session: Session, row: Event, gone: dict[str, Json]) -> Msg | None:
    """Return why an entry cannot be set aside; None where it can."""
    summary = session.get(Summary, row.opening)
    if row.id in gone:
        return Msg("It is set aside already.")
    if row.device.startswith("office-"):
        return Msg("The office said this itself: it is taken back where it was said.")
    if summary is not None and (summary.state == "done" or summary.state in CLOSED):
        return Msg("The opening is accepted or closed. Return or reopen it first.")
    return None


@router.post("/{entry}")
def set_entry_aside(
    request: Request, asker: Asker, opening: str, entry: str, form: FormFields
) -> Response:
    """Set an entry aside, with a reason."""
    reason = form.get("reason", "").strip()
    wrong = REASON if not reason else None
    if len(reason) > MOST_REASON:
        wrong = Msg("At most {count} characters fit here.", count=MOST_REASON)
    if wrong is not None:
        return _entry_response(request, opening, entry, reason, speaker_of(request).say(wrong))
    with server_of(request).database.write() as session:
        work.opening_of(session, opening)
        row = _event_of(session, opening, entry)
        gone = asides_of(session, opening)
        refused = _why_refused(session, row, gone)
        if refused is not None and row.id not in gone:  # the same form once more is no fault
            raise RefusedError("entry-kept", refused)
        if row.id not in gone:
            body = {"target": row.id, "why": reason}
            hand = work.Hand(asker.id, local_now())
            work.add_office_event(session, opening, "entry.set-aside", body, hand)
    _LOG.warning("entry %r of %r set aside by %r", entry, opening, asker.id)
    return RedirectResponse(f"/office/o/{opening}/entries/{entry}", 303)
