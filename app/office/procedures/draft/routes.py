"""/office/procedures/NAME/edit: a procedure is changed in the browser, one small form at a time.

There is one draft a procedure; everybody at the office changes the same one. What somebody else
changed meanwhile is told, and what was typed stays in the form.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from app.access.forms import read_form
from app.access.kept_form import typed_fields
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg, When
from app.office.pages import form_field, form_of, office_page, summary_of
from app.office.procedures import crew
from app.office.procedures.draft import seen, work
from app.office.procedures.draft.fields import (
    GROUPS,
    NEW,
    NEW_STEP,
    DraftField,
    DraftGroup,
    DraftPlace,
    Errors,
)
from app.office.procedures.forcing import ForceSheet, is_put_twice
from app.procedures import draft_text
from app.store import procedures
from app.store.people import names_by_id
from app.store.procedure_tables import ProcedureDraft
from app.store.tables import Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]


class Desk:
    """A draft, as one person's request sees it."""

    def __init__(self, request: Request, session: Session, person: Person, name: str) -> None:
        self.request, self.session, self.person, self.name = request, session, person, name
        self.row = work.draft_of(session, name)
        self.known = procedures.all_of(session, request.app.state.office.procedures)
        self.text = self.row.text
        self.written = work.written_draft(self.text)
        self.path = f"/office/procedures/{name}/edit"
        self.say = speaker_of(request).say
        self.door = request.query_params.get("door", "")[:80]

    def step_path(self, step: str) -> str:
        """Return the address of a step's page."""
        return f"{self.path}/{step}"

    def place(self, step: str, what: str, id_: str) -> DraftPlace:
        """Return where a form stands; MissingError 'draft-part-unknown' where nothing is there."""
        place = DraftPlace(self.written, step, what, id_)
        if what not in GROUPS or not place.step_written or (id_ != "new" and not place.part):
            raise MissingError("draft-part-unknown", Msg("That is not in the draft."))
        return place

    def changed_by(self) -> str:
        """Return who changed the draft last, and when, in words."""
        name = names_by_id(self.session).get(self.row.person, self.row.person)
        at = datetime.fromtimestamp(self.row.at)
        told = {"who": name, "day": When(at.date().isoformat()), "time": f"{at:%H:%M}"}
        return self.say(Msg("{who} changed it last, {day}, {time}", **told))


def _with_door(path: str, door: str) -> str:
    return f"{path}?door={door}" if door else path


WorkedOut = Response | tuple[str, str]  # a page, or the changed text and where to go then


def _keep_worked_out(
    request: Request,
    person: Person,
    name: str,
    form: dict[str, str],
    work_out: Callable[[Desk], WorkedOut],
) -> Response:
    """Work a change out while others may write; keep it if the draft is the same, else begin anew.

    Compiling a draft takes half a second, for which the one writer must not wait.
    """
    server = server_of(request)
    while True:
        with server.database.read() as session:
            if session.get(ProcedureDraft, name) is None:
                return _gone_response(request, name, form, work.NoDraftError().message)
            desk = Desk(request, session, person, name)
            desk.door = form.get("door", "")[:80]
            answer = work_out(desk)
            before = desk.text
        if isinstance(answer, Response):
            return answer
        with server.database.write() as session:
            row = session.get(ProcedureDraft, name)
            if row is not None and row.text == before:
                row.text, row.person, row.at = answer[0], person.id, int(server.clock())
                session.add(row)
                return RedirectResponse(answer[1], 303)


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
    context = {
        "heading": say(Msg(known[f"{name}@{versions[-1]}"]["title"])),
        "form": form_of(f"/office/procedures/{name}/edit", act="begin"),
        "fields": [field],
        "errors": summary_of([field]),
        "back": f"/office/procedures/{name}@{chosen}",
    }
    status = 422 if error else 200
    title = Msg("Change a procedure")
    return office_page(request, "office/draft_begin.html", title, context, status)


def _draft_response(desk: Desk, error: str = "") -> Response:
    say = desk.say
    rows = [
        {
            "title": f"{step['id']} {step.get('title', '')}",
            "href": _with_door(desk.step_path(step["id"]), desk.door),
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
async def change_draft(request: Request, person: Asker, name: str) -> Response:
    """Begin or drop a draft; move a step, or take it away."""
    form = await read_form(request)
    return await run_in_threadpool(_change_draft_from, request, person, name, form)


def _change_draft_from(
    request: Request, person: Person, name: str, form: dict[str, str]
) -> Response:
    act = form.get("act", "")
    path = f"/office/procedures/{name}/edit"
    if act not in ("begin", "drop"):
        step = form.get("step", "")
        return _keep_worked_out(
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
        return say(Msg("The file of this version is not here. Take it in once more, then begin."))
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


MOVES = {"up": -1, "down": 1}


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
        return _draft_response(desk, _hanging_words(desk, error))


def _hanging_words(desk: Desk, error: work.RefusedChangeError) -> str:
    """Return in words what hangs on something that was to go or to move."""
    words = " ".join(f"{one}." for one in error.elsewhere[:5])
    return desk.say(Msg("That cannot be: something hangs on it. {words}", words=words))


@router.get("/{name}/edit/file")
def draft_file(request: Request, person: Asker, name: str) -> Response:
    """Give the draft as its YAML file."""
    with server_of(request).database.read() as session:
        text = Desk(request, session, person, name).text
    told = {"Content-Disposition": f'attachment; filename="{name}-draft.yaml"'}
    return Response(text, media_type="text/yaml; charset=utf-8", headers=told)


def _draft_sheet(desk: Desk) -> tuple[ForceSheet, str]:
    """Return what putting the draft in force would change, and its file with the next version."""
    versions = [one["version"] for one in desk.known.values() if one["id"] == desk.name]

    def set_version(data: Json) -> None:
        data["version"] = str(max(versions) + 1)

    text = draft_text.change_rest(desk.text, set_version)
    compiled = work.compiled_draft(text)
    action = f"{desk.path}/force"
    return ForceSheet(desk.request, desk.session, desk.person, compiled, action, desk.path), text


@router.get("/{name}/edit/force")
def draft_force_page(request: Request, person: Asker, name: str) -> Response:
    """Show in words what the draft would change for new openings."""
    with server_of(request).database.read() as session:
        sheet, _ = _draft_sheet(Desk(request, session, person, name))
    return sheet.page({})


@router.post("/{name}/edit/force")
async def put_draft_in_force(request: Request, person: Asker, name: str) -> Response:
    """Keep the draft as the next version, and have new openings issued with it."""
    form = await read_form(request)
    return await run_in_threadpool(_put_draft_in_force_from, request, person, name, form)


def _put_draft_in_force_from(
    request: Request, person: Person, name: str, form: dict[str, str]
) -> Response:
    server = server_of(request)
    with server.database.write() as session:
        before = is_put_twice(session, person, form)
        if before is not None:
            return RedirectResponse(f"/office/procedures/{name}@{before.version}", 303)
        if session.get(ProcedureDraft, name) is None:
            return _gone_response(request, name, form, work.NoDraftError().message)
        desk = Desk(request, session, person, name)
        sheet, text = _draft_sheet(desk)
        refused = sheet.refused(session, form)
        if refused is not None:
            return refused
        procedures.take_in(session, sheet.new, desk.known, text)
        sheet.put_in_force(session, form, int(server.clock()))
        session.delete(desk.row)
    return RedirectResponse(f"/office/procedures/{procedures.key_of(sheet.new)}", 303)


def _gone_response(request: Request, name: str, form: dict[str, str], why: Msg) -> Response:
    """Tell that what a form was for is not there any more, with all that was typed in it."""
    say = speaker_of(request).say
    own = {key: value for key, value in form.items() if key not in ("was", "shape", "door")}
    context = {
        "why": say(why),
        "typed": typed_fields(own),
        "back": f"/office/procedures/{name}/edit",
    }
    return office_page(request, "office/draft_gone.html", Msg("No longer there"), context, 404)


@router.get("/{name}/edit/new")
def new_step_page(request: Request, person: Asker, name: str) -> Response:
    """Show the form of a new step."""
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        return DraftForm(desk, DraftPlace(desk.written, "", "steps", "new"), "new", NEW_STEP).page(
            {}
        )


@router.post("/{name}/edit/new")
async def add_step(request: Request, person: Asker, name: str) -> Response:
    """Add a step at the end."""
    form = await read_form(request)
    return await run_in_threadpool(_add_step_from, request, person, name, form)


def _add_step_from(request: Request, person: Person, name: str, form: dict[str, str]) -> Response:
    return _keep_worked_out(request, person, name, form, lambda desk: _with_new_step(desk, form))


def _with_new_step(desk: Desk, form: dict[str, str]) -> WorkedOut:
    place = DraftPlace(desk.written, form.get("id", "").strip(), "steps", "new")
    sheet = DraftForm(desk, place, "new", NEW_STEP)
    errors: Errors = {}
    puts = {path[0]: str(value) for path, value in NEW_STEP.put(place, form, errors)}
    ids = [one["id"] for one in desk.written["steps"]]
    if puts["id"] in ids:
        errors["id"] = Msg("There is a step with this letter.")
    if errors:
        return sheet.page(form, dict(errors))
    try:
        text = work.tried_text(
            lambda: draft_text.add_step(desk.text, puts["id"], puts["title"], ids[-1]),
            place,
            sheet.fields(form),
        )
    except work.RefusedChangeError as error:
        return sheet.page(form, error.errors, error.elsewhere)
    return text, desk.step_path(puts["id"])


@router.get("/{name}/edit/{step}")
def step_page(request: Request, person: Asker, name: str, step: str) -> Response:
    """Show a step: its parts with the ways to change them, and the crew's page beside it."""
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        desk.place(step, "steps", step)
        return _step_response(desk, step)


def _step_response(desk: Desk, step: str, error: str = "") -> Response:
    say = desk.say
    place = DraftPlace(desk.written, step, "steps", step)
    part = place.step_written
    kinds = [
        {
            "title": say(KIND_TITLES[what]),
            "parts": [_part_row(desk, step, what, one) for one in part.get(what, [])],
            "add": _form_path(desk, step, what, "new", "new") if what in NEW else "",
            "add_text": say(NEW[what].title) if what in NEW else "",
        }
        for what in work.KINDS
    ]
    context = {
        "heading": f"{step} {part.get('title', '')}",
        "error": error,
        "own": _group_links(desk, step, "steps", step),
        "kinds": [one for one in kinds if one["parts"] or one["add"]],
        "back": _with_door(desk.path, desk.door),
        "beside": _beside(desk, desk.text, f"step/{_step_key(desk, desk.text, step)}"),
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
}


def _part_row(desk: Desk, step: str, what: str, part: Json) -> Json:
    return {
        "title": work.title_of_part(part),
        "links": _group_links(desk, step, what, part["id"]),
        "form": form_of(desk.step_path(step), what=what, id=part["id"], door=desk.door),
    }


def _group_links(desk: Desk, step: str, what: str, id_: str) -> list[Json]:
    return [
        common.page_link(_form_path(desk, step, what, id_, group), desk.say(one.title))
        for group, one in GROUPS[what].items()
    ]


def _form_path(desk: Desk, step: str, what: str, id_: str, group: str) -> str:
    return _with_door(f"{desk.step_path(step)}/{what}/{id_}/{group}", desk.door)


def _step_key(desk: Desk, text: str, step: str) -> str:
    """Return the key of a step on the shown door, as a path has it; that of its first panel."""
    compiled = work.compiled_draft(text)
    drawing = seen.drawing_chosen(desk.session, compiled, desk.door, desk.known)
    keys = [one.key for one in crew.state_of(compiled, drawing).steps if one.id == step]
    return keys[0].replace(":", "-") if keys else step


def _beside(desk: Desk, text: str, path: str) -> Json:
    """Return the crew's page of a text, with the doors to choose from."""
    compiled = work.compiled_draft(text)
    drawing = seen.drawing_chosen(desk.session, compiled, desk.door, desk.known)
    speaker = speaker_of(desk.request)
    return {
        "page": seen.crew_page(desk.request, compiled, drawing, path),
        "doors": seen.door_choices(desk.session, compiled, speaker, desk.door),
        "problems": [],
        "fields": [],
    }


@router.post("/{name}/edit/{step}")
async def change_parts(request: Request, person: Asker, name: str, step: str) -> Response:
    """Move a part of a step, or take it away."""
    form = await read_form(request)
    return await run_in_threadpool(_change_parts_from, request, person, name, step, form)


def _change_parts_from(
    request: Request, person: Person, name: str, step: str, form: dict[str, str]
) -> Response:
    return _keep_worked_out(
        request, person, name, form, lambda desk: _with_changed_parts(desk, step, form)
    )


def _with_changed_parts(desk: Desk, step: str, form: dict[str, str]) -> WorkedOut:
    act = form.get("act", "")
    place = desk.place(step, form.get("what", ""), form.get("id", ""))
    if place.what == "steps" or act not in (*MOVES, "take"):
        return _step_response(desk, step, desk.say(Msg("Choose one.")))

    def change() -> str:
        if act == "take":
            return work.text_without_part(desk.text, place)
        return work.text_with_part_moved(desk.text, place, MOVES[act])

    try:
        text = work.tried_text(change, place, ())
    except work.RefusedChangeError as error:
        return _step_response(desk, step, _hanging_words(desk, error))
    return text, _with_door(desk.step_path(step), desk.door)


@dataclass(frozen=True)
class DraftForm:
    """One small form of a draft: a group of a part, or a new part."""

    desk: Desk
    place: DraftPlace
    group: str
    shown: DraftGroup

    @property
    def is_new(self) -> bool:
        """Return whether the form adds a part."""
        return self.place.id == "new"

    @property
    def path(self) -> str:
        """Return the address of the form."""
        if self.place.what == "steps" and self.is_new:
            return f"{self.desk.path}/new"
        place = self.place
        return f"{self.desk.step_path(place.step)}/{place.what}/{place.id}/{self.group}"

    def fields(self, typed: dict[str, str]) -> list[DraftField]:
        """Return the fields for what was typed so far."""
        return self.shown.listed(self.place, typed)

    def stands(self) -> dict[str, str]:
        """Return what stands in the draft, as it would be typed."""
        return {} if self.is_new else self.shown.read(self.place)

    def page(
        self,
        typed: dict[str, str],
        errors: dict[str, Msg | str] | None = None,
        elsewhere: Sequence[str] = (),
        error: Msg | None = None,
    ) -> HTMLResponse:
        """Return the form's page. typed: {} shows what stands in the draft."""
        say = self.desk.say
        values = typed or self.stands()
        listed = self.fields(values)
        wrong = {
            name: one if isinstance(one, str) else say(one) for name, one in (errors or {}).items()
        }
        fields = [self._shown(one, values, wrong.get(one.name, "")) for one in listed]
        shape = ",".join(one.name for one in listed)
        form = form_of(
            self.path,
            say(error) if error else " ".join(elsewhere),
            was=work.stamp_of(self.stands()),
            shape=shape,
            door=self.desk.door,
        )
        title = "" if self.is_new else work.title_of_part(self.place.part)
        has_step = bool(self.place.step_written)
        context = {
            "form": form,
            "fields": fields,
            "errors": summary_of(fields),
            "part": title,
            "step": f"{self.place.step} {self.place.step_written.get('title', '')}"
            if has_step
            else "",
            "back": _with_door(
                self.desk.step_path(self.place.step) if has_step else self.desk.path, self.desk.door
            ),
            "try_at": f"{self.path}/try" if has_step else "",
            "beside": _beside(self.desk, self.desk.text, self.seen_at(self.desk.text))
            if has_step
            else None,
        }
        status = 422 if fields and (context["errors"] or form["error"]) else 200
        return office_page(
            self.desk.request, "office/draft_form.html", self.shown.title, context, status
        )

    def _shown(self, one: DraftField, values: dict[str, str], error: str) -> Json:
        say = self.desk.say
        value = values.get(one.name, "")
        kind = {"lines": "area", "paragraphs": "area"}.get(one.kind, one.kind)
        label = say(one.label)
        choices = [
            common.form_choice(name, words if isinstance(words, str) else say(words), name == value)
            for name, words in one.choices
        ]
        if value and one.kind == "select" and value not in [name for name, _ in one.choices]:
            choices.append(common.form_choice(value, value, True))
        hint = say(one.hint) if one.hint else ""
        return form_field(
            one.name, label, value, kind=kind, hint=hint, error=error, choices=choices
        )

    def seen_at(self, text: str) -> str:
        """Return the path of the crew's page that shows this part."""
        place = self.place
        compiled = work.compiled_draft(text)
        points = [p["id"] for step in compiled["steps"] for p in step["points"]]
        key = _step_key(self.desk, text, place.step)
        looked = list(place.part.get("points", {}).values()) if place.what == "checks" else []
        point = next((id for id in [place.id, *looked] if id in points), "")
        if place.what in ("points", "checks") and point and "-" not in key:
            return f"point/{point}"
        return f"next/{key}" if self.group == "cautions" else f"step/{key}"

    def changed(self, form: dict[str, str]) -> tuple[str, str]:
        """Return the draft's text with what was typed, and the id of the part.

        Errors: RefusedChangeError, with all that is wrong.
        """
        errors: Errors = {}
        puts = self.shown.put(self.place, form, errors)
        if errors:
            raise work.RefusedChangeError(dict(errors), [])
        place, text = self.place, self.desk.text
        fields = self.fields(form)
        if not self.is_new:
            change = lambda: work.changed_text(text, place, puts)  # noqa: E731
            return work.tried_text(change, place, fields), place.id
        told = {path[0]: value for path, value in puts}
        title = str(told.get("title") or told.get("text") or "")
        new = DraftPlace(
            place.written, place.step, place.what, work.fresh_id(place.written, place.step, title)
        )
        change = lambda: work.text_with_part(text, new, puts)  # noqa: E731
        return work.tried_text(change, new, fields), new.id


def _draft_form(desk: Desk, step: str, what: str, id_: str, group: str) -> DraftForm:
    """Return a form of a draft; raises MissingError where there is none."""
    place = desk.place(step, what, id_)
    shown = NEW.get(what) if id_ == "new" else GROUPS[what].get(group)
    if shown is None:
        raise MissingError("draft-part-unknown", Msg("That is not in the draft."))
    return DraftForm(desk, place, group, shown)


@router.get("/{name}/edit/{step}/{what}/{id}/{group}")
def part_page(
    request: Request, person: Asker, name: str, step: str, what: str, id: str, group: str
) -> Response:
    """Show a small form."""
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        return _draft_form(desk, step, what, id, group).page({})


@router.post("/{name}/edit/{step}/{what}/{id}/{group}")
async def change_part(
    request: Request, person: Asker, name: str, step: str, what: str, id: str, group: str
) -> Response:
    """Keep a small form in the draft."""
    form = await read_form(request)
    part = step, what, id, group
    return await run_in_threadpool(_change_part_from, request, person, name, part, form)


def _change_part_from(
    request: Request,
    person: Person,
    name: str,
    part: tuple[str, str, str, str],
    form: dict[str, str],
) -> Response:
    return _keep_worked_out(
        request, person, name, form, lambda desk: _with_changed_part(desk, part, form)
    )


def _with_changed_part(
    desk: Desk, part: tuple[str, str, str, str], form: dict[str, str]
) -> WorkedOut:
    try:
        sheet = _draft_form(desk, *part)
    except MissingError as error:
        return _gone_response(desk.request, desk.name, form, error.message)
    told = _told_meanwhile(sheet, form)
    if told is not None:
        return sheet.page(form, error=told)
    shape = ",".join(one.name for one in sheet.fields(form))
    if form.get("shape") != shape:
        return sheet.page(form, error=Msg("Fill in what this needs more, and send it again."))
    try:
        text, _ = sheet.changed(form)
    except work.RefusedChangeError as error:
        return sheet.page(form, error.errors, error.elsewhere)
    return text, _with_door(desk.step_path(part[0]), desk.door)


def _told_meanwhile(sheet: DraftForm, form: dict[str, str]) -> Msg | None:
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


@router.post("/{name}/edit/{step}/{what}/{id}/{group}/try")
async def try_part(
    request: Request, person: Asker, name: str, step: str, what: str, id: str, group: str
) -> Response:
    """Answer with what is wrong in a small form, and the crew's page as it would be: a piece."""
    form = await read_form(request)
    part = step, what, id, group
    return await run_in_threadpool(_try_part_from, request, person, name, part, form)


def _try_part_from(
    request: Request,
    person: Person,
    name: str,
    part: tuple[str, str, str, str],
    form: dict[str, str],
) -> Response:
    with server_of(request).database.read() as session:
        desk = Desk(request, session, person, name)
        desk.door = form.get("door", "")[:80]
        sheet = _draft_form(desk, *part)
        text, errors, elsewhere = desk.text, {}, []
        try:
            text, id_ = sheet.changed(form)
            sheet = DraftForm(
                desk, DraftPlace(desk.written, part[0], part[1], id_), part[3], sheet.shown
            )
        except work.RefusedChangeError as error:
            errors, elsewhere = error.errors, error.elsewhere
        beside = _beside(desk, text, sheet.seen_at(text))
        listed = sheet.fields(form)
    say = desk.say
    told = {name: one if isinstance(one, str) else say(one) for name, one in errors.items()}
    beside["problems"] = elsewhere
    beside["fields"] = [form_field(one.name, "", error=told.get(one.name, "")) for one in listed]
    title = Msg("As the crew will see it")
    return office_page(request, "office/draft_beside.html", title, {"beside": beside})
