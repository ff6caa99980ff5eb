"""Pages for pairing a phone and for ending it: /pair/new, /pair, /pair/here, /phones."""

import logging
import re
from datetime import datetime
from typing import Annotated

import segno
from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from app.access import devices, pairing, passwords, qr
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_person, person_of
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural, When
from app.store.tables import Device, Person

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")
OPENING_ID = re.compile(r"[A-Za-z0-9_-]{1,80}")
Asker = Annotated[Person, Depends(need_person)]


@router.get("/pair/new", dependencies=[Depends(need_person)])
def pairing_page(request: Request) -> Response:
    """Explain pairing, and offer to make a code."""
    return _page_of_code(request, None)


@router.post("/pair/new")
def make_code_page(request: Request, person: Asker) -> Response:
    """Make a code and show it, as text, as a link and as a QR code; it is shown this once."""
    server = server_of(request)
    with server.database.write() as session:
        code = pairing.make_code(session, person.id, int(server.clock()))
    _LOG.info("pairing code made for %r", person.id)
    return _page_of_code(request, code)


def _page_of_code(request: Request, code: str | None) -> Response:
    form = {"id": "pair", "action": "/pair/new", "hidden": [], "error": "", "typed": {}}
    context = {"form": form, "code": _code_context(request, code) if code else None}
    return framed_page(request, "office/pair.html", Msg("Pair a phone"), context)


def _code_context(request: Request, code: str) -> Json:
    # In the fragment, so that the code is in no log and no Referer; the phone sends it by POST.
    link = str(request.url.replace(path="/pair", query="", fragment=pairing.code_as_read(code)))
    picture = segno.make(link, error="m", micro=False).svg_data_uri(scale=6, border=4)
    href = "/pair#" + pairing.code_as_read(code)
    return {"text": pairing.code_as_read(code), "link": link, "href": href, "picture": picture}


@router.get("/pair")
def link_page(request: Request) -> Response:
    """Where the link leads, on the phone; its script reads the code from the fragment."""
    person_of(request)
    return framed_page(request, "office/pairing.html", Msg("Pair this phone"), {})


@router.get("/pair/opening/{opening}/qr.svg")
def opening_code(request: Request, opening: str) -> Response:
    """Give the QR code of an opening's address, for a mate's phone.

    It grants nothing: whoever scans it signs in, and sees what the office gave them. Nothing is
    looked up. Errors: MissingError for what cannot be the id of an opening.
    """
    if not OPENING_ID.fullmatch(opening):
        raise MissingError("opening-unknown", Msg("There is no such opening."))
    address = str(request.url.replace(path=f"/field/o/{opening}", query="", fragment=""))
    headers = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}
    return Response(qr.svg(address), media_type="image/svg+xml", headers=headers)


@router.get("/pair/here", dependencies=[Depends(need_person)])
def offline_page(request: Request) -> Response:
    """Make the phone that is in the hand work offline: no code, the password once more."""
    words = Msg("Make this phone work offline")
    form = {"id": "pair", "action": "/pair/here", "hidden": [], "error": "", "typed": {}}
    return framed_page(request, "office/pairing_here.html", words, {"form": form})


@router.post("/pair/here")
def make_code_here(request: Request, person: Asker, form: FormFields) -> Response:
    """Return a pairing code for the phone that asks: {"code"}; the page's script uses it at once.

    Errors: InputError 'password-wrong'; TooManyError after many tries.
    """
    server = server_of(request)
    server.limits.known.enter("session of " + person.id, server.clock())
    if not passwords.password_fits(person.password, form.get("password", "")):
        raise InputError("password-wrong", Msg("That is not the password you have now."))
    server.limits.known.forget("session of " + person.id)
    with server.database.write() as session:
        code = pairing.make_code(session, person.id, int(server.clock()))
    _LOG.info("pairing code made for %r, for the phone in the hand", person.id)
    return JSONResponse({"code": pairing.code_as_read(code)})


@router.get("/phones")
def phones_page(request: Request, person: Asker) -> Response:
    """List the phones a person may see: their own, or for supervisors all."""
    with server_of(request).database.read() as session:
        found = devices.listed_phones(session, person)
    rows = [_phone_row(request, device, by) for device, by in found]
    context = {"phones": rows, "office": person.role != "installer"}
    return framed_page(request, "office/phones.html", Msg("Phones"), context)


def _phone_row(request: Request, device: Device, by: Person) -> Json:
    say = speaker_of(request).say
    return {
        "id": device.id,
        "name": device.name,
        "person": by.name if by.name != device.name else "",
        "paired": say(Msg("Paired {when}", when=_time_words(device.made))),
        "seen": say(_seen_words(device)),
        "unsent": say(_unsent_words(device)),
        "ended": say(Msg("Ended {when}", when=_time_words(device.revoked)))
        if device.revoked
        else "",
        "form": {
            "id": "end-" + device.id,
            "action": f"/phones/{device.id}/revoke",
            "hidden": [],
            "error": "",
            "typed": {},
        },
    }


def _seen_words(device: Device) -> Msg:
    if device.last_seen is None:
        return Msg("Has not sent anything yet")
    return Msg("Last seen {when}", when=_time_words(device.last_seen))


def _unsent_words(device: Device) -> Msg:
    if device.unsent:
        return Plural(
            "{count} entry on it had not been sent then",
            "{count} entries on it had not been sent then",
        ).of(device.unsent)
    return Msg("Nothing on it was left to send then")


def _time_words(seconds: int) -> When:
    return When(datetime.fromtimestamp(seconds).astimezone().isoformat(timespec="minutes"))


@router.post("/phones/{id}/revoke")
def end_pairing(request: Request, id: str, person: Asker) -> Response:
    """End a phone's pairing: its next sync is refused; what it sent before stands."""
    server = server_of(request)
    with server.database.write() as session:
        devices.revoke_phone(session, person, id, int(server.clock()))
    _LOG.warning("phone %r ended by %r", id, person.id)
    return RedirectResponse("/phones", 303)
