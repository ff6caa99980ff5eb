"""/office/plan/ID: when an opening is worked at, by which crew, and what was promised."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import is_day
from app.field.server import local_now
from app.office.issue import work
from app.office.pages import Form, form_field, form_of, show_form
from app.office.plan import crews
from app.store.summary_tables import CLOSED, Summary
from app.store.tables import Crew, Person

router = APIRouter(prefix="/office/plan")
Asker = Annotated[Person, Depends(need_supervisor)]
_DAY = Msg("Give a day as 2026-03-02.")
_DAYS = (
    ("first_day", Msg("First day")),
    ("last_day", Msg("Last day")),
    ("promised", Msg("Promised to be done by")),
)


@router.get("/{opening}")
def plan_page(request: Request, _: Asker, opening: str, crew: str = "", day: str = "") -> Response:
    """Show what is planned of an opening, to be changed; crew, day: where it is moved to."""
    with server_of(request).database.read() as session:
        row = _summary_of(session, opening)
        typed = {"crew": row.crew, **{name: getattr(row, name) for name, _ in _DAYS}}
        if is_day(day):
            typed.update(moved_days(typed, day))
        if crew:
            typed["crew"] = crew
        return _plan_response(request, session, row, typed, {})


def moved_days(typed: dict[str, str], day: str) -> dict[str, str]:
    """Return the first and last day of a plan that is moved to begin on a day, as long as before.

    Example: moved_days({"first_day": "2026-03-02", "last_day": "2026-03-03"}, "2026-03-05")
             -> {"first_day": "2026-03-05", "last_day": "2026-03-06"}
    """
    long = 0
    if typed["first_day"] and typed["last_day"]:
        long = (date.fromisoformat(typed["last_day"]) - date.fromisoformat(typed["first_day"])).days
    first = date.fromisoformat(day)
    last = date.fromordinal(first.toordinal() + max(long, 0))
    return {"first_day": first.isoformat(), "last_day": last.isoformat()}


def _summary_of(session: Session, opening: str) -> Summary:
    found = session.get(Summary, opening)
    if found is None:
        raise MissingError("opening-unknown", Msg("There is no such opening."))
    if found.practice:
        words = Msg(
            "An opening to practice on stands in no plan: give it to people on its job's page."
        )
        raise RefusedError("practice-planned", words)
    if found.state in CLOSED:
        words = Msg("This opening is closed: reopen it first.")
        raise RefusedError("closed-planned", words)
    return found


def _plan_response(
    request: Request, session: Session, row: Summary, typed: dict[str, str], errors: dict[str, Msg]
) -> Response:
    say = speaker_of(request).say
    said = {name: say(words) for name, words in errors.items()}
    known = crews.crews_in_use(session)
    ended = session.get(Crew, row.crew)
    if ended is not None and ended.ended:
        known = [*known, ended]  # who keeps the plan is told, not left without a crew
    choices = crews.crew_choices(known, typed["crew"])
    fields = [
        form_field("crew", say(Msg("Crew")), kind="select", choices=choices,
                   error=said.get("crew", "")),
        *(form_field(name, say(label), typed[name], kind="date", error=said.get(name, ""))
          for name, label in _DAYS),
    ]  # fmt: skip
    title = Msg("Plan {letter} {room}, {job}", letter=row.letter, room=row.room, job=row.title)
    about = Msg("The people who are on the crew on the first day find it on their phones.")
    form = Form(title, Msg("Keep the plan"), about)
    return show_form(request, form, form_of(f"/office/plan/{row.opening}"), fields)


@router.post("/{opening}")
def keep_plan(request: Request, asker: Asker, opening: str, form: FormFields) -> Response:
    """Keep the plan of an opening."""
    typed = {name: form.get(name, "").strip() for name in ("crew", *(n for n, _ in _DAYS))}
    if is_day(typed["first_day"]):
        typed["last_day"] = typed["last_day"] or typed["first_day"]
    with server_of(request).database.write() as session:
        row = _summary_of(session, opening)
        typed.update(_last_day_moved(row, typed))
        known = {crew.id: crew.name for crew in crews.crews_in_use(session)}
        errors = _plan_errors(typed, known)
        if errors:
            return _plan_response(request, session, row, typed, errors)
        plan_opening(session, row, typed, known, work.Hand(asker.id, local_now()))
    week = f"?day={typed['first_day']}" if typed["first_day"] else ""
    return RedirectResponse(f"/office/today{week}#o-{opening}", 303)


def _last_day_moved(row: Summary, typed: dict[str, str]) -> dict[str, str]:
    """Return the days of a plan whose first day alone was changed, to one after its last."""
    first = typed["first_day"]
    as_before = row.first_day and typed["last_day"] == row.last_day
    if not as_before or not is_day(first) or first <= row.last_day:
        return {}
    return moved_days({"first_day": row.first_day, "last_day": row.last_day}, first)


def _plan_errors(typed: dict[str, str], known: dict[str, str]) -> dict[str, Msg]:
    errors = {name: _DAY for name, _ in _DAYS if typed[name] and not is_day(typed[name])}
    if typed["last_day"] and not typed["first_day"]:
        errors["first_day"] = Msg("Give the first day too.")
    elif not errors and typed["last_day"] < typed["first_day"]:
        errors["last_day"] = Msg("The last day comes before the first.")
    if typed["crew"] and typed["crew"] not in known:
        errors["crew"] = Msg("Choose a crew that goes out.")
    return errors


def plan_opening(
    session: Session,
    row: Summary,
    typed: dict[str, str],
    known: dict[str, str],
    hand: work.Hand,
) -> None:
    """Write a plan that says something new into the log, and put the crew on the opening."""
    if all(getattr(row, name) == typed[name] for name in typed):
        return
    body: Json = {"crew": typed["crew"], "crew_name": known.get(typed["crew"], "")}
    for name, field in (("first_day", "start"), ("last_day", "end"), ("promised", "promised")):
        if typed[name]:
            body[field] = typed[name]
    work.add_office_event(session, row.opening, "opening.planned", body, hand)
    if typed["crew"]:
        crews.give_opening(session, row.opening, typed["crew"], typed["first_day"] or hand.at[:10])
