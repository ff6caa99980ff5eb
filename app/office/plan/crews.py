"""/office/crews: crews as they go out, each with its people and lead from a day on."""

import logging
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, and_, col, func, or_, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.core.record.events import is_day
from app.office.issue import work
from app.office.issue.jobs import crew_fields, crew_in, is_id
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.store.ids import uuid7
from app.store.people import names_by_id
from app.store.summary_tables import SETTLED, Summary
from app.store.tables import Crew, CrewSetup, Person

router = APIRouter(prefix="/office/crews")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST = 60
NEW = "new"
_BUTTON = Msg("Keep this crew")
_FORM = Form(Msg("Crew"), _BUTTON, template="office/crew.html")
_ENDED = Msg("This crew has ended. Kept again, it can be planned again.")
_ENDED_FORM = Form(Msg("Crew"), _BUTTON, _ENDED, "office/crew.html")
_NEW_FORM = Form(Msg("New crew"), _BUTTON, template="office/crew.html")
_LOG = logging.getLogger("sillbook.access")


def today_of(request: Request) -> str:
    """Return the day that it is at the office."""
    return date.fromtimestamp(server_of(request).clock()).isoformat()


def crews_in_use(session: Session) -> list[Crew]:
    """Return the crews that can be planned, by name."""
    wanted = select(Crew).where(col(Crew.ended).is_(False))
    return list(session.exec(wanted.order_by(col(Crew.name), col(Crew.id))))


def ended_crews(session: Session) -> list[Crew]:
    """Return the crews that were ended, by name."""
    wanted = select(Crew).where(col(Crew.ended).is_(True))
    return list(session.exec(wanted.order_by(col(Crew.name), col(Crew.id))))


def crew_of_id(session: Session, id: str) -> Crew:
    """Return a crew; raises MissingError 'crew-unknown'."""
    found = session.get(Crew, id)
    if found is None:
        raise MissingError("crew-unknown", Msg("There is no such crew."))
    return found


def people_on(session: Session, crew: str, day: str) -> list[str]:
    """Return who is on a crew on a day, the lead first; [] before its first set-up."""
    return on_day(setups_of(session, crew), crew, day)


def setups_of(session: Session, crew: str = "") -> list[CrewSetup]:
    """Return the set-ups of a crew, or of all, the last first."""
    wanted = select(CrewSetup).order_by(col(CrewSetup.first).desc())
    return list(session.exec(wanted.where(CrewSetup.crew == crew) if crew else wanted))


def on_day(setups: list[CrewSetup], crew: str, day: str) -> list[str]:
    """Return who is on a crew on a day by these set-ups, the last first; the lead comes first."""
    for setup in setups:
        if setup.crew == crew and setup.first <= day:
            return setup.people.split()
    return []


def leads_on(session: Session, day: str) -> dict[str, str]:
    """Return who leads each crew on a day, by the crew's id."""
    newest = select(CrewSetup.crew, func.max(CrewSetup.first).label("first"))
    last = newest.where(CrewSetup.first <= day).group_by(col(CrewSetup.crew)).subquery()
    wanted = select(CrewSetup.crew, CrewSetup.people).join(
        last,
        and_(last.c.crew == col(CrewSetup.crew), last.c.first == col(CrewSetup.first)),
    )
    return {crew: people.split()[0] for crew, people in session.exec(wanted) if people}


def who_left(session: Session, people: set[str]) -> set[str]:
    """Return which of these people can be put on no crew any more."""
    wanted = select(Person.id).where(col(Person.id).in_(people))
    gone = or_(Person.role != "installer", col(Person.disabled))
    return set(session.exec(wanted.where(gone)))


@router.get("")
def list_crews(request: Request, _: Asker) -> Response:
    """Show the crews, who is on each today, and the changes that are to come."""
    today = today_of(request)
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        names = names_by_id(session)
        rows = [
            {
                "href": f"/office/crews/{crew.id}",
                "name": crew.name,
                "people": people_words(names, people_on(session, crew.id, today)),
                "later": [
                    say(Msg("From {day}: {people}", day=When(setup.first),
                            people=people_words(names, setup.people.split())))
                    for setup in _setups_after(session, crew.id, today)
                ],
            }
            for crew in crews_in_use(session)
        ]  # fmt: skip
        ended = [{"href": f"/office/crews/{crew.id}", "text": crew.name}
                 for crew in ended_crews(session)]  # fmt: skip
    context = {"crews": rows, "ended": ended}
    return office_page(request, "office/crews.html", Msg("Crews"), context)


def people_words(names: dict[str, str], people: list[str]) -> str:
    """Return the names of a crew, the lead first."""
    return ", ".join(names.get(person, person) for person in people)


def _setups_after(session: Session, crew: str, day: str) -> list[CrewSetup]:
    wanted = select(CrewSetup).where(CrewSetup.crew == crew, CrewSetup.first > day)
    return list(session.exec(wanted.order_by(col(CrewSetup.first))))


@router.get("/{crew}")
def crew_page(request: Request, _: Asker, crew: str) -> Response:
    """Show the form of a crew, or of a new one."""
    today = today_of(request)
    with server_of(request).database.read() as session:
        kept = None if crew == NEW else crew_of_id(session, crew)
        on = people_on(session, crew, today)
        typed = {"name": kept.name if kept else "", "first": today, "lead": on[0] if on else ""}
        return _crew_response(request, session, crew, typed, on, {})


def _crew_response(
    request: Request,
    session: Session,
    crew: str,
    typed: dict[str, str],
    on: list[str],
    errors: dict[str, Msg],
) -> Response:
    say = speaker_of(request).say
    said = {name: say(words) for name, words in errors.items()}
    people = work.installers(session)
    leads = [{"value": one.id, "text": one.name, "chosen": one.id == typed["lead"]}
             for one in people]  # fmt: skip
    fields = [
        form_field("name", say(Msg("Name of the crew")), typed["name"],
                   error=said.get("name", "")),
        form_field("lead", say(Msg("Lead")), kind="select", choices=leads,
                   error=said.get("lead", "")),
        form_field("first", say(Msg("From this day on")), typed["first"], kind="date",
                   error=said.get("first", "")),
    ]  # fmt: skip
    id = typed.get("id") or (uuid7() if crew == NEW else crew)
    kept = session.get(Crew, crew)
    ended = kept is not None and kept.ended
    return show_form(
        request,
        _NEW_FORM if kept is None else (_ENDED_FORM if ended else _FORM),
        form_of(f"/office/crews/{crew}", id=id),
        fields,
        crew=crew_fields(people, on),
        ends=kept is not None and not ended,
        calendar="" if crew == NEW else f"/office/calendars/{crew}",
    )


@router.post("/{crew}")
def keep_crew(request: Request, asker: Asker, crew: str, form: FormFields) -> Response:
    """Keep a crew's name, and who is on it from a day on; or end it."""
    typed = {name: form.get(name, "").strip() for name in ("id", "name", "first", "lead")}
    on = crew_in(form)
    with server_of(request).database.write() as session:
        if crew != NEW:
            crew_of_id(session, crew)
        if form.get("act") == "end" and crew != NEW:
            _end_crew(session, crew)
            _LOG.info("crew %r ended by %r", crew, asker.id)
            return RedirectResponse("/office/crews", 303)
        known = {person.id for person in work.installers(session)}
        errors = _crew_errors(typed, crew, [*on, typed["lead"]], known)
        names = {one.name for one in crews_in_use(session) if one.id not in (crew, typed["id"])}
        if typed["name"] in names:
            errors["name"] = Msg("There is a crew {name} already.", name=typed["name"])
        if errors:
            return _crew_response(request, session, crew, typed, on, errors)
        id = typed["id"] if crew == NEW else crew
        people = [typed["lead"], *(one for one in on if one != typed["lead"])]
        session.merge(Crew(id=id, name=typed["name"]))
        session.flush()
        session.merge(CrewSetup(crew=id, first=typed["first"], people=" ".join(people)))
        session.flush()
        _give_openings(session, id, today_of(request))
        _LOG.info("crew %r is %r from %s, kept by %r", id, people, typed["first"], asker.id)
    return RedirectResponse("/office/crews", 303)


def _crew_errors(
    typed: dict[str, str], crew: str, people: list[str], known: set[str]
) -> dict[str, Msg]:
    errors = {}
    if not typed["name"] or len(typed["name"]) > MOST:
        errors["name"] = Msg("Give the crew a name of at most {count} characters.", count=MOST)
    if not set(people) <= known:
        errors["lead"] = Msg("Choose who leads the crew.")
    if not is_day(typed["first"]):
        errors["first"] = Msg("Give a day as 2026-03-02.")
    if crew == NEW and not is_id(typed["id"]):
        errors["name"] = work.USED
    return errors


def _end_crew(session: Session, id: str) -> None:
    crew = crew_of_id(session, id)
    crew.ended = True
    session.add(crew)


def _give_openings(session: Session, crew: str, today: str) -> None:
    """Put who is on the crew on the days of its openings on those openings, for their phones."""
    wanted = select(Summary).where(Summary.crew == crew, Summary.last_day >= today)
    for row in session.exec(wanted.where(col(Summary.state).not_in(SETTLED))).all():
        give_opening(session, row.opening, crew, max(row.first_day, today))


def give_opening(session: Session, opening: str, crew: str, day: str) -> None:
    """Make who is on a crew on a day the people of an opening."""
    people = people_on(session, crew, day)
    if people:
        work.assign_crew(session, opening, people)


def crew_choices(crews: list[Crew], chosen: str) -> list[Json]:
    """Return the crews for a list to choose from."""
    return [{"value": c.id, "text": c.name, "chosen": c.id == chosen} for c in crews]
