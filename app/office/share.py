"""/office/o/ID/share: private links to a record: made with their leaflet, withdrawn, renewed."""

import base64
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import qr
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.homeowner import handing_on, issuing, links, pages
from app.office.pages import practice_words
from app.store.openings import openings_of
from app.store.practice import is_practice
from app.store.records import Link, revisions_of
from app.store.records import record_links as links_of
from app.store.tables import Person

router = APIRouter(prefix="/office/o/{opening}/share")
Asker = Annotated[Person, Depends(need_supervisor)]


@router.get("")
def links_page(request: Request, opening: str, person: Asker) -> Response:
    """Show the links of an opening; nothing on the page opens one."""
    now = int(server_of(request).clock())
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        _must_see(session, person, opening)
        made = [_link_line(request, opening, link, now) for link in links_of(session, opening)]
        barred = _why_not_shared(session, opening)
    context: Json = {
        "record": "/record/" + opening,
        "barred": speaker.say(barred) if barred else "",
        "make": _link_form(opening, "make", token=links.fresh_token()),
        "secrets": [
            {
                "text": speaker.say(words),
                "form": _link_form(opening, purpose, secret=links.fresh_token()),
            }
            for purpose, words in SECRETS
        ],
        "lasts": [
            {"value": days, "text": speaker.say(words), "chosen": days == links.USUAL}
            for days, words in links.LASTS.items()
        ],
        "links": made,
    }
    title, practice = Msg("Share the record"), practice_words(request)
    return framed_page(request, "office/share.html", title, context, practice=practice)


SECRETS = (
    ("renew", Msg("Let the owner renew the link: a secret that serves once")),
    ("hand-on", Msg("Hand the record on to a new owner: a secret that serves once")),
)


def _why_not_shared(session: Session, opening: str) -> Msg | None:
    """Return why no link leads to an opening's record; None where one may."""
    if is_practice(session, opening):
        return Msg("This opening is to practice on: no link leads to it.")
    if not revisions_of(session, opening):
        return Msg("There is nothing to share yet: the record is issued when you accept.")
    return None


def _must_be_shared(session: Session, opening: str) -> None:
    barred = _why_not_shared(session, opening)
    if barred is not None:
        raise RefusedError("not-shared", barred)


def _must_see(session: Session, person: Person, opening: str) -> None:
    if opening not in [one["id"] for one in openings_of(session, person, [opening])]:
        raise MissingError("opening-unknown", Msg("There is no such opening on your list."))


def _link_form(opening: str, act: str, **hidden: str) -> Json:
    given = [{"name": name, "value": value} for name, value in {"act": act, **hidden}.items()]
    action = f"/office/o/{opening}/share"
    return {"id": act, "action": action, "hidden": given, "error": "", "typed": {}}


def _link_line(request: Request, opening: str, link: Link, now: int) -> Json:
    name = links.name_of(link)
    if link.withdrawn is not None:
        words = Msg(
            "made {made}, withdrawn {end}",
            made=_day_words(link.made),
            end=_day_words(link.withdrawn),
        )
    else:
        words = Msg(
            "made {made}, ends {end}", made=_day_words(link.made), end=_day_words(link.expires)
        )
    token = links.fresh_token()
    return {
        "name": name,
        "text": speaker_of(request).say(words),
        "holds": link.withdrawn is None and link.expires > now,
        "withdraw": _link_form(opening, "withdraw", link=name),
        "renew": _link_form(opening, "make", link=name, token=token, days=links.USUAL),
    }


def _day_words(seconds: int) -> str:
    return datetime.fromtimestamp(seconds, UTC).date().isoformat()


@router.post("")
def change_links(request: Request, opening: str, person: Asker, form: FormFields) -> Response:
    """Make a link (ending an old one where it is renewed), or withdraw one."""
    if form.get("act") in handing_on.PURPOSES:
        return _secret_from(request, opening, person, form)
    made = _change_links_from(request, opening, person, form)
    if made is None:
        return RedirectResponse(f"/office/o/{opening}/share", 303)
    return _leaflet_response(request, opening, form["token"], made)


def _secret_from(request: Request, opening: str, person: Person, form: dict[str, str]) -> Response:
    """Make a secret for the owner, or for a new one, and show it: once."""
    server = server_of(request)
    secret, purpose = form.get("secret", ""), form["act"]
    with server.database.write() as session:
        _must_see(session, person, opening)
        _must_be_shared(session, opening)
        links.must_be_token(secret)
        now = int(server.clock())
        handing_on.make_secret(session, opening, person.id, purpose, secret, now)
        about = issuing.about(session, opening)
    return handing_on.secret_leaflet(request, about, secret, purpose)


def _change_links_from(
    request: Request, opening: str, person: Person, form: dict[str, str]
) -> Link | None:
    server = server_of(request)
    now = int(server.clock())
    with server.database.write() as session:
        _must_see(session, person, opening)
        if form.get("link"):
            links.withdraw(session, opening, form["link"], now)
        if form.get("act") != "make":
            return None
        _must_be_shared(session, opening)
        token, days = form.get("token", ""), form.get("days", "")
        return links.make(session, opening, person.id, token, days, now)


def _leaflet_response(request: Request, opening: str, token: str, link: Link) -> Response:
    """Return the leaflet: the only place where the link stands, and only now."""
    base = pages.base_of(request)
    address = f"{base}/mine/{token}"
    with server_of(request).database.read() as session:
        about = issuing.about(session, opening)
    until = Msg(
        "The link lasts until {day}. The office can renew it.", day=_day_words(link.expires)
    )
    public = pages.public_base(request)  # a code that leads to this machine leads nobody anywhere
    drawn = base64.b64encode(qr.svg(address).encode()).decode() if public else ""
    context: Json = {
        "where": f"{about['letter']} · {about['room']}",
        "address": about["address"],
        "link": address,
        "qr": "data:image/svg+xml;base64," + drawn if drawn else "",
        "until": speaker_of(request).say(until),
        "verify": base + "/verify",
    }
    made = framed_page(request, "office/leaflet.html", Msg("The record of your door"), context)
    made.headers["Referrer-Policy"] = "no-referrer"
    return made
