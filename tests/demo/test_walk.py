"""Every page of the demo opens, looking changes nothing, and no form can be made to fail."""

import sqlite3

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.demo.conftest import enter
from tests.demo.walk import page_of, walk

HALF_DONE = "/field/o/quarry-steps-a"
# Fields that a form needs to be taken for itself; the others are what people type.
KEPT = ("act", "form", "id", "seen", "mark", "task", "decision", "check", "adjustment", "place")
NONSENSE = ("", " ", "x" * 3000, "-1", "1e999", "½\0\r\n<b>", "９" * 40, "nan", "0", "1/0", "'\"--")


def content(app: FastAPI) -> list[tuple[object, ...]]:
    with sqlite3.connect(app.state.server.database.path) as plain:
        tables = ("event", "opening", "person", "job", "assigned", "procedure", "setting")
        return [row for table in tables for row in plain.execute(f"SELECT * FROM {table}")]


def forms_of(browser: TestClient, start: str, most: int) -> dict[str, tuple[str, dict[str, str]]]:
    """Return one form of every kind that the pages from here on have."""
    found = {}
    for _, answer in walk(browser, start, (start,), most):
        for action, fields in page_of(answer).forms:
            if action != "/sign-out":
                found[f"{fields.get('act')} {sorted(fields)}"] = (action, fields)
    return found


@pytest.mark.parametrize(
    ("role", "start", "within", "least"),
    [
        ("installer", HALF_DONE, (HALF_DONE, "/record/"), 80),
        ("supervisor", "/office", ("/office", "/record/"), 6),
    ],
)
def test_every_page_opens_and_looking_changes_nothing(
    app: FastAPI, role: str, start: str, within: tuple[str, ...], least: int
) -> None:
    browser = enter(app, role)
    before = content(app)
    pages = [(path, answer.status_code) for path, answer in walk(browser, start, within)]
    assert [page for page in pages if page[1] != 200] == []
    assert len(pages) >= least
    assert content(app) == before


def test_installer_gets_nothing_of_the_office(app: FastAPI) -> None:
    browser = enter(app, "installer")
    pages = [path for path, _ in walk(enter(app, "supervisor"), "/office", ("/office",))]
    assert len(pages) > 3
    assert {browser.get(path).status_code for path in pages} == {403}


def test_installer_gets_nothing_of_openings_not_theirs(app: FastAPI) -> None:
    browser = enter(app, "installer")
    foreign = "/field/o/saltgrass-a"
    walked = walk(enter(app, "supervisor"), foreign, (foreign,), 25)
    pages = [path for path, answer in walked if answer.status_code == 200]
    assert len(pages) > 20
    asked = [*pages, "/record/saltgrass-a"]
    assert {path: browser.get(path).status_code for path in asked} == dict.fromkeys(asked, 404)


@pytest.mark.parametrize(
    ("role", "start"), [("installer", HALF_DONE), ("supervisor", "/office/o/quarry-steps-a")]
)
def test_nonsense_in_any_form_is_refused_in_words(app: FastAPI, role: str, start: str) -> None:
    """A page comes back, never a bug, whatever is typed into whichever field."""
    browser = enter(app, role)
    forms = forms_of(browser, start, 60)
    assert len(forms) >= (8 if role == "installer" else 1)
    for kind, (action, fields) in forms.items():
        for junk in NONSENSE:
            sent = {name: value if name in KEPT else junk for name, value in fields.items()}
            assert browser.post(action, data=sent).status_code < 500, (kind, sent)


def test_damaged_hidden_fields_are_refused_in_words(app: FastAPI) -> None:
    browser = enter(app, "installer")
    for kind, (action, fields) in forms_of(browser, HALF_DONE, 25).items():
        for field in fields:
            for junk in ("", "web-1:999999", "a:1 a:x", "\0" + "x" * 5000):
                answer = browser.post(action, data={**fields, field: junk})
                assert answer.status_code < 500, (kind, field, junk)
