"""/office/procedures/NAME/edit: the draft as a whole: begun, its steps, its file, dropped."""

from fastapi import APIRouter
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields
from app.core.errors import MissingError, RefusedError
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.office.procedures.draft import work
from app.office.procedures.draft.desk import (
    MOVES,
    Asker,
    Desk,
    WorkedOut,
    hanging_words,
    keep_worked_out,
    with_door,
)
from app.office.procedures.draft.fields import WHOLE_STEP
from app.procedures import draft_text
from app.store import procedures
from app.store.procedure_tables import ProcedureDraft
from app.store.tables import Person

router = APIRouter()
_BEGIN = Form(
    Msg("Change a procedure"),
    Msg("Begin a draft"),
    Msg(
        "A draft is a copy of a version's file. Everybody at the office changes the same one; "
        "nothing changes for openings until it is put in force."
    ),
    "office/draft_begin.html",
)


@router.get("/{name}/edit")
def draft_page(request: Request, person: Asker, name: str) -> Response:
    """Show the draft's steps; where there is none, the versions that one can be begun from."""
    with server_of(request).database.read() as session:
        if session.get(ProcedureDraft, name) is None:
            return _begin_response(request, session, name)
        return _draft_response(Desk(request, session, person, name))


def _begin_response(request: Request, session: Session, name: str, error: str = "") -> Response:
    say = speaker_of(request).say
    known = procedures.all_of(session, request.app.state.office.procedures)
    versions = sorted(one["version"] for one in known.values() if one["id"] == name)
    if not versions:
        raise MissingError("procedure-unknown", Msg("There is no such procedure."))
    chosen = procedures.version_in_force(session, name, known) or versions[-1]
    choices = [
        common.form_choice(str(n), say(Msg("version {n}", n=n)), n == chosen)
        for n in reversed(versions)
    ]
    field = form_field(
        "base", say(Msg("Begin from")), str(chosen), kind="select", choices=choices, error=error
    )
    return show_form(
        request,
        _BEGIN,
        form_of(f"/office/procedures/{name}/edit", act="begin"),
        [field],
        heading=say(Msg(known[f"{name}@{versions[-1]}"]["title"])),
        back=f"/office/procedures/{name}@{chosen}",
    )


def _draft_response(desk: Desk, error: str = "") -> Response:
    say = desk.say
    rows = [
        {
            "title": f"{step['id']} {step.get('title', '')}",
            "href": with_door(desk.step_path(step["id"]), desk.door),
            "form": form_of(desk.path, step=step["id"]),
        }
        for step in desk.written["steps"]
    ]
    compiled = work.compiled_draft(desk.text)
    context = {
        "heading": say(Msg(compiled["title"])),
        "base": say(Msg("It began from version {n}.", n=desk.row.base)),
        "by": desk.changed_by(),
        "error": error,
        "rows": rows,
        "add": f"{desk.path}/new",
        "whole": desk.step_path(WHOLE_STEP),
        "force": f"{desk.path}/force",
        "file": f"{desk.path}/file",
        "drop": form_of(desk.path, act="drop"),
        "back": f"/office/procedures/{desk.name}@{desk.row.base}",
    }
    status = 422 if error else 200
    return office_page(
        desk.request, "office/draft.html", Msg("Draft of a procedure"), context, status
    )


@router.post("/{name}/edit")
def change_draft(request: Request, person: Asker, name: str, form: FormFields) -> Response:
    """Begin or drop a draft; move a step, or take it away."""
    act = form.get("act", "")
    path = f"/office/procedures/{name}/edit"
    if act not in ("begin", "drop"):
        step = form.get("step", "")
        return keep_worked_out(
            request, person, name, form, lambda desk: _changed_steps(desk, act, step)
        )
    with server_of(request).database.write() as session:
        row = session.get(ProcedureDraft, name)
        if act == "begin":
            error = "" if row is not None else _begin_draft(request, session, person, name, form)
            if error:
                return _begin_response(request, session, name, error)
        else:
            if row is not None:
                session.delete(row)
            return RedirectResponse("/office/procedures", 303)
    return RedirectResponse(path, 303)


def _begin_draft(
    request: Request, session: Session, person: Person, name: str, form: dict[str, str]
) -> str:
    """Begin a draft from a version's file; returns in words why that cannot be."""
    say = speaker_of(request).say
    known = procedures.all_of(session, request.app.state.office.procedures)
    compiled = known.get(f"{name}@{form.get('base', '')}")
    if compiled is None:
        return say(Msg("Choose one."))
    text = work.file_of(session, compiled)
    if not text:
        return say(Msg("The file of this version is not here. Import it once more, then begin."))
    try:
        draft_text.cut_text(text)
    except RefusedError as error:
        return say(error.message)
    text = text if text.endswith("\n") else text + "\n"
    at = int(server_of(request).clock())
    session.add(
        ProcedureDraft(id=name, base=compiled["version"], text=text, person=person.id, at=at)
    )
    session.flush()
    return ""


def _changed_steps(desk: Desk, act: str, step: str) -> WorkedOut:
    """Move a step or take it away."""
    place = desk.place(step, "steps", step)
    if act in MOVES:
        change = lambda: draft_text.move_step(desk.text, step, MOVES[act])  # noqa: E731
    elif act == "take" and len(desk.written["steps"]) > 1:
        change = lambda: draft_text.take_step_away(desk.text, step)  # noqa: E731
    else:
        wrong = Msg("A procedure needs a step.") if act == "take" else Msg("Choose one.")
        return _draft_response(desk, desk.say(wrong))
    try:
        return work.tried_text(change, place, ()), desk.path
    except work.RefusedChangeError as error:
        return _draft_response(desk, hanging_words(desk, error))


@router.get("/{name}/edit/file")
def draft_file(request: Request, person: Asker, name: str) -> Response:
    """Give the draft as its YAML file."""
    with server_of(request).database.read() as session:
        text = Desk(request, session, person, name).text
    told = {"Content-Disposition": f'attachment; filename="{name}-draft.yaml"'}
    return Response(text, media_type="text/yaml; charset=utf-8", headers=told)
