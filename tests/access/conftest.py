"""A served Sillbook with two people, a clock that can be moved, and a core of a few lines."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import passwords
from app.main import create_app
from app.settings import Settings
from app.store.database import Database
from app.store.tables import Assigned, Job, Opening, Person
from tests.access.smallcore import SmallCore

PASSWORD = "plumb and level 9"
OURS = {"Sec-Fetch-Site": "same-origin"}
HASH = passwords.hash_password(PASSWORD)


class Clock:
    """Seconds that pass only when told to."""

    def __init__(self) -> None:
        self.now = 1_800_000_000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(tmp_path: Path, clock: Clock) -> Iterator[FastAPI]:
    made = create_app(Settings(tmp_path), core=SmallCore(), clock=clock)
    fill(made.state.server.database)
    with TestClient(made):
        yield made


def fill(database: Database) -> None:
    with database.write() as session:
        session.add(person("inga", "installer"))
        session.add(person("sven", "supervisor"))
        session.add(Job(id="job-1", title="Hill house", address="1 Invented Way"))
        session.flush()
        session.add(Opening(id="op-1", job="job-1", letter="A", room="Living room"))
        session.add(Opening(id="op-2", job="job-1", letter="B", room="Study"))
        session.flush()
        session.add(Assigned(opening="op-1", person="inga"))


def person(id: str, role: str) -> Person:
    return Person(id=id, name=id.title(), role=role, login=id, password=HASH)


@pytest.fixture
def browser(app: FastAPI) -> TestClient:
    """A browser on our own pages; it follows nothing by itself."""
    return browser_of(app)


def browser_of(app: FastAPI, base: str = "http://testserver") -> TestClient:
    return TestClient(
        app, base, raise_server_exceptions=False, follow_redirects=False, headers=OURS
    )


def sign_in(browser: TestClient, login: str = "inga", password: str = PASSWORD, **more: str) -> int:
    form = {"name": login, "password": password, **more}
    return browser.post("/sign-in", data=form).status_code


@pytest.fixture
def inga(browser: TestClient) -> TestClient:
    """A browser in which the installer is signed in."""
    assert sign_in(browser) == 303
    return browser
