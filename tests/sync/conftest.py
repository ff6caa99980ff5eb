"""A served Sillbook with three people, three openings of the small door, and phones."""

from collections.abc import Callable, Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import pairing
from app.core.kinds import Json
from app.core.record.events import new_event
from app.main import create_app
from app.settings import Settings
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Assigned, Job, Opening, Person
from tests.access.conftest import Clock
from tests.core.sample import DRAWING, PROCEDURE
from tests.store.both import (
    postgres_address,
    postgres_store,
    pytest_generate_tests,
    store,
)
from tests.sync.client import Phone

__all__ = [
    "postgres_address",
    "postgres_store",
    "pytest_generate_tests",
    "store",
]

PEOPLE = (("inga", "installer"), ("otto", "installer"), ("sven", "supervisor"))
OPENINGS = {"op-1": ("inga", "otto"), "op-2": ("inga",), "op-3": ("otto",)}


def fill(database: Database, openings: dict[str, tuple[str, ...]] = OPENINGS) -> None:
    with database.write() as session:
        for id_, role in PEOPLE:
            person = Person(id=id_, name=id_.title(), role=role, login=id_, password="none")
            session.add(person)
        session.add(Job(id="job-1", title="Hill house", address="1 Invented Way"))
        procedures.add_procedure(session, PROCEDURE)
        for letter, (id_, persons) in enumerate(openings.items()):
            session.add(Opening(id=id_, job="job-1", letter=str(letter + 1), room="Study"))
            session.flush()
            log.append_events(session, [issue(device_id(session, "office"), id_)])
            for person_id in persons:
                session.add(Assigned(opening=id_, person=person_id))
                session.flush()


def issue(office: str, opening: str) -> Json:
    body = {"procedure": PROCEDURE["id"], "version": 1, "drawing": DRAWING}
    draft = {
        "id": uuid7(), "device": office, "opening": opening, "seen": {}, "at": "2026-03-02T08:00",
        "person": "sven", "kind": "opening.issued", "body": body,
    }  # fmt: skip
    return new_event([], draft)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(store: Settings, clock: Clock) -> Iterator[FastAPI]:
    made = create_app(store, clock=clock)
    fill(made.state.server.database)
    with TestClient(made):
        yield made


@pytest.fixture
def database(app: FastAPI) -> Database:
    found: Database = app.state.server.database
    return found


def code_for(database: Database, person: str, now: float) -> str:
    with database.write() as session:
        return pairing.make_code(session, person, int(now))


@pytest.fixture
def make_phone(app: FastAPI, database: Database, clock: Clock) -> Callable[[str], Phone]:
    def make(person: str) -> Phone:
        phone = Phone(TestClient(app, raise_server_exceptions=False))
        phone.pair(code_for(database, person, clock.now))
        return phone

    return make


@pytest.fixture
def phone(make_phone: Callable[[str], Phone]) -> Phone:
    """Inga's phone, which has pulled."""
    made = make_phone("inga")
    made.pull()
    return made
