"""/welcome: where an invitation leads: its person sets a password, and is signed in."""

import logging

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import cookie, invitations, known_browser, sessions
from app.access.errors import error_response, wants_json
from app.access.forms import read_form
from app.access.pages import framed_page, speaker_of
from app.access.server import Server, server_of
from app.access.slowdown import TooManyError
from app.core.errors import AppError, InputError
from app.core.quantity.messages import Msg

router = APIRouter()
_LOG = logging.getLogger("sillbook.access")


@router.get("/welcome")
def welcome_page(request: Request) -> Response:
    """Show the form; its script takes the code from the fragment. Nothing is spent by looking."""
    return _welcome_response(request)


def _welcome_response(
    request: Request, code: str = "", error: str = "", status: int = 200
) -> Response:
    form = {
        "id": "welcome",
        "action": "/welcome",
        "hidden": [],
        "error": error,
        "typed": {"code": code},
    }
    title = Msg("Set your password")
    return framed_page(request, "office/welcome.html", title, {"form": form}, status)


@router.post("/welcome")
async def enter_password(request: Request) -> Response:
    """Set the password of an invitation's person and sign them in."""
    form = await read_form(request)
    try:
        token, known = await run_in_threadpool(_enter_from, request, form)
    except (InputError, TooManyError) as error:
        return _refused_response(request, error, form.get("code", "")[:64])
    answer = RedirectResponse("/me?welcome=yes", 303)
    cookie.give_cookie(request, answer, token)
    known_browser.give_cookie(request, answer, known)
    return answer


def _refused_response(request: Request, error: AppError, code: str) -> Response:
    if wants_json(request):
        return error_response(request, error)
    made = _welcome_response(request, code, speaker_of(request).say(error.message), error.status)
    if isinstance(error, TooManyError):
        made.headers["Retry-After"] = str(error.details["seconds"])
    return made


def _enter_from(request: Request, form: dict[str, str]) -> tuple[str, str]:
    """Return the tokens of a new session and of the browser.

    Errors: InvitationError, InputError, TooManyError.
    """
    server = server_of(request)
    address = request.client.host if request.client else ""
    server.limits.invited.enter(address, server.clock())
    code, password = form.get("code", ""), form.get("password", "")
    if password != form.get("again", password):
        raise InputError("password-differs", Msg("The two passwords are not the same."))
    entered = _spend_code(request, server, code, password)
    server.limits.invited.forget(address)
    return entered


def _spend_code(request: Request, server: Server, code: str, password: str) -> tuple[str, str]:
    now = int(server.clock())
    with server.database.write() as session:
        person = invitations.spend_invitation(session, code, password, now)
        sessions.end_session(session, cookie.token_of(request))
        _LOG.info("password of %r set by invitation", person.id)
        token = sessions.start_session(session, person.id, now)
        return token, known_browser.cookie_for(request, session, person.login)
