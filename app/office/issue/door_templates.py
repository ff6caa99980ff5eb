"""/office/templates: templates of door systems, kept of a drawn door, chosen for new ones."""

import logging
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.core.record.state import State
from app.core.trade.drawing import Drawing
from app.office.issue import work
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.store import door_templates as templates
from app.store import log, procedures
from app.store.door_templates import DoorTemplate
from app.store.tables import Person

router = APIRouter(prefix="/office/templates")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.access")
_NEW = Form(
    Msg("Keep a template of this door"),
    Msg("Keep the template"),
    Msg(
        "New openings can begin with its sizes, limits, parts and weights. Number, revision, "
        "author and date of the drawing stay out. A template of the same name is replaced."
    ),
)


@router.get("")
def templates_page(request: Request, _: Asker) -> Response:
    """List the templates, each with why and its end."""
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        kept = templates.templates_in_use(session)
    rows = [
        {
            "name": one.name,
            "why": one.why,
            "about": speaker.say(
                Msg("{letters} seen from outside", letters=Drawing(one.drawing()).configuration)
            ),
            "end": form_of("/office/templates", act="end", template=one.id),
        }
        for one in kept
    ]
    return office_page(request, "office/templates.html", Msg("Door templates"), {"templates": rows})


@router.post("")
def end_template(request: Request, asker: Asker, form: FormFields) -> Response:
    """End a template; doors that began with it stay as they are."""
    server = server_of(request)
    with server.database.write() as session:
        row = templates.template_of_id(session, form.get("template", ""))
        row.ended = int(server.clock())
        session.add(row)
        _LOG.info("template %r: end by %r", row.id, asker.id)
    return RedirectResponse("/office/templates", 303)


@router.get("/new/{opening}")
def new_template_page(request: Request, _: Asker, opening: str) -> Response:
    """Show the form by which a template of an opening's door is kept."""
    with server_of(request).database.read() as session:
        work.opening_of(session, opening)
    return _template_response(request, opening, {}, {})


def _template_response(
    request: Request, opening: str, typed: dict[str, str], errors: dict[str, Msg]
) -> Response:
    say = speaker_of(request).say
    said = {name: say(words) for name, words in errors.items()}
    fields = [
        form_field("name", say(Msg("Name of the template")), typed.get("name", ""),
                   error=said.get("name", "")),
        form_field("why", say(Msg("Where its sizes and limits come from")), typed.get("why", ""),
                   kind="area", error=said.get("why", "")),
    ]  # fmt: skip
    form = form_of(f"/office/templates/new/{opening}", said.get("", ""))
    return show_form(request, _NEW, form, fields)


@router.post("/new/{opening}")
def keep_template(request: Request, asker: Asker, opening: str, form: FormFields) -> Response:
    """Keep a template of an opening's door; or show the form again."""
    typed = {name: form.get(name, "").strip() for name in ("name", "why")}
    errors = {}
    if not typed["name"]:
        errors["name"] = Msg("Give the template a name.")
    for name, most in (("name", templates.MOST_NAME), ("why", templates.MOST_WHY)):
        if len(typed[name]) > most:
            errors[name] = Msg("At most {count} characters fit here.", count=most)
    server = server_of(request)
    if errors:
        return _template_response(request, opening, typed, errors)
    with server.database.write() as session:
        door = door_of_opening(session, request.app.state.office.procedures, opening)
        made = templates.keep_template(
            session, **typed, state=door, person=asker.id, now=int(server.clock())
        )
        _LOG.info("template %r of opening %r kept by %r", made.id, opening, asker.id)
    return RedirectResponse("/office/templates", 303)


def door_of_opening(session: Session, cache: dict[str, Json], opening: str) -> Json:
    """Return what another opening may begin with: procedure (its id), depth, drawing, practice.

    Errors: MissingError 'opening-unknown'.
    """
    work.opening_of(session, opening)
    known = procedures.all_of(session, cache)
    state = State(log.events_of(session, [opening])[opening], known)
    return {
        "procedure": state.procedure["id"],
        "depth": state.depth,
        "drawing": state.drawing.data,
        "practice": state.practice,
    }


def door_of_template(row: DoorTemplate) -> Json:
    """Return what an opening begins with that is made of a template, as door_of_opening."""
    return {"procedure": row.procedure, "depth": row.depth, "drawing": row.drawing()}


def template_words(row: DoorTemplate) -> Msg:
    """Return what a form says above its fields of the template that it was filled in from."""
    day = When(datetime.fromtimestamp(row.made).date().isoformat())
    if not row.why:
        return Msg("From the template {name}, kept {day}.", name=row.name, day=day)
    return Msg("From the template {name}, kept {day}: {why}", name=row.name, day=day, why=row.why)
