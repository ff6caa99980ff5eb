"""/take-over/SECRET: a new link for the owner, or the record handed on to a new owner; once.

The secret comes from the office, or from the owner's own page. Who takes over gives a name; the
name and contact that were there are erased, and every link to the records of the job ends.
"""

import base64
from typing import Any

from fastapi import APIRouter
from sqlmodel import Session, col, select
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import qr
from app.access.forms import read_form
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.homeowner import erasing, issuing, links, pages
from app.homeowner.private import PRIVATE, count_try
from app.store.records import LinkSecret, record_links
from app.store.tables import Job, Opening

router = APIRouter(prefix="/take-over/{secret}")
PURPOSES = ("renew", "hand-on")
LASTS = 30 * links.DAY
MOST_NAME = 200


def make_secret(
    session: Session, opening: str, person: str, purpose: str, secret: str, now: int
) -> None:
    """Keep the hash of a secret for one of PURPOSES; the same again changes nothing."""
    hash_ = links.hash_of(secret)
    if session.get(LinkSecret, hash_) is None:
        session.add(
            LinkSecret(
                secret_hash=hash_,
                opening=opening,
                person=person,
                purpose=purpose,
                made=now,
                expires=now + LASTS,
            )
        )
        session.flush()


def secret_leaflet(request: Request, about: Json, secret: str, purpose: str) -> Response:
    """Return the only page on which a secret stands: as a link, and as a QR code where others
    reach this server.
    """
    base = pages.base_of(request)
    link = f"{base}/take-over/{secret}"
    public = pages.public_base(request)
    drawn = base64.b64encode(qr.svg(link).encode()).decode() if public else ""
    words = {
        "renew": Msg("Whoever opens this link gets a new link to the record. It serves once."),
        "hand-on": Msg("Whoever opens this link takes the record over. It serves once."),
    }
    say = speaker_of(request).say
    context: Json = {
        "where": f"{about['letter']} · {about['room']}",
        "address": about["address"],
        "link": link,
        "qr": "data:image/svg+xml;base64," + drawn if drawn else "",
        "until": say(words[purpose]) + " " + say(Msg("It ends in 30 days.")),
        "verify": base + "/verify",
    }
    made = framed_page(request, "office/leaflet.html", Msg("The record of your door"), context)
    made.headers.update(PRIVATE)
    return made


def _found(request: Request, session: Session, secret: str) -> LinkSecret:
    """Return a secret that serves; raises LinkUnknownError, after many tries TooManyError."""
    kept = session.get(LinkSecret, links.hash_of(secret))
    now = int(server_of(request).clock())
    if kept is None or kept.used is not None or kept.expires <= now:
        count_try(request)
        raise links.LinkUnknownError
    return kept


@router.get("")
def take_over_page(request: Request, secret: str) -> Response:
    """Show what the secret is for, and the form that uses it up."""
    return _page(request, secret, {}, {})


def _page(request: Request, secret: str, typed: dict[str, str], wrong: dict[str, Msg]) -> Response:
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        kept = _found(request, session, secret)
        about = issuing.about(session, kept.opening)
    context: Json = {
        "action": f"/take-over/{secret}",
        "where": f"{about['letter']} · {about['room']}",
        "address": about["address"],
        "company": about["company"],
        "hands_on": kept.purpose == "hand-on",
        "name": typed.get("name", ""),
        "contact": typed.get("contact", ""),
        "error": say(wrong["name"]) if "name" in wrong else "",
    }
    status = 422 if wrong else 200
    made = framed_page(
        request, "record/take_over.html", Msg("The record of your door"), context, status
    )
    made.headers.update(PRIVATE)
    return made


@router.post("")
async def take_over(request: Request, secret: str) -> Response:
    """Use a secret: a new link, and with "hand-on" a new owner."""
    return await run_in_threadpool(_take_over_from, request, secret, await read_form(request))


def _take_over_from(request: Request, secret: str, form: dict[str, str]) -> Response:
    server = server_of(request)
    now, token = int(server.clock()), links.fresh_token()
    name, contact = (form.get(field, "").strip() for field in ("name", "contact"))
    with server.database.write() as session:
        kept = _found(request, session, secret)
        if kept.purpose == "hand-on":
            wrong = _name_fault(name, contact)
            if wrong is not None:
                return _page(request, secret, {"name": name, "contact": contact}, {"name": wrong})
            _hand_on(session, kept.opening, name, contact, now)
        else:
            _end_links(session, [kept.opening], now)
        kept.used = now
        session.add(kept)
        links.make(session, kept.opening, kept.person, token, links.USUAL, now)
    answer = RedirectResponse(f"/mine/{token}?fresh=yes", 303)
    answer.headers.update(PRIVATE)
    return answer


def _name_fault(name: str, contact: str) -> Msg | None:
    if not name:
        return Msg("Give your name: it stands on the record's first sheet.")
    if max(len(name), len(contact)) > MOST_NAME:
        return Msg("At most {count} characters fit here.", count=MOST_NAME)
    return None


def _hand_on(session: Session, opening: str, name: str, contact: str, now: int) -> None:
    """Put the new owner in the old one's place, and end all that the old one could open."""
    job = session.get_one(Job, session.get_one(Opening, opening).job)
    erasing.erase_owner(session, job, now)
    job.homeowner, job.contact = name, contact
    session.add(job)
    every = list(session.exec(select(Opening.id).where(Opening.job == job.id)))
    _end_links(session, every, now)
    left: Any = col(LinkSecret.used).is_(None)
    for other in session.exec(
        select(LinkSecret).where(col(LinkSecret.opening).in_(every)).where(left)
    ):
        other.used = now
        session.add(other)


def _end_links(session: Session, openings: list[str], now: int) -> None:
    for opening in openings:
        for link in record_links(session, opening):
            if link.withdrawn is None:
                link.withdrawn = now
                session.add(link)
