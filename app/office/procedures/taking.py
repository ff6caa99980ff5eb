"""/office/procedures/new: a YAML file is taken in, or all its problems are told and it is kept."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.forms import MOST_BYTES, TooLargeError
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural
from app.office.pages import form_of, office_page
from app.procedures import ProcedureError, SourceProblem, compile_text
from app.store import procedures
from app.store.tables import Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]


@router.get("/new")
def choose_page(request: Request, _: Asker) -> Response:
    """Show where a file is chosen or its text pasted."""
    return _choose_response(request, "", [])


def _choose_response(request: Request, text: str, problems: list[SourceProblem]) -> Response:
    say = speaker_of(request).say
    context = {
        "form": form_of("/office/procedures/new"),
        "text": text,
        "rows": str(min(max(text.count("\n") + 2, 8), 40)),
        "problems": [_problem_line(request, one, text) for one in problems],
        "count": say(
            Plural(
                "{count} problem. Nothing was imported.", "{count} problems. Nothing was imported."
            ).of(len(problems))
        ),
    }
    status = 422 if problems else 200
    return office_page(
        request, "office/procedure_new.html", Msg("Import a procedure"), context, status
    )


def _problem_line(request: Request, one: SourceProblem, text: str) -> Json:
    lines = text.splitlines()
    return {
        "line": speaker_of(request).say(Msg("Line {n}", n=one.line)),
        "reason": one.reason,
        "words": lines[one.line - 1].strip()[:120] if 0 < one.line <= len(lines) else "",
    }


@router.post("/new")
async def take_procedure(request: Request, _: Asker) -> Response:
    """Take a procedure in, from a file or from the text on the page."""
    length = request.headers.get("content-length", "")
    if not (length.isascii() and length.isdigit() and int(length[:18]) <= 2 * MOST_BYTES):
        raise TooLargeError
    async with request.form(max_files=1, max_fields=5, max_part_size=2 * MOST_BYTES) as form:
        file = form.get("file")
        given = form.get("text")
        data = await file.read() if isinstance(file, UploadFile) else b""
    text = given.replace("\r\n", "\n") if isinstance(given, str) else ""
    return await run_in_threadpool(_take_text, request, data, text)


def _take_text(request: Request, data: bytes, text: str) -> Response:
    try:
        if data:
            text = _decoded_text(data)
        if not text.strip():
            reason = speaker_of(request).say(Msg("Choose a file, or paste its text."))
            return _choose_response(request, text, [SourceProblem("", 1, reason)])
        compiled = compile_text(text, "procedure")
        chosen = _keep_procedure(request, compiled, text)
    except ProcedureError as error:
        return _choose_response(request, text, error.problems)
    except RefusedError as error:
        found = [n for n, line in enumerate(text.splitlines(), 1) if line.startswith("version:")]
        line = found[0] if found else 1
        return _choose_response(
            request, text, [SourceProblem("", line, speaker_of(request).say(error.message))]
        )
    key = procedures.key_of(compiled)
    path = key if chosen else f"{key}/force"  # what would change, before anybody gets it
    return RedirectResponse(f"/office/procedures/{path}", 303)


def _decoded_text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise ProcedureError([SourceProblem("", line, "not readable as text (UTF-8)")]) from error


def _keep_procedure(request: Request, compiled: Json, text: str) -> bool:
    """Keep a procedure with its file; returns whether that version is in force already."""
    cache = request.app.state.office.procedures
    with server_of(request).database.write() as session:
        known = procedures.all_of(session, cache)
        procedures.take_in(session, compiled, known, text)
        chosen = procedures.version_in_force(session, compiled["id"], known)
    return bool(chosen == compiled["version"])
