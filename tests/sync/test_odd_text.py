"""Text that a database or a page cannot hold: a NUL, half a character, a number beyond all numbers.

PostgreSQL keeps no NUL in text (its manual, 8.3); UTF-8 has no surrogates (RFC 3629, 3); JSON has
no infinity (RFC 8259, 6). Whoever sends them is refused in words, and no page dies of them.
"""

import json
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.access import passwords
from app.store.database import Database
from app.store.tables import Aside, Person
from tests.access.conftest import PASSWORD, Clock, browser_of, sign_in
from tests.sync.client import Phone, Refused
from tests.sync.conftest import code_for

AS_JSON = {"Content-Type": "application/json"}


@pytest.fixture
def office(app: FastAPI, database: Database) -> TestClient:
    """A browser in which the supervisor is signed in."""
    with database.write() as session:
        session.get_one(Person, "sven").password = passwords.hash_password(PASSWORD)
    browser = browser_of(app)
    assert sign_in(browser, "sven") == 303
    return browser


@pytest.mark.control(30)
def test_a_nul_from_a_stranger_is_refused_in_words(app: FastAPI) -> None:
    browser = browser_of(app)
    for path, form in (
        ("/sign-in", {"name": "a\0b", "password": "x"}),
        ("/sign-in", {"name": "a", "password": "x\0"}),
        ("/welcome", {"code": "\0", "password": "x\0"}),
    ):
        answer = browser.post(path, data=form)
        assert answer.status_code in (400, 422), path
        assert answer.headers["content-type"].startswith("text/html")
    for path in ("/verify?code=%00", "/verify/%00", "/mine/%00", "/sign-in?next=%00", "/%00"):
        assert browser.get(path).status_code == 400, path


@pytest.mark.control(30)
def test_a_nul_from_a_person_is_refused_in_words(office: TestClient) -> None:
    for path in ("/field/o/%00", "/office/o/op%00-1", "/office?q=%00", "/photos/%00"):
        assert office.get(path).status_code == 400, path
    for path in ("/office/jobs/new", "/field/o/op-1/step/A", "/office/people/x", "/me"):
        assert office.post(path, data={"title": "a\0b"}).status_code < 500, path


@pytest.mark.parametrize("name", ["a\0b", "\ud800", "\u202egpj.exe", "a\nb", "\x1b[2J"])
def test_a_phone_has_a_name_that_can_be_shown(
    app: FastAPI, database: Database, clock: Clock, name: str
) -> None:
    phone = Phone(TestClient(app, raise_server_exceptions=False))
    asked = {"code": code_for(database, "inga", clock.now), "name": name, "key": phone.key.public()}
    with pytest.raises(Refused, match="422 message-unfit"):
        phone._ask("POST", "/pair", content=json.dumps(asked).encode(), headers=AS_JSON)


@pytest.mark.control(30)
def test_a_number_beyond_all_numbers_is_refused(phone: Phone) -> None:
    """As a double it is no number any more; what is refused here never comes to a page."""
    for text in ("1e400", "-1e400", '[1, {"x": 1e999}]'):
        batch = f'{{"events": [{{"id": "x", "body": {text}}}]}}'
        with pytest.raises(Refused, match="422 json-unreadable"):
            phone._ask("POST", "/sync", content=batch.encode(), headers=AS_JSON)
    assert phone.push() == []


ODD: list[dict[str, Any]] = [
    {"id": "\0"}, {"id": "a\0b", "kind": "\0"}, {"id": "\ud800", "kind": "\udfff"},
    {"id": "odd-at", "at": "\ud800\0"}, {"id": "odd-body", "body": {"words": "\ud800 \0 \u202e"}},
    {"id": "odd-name", "\ud800": "\0"}, {"id": "float", "n": 0.5, "body": 1e300},
]  # fmt: skip


@pytest.mark.control(30)
def test_what_stands_aside_is_shown_whatever_is_in_it(
    phone: Phone, office: TestClient, database: Database
) -> None:
    states = set()
    for odd in ODD:
        event = {**phone.tick("op-1"), **odd}
        phone.outbox.clear()
        receipts = phone._ask("POST", "/sync", content=json.dumps({"events": [event]}).encode(),
                              headers=AS_JSON)["receipts"]  # fmt: skip
        states |= {receipt["state"] for receipt in receipts}
    assert states <= {"set-aside", "held"}
    listed = office.get("/office/aside")
    assert listed.status_code == 200
    with database.write() as session:  # as a version before kept it
        rows = list(session.exec(select(Aside)))
        row = rows[0]
        row.text = '{"id": "x", "at": Infinity, "kind": -Infinity, "body": NaN, "n": "\\ud800"}'
        keys = [row.key for row in rows]
    assert len(keys) == len(ODD)
    for key in keys:
        assert office.get("/office/aside/" + key).status_code == 200, key
    exported = office.get("/office/aside/all.json")
    assert exported.status_code == 200

    def no_number(name: str) -> None:
        raise AssertionError(name)

    assert len(json.loads(exported.text, parse_constant=no_number)["entries"]) == len(ODD)


def test_a_batch_of_nothing_is_answered_by_both_databases(phone: Phone) -> None:
    """An empty list has no type of its own on PostgreSQL (its manual, 10.5)."""
    assert phone.post(phone.batch([]))["receipts"] == []
