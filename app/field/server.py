"""The server's adapter for /field: loads the book, asks the core, keeps events, shows pages."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Protocol, cast

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from app.access import cookie, passwords, sessions
from app.access.forms import made_for, read_form
from app.access.pages import speaker_for, tabs_for
from app.access.server import server_of
from app.access.slowdown import TooManyError
from app.access.who import lent_of, need_person
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages import photo
from app.core.quantity.messages import Msg
from app.store import instruments, log, people, photos, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.openings import openings_of
from app.store.tables import Person
from app.templating.templates import render_page
from app.words.catalogs import catalog

router = APIRouter(prefix="/field")
IDS = 8  # fresh ids that one request may use up


class Core(Protocol):
    """What app.core.entry offers."""

    def needs(self, data: Json) -> list[str] | None:
        """Return the openings whose events must be in the book; None: all of the person's."""

    def answer(self, data: Json) -> Json:
        """Return status, template, context, location and complete events."""


def local_now() -> str:
    """Return the wall time here with its offset, to the second."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


@dataclass
class FieldHost:
    """What the field pages need on the server; procedures and truths keep what never changes."""

    database: Database
    core: Core
    hand: str = "web"  # whose device signs: "web" for crews without a phone book, or "office"
    now: Callable[[], str] = local_now
    procedures: dict[str, Json] = field(default_factory=dict)
    # sign-off id -> was true when signed: hangs on its own past alone, so it is worked out once
    truths: dict[str, bool] = field(default_factory=dict)

    def get(self, asked: Json, person: Person) -> Json:
        """Return the core's answer to a request that changes nothing."""
        with self.database.read() as session:
            return self._answer(session, asked, person)

    def post(self, asked: Json, person: Person) -> Json:
        """Return the core's answer to a form; its events are kept, all or none, before it is."""

        def work(session: Session) -> Json:
            answer = self._answer(session, asked, person)
            log.append_events(session, answer["events"])
            return answer

        return self.database.write_together(work, self.core.needs(asked))

    def _answer(self, session: Session, asked: Json, person: Person) -> Json:
        wanted = self.core.needs(asked)
        # A page of the field may lead to other openings; one of the office speaks of its own only,
        # and a supervisor's are all there are.
        openings = openings_of(session, person, wanted if self.hand == "office" else None)
        own = [opening["id"] for opening in openings]
        events = log.events_of(
            session, own if wanted is None else [opening for opening in own if opening in wanted]
        )
        book = {
            "openings": openings,
            "events": events,
            "procedures": procedures.all_of(session, self.procedures),
            "instruments": instruments.listed_instruments(session),
        }
        about = self._about(session, person)
        about["absent"] = [] if wanted is None else self._absent(session, events)
        answer = self.core.answer({**asked, **about, "book": book})
        _must_be_own(answer["events"], own, person)
        return answer

    def _absent(self, session: Session, events: dict[str, list[Json]]) -> list[str]:
        return photos.absent_photos(session, self.database.photos, photo.named_in(events))

    def _about(self, session: Session, person: Person) -> Json:
        return {
            "now": self.now(),
            "ids": [uuid7() for _ in range(IDS)],
            "device": device_id(session, self.hand),
            "person": people.as_json(person),
            "people": people.names_by_id(session),
            "tabs": tabs_for(person, self.hand),
            "catalog": catalog(person.lang),
            "truths": self.truths,
        }


def _must_be_own(events: list[Json], own: list[str], person: Person) -> None:
    """Hold the line once more: nobody writes at an opening not theirs, or as another."""
    for event in events:
        if event["opening"] not in own or event["person"] != person.id:
            raise MissingError("opening-unknown", Msg("There is no such opening on your list."))


@router.api_route("", methods=["GET", "HEAD"])
@router.api_route("/{path:path}", methods=["GET", "HEAD"])
def show_field_page(request: Request, person: Annotated[Person, Depends(need_person)]) -> Response:
    """Show a page of the field book."""
    return page_response(field_of(request).get(core_request(request, "GET", {}), person), person)


@router.post("")
@router.post("/{path:path}")
async def take_field_form(
    request: Request, person: Annotated[Person, Depends(need_person)]
) -> Response:
    """Take a form of the field book."""
    form = await read_form(request)
    password = form.pop("password", "")
    asked = core_request(request, "POST", form)
    if form.get("act") == "take-back":
        asked["pin"] = await run_in_threadpool(_password_state, request, person, password)
    answer = await run_in_threadpool(field_of(request).post, asked, person)
    lent = answer.get("lent")
    if lent is not None:
        await run_in_threadpool(_keep_lent, request, lent)
    return page_response(answer, person)


def _password_state(request: Request, person: Person, password: str) -> Json:
    """Return what a phone would say of a PIN: a session has none, so the password counts."""
    server = server_of(request)
    lane = "session of " + person.id
    try:
        server.limits.known.enter(lane, server.clock())
    except TooManyError:
        return {"person": person.id, "state": "wait-password"}
    if not passwords.password_fits(person.password, password):
        return {"person": person.id, "state": "password"}
    server.limits.known.forget(lane)
    return {"person": person.id, "state": "right"}


def _keep_lent(request: Request, lent: Json) -> None:
    with server_of(request).database.write() as session:
        token = cookie.token_of(request)
        sessions.lend_session(session, token, lent.get("opening", ""), lent.get("lang", ""))


def field_of(request: Request) -> FieldHost:
    """Return what the field pages of this application share."""
    return cast("FieldHost", request.app.state.field)


def core_request(request: Request, method: str, form: dict[str, str]) -> Json:
    """Return a request as the core takes it."""
    return {
        "method": method,
        "path": request.scope["path"],
        "query": dict(request.query_params),
        "form": form,
        "lent": lent_of(request),
    }


def page_response(answer: Json, person: Person) -> Response:
    """Return the core's answer as a page, or as the way to one."""
    if answer["location"]:
        return RedirectResponse(answer["location"], 303)
    made_for(answer["context"], person.id)
    html = render_page(answer["template"], answer["context"], speaker_for(person))
    return HTMLResponse(html, answer["status"])
