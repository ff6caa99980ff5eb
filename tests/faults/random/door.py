"""The small door that the random run works at: quick to judge, with one of each kind of entry."""

import copy
import time
from pathlib import Path

from app.access import pairing
from app.core.kinds import Json
from app.core.record.events import new_event
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.migrate import migrate_database
from app.store.tables import Assigned, Job, Opening, Person
from tests.core.sample import DRAWING, PROCEDURE

PEOPLE = (("inga", "installer"), ("otto", "installer"), ("sven", "supervisor"))
OPENINGS = {"op-1": ("inga", "otto"), "op-2": ("inga", "otto")}
PHONES = ("inga", "otto")


def procedure() -> Json:
    """Return the procedure: of tests/core/sample.py, with a photo and a step quickly signed."""
    made = copy.deepcopy(PROCEDURE)
    first, second = made["steps"]
    first["tasks"].append({"id": "shot", "text": "The opening", "kind": "photo"})
    last = copy.deepcopy(first)
    last |= {"id": "C", "title": "Clear up", "decisions": [], "points": [], "checks": []}
    last |= {"adjustments": [], "tasks": [{"id": "swept", "text": "Swept", "kind": "tick"}]}
    for step in (first, second, last):
        step["hold"] = False  # each can be signed by itself
    made["steps"].append(last)
    return made


KNOWN = {"small@1": procedure()}


def fill(database: Database) -> None:
    """Put the people, the door and its openings into a new database."""
    with database.write() as session:
        for id_, role in PEOPLE:
            session.add(Person(id=id_, name=id_.title(), role=role, login=id_, password="none"))
        session.add(Job(id="job-1", title="Hill house", address="1 Invented Way"))
        procedures.add_procedure(session, KNOWN["small@1"])
        for letter, (id_, persons) in enumerate(OPENINGS.items()):
            session.add(Opening(id=id_, job="job-1", letter=str(letter + 1), room="Study"))
            session.flush()
            log.append_events(session, [_issue(device_id(session, "office"), id_)])
            for person in persons:
                session.add(Assigned(opening=id_, person=person))
                session.flush()


def _issue(office: str, opening: str) -> Json:
    draft = {
        "id": uuid7(), "device": office, "opening": opening, "seen": {}, "at": "2026-03-02T08:00",
        "person": "sven", "kind": "opening.issued",
        "body": {"procedure": "small", "version": 1, "drawing": DRAWING},
    }  # fmt: skip
    return new_event([], draft)


def codes(database: Database) -> list[str]:
    """Return a pairing code for each phone."""
    out = []
    for person in PHONES:
        with database.write() as session:
            out.append(pairing.make_code(session, person, int(time.time())))
    return out


def new_office(data: Path) -> list[str]:
    """Make the data of an office that is new; returns the codes for its two phones."""
    from app.main import create_app
    from app.settings import Settings

    database = create_app(Settings(data)).state.server.database
    migrate_database(database)
    fill(database)
    made = codes(database)
    database.close()
    return made
