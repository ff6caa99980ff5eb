"""/office/rescue: choose a phone's file of unsent entries, see what is in it, take it in."""

import logging
import secrets
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Annotated, cast

from fastapi import APIRouter, Depends
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.forms import TooLargeError
from app.access.pages import framed_page, speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import InputError, MissingError
from app.core.quantity.messages import Msg
from app.store.tables import Person
from app.sync import rescue, rescue_shown
from app.sync.rescue import RescueOutcome, Unsent

router = APIRouter(prefix="/office/rescue")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.sync")
FORGET_SECONDS = 3600
MOST_WAITING = 4  # files in memory, one a person


@dataclass
class WaitingFile:
    """A file that was looked at: whose, what it holds, what it would give, or gave."""

    person: str
    unsent: Unsent
    taken: RescueOutcome
    done: bool = False
    began: float = field(default_factory=time.monotonic)


Files = dict[str, WaitingFile]


def _files(request: Request) -> Files:
    state = request.app.state
    if not hasattr(state, "rescues"):
        state.rescues = {}
    return cast("Files", state.rescues)


@router.get("")
def choose(request: Request, _: Asker) -> Response:
    """Show where the file is chosen."""
    return _choose(request)


def _choose(request: Request, error: InputError | None = None) -> Response:
    told = speaker_of(request).say(error.message) if error else ""
    form = {"id": "rescue", "action": "/office/rescue", "hidden": [], "error": told, "typed": {}}
    status = 422 if error else 200
    return framed_page(
        request, "office/rescue.html", Msg("Entries from a file"), {"form": form}, status
    )


@router.post("")
async def upload(request: Request, person: Asker) -> Response:
    """Take a file and look what is in it; nothing is changed yet."""
    length = request.headers.get("content-length", "")
    if not (length.isascii() and length.isdigit() and int(length[:18]) <= rescue.MOST_BYTES):
        raise TooLargeError
    async with request.form(max_files=1, max_fields=5) as form:
        file = form.get("file")
        data = await file.read() if isinstance(file, UploadFile) else b""
    try:
        token = await run_in_threadpool(_look, request, person, data)
    except InputError as error:
        return _choose(request, error)
    return RedirectResponse(f"/office/rescue/{token}", 303)


def _look(request: Request, person: Person, data: bytes) -> str:
    if not data:
        raise InputError("file-missing", Msg("Choose a file first."))
    unsent = rescue.read(data)
    taken = rescue.look(server_of(request), unsent)
    return _wait(_files(request), WaitingFile(person.id, unsent, taken))


def _wait(files: Files, made: WaitingFile) -> str:
    """Keep a file until it is taken in; what is old, and the person's last one, is forgotten."""
    for token, one in list(files.items()):
        if one.person == made.person or made.began - one.began > FORGET_SECONDS:
            files.pop(token, None)
    if len(files) >= MOST_WAITING:
        words = Msg("Other files are being imported. Try again in a minute.")
        raise InputError("rescues-full", words)
    token = secrets.token_urlsafe(16)
    files[token] = made
    return token


def _own(request: Request, person: Person, token: str) -> WaitingFile:
    found = _files(request).get(token)
    if found is None or found.person != person.id:
        words = Msg("This file is not here any more. Choose it again.")
        raise MissingError("rescue-unknown", words)
    return found


@router.get("/{token}")
def show(request: Request, person: Asker, token: str) -> Response:
    """Show what is in a file, from which phone and whom, and what becomes of each entry."""
    found = _own(request, person, token)
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        context = rescue_shown.contents(session, say, found.unsent, found.taken, found.done)
    action = f"/office/rescue/{token}"
    form = {"id": "take", "action": action, "hidden": [], "error": "", "typed": {}}
    context["form"] = None if found.done else form
    return framed_page(request, "office/rescue_look.html", Msg("What the file holds"), context)


@router.post("/{token}")
def take(request: Request, person: Asker, token: str) -> Response:
    """Take a file in that was looked at; a second time changes nothing."""
    found = _own(request, person, token)
    if not found.done:
        found.taken = rescue.take(server_of(request), found.unsent)
        found.done = True
        states = Counter(receipt.state for receipt in found.taken.receipts)
        _LOG.info("file of phone %r by %r: %r", found.unsent.device, person.id, dict(states))
    return RedirectResponse(f"/office/rescue/{token}", 303)
