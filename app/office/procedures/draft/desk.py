"""What every page of a draft begins with: the draft as a request sees it; how a change is kept.

There is one draft a procedure; everybody at the office changes the same one.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Annotated

from fastapi import Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.kept_form import typed_fields
from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.office.pages import office_page
from app.office.procedures import crew
from app.office.procedures.draft import seen, work
from app.office.procedures.draft.fields import WHOLE_STEP, DraftPlace
from app.office.procedures.draft.groups import GROUPS
from app.store import procedures
from app.store.people import names_by_id
from app.store.procedure_tables import ProcedureDraft
from app.store.tables import Person

Asker = Annotated[Person, Depends(need_supervisor)]
MOVES = {"up": -1, "down": 1}
OF_WHOLE = ("procedure", "nights")  # kinds of parts that stand in no step


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
        fits = what in GROUPS and (what in OF_WHOLE) == (step == WHOLE_STEP)
        if not fits or not place.step_written or (id_ != "new" and not place.part):
            raise MissingError("draft-part-unknown", Msg("That is not in the draft."))
        return place

    def step_title(self, step: str) -> str:
        """Return what a step is called, "" where there is none."""
        if step == WHOLE_STEP:
            return self.say(Msg("The whole procedure"))
        part = DraftPlace(self.written, step, "steps", step).step_written
        return f"{step} {part.get('title', '')}" if part else ""

    def changed_by(self) -> str:
        """Return who changed the draft last, and when, in words."""
        name = names_by_id(self.session).get(self.row.person, self.row.person)
        at = datetime.fromtimestamp(self.row.at)
        told = {"who": name, "day": When(at.date().isoformat()), "time": f"{at:%H:%M}"}
        return self.say(Msg("{who} changed it last, {day}, {time}", **told))


def with_door(path: str, door: str) -> str:
    """Return an address that keeps the door which the crew's page is shown on."""
    return f"{path}?door={door}" if door else path


WorkedOut = Response | tuple[str, str]  # a page, or the changed text and where to go then


def keep_worked_out(
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
                return gone_response(request, name, form, work.NoDraftError().message)
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


def gone_response(request: Request, name: str, form: dict[str, str], why: Msg) -> Response:
    """Tell that what a form was for is not there any more, with all that was typed in it."""
    say = speaker_of(request).say
    own = {key: value for key, value in form.items() if key not in ("was", "shape", "door")}
    context = {
        "why": say(why),
        "typed": typed_fields(own),
        "back": f"/office/procedures/{name}/edit",
    }
    return office_page(request, "office/draft_gone.html", Msg("No longer there"), context, 404)


def hanging_words(desk: Desk, error: work.RefusedChangeError) -> str:
    """Return in words what hangs on something that was to go or to move."""
    words = " ".join(f"{one}." for one in error.elsewhere[:5])
    return desk.say(Msg("That cannot be: something hangs on it. {words}", words=words))


def step_key(desk: Desk, text: str, step: str) -> str:
    """Return the key of a step on the shown door, as a path has it; that of its first panel.

    Of the whole procedure that of its first step.
    """
    compiled = work.compiled_draft(text)
    drawing = seen.drawing_chosen(desk.session, compiled, desk.door, desk.known)
    keys = [
        one.key for one in crew.state_of(compiled, drawing).steps if step in (one.id, WHOLE_STEP)
    ]
    return keys[0].replace(":", "-") if keys else step


def crew_beside(desk: Desk, text: str, path: str) -> Json:
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
