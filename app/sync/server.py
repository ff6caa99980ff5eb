"""The routes of sync and pairing; PROTOCOL.md says what they mean."""

import hmac
import logging
import time
from dataclasses import dataclass, field
from typing import Annotated, cast

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from app.access import devices, pairing, passwords
from app.access.devices import need_device
from app.access.server import Server, server_of
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store import aside as stored_aside
from app.store import epoch, instruments, log, news, people, push
from app.store import photos as stored_photos
from app.store.accepted import accepted_of
from app.store.openings import openings_of
from app.store.push_keys import public_push_key
from app.store.tables import Device, Person
from app.sync.messages import (
    Batch,
    BatchReceipts,
    InstrumentOut,
    News,
    OpeningOut,
    PairIn,
    PairOut,
    PasswordIn,
    PasswordOut,
    PersonOut,
    PushIn,
    PushOut,
)
from app.sync.procedures import Procedures
from app.sync.reading import MOST_BYTES, answer, body_of, message
from app.sync.receive import receive

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")
JSON = "application/json"
PAIR_BYTES = 8 * 1024
AWHILE = 0.2  # seconds


@dataclass
class Sync:
    """What the routes share: parsed procedures."""

    procedures: Procedures = field(default_factory=Procedures)


def _sync(request: Request) -> Sync:
    return cast("Sync", request.app.state.sync)


@router.post("/sync")
async def offer(request: Request, device: Annotated[Device, Depends(need_device)]) -> Response:
    """Take a batch of events; answered only once it is committed."""
    batch = message(Batch, await body_of(request, JSON, MOST_BYTES))
    server = server_of(request)
    about = {device.id, *batch.openings()}

    def work(session: Session) -> BatchReceipts:
        return receive(session, device, batch, int(server.clock()))

    return answer(await run_in_threadpool(server.database.write_together, work, about))


@router.get("/sync")
def pull(
    request: Request,
    device: Annotated[Device, Depends(need_device)],
    after: str = "",
    epoch: str = "",
) -> Response:
    """Give out a page of what is new after a cursor."""
    cursor = news.cursor_from(after)
    if cursor is None:
        words = Msg(
            "This does not fit at {field}: {why}.", field="after", why="not a cursor of ours"
        )
        raise InputError("message-unfit", words, field="after")
    server = server_of(request)
    cursor = _own_cursor(server, device, after, epoch, cursor)
    upto = server.database.settled_number()
    with server.database.read() as session:
        tallies = server.database.summaries.tallies
        page = _news(session, _sync(request).procedures, tallies, device, cursor, epoch, upto)
    if page.more and not page.events:
        time.sleep(AWHILE)  # another server is still writing: the phone asks again at once
    return answer(page)


def _own_cursor(
    server: Server, device: Device, words: str, theirs: str, cursor: news.Cursor
) -> news.Cursor:
    """Return a cursor that we gave; the start for one that we did not.

    Where a phone has seen more of this epoch than there is, or another event under the number of
    its last one, we went back: a new epoch begins.
    """
    with server.database.read() as session:
        mark = news.mark_in(words)
        given = _sealed_cursor(session, device, cursor, mark)
        if theirs != epoch.epoch_of(session) or not hmac.compare_digest(words.encode(), given):
            return news.Cursor()
        ahead = cursor.place > log.newest_number(session)
        other = mark != news.mark_of(session, cursor)
    if ahead or other:
        with server.database.write() as session:
            epoch.renew_by_cursor(session, int(server.clock()))
    return cursor


def _sealed_cursor(session: Session, device: Device, cursor: news.Cursor, mark: str) -> bytes:
    """Return a cursor as a phone gets it: how far it has come, the mark of its last event, seal."""
    seal = epoch.cursor_seal(session, device.id, f"{cursor}-{mark}")
    return f"{cursor}-{mark}-{seal}".encode()


def _news(
    session: Session,
    procedures: Procedures,
    tallies: news.Tallies,
    device: Device,
    cursor: news.Cursor,
    theirs: str,
    upto: int | None,
) -> News:
    ours = epoch.epoch_of(session)
    begin = cursor if theirs == ours else news.Cursor()
    page = news.news_page(session, device.id, begin, upto=upto)
    mark = news.mark_of(session, page.cursor)
    count, digest = (None, None) if page.more else tallies.of_device(session, device.id, ours)
    persons = devices.people_of(session, device.id)
    openings = _openings(session, device, persons)
    withdrawn = news.withdrawn_openings(session, device.id)
    known = [*withdrawn, *(opening.id for opening in openings)]
    return News(
        epoch=ours,
        cursor=_sealed_cursor(session, device, page.cursor, mark).decode(),
        more=page.more,
        count=count,
        digest=digest,
        events=page.events,
        openings=openings,
        procedures=procedures.of(session, page.events),
        instruments=[InstrumentOut(**one) for one in instruments.listed_instruments(session)],
        people=people.names_by_id(session),
        person=_person(persons[0]),
        persons=[_person(person) for person in persons],
        withdrawn=withdrawn,
        secret=session.get_one(Device, device.id).secret,
        accepted=None if page.more else accepted_of(session, known),
        photos_awaited=None if page.more else stored_photos.awaited_photos(session, device.id),
        aside=None if page.more else stored_aside.ids_of(session, device.id),
    )


def _openings(session: Session, device: Device, persons: list[Person]) -> list[OpeningOut]:
    whose = news.openings_of_people(session, device.id)
    found: dict[str, Json] = {}
    for person in persons:
        found.update({opening["id"]: opening for opening in openings_of(session, person)})
    return [
        OpeningOut(**opening, persons=whose[id_]) for id_, opening in found.items() if id_ in whose
    ]


def _person(person: Person) -> PersonOut:
    return PersonOut(**people.as_json(person))


@router.post("/sync/password")
async def password(request: Request, device: Annotated[Device, Depends(need_device)]) -> Response:
    """Say whether a password is that of one of the phone's persons; it opens nothing."""
    asked = message(PasswordIn, await body_of(request, JSON, PAIR_BYTES))
    return answer(await run_in_threadpool(_password, server_of(request), device, asked))


def _password(server: Server, device: Device, asked: PasswordIn) -> PasswordOut:
    with server.database.read() as session:
        found = [one for one in devices.people_of(session, device.id) if one.id == asked.person]
    if not found:
        raise MissingError("person-unknown", Msg("There is no such person."))
    lane = f"phone {device.id} {found[0].id}"
    server.limits.known.enter(lane, server.clock())
    if not passwords.password_fits(found[0].password, asked.password):
        _LOG.warning("password of %r refused on phone %r", found[0].id, device.id)
        raise InputError("password-wrong", Msg("That is not this person's password."))
    server.limits.known.forget(lane)
    return PasswordOut(person=found[0].id)


@router.get("/sync/push")
def push_key(request: Request, device: Annotated[Device, Depends(need_device)]) -> Response:
    """Say the office's key for messages, and whether this phone is told."""
    with server_of(request).database.read() as session:
        return answer(_push_out(request, session, device))


def _push_out(request: Request, session: Session, device: Device) -> PushOut:
    key = public_push_key(request.app.state.settings.push_key)
    return PushOut(key=key, kept=push.is_told(session, device.id))


@router.post("/sync/push")
async def keep_push(request: Request, device: Annotated[Device, Depends(need_device)]) -> Response:
    """Keep where the phone is told at once, or that it is told no more."""
    given = message(PushIn, await body_of(request, JSON, PAIR_BYTES))
    return answer(await run_in_threadpool(_keep_push_from, request, device, given))


def _keep_push_from(request: Request, device: Device, given: PushIn) -> PushOut:
    server = server_of(request)
    row = None
    if given.endpoint:
        now = int(server.clock())
        row = push.subscription_of(given.endpoint, given.p256dh, given.auth, now)
        row.device = device.id
    with server.database.write() as session:
        if row is None:
            push.end_of_phone(session, device.id)
        else:
            push.keep_subscription(session, row)
        return _push_out(request, session, device)


@router.post("/pair")
async def pair(request: Request) -> Response:
    """Pair a phone by a code; the token in the answer is shown this once."""
    server = server_of(request)
    address = request.client.host if request.client else ""
    asked = message(PairIn, await body_of(request, JSON, PAIR_BYTES))
    return answer(await run_in_threadpool(_pair_from, server, address, asked))


def _pair_from(server: Server, address: str, asked: PairIn) -> PairOut:
    server.limits.paired.enter(address, server.clock())
    made = server.database.write_together(lambda session: _pair(session, asked, server))
    server.limits.paired.forget(address)
    return made


def _pair(session: Session, asked: PairIn, server: Server) -> PairOut:
    now = int(server.clock())
    person = pairing.spend_code(session, asked.code, now)
    device, token = pairing.pair_phone(session, person, asked, now)
    epoch_ = epoch.epoch_of(session)
    return PairOut(device=device.id, token=token, person=_person(person), epoch=epoch_)
