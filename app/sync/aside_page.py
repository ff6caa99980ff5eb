"""/office/aside: what phones sent and the log could not take, and why."""

import json

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import page, speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.kinds import Json
from app.core.words import Msg, Speaker
from app.store import aside, people
from app.store.tables import Aside, Device, Event, Opening, Person
from app.sync import reasons

router = APIRouter()
_STATES = {reasons.HELD: Msg("Held."), reasons.ASIDE: Msg("Set aside.")}
_MOST_TEXT = 4000


@router.get("/office/aside", dependencies=[Depends(need_supervisor)])
def show(request: Request) -> Response:
    """List what is held or set aside, and what came for an opening after it was withdrawn."""
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        entries = [_entry(speaker, session, *found) for found in aside.shown(session)]
        names = people.names(session)
        late = [_late(speaker, session, event, names) for event in aside.after_withdrawal(session)]
    context = {"entries": entries, "late": late}
    return page(request, "office/aside.html", Msg("Held or set aside"), context)


def _entry(speaker: Speaker, session: Session, row: Aside, device: Device, by: Person) -> Json:
    return {
        "state": speaker.say(_STATES[row.state]),
        "why": speaker.say(reasons.BY_CODE[row.why].words),
        "whose": f"{by.name}, {device.name}",
        "text": row.text[:_MOST_TEXT],
        **_where(speaker, session, row.opening, row.received_at),
    }


def _late(speaker: Speaker, session: Session, event: Event, names: dict[str, str]) -> Json:
    whose = names.get(json.loads(event.body)["person"], "")
    return {"whose": whose, **_where(speaker, session, event.opening, event.received_at)}


def _where(speaker: Speaker, session: Session, id_: str, at: str) -> Json:
    opening = session.get(Opening, id_)
    return {
        "opening": f"{opening.letter} {opening.room}" if opening else "",
        "href": f"/office/o/{opening.id}" if opening else "",
        "received": speaker.say(Msg("Received {when} UTC", when=at[:16].replace("T", " "))),
    }
