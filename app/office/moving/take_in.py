"""/office/take-in: choose a file, see all that is wrong with it or what it adds, take it in."""

import time
from typing import Annotated, cast

from fastapi import APIRouter, Depends
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response, StreamingResponse

from app.access.forms import TooLargeError
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import AppError, InputError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural
from app.office.moving import intake as moving
from app.office.moving import openings, sheet
from app.office.moving.columns import described_columns
from app.office.moving.intake import Intake, Intakes
from app.office.pages import form_of, office_page
from app.store.tables import Person

router = APIRouter(prefix="/office/take-in")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST_BYTES = 40 * 1024 * 1024
SHOWN = 200
WRITING = Plural("{count} opening is being written", "{count} openings are being written")


def intakes_of(request: Request) -> Intakes:
    """Return the files on their way in, of this application."""
    state = request.app.state
    if not hasattr(state, "intakes"):
        state.intakes = Intakes()
    return cast("Intakes", state.intakes)


@router.get("")
def choose_page(request: Request, _: Asker) -> Response:
    """Show where a file is chosen, and what its columns are."""
    return _choose_response(request)


def _choose_response(request: Request, error: AppError | None = None) -> Response:
    speaker = speaker_of(request)
    form = form_of("/office/take-in")
    form["error"] = speaker.say(error.message) if error else ""
    context = {"form": form, "columns": described_columns(speaker)}
    status = 422 if error else 200
    return office_page(request, "office/take_in.html", Msg("Import"), context, status)


@router.get("/template.csv")
def column_template(_: Asker) -> Response:
    """Return the heads of the columns, to be filled in."""
    return csv_file("sillbook-template.csv", sheet.sheet_text(openings.COLUMNS, []))


def csv_file(name: str, pieces: object) -> Response:
    """Return pieces of text as a CSV to be kept under a name of ours."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingResponse(pieces, media_type="text/csv; charset=utf-8", headers=headers)  # type: ignore[arg-type]


@router.post("")
async def upload_file(request: Request, person: Asker) -> Response:
    """Take a file and begin to read it."""
    length = request.headers.get("content-length", "")
    if not (length.isascii() and length.isdigit() and int(length[:18]) <= MOST_BYTES):
        raise TooLargeError
    async with request.form(max_files=1, max_fields=5) as form:
        file = form.get("file")
        data = await file.read() if isinstance(file, UploadFile) else b""
        name = (file.filename or "")[:100] if isinstance(file, UploadFile) else ""
    if not data:
        return _choose_response(request, InputError("file-missing", Msg("Choose a file first.")))
    made = Intake(person.id, person.units, name, time.monotonic())
    try:
        intakes_of(request).begin(made)
    except InputError as error:
        return _choose_response(request, error)
    database = server_of(request).database
    cache = request.app.state.office.procedures
    moving.start_in_background(made, lambda: moving.read_file(made, data, database, cache))
    return RedirectResponse(f"/office/take-in/{made.token}", 303)


def _own_intake(request: Request, person: Person, token: str) -> Intake:
    found = intakes_of(request).find(token, person.id)
    if found is None:
        raise MissingError(
            "intake-unknown", Msg("This file is not here any more. Choose it again.")
        )
    return found


@router.get("/{token}")
def intake_page(request: Request, person: Asker, token: str) -> Response:
    """Show how far a file is, what is wrong with it, or what it would add."""
    context = _intake_context(request, _own_intake(request, person, token))
    return office_page(request, "office/intake.html", Msg("Import a file"), context)


@router.get("/{token}/state")
def intake_piece(request: Request, person: Asker, token: str) -> Response:
    """Return how far a file is by itself, for a page that asks again and again."""
    context = _intake_context(request, _own_intake(request, person, token))
    return office_page(request, "office/intake_state.html", Msg("Import a file"), context)


@router.post("/{token}")
def take_file(request: Request, person: Asker, token: str) -> Response:
    """Take a file in that was looked at; a second time changes nothing."""
    found = _own_intake(request, person, token)
    if intakes_of(request).claim(found):
        database = server_of(request).database
        cache = request.app.state.office.procedures
        moving.start_in_background(found, lambda: moving.write_all(found, database, cache))
    return RedirectResponse(f"/office/take-in/{token}", 303)


def _intake_context(request: Request, found: Intake) -> Json:
    say = speaker_of(request).say
    path = f"/office/take-in/{found.token}"
    return {
        "form": form_of(path),
        "piece": path + "/state",
        "here": path,
        "name": found.name,
        "state": found.state,
        "busy": found.state in ("reading", "taking"),
        "done": str(found.done),
        "total": str(max(found.total, 1)),
        "progress": say(
            Msg("{done} of {total} rows read", done=found.done, total=found.total)
            if found.state == "reading"
            else WRITING.of(found.total)
        ),
        "wrong": [_problem_line(request, one) for one in found.wrong[:SHOWN]],
        "wrong_count": say(
            Plural(
                "{count} cell or row is wrong. Nothing was imported.",
                "{count} cells or rows are wrong. Nothing was imported.",
            ).of(len(found.wrong))
        ),
        "more": say(Msg("and {count} more", count=len(found.wrong) - SHOWN))
        if len(found.wrong) > SHOWN
        else "",
        "ready": say(_ready_words(found)),
        "rows": [_opening_row(one) for one in found.taken[:20]],
        "made": say(found.made) if found.made else "",
    }


def _problem_line(request: Request, one: openings.Wrong) -> Json:
    return {
        "row": str(one.row) if one.row else "",
        "column": one.column,
        "letter": one.letter,
        "text": speaker_of(request).say(one.message),
    }


def _ready_words(found: Intake) -> Msg:
    if found.records:
        events = sum(len(opening["events"]) for opening in found.records["openings"])
        return Plural(
            "The record of {count} opening with {entries}. What is here already stays.",
            "Records of {count} openings with {entries}. What is here already stays.",
        ).of(found.total, entries=Plural("{count} entry", "{count} entries").of(events))
    jobs = len({one.job for one in found.taken})
    return Plural(
        "{count} opening in {jobs} will be issued.", "{count} openings in {jobs} will be issued."
    ).of(len(found.taken), jobs=Plural("{count} job", "{count} jobs").of(jobs))


def _opening_row(one: openings.OpeningRow) -> Json:
    drawing = one.drawing
    panels = "".join(panel["kind"] for panel in drawing["panels"])
    return {
        "job": one.job[0],
        "letter": one.letter,
        "room": one.room,
        "drawing": f"{drawing['number']} {drawing['revision']}".strip(),
        "panels": panels,
    }
