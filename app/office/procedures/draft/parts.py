"""/office/procedures/NAME/edit/…: the small forms of a draft, shown, tried as typed, kept."""

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from app.access.server import server_of
from app.access.who import FormFields
from app.core.errors import MissingError
from app.core.quantity.messages import Msg
from app.office.pages import form_field, office_page
from app.office.procedures.draft import work
from app.office.procedures.draft.desk import (
    Asker,
    Desk,
    WorkedOut,
    crew_beside,
    gone_response,
    keep_worked_out,
    with_door,
)
from app.office.procedures.draft.fields import DraftPlace
from app.office.procedures.draft.form import NEW_STEP_AT, DraftForm, PartAddress
from app.store.tables import Person

router = APIRouter()
PART = "/{name}/edit/{step}/{what}/{id}/{group}"
At = Annotated[PartAddress, Depends()]
Typed = dict[str, str]


def _form_page(request: Request, person: Person, name: str, at: PartAddress) -> Response:
    with server_of(request).database.read() as session:
        return at.form_in(Desk(request, session, person, name)).page({})


def _keep_form(
    request: Request, person: Person, name: str, at: PartAddress, form: Typed
) -> Response:
    return keep_worked_out(request, person, name, form, lambda desk: _with_form(desk, at, form))


def _with_form(desk: Desk, at: PartAddress, form: Typed) -> WorkedOut:
    try:
        sheet = at.form_in(desk)
    except MissingError as error:
        return gone_response(desk.request, desk.name, form, error.message)
    told = _told_meanwhile(sheet, form)
    if told is not None:
        return sheet.page(form, error=told)
    shape = ",".join(one.name for one in sheet.fields(form))
    if form.get("shape") != shape:
        return sheet.page(form, error=Msg("Fill in what this needs more, and send it again."))
    tried = sheet.tried(form)
    if tried.is_refused:
        return sheet.page(form, tried.errors, tried.elsewhere)
    return tried.text, with_door(desk.step_path(at.step or tried.id), desk.door)


def _told_meanwhile(sheet: DraftForm, form: Typed) -> Msg | None:
    """Return what to tell where somebody else changed what this form changes; else None."""
    stands = sheet.stands()
    if form.get("was") == work.stamp_of(stands):
        return None
    words = [value for name, value in stands.items() if value and value != form.get(name, "")]
    return Msg(
        "This was changed since the page was made: {by}. It now says: {words}. What you typed"
        " stands below: send it again to put it in its place.",
        by=sheet.desk.changed_by(),
        words="; ".join(words) or "\u2013",
    )


@router.get("/{name}/edit/new")
def new_step_page(request: Request, person: Asker, name: str) -> Response:
    """Show the form of a new step."""
    return _form_page(request, person, name, NEW_STEP_AT)


@router.post("/{name}/edit/new")
def add_step(request: Request, person: Asker, name: str, form: FormFields) -> Response:
    """Add a step at the end."""
    return _keep_form(request, person, name, NEW_STEP_AT, form)


@router.get(PART)
def part_page(request: Request, person: Asker, name: str, at: At) -> Response:
    """Show a small form."""
    return _form_page(request, person, name, at)


@router.post(PART)
def change_part(request: Request, person: Asker, name: str, at: At, form: FormFields) -> Response:
    """Keep a small form in the draft."""
    return _keep_form(request, person, name, at, form)


@router.post(PART + "/try")
def try_part(request: Request, person: Asker, name: str, at: At, form: FormFields) -> Response:
    """Answer with what is wrong in a small form, and the crew's page as it would be: a piece."""
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        desk.door = form.get("door", "")[:80]
        sheet = at.form_in(desk)
        tried = sheet.tried(form)
        shown = replace(sheet, place=DraftPlace(desk.written, at.step, at.what, tried.id))
        beside = crew_beside(desk, tried.text, shown.seen_at(tried.text))
        listed = sheet.fields(form)
    say = desk.say
    told = {name: one if isinstance(one, str) else say(one) for name, one in tried.errors.items()}
    beside["problems"] = tried.elsewhere
    beside["fields"] = [form_field(one.name, "", error=told.get(one.name, "")) for one in listed]
    title = Msg("As the crew will see it")
    return office_page(request, "office/draft_beside.html", title, {"beside": beside})
