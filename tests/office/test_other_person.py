"""A form that was made for one person is never kept as another's: field book and office."""

import html
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access.forms import BY
from app.core.kinds import Json
from app.store import log
from tests.demo.conftest import PEOPLE, enter
from tests.office.conftest import fields
from tests.tooling.sources import python_files

PARTS = "/field/o/marrow-lane-a/parts"
REVIEW = "/office/o/marrow-lane-b"


def sign_in_as(browser: TestClient, role: str) -> None:
    """Have somebody else sign in at the same browser, on another page."""
    who = PEOPLE[role]
    sent = {"name": who["login"], "password": who["password"]}
    browser.post("/sign-in", data=sent)


def events(app: FastAPI, opening: str) -> list[Json]:
    with app.state.server.database.read() as session:
        return log.events_of(session, [opening])[opening]


def forms(page: str) -> list[dict[str, str]]:
    """The hidden fields of every form that is posted, but for signing out."""
    posted = re.findall(r'<form[^>]*method="post"[^>]*action="([^"]+)".*?</form>', page, re.DOTALL)
    pieces = re.findall(r'<form[^>]*method="post".*?</form>', page, re.DOTALL)
    return [
        dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', piece))
        for action, piece in zip(posted, pieces, strict=True)
        if action != "/sign-out"
    ]


@pytest.mark.parametrize(
    ("role", "path"),
    [
        ("installer", PARTS),
        ("installer", "/field/o/marrow-lane-a/step/A"),
        ("supervisor", REVIEW + "?return=A"),
        ("supervisor", "/office/jobs/marrow-lane"),
        ("supervisor", "/office/jobs/new"),
        ("administrator", "/office/people/tobin-hale"),
        ("administrator", "/office/company"),
        ("supervisor", "/me"),
    ],
)
def test_every_form_carries_whom_it_was_made_for(app: FastAPI, role: str, path: str) -> None:
    found = forms(enter(app, role).get(path).text)
    assert found
    assert {form[BY] for form in found} == {PEOPLE[role]["id"]}


def test_a_route_of_the_office_takes_a_form_in_one_way() -> None:
    """As FormFields (app/access/who.py), which no route can forget to hold against who is here."""
    paths = list(python_files("app/office"))
    assert len(paths) > 50
    reading = [path.name for path in paths if "read_form" in path.read_text(encoding="utf-8")]
    assert reading == []


def test_reading_of_one_is_not_kept_as_anothers_until_they_say_so(app: FastAPI) -> None:
    browser = enter(app, "installer")
    pieces = browser.get(PARTS).text.split("<form")[1:]
    form = next(piece for piece in pieces if 'value="state"' in piece)  # not that for all at once
    typed = {**fields("<form" + form, PARTS), "state": "short", "words": "One is gone"}
    sign_in_as(browser, "supervisor")
    before = events(app, "marrow-lane-a")
    asked = browser.post(PARTS, data=typed)
    assert asked.status_code == 409
    assert events(app, "marrow-lane-a") == before
    page = html.unescape(asked.text)
    assert "Keep it as Nadia Ferrow" in page
    assert re.search(r"typed by <strong[^>]*>Tobin Hale<", page)
    kept = page[page.index("What you typed") :]
    assert "One is gone" in kept
    assert BY not in re.findall(r"<dt>([^<]*)</dt>", kept)
    keep, back = forms(asked.text)
    assert (keep[BY], back[BY]) == ("nadia-ferrow", "tobin-hale")
    assert browser.post(PARTS, data=back).status_code == 409  # still another's
    assert browser.post(PARTS, data=keep).status_code == 200
    made = events(app, "marrow-lane-a")[-1]
    assert (made["person"], made["body"]["words"]) == ("nadia-ferrow", "One is gone")


def test_who_typed_it_comes_back_and_sends_it(app: FastAPI) -> None:
    browser = enter(app, "installer")
    typed = {**fields(browser.get(PARTS).text, PARTS), "state": "short", "words": "One is gone"}
    sign_in_as(browser, "supervisor")
    back = forms(browser.post(PARTS, data=typed).text)[1]
    sign_in_as(browser, "installer")
    assert browser.post(PARTS, data=back).status_code == 200
    assert events(app, "marrow-lane-a")[-1]["person"] == "tobin-hale"


@pytest.mark.parametrize("act", ["accept", "return", "concede"])
def test_office_answers_for_nobody_else(app: FastAPI, act: str) -> None:
    """Accept, return, concede: made for one supervisor, sent when another is signed in."""
    opening = "quarry-steps-a" if act == "concede" else "marrow-lane-b"
    path = "/office/o/" + opening
    browser = enter(app, "supervisor")
    found = [form for form in forms(browser.get(path).text) if form.get("act") == act]
    if not found:  # the demo has nothing to accept: the same form by hand
        found = [{"form": act, "act": act, BY: "nadia-ferrow"}]
    id_ = "01a213fe-0b20-773c-a3fa-75d03c790a3d"
    form = {"id": id_, **found[0], "words": "Typed by Nadia", "reason": "Typed by Nadia"}
    sign_in_as(browser, "administrator")
    before = events(app, opening)
    asked = browser.post(path, data=form)
    assert asked.status_code == 409
    assert "Typed by Nadia" in asked.text
    assert events(app, opening) == before


def test_form_of_the_office_that_meets_an_installer_is_kept_for_its_writer(app: FastAPI) -> None:
    """The installer may not send it as theirs; the supervisor signs in again and sends it."""
    browser = enter(app, "supervisor")
    path = "/office/jobs/new"
    form = {**fields(browser.get(path).text, path), "title": "Osier Row", "address": "5 Osier Row"}
    sign_in_as(browser, "installer")
    asked = browser.post(path, data=form)
    assert asked.status_code == 409
    assert "Keep it as" not in asked.text
    assert "5 Osier Row" in asked.text
    (back,) = forms(asked.text)
    sign_in_as(browser, "supervisor")
    assert "Osier Row" in browser.post(path, data=back).text
    plain = {"title": "x", "address": "y"}
    assert enter(app, "installer").post(path, data=plain).status_code == 403


def test_form_that_waited_for_signing_in_again_is_asked_about_too(app: FastAPI) -> None:
    browser = enter(app, "installer")
    typed = {**fields(browser.get(PARTS).text, PARTS), "state": "short", "words": "One is gone"}
    browser.post("/sign-out")
    waits = browser.post(PARTS, data=typed)
    assert waits.status_code == 401
    (again,) = forms(waits.text)
    sign_in_as(browser, "supervisor")
    assert browser.post(PARTS, data=again).status_code == 409


def test_password_is_not_shown_to_another(app: FastAPI) -> None:
    browser = enter(app, "installer")
    path = "/me/password"
    form = {**fields(browser.get(path).text, path)}
    secret = dict.fromkeys([name for name in form if "password" in name], "rain-on-the-roof")
    assert secret
    sign_in_as(browser, "supervisor")
    asked = browser.post(path, data={**form, **secret})
    assert asked.status_code == 409
    assert "rain-on-the-roof" not in asked.text
