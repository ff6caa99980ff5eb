"""/office/procedures: the list, one version as the crew will see it, two versions compared."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlalchemy import func, tuple_
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pictures import drawings
from app.core.quantity.messages import Msg, Plural
from app.office.instruments import asked_by
from app.office.pages import office_page
from app.office.procedures import compare, crew, forcing, many, moving, taking
from app.office.procedures.draft import routes as draft_routes
from app.store import procedures
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Person, Procedure

router = APIRouter(prefix="/office/procedures")
router.include_router(taking.router)
router.include_router(draft_routes.router)
router.include_router(forcing.router)
router.include_router(many.router)
router.include_router(moving.router)
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50


def known_to(request: Request, session: Session) -> dict[str, Json]:
    """Return every procedure by id@version."""
    cache: dict[str, Json] = request.app.state.office.procedures
    return procedures.all_of(session, cache)


def version_of(known: dict[str, Json], key: str) -> Json:
    """Return a procedure by id@version; raises MissingError 'procedure-unknown'."""
    if key not in known:
        raise MissingError("procedure-unknown", Msg("There is no such procedure."))
    return known[key]


@router.get("")
def list_procedures(request: Request, _: Asker, after: str = "") -> Response:
    """List the versions, the newest of each procedure first, a page at a time."""
    with server_of(request).database.read() as session:
        known = known_to(request, session)
        rows = _version_page(session, after[:200])
        force = procedures.in_force(session, known)
        counted = _openings_by_version(session)
    shown = rows[:PAGE]
    context = {
        "rows": [_version_row(request, known[f"{i}@{v}"], force, counted) for i, v in shown],
        "next": f"{shown[-1][0]}@{shown[-1][1]}" if len(rows) > PAGE else "",
    }
    return office_page(request, "office/procedures.html", Msg("Procedures"), context)


def _version_page(session: Session, after: str) -> list[tuple[str, int]]:
    order = (col(Procedure.id), -col(Procedure.version))
    wanted = select(Procedure.id, Procedure.version).order_by(*order).limit(PAGE + 1)
    id_, _, version = after.partition("@")
    if version.isascii() and version.isdigit():
        wanted = wanted.where(tuple_(*order) > tuple_(id_, -int(version[:9])))
    return list(session.exec(wanted))


def _openings_by_version(session: Session) -> dict[str, int]:
    """Return how many openings that are not accepted stand under each version."""
    open_ones = (col(Summary.state).not_in(SETTLED), col(Summary.practice).is_(False))
    wanted = select(Summary.procedure, func.count()).where(*open_ones)
    return dict(session.exec(wanted.group_by(Summary.procedure)).all())


def _version_row(
    request: Request, compiled: Json, force: dict[str, Json], counted: dict[str, int]
) -> Json:
    say = speaker_of(request).say
    key = procedures.key_of(compiled)
    return {
        "href": f"/office/procedures/{key}",
        "title": say(version_title(compiled)),
        "key": key,
        "in_force": key in force,
        "openings": say(
            Plural("{count} open opening", "{count} open openings").of(counted.get(key, 0))
        ),
    }


def version_title(compiled: Json) -> Msg:
    """Return a procedure's title with its version."""
    return Msg("{title}, version {n}", title=Msg(compiled["title"]), n=compiled["version"])


@router.get("/{key}")
def procedure_page(request: Request, person: Asker, key: str, opening: str = "") -> Response:
    """Show a version as the crew will see it, on an example or on an opening's drawing."""
    asked = asked_by(request, person)
    say = asked.say
    with server_of(request).database.read() as session:
        known = known_to(request, session)
        compiled = version_of(known, key)
        force = procedures.in_force(session, known)
        drawing = crew.drawing_for(session, compiled, opening[:80], known)
        openings = crew.openings_to_show(session, opening)
        act_lines = forcing.act_lines(request, session, compiled["id"])
    state = crew.state_of(compiled, drawing)
    others = sorted(
        (v for k, v in known.items() if v["id"] == compiled["id"] and k != key),
        key=lambda v: -v["version"],
    )
    context = {
        "heading": say(version_title(compiled)),
        "key": key,
        "digest": compiled["digest"],
        "in_force": key in force,
        "force": f"/office/procedures/{key}/force",
        "acts": act_lines,
        "door": say(common.door_words(state)),
        "picture_of": drawings.elevation_picture(state.drawing, asked.speaker),
        "openings": openings,
        "others": [
            common.page_link(
                f"/office/procedures/{procedures.key_of(v)}/against/{key}",
                say(Msg("What differs from version {n}", n=v["version"])),
            )
            for v in others
        ],
        "edit": f"/office/procedures/{compiled['id']}/edit",
        "move": f"/office/procedures/{key}/openings",
        "blank": f"/office/blank/{opening}" if opening else "",
        "steps": crew.steps_shown(asked, state),
        "nights": [say(words) for words in compare.night_words(compiled)],
    }
    return office_page(request, "office/procedure.html", Msg("A procedure"), context)


@router.get("/{old}/against/{new}")
def comparison_page(request: Request, person: Asker, old: str, new: str) -> Response:
    """Show what differs between two versions, in words and numbers."""
    asked = asked_by(request, person)
    with server_of(request).database.read() as session:
        known = known_to(request, session)
    before, after = version_of(known, old), version_of(known, new)
    context = {
        "before": asked.say(version_title(before)),
        "after": asked.say(version_title(after)),
        "back": f"/office/procedures/{new}",
        **forcing.changes_context(asked, before, after),
    }
    return office_page(
        request, "office/procedure_compare.html", Msg("Two versions compared"), context
    )
