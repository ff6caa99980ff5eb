"""/office/procedures/NAME/edit/STEP: the parts of a step, moved and taken away; the crew's page."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from app.access.server import server_of
from app.access.who import FormFields
from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.office.pages import form_of, office_page
from app.office.procedures.draft import work
from app.office.procedures.draft.desk import (
    MOVES,
    OF_WHOLE,
    Asker,
    Desk,
    WorkedOut,
    crew_beside,
    hanging_words,
    keep_worked_out,
    step_key,
    with_door,
)
from app.office.procedures.draft.fields import WHOLE_STEP, DraftPlace
from app.office.procedures.draft.groups import GROUPS, NEW

router = APIRouter()


@router.get("/{name}/edit/{step}")
def step_page(request: Request, person: Asker, name: str, step: str) -> Response:
    """Show a step: its parts with the ways to change them, and the crew's page beside it."""
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        desk.place(step, "procedure" if step == WHOLE_STEP else "steps", step)
        return _step_response(desk, step)


def _step_response(desk: Desk, step: str, error: str = "") -> Response:
    say = desk.say
    place = DraftPlace(desk.written, step, "steps", step)
    part = place.step_written
    kinds = [
        {
            "title": say(KIND_TITLES[what]),
            "parts": [_part_row(desk, step, what, one) for one in part.get(what, [])],
            "add": form_path(desk, step, what, "new", "new") if what in NEW else "",
            "add_text": say(NEW[what].title) if what in NEW else "",
        }
        for what in work.KINDS
        if (what in OF_WHOLE) == (step == WHOLE_STEP)
    ]
    context = {
        "heading": desk.step_title(step),
        "error": error,
        "own": _group_links(desk, step, "procedure" if step == WHOLE_STEP else "steps", step),
        "kinds": [one for one in kinds if one["parts"] or one["add"]],
        "back": with_door(desk.path, desk.door),
        "beside": crew_beside(desk, desk.text, f"step/{step_key(desk, desk.text, step)}"),
    }
    status = 422 if error else 200
    return office_page(desk.request, "office/draft_step.html", Msg("A step"), context, status)


KIND_TITLES = {
    "tasks": Msg("Tasks"),
    "decisions": Msg("To be decided"),
    "points": Msg("Readings"),
    "checks": Msg("Checks"),
    "clocks": Msg("Clocks"),
    "adjustments": Msg("Something was moved afterwards?"),
    "nights": Msg("After a night"),
}


def _part_row(desk: Desk, step: str, what: str, part: Json) -> Json:
    return {
        "title": work.title_of_part(part),
        "links": _group_links(desk, step, what, part["id"]),
        "form": form_of(desk.step_path(step), what=what, id=part["id"], door=desk.door),
    }


def _group_links(desk: Desk, step: str, what: str, id_: str) -> list[Json]:
    return [
        common.page_link(form_path(desk, step, what, id_, group), desk.say(one.title))
        for group, one in GROUPS[what].items()
    ]


def form_path(desk: Desk, step: str, what: str, id_: str, group: str) -> str:
    return with_door(f"{desk.step_path(step)}/{what}/{id_}/{group}", desk.door)


@router.post("/{name}/edit/{step}")
def change_parts(
    request: Request, person: Asker, name: str, step: str, form: FormFields
) -> Response:
    """Move a part of a step, or take it away."""
    return keep_worked_out(
        request, person, name, form, lambda desk: _with_changed_parts(desk, step, form)
    )


def _with_changed_parts(desk: Desk, step: str, form: dict[str, str]) -> WorkedOut:
    act = form.get("act", "")
    place = desk.place(step, form.get("what", ""), form.get("id", ""))
    if place.what in ("steps", "procedure") or act not in (*MOVES, "take"):
        return _step_response(desk, step, desk.say(Msg("Choose one.")))

    def change() -> str:
        if act == "take":
            return work.text_without_part(desk.text, place)
        return work.text_with_part_moved(desk.text, place, MOVES[act])

    try:
        text = work.tried_text(change, place, ())
    except work.RefusedChangeError as error:
        return _step_response(desk, step, hanging_words(desk, error))
    return text, with_door(desk.step_path(step), desk.door)
