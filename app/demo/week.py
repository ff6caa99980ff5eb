"""Crews of the demo company and their week, so that what is planned can be looked at.

What the file holds is told at the head of seed_data/demo/week.yaml. Days are working days,
counted from the day on which it is loaded, or from the Friday before. An opening that somebody
planned already is left as it is.
"""

from datetime import date, datetime, timedelta
from pathlib import Path

from sqlmodel import Session, select

from app.core.kinds import Json
from app.core.record.events import heads_of, new_event
from app.demo.company import FOLDER, add_person, read_yaml
from app.store import log
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Assigned, Crew, CrewSetup, Event

PLANNER = "nadia-ferrow"


def load_week(database: Database, now: datetime, folder: Path = FOLDER) -> None:
    """Load the crews and plan their week, whole or not at all. now: with its zone."""
    week = read_yaml(folder / "week.yaml")
    today = working_day(now.date(), 0)
    with database.write() as session:
        for person in week["people"]:
            add_person(session, person)
        crews = {crew["id"]: crew for crew in week["crews"]}
        for crew in week["crews"]:
            _add_crew(session, crew, working_day(today, -10))
        for opening, planned in week["planned"].items():
            _plan_opening(session, opening, planned, crews[planned["crew"]], today, now)


def working_day(day: date, count: int) -> date:
    """Return the working day that is so many after a day; of a weekend, counted from its Friday.

    Example: working_day(date(2026, 3, 8), 1) -> date(2026, 3, 9); of 0 it is date(2026, 3, 6)
    """
    friday = day - timedelta(days=max(0, day.weekday() - 4))
    weeks, left = divmod(friday.weekday() + count, 5)
    return friday + timedelta(days=7 * weeks + left - friday.weekday())


def _add_crew(session: Session, crew: Json, first: date) -> None:
    if session.get(Crew, crew["id"]) is None:
        session.add(Crew(id=crew["id"], name=crew["name"]))
        session.flush()
    # a year of the demo may have set the crew up before: from now on it is these
    if session.get(CrewSetup, (crew["id"], first.isoformat())) is None:
        people = " ".join(crew["people"])
        session.add(CrewSetup(crew=crew["id"], first=first.isoformat(), people=people))
        session.flush()


def _plan_opening(
    session: Session, opening: str, planned: Json, crew: Json, today: date, now: datetime
) -> None:
    is_planned = select(Event.id).where(Event.opening == opening, Event.kind == "opening.planned")
    if session.exec(is_planned).first() is not None:
        return
    days = {
        name: working_day(today, planned[name]).isoformat() for name in ("start", "end", "promised")
    }
    before = log.events_of(session, [opening])[opening]
    draft = {
        "id": uuid7(),
        "device": device_id(session, "office"),
        "opening": opening,
        "seen": heads_of(before),
        "at": now.isoformat(timespec="seconds"),
        "person": PLANNER,
        "kind": "opening.planned",
        "body": {"crew": crew["id"], "crew_name": crew["name"], **days},
    }
    log.append_events(session, [new_event(before, draft)])
    for person in crew["people"]:
        if session.get(Assigned, (opening, person)) is None:
            session.add(Assigned(opening=opening, person=person))
    session.flush()
