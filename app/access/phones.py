"""Pages for pairing a phone and for ending it: /pair/new, /pair, /phones."""

import logging
from datetime import datetime
from typing import Annotated

import segno
from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import devices, pairing
from app.access.pages import page, speaker_of
from app.access.server import server_of
from app.access.who import need_person, person_of
from app.core.kinds import Json
from app.core.words import Msg
from app.store.tables import Device, Person

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")
Asker = Annotated[Person, Depends(need_person)]


@router.get("/pair/new", dependencies=[Depends(need_person)])
def ask(request: Request) -> Response:
    """Explain pairing, and offer to make a code."""
    return _page_of_code(request, None)


@router.post("/pair/new")
def make(request: Request, person: Asker) -> Response:
    """Make a code and show it, as text, as a link and as a QR code; it is shown this once."""
    server = server_of(request)
    with server.database.write() as session:
        code = pairing.make_code(session, person.id, int(server.clock()))
    _LOG.info("pairing code made for %r", person.id)
    return _page_of_code(request, code)


def _page_of_code(request: Request, code: str | None) -> Response:
    form = {"id": "pair", "action": "/pair/new", "hidden": [], "error": "", "typed": {}}
    context = {"form": form, "code": _shown(request, code) if code else None}
    return page(request, "office/pair.html", Msg("Pair a phone"), context)


def _shown(request: Request, code: str) -> Json:
    # In the fragment, so that the code is in no log and no Referer; the phone sends it by POST.
    link = str(request.url.replace(path="/pair", query="", fragment=pairing.shown(code)))
    picture = segno.make(link, error="m", micro=False).svg_data_uri(scale=6, border=4)
    href = "/pair#" + pairing.shown(code)
    return {"text": pairing.shown(code), "link": link, "href": href, "picture": picture}


@router.get("/pair")
def enter(request: Request) -> Response:
    """Where the link leads, on the phone; its script reads the code from the fragment."""
    person_of(request)
    return page(request, "office/pairing.html", Msg("Pair this phone"), {})


@router.get("/phones")
def show(request: Request, person: Asker) -> Response:
    """List the phones a person may see: their own, or for supervisors all."""
    with server_of(request).database.read() as session:
        found = devices.listed(session, person)
    rows = [_row(request, device, by) for device, by in found]
    context = {"phones": rows, "office": person.role != "installer"}
    return page(request, "office/phones.html", Msg("Phones"), context)


def _row(request: Request, device: Device, by: Person) -> Json:
    say = speaker_of(request).say
    return {
        "id": device.id,
        "name": device.name,
        "person": by.name,
        "paired": say(Msg("Paired {when}", when=_when(device.made))),
        "seen": say(_seen(device)),
        "unsent": say(_unsent(device)),
        "ended": say(Msg("Ended {when}", when=_when(device.revoked))) if device.revoked else "",
        "form": {
            "id": "end-" + device.id,
            "action": f"/phones/{device.id}/revoke",
            "hidden": [],
            "error": "",
            "typed": {},
        },
    }


def _seen(device: Device) -> Msg:
    if device.last_seen is None:
        return Msg("Has not sent anything yet")
    return Msg("Last seen {when}", when=_when(device.last_seen))


def _unsent(device: Device) -> Msg:
    if device.unsent:
        return Msg("{count} entries on it had not been sent then", count=device.unsent)
    return Msg("Nothing on it was left to send then")


def _when(seconds: int) -> str:
    return datetime.fromtimestamp(seconds).astimezone().strftime("%Y-%m-%d %H:%M")


@router.post("/phones/{id}/revoke")
def end(request: Request, id: str, person: Asker) -> Response:
    """End a phone's pairing: its next sync is refused; what it sent before stands."""
    server = server_of(request)
    with server.database.write() as session:
        devices.revoke(session, person, id, int(server.clock()))
    _LOG.warning("phone %r ended by %r", id, person.id)
    return RedirectResponse("/phones", 303)
