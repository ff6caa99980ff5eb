"""Who is asking."""

from typing import Annotated
from urllib.parse import quote

from fastapi import Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import cookie, sessions, signed_out
from app.access.errors import error_response, wants_json
from app.access.forms import read_form
from app.access.server import Server, server_of
from app.core.errors import AppError, LentError
from app.core.kinds import Json
from app.core.pages.owner import path_of
from app.core.quantity.messages import Msg
from app.store.people import is_office
from app.store.tables import Person, SignedIn


class SignInFirstError(AppError):
    """Nobody is signed in here, or no longer."""

    status = 401

    def __init__(self) -> None:
        super().__init__("sign-in-first", Msg("Sign in first. Then send it again."))


def person_of(request: Request) -> Person | None:
    """Return who is signed in, noting the use of the session; None where nobody is.

    While the owner has the device in hand it speaks their language, and only the field book is
    answered: the core shows the owner's page alone. Errors: LentError.
    """
    token = cookie.token_of(request)
    found = _find_session(server_of(request), token) if token else None
    if found is None:
        return None
    kept, person = found
    if kept.lent_opening:
        person = Person(**{**person.model_dump(), "lang": kept.lent_lang})
        request.state.lent = {"opening": kept.lent_opening, "lang": kept.lent_lang}
    request.state.person = person
    if kept.lent_opening and request.scope["path"].split("/")[1] != "field":
        raise LentError
    return person


def lent_of(request: Request) -> Json:
    """Return in whose hands the device is, as the core takes it: {} while the crew has it."""
    lent: Json = getattr(request.state, "lent", {})
    return lent


async def on_lent(request: Request, error: Exception) -> Response:
    """Lead whoever asks for another page, while the owner has the device, back to the owner's."""
    assert isinstance(error, LentError)  # noqa: S101  (registered for it alone)
    if request.method == "POST" or wants_json(request):
        return error_response(request, error)
    return RedirectResponse(path_of(lent_of(request)["opening"]), 303)


def _find_session(server: Server, token: str) -> tuple[SignedIn, Person] | None:
    now = int(server.clock())
    with server.database.read() as session:
        found = sessions.find_session(session, token, now)
    if found is not None and sessions.is_stale(found[0], now):
        with server.database.write() as session:
            sessions.note_use(session, token, now)
    return found


def need_person(request: Request) -> Person:
    """Return who is signed in; raises SignInFirstError."""
    person = person_of(request)
    if person is None:
        raise SignInFirstError
    return person


async def form_of_person(
    request: Request, _: Annotated[Person, Depends(need_person)]
) -> dict[str, str]:
    """Return the fields of a form that somebody who is signed in has sent; raises as read_form."""
    return await read_form(request)


# A route that takes it need not be async: FastAPI has its work done in a thread.
FormFields = Annotated[dict[str, str], Depends(form_of_person)]


class NotYoursError(AppError):
    """A page for supervisors, asked for by somebody else."""

    status = 403

    def __init__(self) -> None:
        super().__init__("supervisors-only", Msg("This page is for supervisors."))


def need_supervisor(person: Annotated[Person, Depends(need_person)]) -> Person:
    """Return who is signed in and works at the office; raises SignInFirstError, NotYoursError."""
    if not is_office(person):
        raise NotYoursError
    return person


class NotKeeperError(AppError):
    """A page for administrators, asked for by somebody else."""

    status = 403

    def __init__(self) -> None:
        words = Msg("This page is for administrators: they keep the people and their roles.")
        super().__init__("administrators-only", words)


def need_administrator(person: Annotated[Person, Depends(need_person)]) -> Person:
    """Return the administrator who is signed in; raises SignInFirstError, NotKeeperError."""
    if person.role != "administrator":
        raise NotKeeperError
    return person


async def on_sign_in_first(request: Request, error: Exception) -> Response:
    """Lead who asks for a page to the sign-in and back; a form gets 401, and is kept."""
    assert isinstance(error, SignInFirstError)  # noqa: S101  (registered for it alone)
    if wants_json(request):
        return error_response(request, error)
    if request.method == "POST":
        return await signed_out.keep_typed(request, error)
    return RedirectResponse("/sign-in?next=" + quote(request.url.path, safe="/"), 303)
