"""The demo company, loaded once for all tests that only look, and copied for those that write."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from starlette.requests import Request
from starlette.responses import Response

from app.access import cookie, known_browser, sessions
from app.demo import company
from app.main import create_app
from app.settings import Settings

OURS = {"Sec-Fetch-Site": "same-origin"}
PEOPLE = {
    raw["role"]: raw
    for raw in reversed(company.read_yaml(company.FOLDER / "company.yaml")["people"])
}


@pytest.fixture
def app(demo_data: Path, tmp_path: Path) -> Iterator[FastAPI]:
    """The demo company served from a copy of its own."""
    shutil.copytree(demo_data, tmp_path / "data")
    made = create_app(Settings(tmp_path / "data"))
    with TestClient(made):
        yield made


# of a browser at its first visit, over plain HTTP
FIRST_VISIT = {
    "type": "http", "scheme": "http", "server": ("testserver", 80), "path": "/", "headers": [],
}  # fmt: skip


def enter(app: FastAPI, role: str) -> TestClient:
    """Return a browser in which the first person of a role is signed in.

    It has the cookies that the page for it gives: tests/access signs in by the page itself.
    """
    browser = TestClient(app, headers=OURS, raise_server_exceptions=False)
    server, raw, request = app.state.server, PEOPLE[role], Request(FIRST_VISIT)
    with server.database.write() as session:
        token = sessions.start_session(session, raw["id"], int(server.clock()))
        known = known_browser.cookie_for(request, session, raw["login"])
    given = Response()
    cookie.give_cookie(request, given, token)
    known_browser.give_cookie(request, given, known)
    for line in given.headers.getlist("set-cookie"):
        name, _, value = line.partition(";")[0].partition("=")
        browser.cookies.set(name, value, domain="testserver.local", path="/")
    return browser
