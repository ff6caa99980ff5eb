"""A served Sillbook in which one opening was finished and waits for the office."""

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.homeowner import snapshot, view
from app.main import create_app
from app.settings import Settings
from tests.demo.conftest import enter
from tests.homeowner.finished import ABOUT, PROCEDURES, revision_of

OPENING = "marrow-lane-a"


@pytest.fixture(scope="session")
def made(book: list[Json]) -> Json:
    """The snapshot of that opening."""
    return snapshot.make(ABOUT, book, PROCEDURES)


@pytest.fixture(scope="session")
def revision(made: Json) -> view.RecordRevision:
    return revision_of(made)


def rehung(known: list[Json], events: list[Json], _: Json) -> list[Json]:
    """Return the events hung onto the issue that this database has, with fresh chains.

    Sign-offs rest on ids and on the drawing's event, so they are made anew by their own digest.
    """
    from app.core.record import gate
    from app.core.record.events import heads_of, new_event
    from app.core.record.state import State

    all_ = list(known)
    out = []
    for event in events:
        body = dict(event["body"])
        if event["kind"] == "step.signed":
            state = State(all_, PROCEDURES)
            step = state.step(body["step"])
            body = gate.sign_off_body(state, step)
        fields = {name: event[name] for name in ("id", "device", "opening", "at", "person", "kind")}
        draft = {**fields, "seen": heads_of(all_), "body": body}
        made = new_event(all_, draft)
        all_.append(made)
        out.append(made)
    return out


def served(data: Path) -> FastAPI:
    return create_app(Settings(data, "https://book.example.org"))


@pytest.fixture
def start(waiting: Path) -> Path:
    """The folder of data that a test begins with; a file may begin with `accepted`."""
    return waiting


@pytest.fixture
def app(start: Path, tmp_path: Path) -> Iterator[FastAPI]:
    shutil.copytree(start, tmp_path / "data")
    made = served(tmp_path / "data")
    with TestClient(made):
        yield made


@pytest.fixture
def office(app: FastAPI) -> TestClient:
    """A browser in which the supervisor is signed in."""
    return enter(app, "supervisor")


@pytest.fixture
def stranger(app: FastAPI) -> TestClient:
    """A browser of somebody without an account."""
    return TestClient(app, raise_server_exceptions=False, follow_redirects=False)


def accept(office: TestClient, opening: str = OPENING) -> None:
    """Accept an opening as the supervisor does: by the form on its page."""
    from tests.demo.walk import Page

    page = office.get(f"/office/o/{opening}")
    forms = [form for form in Page(page.text).forms if form[1].get("act") == "accept"]
    assert forms, page.text[-3000:]
    path, fields = forms[0]
    answer = office.post(path, data={**fields, "confirm": "yes"}, follow_redirects=False)
    assert answer.status_code == 303, answer.text[:2000]


def export_of(browser: TestClient, path: str) -> Json:
    """Return an export as JSON."""
    found: Json = json.loads(browser.get(path).content)
    return found


def make_link(office: TestClient, days: str = "30") -> tuple[str, dict[str, str], str]:
    """Make a link by the office's form; returns its path, the form's fields, the leaflet."""
    from tests.demo.walk import Page

    path = f"/office/o/{OPENING}/share"
    fields = next(f for _, f in Page(office.get(path).text).forms if f.get("act") == "make")
    leaflet = office.post(path, data={**fields, "days": days})
    assert leaflet.status_code == 200
    found = re.search(r'href="https://book\.example\.org(/mine/[^"]+)"', leaflet.text)
    assert found
    return found[1], fields, leaflet.text
