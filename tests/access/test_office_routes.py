"""Every route of the office, by every role: the routes are asked of the application itself.

A route that is added later stands in this table by itself, and is refused to all but
supervisors, or the test fails.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from starlette.routing import BaseRoute, Route

from app.demo import company
from app.main import create_app
from app.settings import Settings
from tests.access.conftest import browser_of

# what stands in a path's holes: things of the demo company, so that the answer is about access
HOLES = {
    "job": "marrow-lane",
    "id": "marrow-lane-b",
    "opening": "marrow-lane-b",
    "name": "parts",
    "file": "openings.csv",
    "token": "nothing",
    "path": "o/marrow-lane-b",
}
STREAMS = ("/office/changes",)  # ends only when the browser goes
PEOPLE = {
    "installer": ("tobin", "gauge-rule-and-tape"),
    "supervisor": ("nadia", "plumb-line-and-level"),
}


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    made = create_app(Settings(tmp_path_factory.mktemp("routes")))
    company.load(made.state.server.database)
    with TestClient(made):
        yield made


@pytest.fixture(scope="module")
def browsers(app: FastAPI) -> dict[str, TestClient]:
    out = {"nobody": browser_of(app)}
    for role, (name, password) in PEOPLE.items():
        out[role] = browser_of(app)
        out[role].post("/sign-in", data={"name": name, "password": password})
    return out


def routes_of(given: list[BaseRoute]) -> list[tuple[str, str]]:
    """Return (method, path) of all routes below /office, whatever they are wrapped in."""
    out = []
    for route in given:
        if isinstance(route, Route) and route.path.startswith("/office"):
            path = re.sub(r"{(\w+)(:\w+)?}", lambda hole: HOLES.get(hole[1], "x"), route.path)
            out += [(method, path) for method in sorted(route.methods or ()) if method != "HEAD"]
        original = getattr(route, "original_router", None) or getattr(route, "router", None)
        if original is not None:
            out += routes_of(original.routes)
    return out


def test_routes_are_found(app: FastAPI) -> None:
    found = routes_of(list(app.routes))
    for wanted in (
        ("GET", "/office"),
        ("GET", "/office/board"),
        ("POST", "/office/jobs/new"),
        ("POST", "/office/drawing/marrow-lane-b"),
        ("GET", "/office/take-out/all/openings.csv"),
        ("POST", "/office/take-in"),
    ):
        assert wanted in found
    assert len(found) >= 25


def test_nobody_is_led_to_the_sign_in(app: FastAPI, browsers: dict[str, TestClient]) -> None:
    for method, path in routes_of(list(app.routes)):
        answer = browsers["nobody"].request(method, path)
        assert answer.status_code == (303 if method == "GET" else 401), (method, path)
        if method == "GET":
            assert answer.headers["location"].startswith("/sign-in"), path


def test_installer_is_refused_own_opening_or_foreign(
    app: FastAPI, browsers: dict[str, TestClient]
) -> None:
    """marrow-lane-b is the installer's own; saltgrass-a is somebody else's."""
    for method, path in routes_of(list(app.routes)):
        for one in (path, path.replace("marrow-lane-b", "saltgrass-a")):
            assert browsers["installer"].request(method, one).status_code == 403, (method, one)


def test_supervisor_is_let_in(app: FastAPI, browsers: dict[str, TestClient]) -> None:
    for method, path in routes_of(list(app.routes)):
        if path not in STREAMS and method == "GET":
            status = browsers["supervisor"].get(path).status_code
            assert status in (200, 303, 404), (path, status)


def test_what_was_refused_changed_nothing(app: FastAPI, browsers: dict[str, TestClient]) -> None:
    data = Path(app.state.server.database.path)
    assert data.is_file()
    with app.state.server.database.read() as session:
        before = session.connection().exec_driver_sql("SELECT count(*) FROM event").scalar()
        jobs = session.connection().exec_driver_sql("SELECT count(*) FROM job").scalar()
    sent = {"id": "01a213fe-0b20-773c-a3fa-75d03c790a3d", "title": "x", "address": "y"}
    for role in ("nobody", "installer"):
        browsers[role].post("/office/jobs/new", data=sent)
        browsers[role].post("/office/jobs/marrow-lane/crew", data={"opening": "marrow-lane-a"})
    with app.state.server.database.read() as session:
        assert session.connection().exec_driver_sql("SELECT count(*) FROM event").scalar() == before
        assert session.connection().exec_driver_sql("SELECT count(*) FROM job").scalar() == jobs
