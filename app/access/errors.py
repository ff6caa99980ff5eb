"""One function turns an error into a page, or into JSON for a program that asks."""

import errno
import logging
from http import HTTPStatus

from pydantic import BaseModel, ConfigDict
from sqlalchemy.exc import DataError, OperationalError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.access.pages import framed_page, speaker_of
from app.core.errors import AppError
from app.core.quantity.messages import Msg

_LOG = logging.getLogger("sillbook")
FOR_PROGRAMS = ("/api/", "/sync", "/photos/")

API = "/api/v1/"

NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}

_UNREAD = ("request-unreadable", Msg("This request cannot be understood."))
_OF_STATUS = {
    404: ("page-unknown", Msg("There is no such page.")),
    405: ("method-unknown", Msg("This page does not take that.")),
}


class ErrorBody(BaseModel):
    """Why not: a code that does not change, and one line for a person."""

    model_config = ConfigDict(extra="forbid", strict=True)

    code: str
    message: str
    details: dict[str, str | int]


class ErrorOut(BaseModel):
    """Every refusal that a program gets."""

    model_config = ConfigDict(extra="forbid", strict=True)

    error: ErrorBody


class UnreadError(AppError):
    """What no browser and no phone of ours sends."""

    status = 400

    def __init__(self) -> None:
        super().__init__(*_UNREAD)


class NotKeptError(AppError):
    """The database could not take a write: a full disk, a file that is gone."""

    status = 503

    def __init__(self) -> None:
        words = Msg("This could not be saved now. Go back, copy what you typed, and try again.")
        super().__init__("not-kept", words)


class BugError(AppError):
    """Something in the program went wrong; the log says what, the page does not."""

    status = 500

    def __init__(self, sent: bool) -> None:
        words = Msg("Something in Sillbook went wrong. What was saved is safe. Go back, try again.")
        if sent:
            words = Msg(
                "Something in Sillbook went wrong. What was saved before is safe; "
                "what you just sent was not saved. Go back, copy what you typed, and try again."
            )
        super().__init__("bug", words)


def wants_json(request: Request) -> bool:
    """Return whether the asker is a program: it asks for JSON, or for what no page is made of."""
    path = request.scope["path"]
    if path.startswith(FOR_PROGRAMS) or (request.method, path) == ("POST", "/pair"):
        return True
    accept = request.headers.get("accept", "")
    return "application/json" in accept and "text/html" not in accept


def error_response(request: Request, error: AppError) -> Response:
    """Return the answer for an error: {"error": {"code", "message", "details"}} or a page."""
    speaker = speaker_of(request)
    headers = {}
    if "seconds" in error.details:
        headers["Retry-After"] = str(error.details["seconds"])
    message = speaker.say(error.message)
    if wants_json(request):
        if request.scope["path"].startswith(API):
            return _problem(request, error, message, headers)
        told = {"code": error.code, "message": message, "details": _plain_details(error.details)}
        return JSONResponse({"error": told}, error.status, headers)
    context = {"message": message, "code": error.code}
    made = framed_page(
        request, "office/error.html", Msg("That did not work"), context, error.status
    )
    made.headers.update(headers)
    return made


def _problem(request: Request, error: AppError, message: str, headers: dict[str, str]) -> Response:
    """Return a refusal of the API. Source: RFC 9457; RFC 6750 for the header."""
    if error.status == 401:
        headers["WWW-Authenticate"] = "Bearer"
    body: dict[str, object] = {
        "type": "about:blank",
        "title": HTTPStatus(error.status).phrase,
        "status": error.status,
        "detail": message,
        "code": error.code,
    }
    faults = error.details.get("faults")
    if isinstance(faults, list):
        say = speaker_of(request).say
        body["errors"] = [{"detail": say(words), "pointer": at} for at, words in faults]
    return JSONResponse(body, error.status, headers, "application/problem+json")


def _plain_details(details: dict[str, object]) -> dict[str, object]:
    return {k: v for k, v in details.items() if isinstance(v, (str, int))}


def _shown_for(error: Exception, sent: bool) -> AppError:
    """Return what the asker is told: who of the sender, the machine and the program is at fault."""
    if isinstance(error, DataError):  # such as a NUL that PostgreSQL keeps in no text
        return UnreadError()
    full = isinstance(error, OSError) and error.errno in NO_ROOM
    return NotKeptError() if full or isinstance(error, OperationalError) else BugError(sent)


def _holds_nul(scope: Scope) -> bool:
    """Return whether a NUL stands in path or query: no link of ours has one."""
    return "\0" in scope["path"] or b"%00" in scope["query_string"]


async def on_app_error(request: Request, error: Exception) -> Response:
    """Answer an AppError that a route raised."""
    assert isinstance(error, AppError)  # noqa: S101  (registered for AppError alone)
    return error_response(request, error)


async def on_http_error(request: Request, error: Exception) -> Response:
    """Answer what the framework refuses by itself: no such page or method, a bad parameter."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    code, words = _OF_STATUS.get(status, _UNREAD)
    refused = AppError(code, words)
    refused.status = status
    return error_response(request, refused)


def calm_path(path: str) -> str:
    """Return a path as it may be logged: what stands in a private link is left out."""
    return "/mine/…" if path.startswith("/mine/") else path


class CalmBugs:
    """Turns an unexpected exception into a calm page; the log keeps the whole of it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; answer 500 if that fails before an answer began."""
        began = False

        async def send_noted(message: Message) -> None:
            nonlocal began
            began = True
            await send(message)

        if scope["type"] == "http" and _holds_nul(scope):
            await error_response(Request(scope), UnreadError())(scope, receive, send)
            return
        try:
            await self.app(scope, receive, send_noted)
        except Exception as error:
            if scope["type"] != "http" or began:
                raise
            _LOG.exception("unexpected error at %r", calm_path(scope["path"]))
            sent = scope["method"] not in ("GET", "HEAD")
            await error_response(Request(scope), _shown_for(error, sent))(scope, receive, send)
