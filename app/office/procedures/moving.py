"""/office/procedures/KEY/openings: open openings that go over to another version, one by one.

Before one is moved the page says which sign-offs that would break: it folds the opening with the
move and looks.
"""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import AppError, InputError, MissingError
from app.core.kinds import Json
from app.core.pages.request import seen_from, seen_text
from app.core.quantity.messages import Msg
from app.core.record.state import State
from app.field.server import local_now
from app.office.issue import work
from app.office.issue.jobs import is_id
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.office.procedures.plan import why_not_movable
from app.office.review import STATES
from app.store import log, procedures
from app.store.ids import uuid7
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50
MOST_WHY = 1000


def procedure_version(request: Request, session: Session, key: str) -> tuple[Json, dict[str, Json]]:
    """Return a version by id@version, and all of them; raises MissingError 'procedure-unknown'."""
    known = procedures.all_of(session, request.app.state.office.procedures)
    if key not in known:
        raise MissingError("procedure-unknown", Msg("There is no such procedure."))
    return known[key], known


@router.get("/{key}/openings")
def list_movable(
    request: Request, _: Asker, key: str, after: str = "", moved: str = ""
) -> Response:
    """List the open openings that stand under another version of this procedure."""
    with server_of(request).database.read() as session:
        compiled, known = procedure_version(request, session, key)
        others = [k for k, v in known.items() if v["id"] == compiled["id"] and k != key]
        rows = _movable_rows(session, others, after[:200])
    shown = rows[:PAGE]
    last = shown[-1] if shown else None
    context = {
        "heading": title_of(request, compiled),
        "back": f"/office/procedures/{key}",
        "rows": [row_of(request, one, key) for one in shown],
        "here": f"/office/procedures/{key}/openings",
        "many": f"/office/procedures/{key}/move",
        "moved": _moved_words(request, moved),
        "next": f"{last.procedure}~{last.opening}" if last and len(rows) > PAGE else "",
    }
    return office_page(request, "office/procedure_openings.html", Msg("Openings to move"), context)


def _moved_words(request: Request, count: str) -> str:
    """Return what to say where many were just moved."""
    fits = count.isascii() and count.isdigit() and len(count) < 5
    words = Msg("Openings that were moved: {count}.", count=count)
    return speaker_of(request).say(words) if fits else ""


def _movable_rows(session: Session, keys: list[str], after: str) -> list[Summary]:
    wanted = select(Summary).where(
        col(Summary.procedure).in_(keys),
        col(Summary.state).not_in(SETTLED),
        col(Summary.practice).is_(False),
    )
    under, mark, opening = after.partition("~")
    if mark:
        later = (col(Summary.procedure) == under) & (col(Summary.opening) > opening)
        wanted = wanted.where((col(Summary.procedure) > under) | later)
    order = (col(Summary.procedure), col(Summary.opening))
    return list(session.exec(wanted.order_by(*order).limit(PAGE + 1)))


def title_of(request: Request, compiled: Json) -> str:
    """Return a version's title, with its number."""
    title = Msg(compiled["title"])
    return speaker_of(request).say(Msg("{title}, version {n}", title=title, n=compiled["version"]))


def row_of(request: Request, one: Summary, key: str) -> Json:
    """Return an opening as a line that leads to its own move."""
    state = "broken" if one.state == "unread" else one.state
    return {
        "href": f"/office/procedures/{key}/openings/{one.opening}",
        "name": f"{one.letter} {one.room} · {one.title}",
        "under": one.procedure,
        "state": state,
        "state_text": speaker_of(request).say(STATES[state]),
    }


def why_in(form: dict[str, str]) -> tuple[str, Msg | None]:
    """Return why somebody moves openings, and what is wrong with it."""
    why = form.get("why", "").strip()
    if not why:
        return why, Msg("Say why it is moved: the crew reads it.")
    if len(why) > MOST_WHY:
        return why, Msg("At most {count} characters fit here.", count=MOST_WHY)
    return why, None


class MoveForm:
    """One request for the page that moves an opening."""

    def __init__(self, request: Request, session: Session, key: str, opening: str) -> None:
        self.request = request
        self.speaker = speaker_of(request)
        self.key = key
        self.compiled, self.known = procedure_version(request, session, key)
        self.opening = work.opening_of(session, opening)
        self.events = log.events_of(session, [opening])[opening]
        self.state = State(self.events, self.known)

    @property
    def path(self) -> str:
        """Return where the form posts to."""
        return f"/office/procedures/{self.key}/openings/{self.opening.id}"

    def move(self, form: dict[str, str], event: str) -> work.ProcedureMove:
        """Return what a form asks for; raises InputError with what is wrong with why."""
        why, wrong = why_in(form)
        if wrong is not None:
            raise InputError("why", wrong)
        seen = seen_from(form.get("seen", ""))
        return work.ProcedureMove(event, self.opening.id, self.compiled, why, seen)

    def refused(self) -> Msg | None:
        """Return why the opening cannot be moved there, or None."""
        return why_not_movable(self.state, self.key, self.compiled)

    def page(
        self, form: dict[str, str], error: Msg | None = None, field_error: str = ""
    ) -> Response:
        """Return the page: what breaks, what is lost, and the form."""
        say = self.speaker.say
        refused = self.refused()
        why = form_field("why", say(Msg("Why it is moved")), form.get("why", ""), error=field_error)
        fields = [{**why, "kind": "area"}]
        made = form_of(
            self.path,
            say(error) if error else "",
            id=form.get("id") or uuid7(),
            seen=form.get("seen") or seen_text(self.state.heads),
        )
        send = None if refused else Msg("Move this opening")
        return show_form(
            self.request,
            Form(Msg("Move an opening"), send, template="office/procedure_move.html"),
            made,
            fields,
            heading=title_of(self.request, self.compiled),
            opening=f"{self.opening.letter} {self.opening.room}",
            back=f"/office/procedures/{self.key}/openings",
            review=f"/office/o/{self.opening.id}",
            under=title_of(self.request, self.state.procedure),
            compare=f"/office/procedures/{self.state.procedure_key}/against/{self.key}",
            refused=say(refused) if refused else "",
            breaks=[] if refused else [say(line) for line in self.breaks()],
        )

    def breaks(self) -> list[Msg]:
        """Return the sign-offs that the move would break, as the fold tells."""
        made = work.trial_move(self.events, self.opening.id, self.compiled)
        return [
            Msg("{id} {title}", id=key.partition(":")[0], title=title)
            for key, title in work.broken_sign_offs(self.events, made, self.known)
        ]


@router.get("/{key}/openings/{opening}")
def move_page(request: Request, _: Asker, key: str, opening: str) -> Response:
    """Show what moving an opening to this version would break."""
    with server_of(request).database.read() as session:
        sheet = MoveForm(request, session, key, opening)
    return sheet.page({})


@router.post("/{key}/openings/{opening}")
def move_opening(
    request: Request, person: Asker, key: str, opening: str, form: FormFields
) -> Response:
    """Move an opening by an event of the office."""
    with server_of(request).database.read() as session:
        sheet = MoveForm(request, session, key, opening)
        sent = work.is_kept(session, form.get("id", ""), opening)
    refused = None if sent else sheet.refused()
    if refused is not None or not is_id(form.get("id", "")):
        return sheet.page(form, refused or work.USED)
    try:
        move = sheet.move(form, form["id"])
    except InputError as error:
        return sheet.page(form, None, sheet.speaker.say(error.message))
    try:
        with server_of(request).database.write() as session:
            work.move_procedure(session, move, work.Hand(person.id, local_now()))
    except AppError as error:
        return sheet.page({"why": move.why}, error.message)
    return RedirectResponse(f"/office/o/{opening}", 303)
