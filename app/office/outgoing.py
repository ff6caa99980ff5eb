"""/office/outbox: what was sent by e-mail and webhook, what could not be, and why."""

import json
import logging
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural, When
from app.core.quantity.speaker import Speaker
from app.office.pages import form_of, office_page
from app.outbox.delivery import reason_words
from app.outbox.wording import words_of
from app.store import outbox
from app.store.notices import Webhook
from app.store.outbox import Outgoing
from app.store.people import names_by_id
from app.store.tables import Job, Opening, Person

router = APIRouter(prefix="/office/outbox")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST = 100
_STATES = {
    outbox.WAITING: Msg("waits to be sent"),
    outbox.SENT: Msg("sent"),
    outbox.FAILED: Msg("not sent"),
    outbox.DROPPED: Msg("given up"),
}
_LOG = logging.getLogger("sillbook.access")


@router.get("")
def outbox_page(request: Request, _: Asker) -> Response:
    """Show what could not be sent, to be sent again or given up; then the newest of all."""
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        failed = outbox.newest_rows(session, MOST, state=outbox.FAILED)
        others = [row for row in outbox.newest_rows(session, MOST) if row.state != outbox.FAILED]
        receivers = receiver_names(session, speaker, [*failed, *others])
    context = {
        "failed": [
            {
                **outgoing_line(speaker, row, receivers[row.id]),
                "form": form_of("/office/outbox", id=row.id),
            }
            for row in failed
        ],
        "others": [outgoing_line(speaker, row, receivers[row.id]) for row in others],
    }
    return office_page(request, "office/outbox.html", Msg("Outbox"), context)


def receiver_names(session: Session, speaker: Speaker, rows: list[Outgoing]) -> dict[str, str]:
    """Return whom each of these rows goes to, by the row's id; an address of e-mail is not said."""
    people = names_by_id(session)
    webhooks = {one.id: one.url.split("/")[2] for one in session.exec(select(Webhook))}
    openings = [row.receiver for row in rows if row.channel == outbox.OWNER]
    wanted = select(Opening.id, Job.title, Opening.letter).join(Job, col(Job.id) == Opening.job)
    found = session.exec(wanted.where(col(Opening.id).in_(openings))).all()
    places = {id: f"{title} {letter}" for id, title, letter in found}
    out = {}
    for row in rows:
        if row.channel == outbox.OWNER:
            owner = Msg("the owner of {opening}", opening=places.get(row.receiver, ""))
            out[row.id] = speaker.say(owner)
        else:
            out[row.id] = (people | webhooks).get(row.receiver) or row.receiver
    return out


def outgoing_line(speaker: Speaker, row: Outgoing, receiver: str) -> Json:
    """Return a row for a list: what it is, to whom, how it stands, why it could not be sent."""
    say = speaker.say
    body = json.loads(row.text)
    if row.kind == "record":
        title = say(Msg("Record {number}", number=body["number"]))
    else:
        title = say(words_of(row.kind, body).title)
    state = say(_STATES[row.state])
    if row.state == outbox.WAITING and row.why:
        state = say(Msg("is tried again {when}", when=_time_words(row.due)))
    elif row.state == outbox.WAITING and row.due > row.made:
        state = say(Msg("goes with the digest {when}", when=_time_words(row.due)))
    tries = Plural("{count} try", "{count} tries").of(row.tries)
    made = _time_words(row.made)
    why = Msg("{why} ({tries})", why=reason_words(row.why or "bug"), tries=tries)
    about = Msg("to {receiver}, {when}: {state}", receiver=receiver, when=made, state=state)
    return {
        "title": title,
        "about": say(about),
        "why": say(why) if row.why else "",
    }


def _time_words(seconds: int) -> When:
    return When(datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="minutes"))


@router.post("")
def settle_outgoing(request: Request, asker: Asker, form: FormFields) -> Response:
    """Have a row sent again, or give it up."""
    server = server_of(request)
    acts = {"again": outbox.send_again, "drop": outbox.drop}
    act = acts.get(form.get("act", ""))
    with server.database.write() as session:
        row = act(session, form.get("id", ""), int(server.clock())) if act else None
    if row is not None:
        _LOG.info("outbox: %s of %r by %r", form["act"], row.id, asker.id)
    return RedirectResponse("/office/outbox", 303)
