"""/office/people: the people, an invitation for a new one, and one person kept."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access import invitations, keeping
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_administrator
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.office.pages import Form, form_of, office_page, show_form
from app.office.people import sheet
from app.store.people import listed_people
from app.store.tables import Person

router = APIRouter(prefix="/office/people")
Asker = Annotated[Person, Depends(need_administrator)]
_LOG = logging.getLogger("sillbook.access")
_TITLE = Msg("People")
_FORM = Form(
    Msg("Invite a person"),
    Msg("Make the invitation"),
    Msg(
        "The invitation is a link for the person alone: by it they set their own password. "
        "Nobody else ever knows it."
    ),
)
_ONE_FORM = Form(Msg("One of the people"), Msg("Keep"), template="office/person.html")


@router.get("")
def people_page(request: Request, _: Asker, after: str = "") -> Response:
    """List the people by name, a page at a time."""
    server = server_of(request)
    with server.database.read() as session:
        found = listed_people(session, after[:400], sheet.PAGE + 1)
        waiting = invitations.waiting_invitations(session, int(server.clock()))
    shown = found[: sheet.PAGE]
    context = {
        "people": [sheet.person_row(request, person, waiting) for person in shown],
        "next": f"{shown[-1].name}|{shown[-1].id}" if len(found) > sheet.PAGE else "",
    }
    return office_page(request, "office/people.html", _TITLE, context)


@router.get("/new")
def new_person_page(request: Request, asker: Asker) -> Response:
    """Show the form for a new person."""
    return _new_person_response(request, {"lang": asker.lang, "units": asker.units}, {})


def _new_person_response(
    request: Request, typed: dict[str, str], errors: dict[str, str]
) -> Response:
    fields = sheet.person_fields(request, typed, errors)
    return show_form(request, _FORM, form_of("/office/people/new", errors.get("", "")), fields)


@router.post("/new")
def add_person(request: Request, asker: Asker, form: FormFields) -> Response:
    """Add a person and show their invitation, this once."""
    server = server_of(request)
    typed = sheet.typed_in(form)
    try:
        with server.database.write() as session:
            lang, units = sheet.settings_in(form)
            names = (typed["name"], typed["login"])
            person = keeping.add_person(session, *names, typed["role"], lang, units)
            code = invitations.make_invitation(session, person.id, int(server.clock()))
    except keeping.PersonFieldError as error:
        words = speaker_of(request).say(error.message)
        return _new_person_response(request, typed, {str(error.details["field"]): words})
    _LOG.info("%r invited by %r as %s", person.id, asker.id, person.role)
    return _invitation_response(request, person, code)


def _invitation_response(request: Request, person: Person, code: str) -> Response:
    context = {
        "invited": sheet.invitation_sheet(request, person, code),
        "back": _person_path(person.id),
    }
    return office_page(request, "office/invited.html", Msg("Invitation"), context)


def _person_path(person: str) -> str:
    return "/office/people/" + person


@router.get("/{person}")
def person_page(request: Request, _: Asker, person: str, kept: str = "") -> Response:
    """Show a person, to be changed."""
    with server_of(request).database.read() as session:
        found = keeping.person_of(session, person)
    return _person_response(request, found, sheet.typed_of(found), {}, kept == "yes")


def _person_response(
    request: Request, person: Person, typed: dict[str, str], errors: dict[str, str], kept: bool
) -> Response:
    server = server_of(request)
    with server.database.read() as session:
        waiting = invitations.waiting_invitations(session, int(server.clock()))
    return show_form(
        request,
        _ONE_FORM,
        form_of(_person_path(person.id), errors.get("", ""), act="keep"),
        sheet.person_fields(request, typed, errors, login=False),
        kept=kept,
        who=sheet.person_row(request, person, waiting),
        acts=_person_acts(request, person),
    )


def _person_acts(request: Request, person: Person) -> list[Json]:
    """Return what else can be done with a person: words, what follows, a form."""
    names = ("enable",) if person.disabled else ("invite", "disable")
    say = speaker_of(request).say
    return [
        {
            "form": {**form_of(_person_path(person.id), act=name), "id": name},
            "text": say(sheet.ACTS[name][0]),
            "follows": say(sheet.ACTS[name][1]),
        }
        for name in names
    ]


@router.post("/{person}")
def act_on_person(request: Request, asker: Asker, person: str, form: FormFields) -> Response:
    """Keep what was typed, disable, let in again, or make a new invitation."""
    name = form.get("act", "")
    if name not in _DO:
        raise MissingError("act-unknown", Msg("There is no such form."))
    server = server_of(request)
    with server.database.read() as session:
        before = keeping.person_of(session, person)
    try:
        with server.database.write() as session:
            code = _DO[name](request, session, keeping.person_of(session, person), form)
    except (keeping.PersonFieldError, RefusedError) as error:
        words = speaker_of(request).say(error.message)
        typed = {**sheet.typed_of(before), **(sheet.typed_in(form) if name == "keep" else {})}
        return _person_response(
            request, before, typed, {str(error.details.get("field", "")): words}, False
        )
    _LOG.warning("person %r: %s by %r", person, name, asker.id)
    return (
        _invitation_response(request, before, code)
        if code
        else RedirectResponse(_person_path(person) + "?kept=yes", 303)
    )


_DO = sheet.DO
