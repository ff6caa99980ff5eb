"""Signing in and out."""

import logging
from dataclasses import dataclass

from fastapi import APIRouter
from sqlmodel import Session
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import cookie, known_browser, passwords, sessions
from app.access.errors import error_response, wants_json
from app.access.forms import read_form
from app.access.pages import framed_page, speaker_of
from app.access.server import Server, server_of
from app.access.slowdown import TooManyError
from app.access.who import person_of
from app.core.errors import AppError, InputError
from app.core.quantity.messages import Msg
from app.store import people, push
from app.store.tables import Person, SignedIn

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")


# Said to everybody alike: whoever guesses learns nothing of the account.
_OTHER_WAYS = Msg(
    "If others keep trying this name, sign in with a browser you signed in with before, "
    "or ask the administrator for an invitation."
)


class SignInError(InputError):
    """One text for every cause, so that nobody learns which logins there are."""

    def __init__(self) -> None:
        words = Msg("That name and password do not belong together. Try again.")
        super().__init__("sign-in-failed", words)


def home_of(person: Person) -> str:
    """Return the page where a person's work starts."""
    return "/office/today" if people.is_office(person) else "/field"


def is_local(path: str) -> bool:
    """Return whether a place to go to after signing in is one of ours.

    Browsers read // and /\\ as the start of another host, and drop control characters.
    """
    plain = path.isascii() and path.isprintable()
    return plain and path.startswith("/") and not path.startswith(("//", "/\\"))


def _form_page(request: Request, next_: str, login: str = "", error: str = "") -> Response:
    form = {
        "id": "sign-in",
        "action": "/sign-in",
        "hidden": [{"name": "next", "value": next_}],
        "error": error,
        "typed": {"name": login},
    }
    demo = server_of(request).demo
    return framed_page(request, "office/signin.html", Msg("Sign in"), {"form": form, "demo": demo})


@router.get("/sign-in")
def sign_in_page(request: Request, next: str = "") -> Response:
    """Show the form; who is signed in already goes on."""
    person = person_of(request)
    if person is not None:
        return RedirectResponse(next if is_local(next) else home_of(person), 303)
    return _form_page(request, next if is_local(next) else "")


@router.post("/sign-in")
async def sign_in(request: Request) -> Response:
    """Sign in and go on; where that fails, show the form again with the name kept."""
    form = await read_form(request)
    login, next_ = form.get("name", ""), form.get("next", "")
    try:
        password = form.get("password", "")
        entered = await run_in_threadpool(_check_password, request, login, password)
    except (SignInError, TooManyError) as error:
        return _refused_response(request, error, form)
    answer = RedirectResponse(next_ if is_local(next_) else home_of(entered.person), 303)
    cookie.give_cookie(request, answer, entered.token)
    known_browser.give_cookie(request, answer, entered.known)
    return answer


def _refused_response(request: Request, error: AppError, form: dict[str, str]) -> Response:
    if wants_json(request):
        return error_response(request, error)
    next_ = form.get("next", "")
    say = speaker_of(request).say
    text = say(error.message)
    if isinstance(error, TooManyError):
        text += " " + say(_OTHER_WAYS)
    again = _form_page(request, next_ if is_local(next_) else "", form.get("name", "")[:200], text)
    again.status_code = error.status
    if isinstance(error, TooManyError):
        again.headers["Retry-After"] = str(error.details["seconds"])
    return again


@dataclass(frozen=True)
class _Entered:
    """Who came in, the token of the new session, and what the browser keeps to be known by."""

    person: Person
    token: str
    known: str


def _check_password(request: Request, login: str, password: str) -> _Entered:
    """Return who came in; raises SignInError, TooManyError."""
    server = server_of(request)
    address = request.client.host if request.client else ""
    name = people.fold_login(login)[:200]
    with server.database.read() as session:
        lane = known_browser.lane_of(request, session, name)
        server.limits.enter(name, address, lane, server.clock())
        person = people.by_login(session, name)
    if not passwords.password_fits(person.password if person else None, password):
        person = None
    if person is None or person.disabled:
        _LOG.warning("sign-in refused for %r from %r", name, address)
        raise SignInError
    server.limits.succeeded(name, address, lane)
    _LOG.info("sign-in of %r from %r", person.id, address)
    token = _new_session(server, person, password, cookie.token_of(request))
    with server.database.read() as session:
        return _Entered(person, token, known_browser.cookie_for(request, session, name))


def _new_session(server: Server, person: Person, password: str, old: str) -> str:
    again = passwords.hash_password(password) if passwords.is_outdated(person.password) else None
    with server.database.write() as session:
        if again:
            session.get_one(Person, person.id).password = again
        sessions.end_session(session, old)
        return sessions.start_session(session, person.id, int(server.clock()))


def _end_push(request: Request, session: Session, token: str) -> None:
    """Whoever signs out is told no more in this browser."""
    kept = session.get(SignedIn, sessions.token_hash(token))
    if kept is not None:
        push.end_of_browser(session, kept.person, known_browser.number_of(request))


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End the session, here and in the database."""
    token = cookie.token_of(request)
    if token:
        with server_of(request).database.write() as session:
            _end_push(request, session, token)
            sessions.end_session(session, token)
    answer = RedirectResponse("/sign-in", 303)
    cookie.take_cookie(request, answer)
    return answer
