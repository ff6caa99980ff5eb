"""A session whose device is in the owner's hands answers with the owner's page alone.

This project's own rule. The routes are those of the table that says who may.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from app.main import create_app
from app.settings import Settings
from tests.access.conftest import browser_of
from tests.access.test_routes import ENDLESS, OPEN, PEOPLE, PHONE, TABLE, TOKEN, filled

OWNER = "/field/o/marrow-lane-b/owner"
NOW = 1_800_000_000.0  # it stands still: however slow the machine is, tries come at once
LOGIN, PASSWORD = PEOPLE["supervisor"]


@pytest.fixture
def browser(demo_data: Path, tmp_path: Path) -> Iterator[TestClient]:
    data = tmp_path / "data"
    shutil.copytree(demo_data, data)
    with TestClient(create_app(Settings(data), clock=lambda: NOW)) as client:
        asker = browser_of(client.app)
        asker.post("/sign-in", data={"name": LOGIN, "password": PASSWORD})
        yield asker


def act(browser: TestClient, kind: str, **typed: str) -> Response:
    """Send a form of the owner's page; no entry comes of these two."""
    form = {"act": kind, "form": kind, "id": "01900000-0000-7000-8000-000000000001"}
    return browser.post(OWNER, data={**form, **typed})


def test_lent_session_answers_no_other_page(browser: TestClient) -> None:
    assert act(browser, "lend", lang="es").headers["location"] == OWNER
    for route, may in sorted(TABLE.items()):
        method, path = route.split(" ")
        if method != "GET" or may in (OPEN, PHONE, TOKEN) or route == ENDLESS:
            continue
        for own in (False, True):
            answer = browser.get(filled(path, own))
            led = answer.headers.get("location") == OWNER
            assert led or answer.status_code == 423, (route, answer.status_code)
    other = "/field/o/saltgrass-a"
    for path in ("/", "/sign-in", "/field", other + "/step/A", other + "/owner"):
        assert browser.get(path).headers["location"] == OWNER, path


def test_lent_session_changes_nothing_but_the_signature(browser: TestClient) -> None:
    act(browser, "lend", lang="en")
    for path in ("/me", "/office/jobs/new", "/office/o/marrow-lane-b", "/field/o/saltgrass-a"):
        assert browser.post(path, data={"act": "raise", "title": "x"}).status_code == 423, path
    signed = {"name": "Orla Owner", "consent": "yes"}
    answer = act(browser, "owner", **signed)
    assert (answer.status_code, answer.headers["location"]) == (303, OWNER)
    assert "Orla Owner" in browser.get(OWNER).text


def test_owner_reads_in_the_language_that_was_chosen(browser: TestClient) -> None:
    act(browser, "lend", lang="es")
    shown = browser.get(OWNER).text
    assert '<html lang="es">' in shown
    assert "Your new door" not in shown
    assert "<a " not in shown.replace('<a class="skip" href="#main">', "")  # no way from it
    act(browser, "lend", lang="en")
    assert "Your new door" in browser.get(OWNER).text


@pytest.mark.control(15)
def test_only_the_password_takes_it_back_and_tries_slow_down(browser: TestClient) -> None:
    act(browser, "lend", lang="en")
    refused = act(browser, "take-back", password="not hers")
    assert refused.status_code == 422
    assert "not hers" not in refused.text
    assert browser.get("/me").headers["location"] == OWNER
    answer = act(browser, "take-back", password=PASSWORD)
    assert answer.headers["location"] == "/field/o/marrow-lane-b"
    assert browser.get("/me").status_code == 200
    act(browser, "lend", lang="en")
    texts = [act(browser, "take-back", password="guess").text for _ in range(12)]
    assert "Too many tries" in texts[-1]
