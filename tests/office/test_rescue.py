"""/office/rescue over HTTP: limits, words of refusal, whose preview it is.

The phone is a demo installer's. What taking in does to the log: tests/sync/test_rescue.py.
The whole way: tests/faults/test_rescue.py.
"""

import html
import json
import time
from datetime import datetime

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import pairing
from app.core.kinds import Json
from app.store.tables import Device, Person
from app.sync import rescue
from tests.demo.conftest import enter
from tests.sync.client import Phone
from tests.sync.test_rescue import file_of

OPENING = "marrow-lane-a"


@pytest.fixture
def phone(app: FastAPI) -> Phone:
    """Tobin's phone, with an entry that is not sent."""
    return make_phone(app)


def make_phone(app: FastAPI) -> Phone:
    made = Phone(TestClient(app))
    with app.state.server.database.write() as session:
        code = pairing.make_code(session, "tobin-hale", int(time.time()))
    made.pair(code)
    made.pull()
    made.write(OPENING, "task.ticked", {"step": "A", "task": "a-hand", "done": True})
    return made


def sent(office: TestClient, data: bytes) -> str:
    """Send a file; return the page that comes of it."""
    files = {"file": ("sillbook-unsent.json", data, "application/json")}
    return office.post("/office/rescue", files=files, follow_redirects=True).text


def test_a_file_is_previewed_for_who_chose_it_and_taken_in_once(
    app: FastAPI, office: TestClient, phone: Phone
) -> None:
    file: Json = file_of(phone)
    files = {"file": ("f.json", json.dumps(file).encode(), "application/json")}
    place = office.post("/office/rescue", files=files, follow_redirects=False).headers["location"]
    page = office.get(place).text
    assert "1 entry is new" in page
    assert "Tobin Hale" in page
    assert phone.outbox[0] not in [event["id"] for event in events(app)]
    other = enter(app, "administrator")
    assert other.get(place).status_code == 404
    assert other.post(place).status_code == 404
    assert enter(app, "installer").get(place).status_code == 403
    for _ in range(2):
        assert office.post(place, follow_redirects=False).status_code == 303
    assert "1 entry was imported" in office.get(place).text
    assert [event["id"] for event in events(app)].count(phone.outbox[0]) == 1
    assert "1 entry is here already" in sent(office, json.dumps(file).encode())


def end(app: FastAPI, phone: Phone, at: str) -> None:
    """End a phone's pairing at a time."""
    with app.state.server.database.write() as session:
        row = session.get_one(Device, phone.device)
        row.revoked = int(datetime.fromisoformat(at).timestamp())


def plain(page: str) -> str:
    return " ".join(html.unescape(page).split())


def test_of_a_phone_whose_pairing_ended_it_is_said_when_and_what_was_made_after(
    app: FastAPI, office: TestClient, phone: Phone
) -> None:
    """The entries claim 2 March 2026, 14:05; one of them is made to claim the day before."""
    phone.write(OPENING, "task.ticked", {"step": "A", "task": "a-hand", "done": False},
                at="2026-03-01T10:00:00-05:00")  # fmt: skip
    phone.write(OPENING, "task.ticked", {"step": "A", "task": "a-hand", "done": True},
                at="2026-03-02T18:00:00+01:00")  # fmt: skip  # that very second
    end(app, phone, "2026-03-02T12:00:00-05:00")
    files = {"file": ("f.json", json.dumps(file_of(phone)).encode(), "application/json")}
    place = office.post("/office/rescue", files=files, follow_redirects=False).headers["location"]
    for done in (False, True):
        page = plain(office.get(place).text)
        assert "The pairing of this phone was ended 2 Mar 2026, " in page
        assert "Entries that say they were made after that: 2 of 3." in page
        entries = page.split("<li>")
        assert [("made after the pairing" in one) for one in entries if "A task" in one] == [
            True, False, True,
        ]  # fmt: skip
        assert "Import the file only if you know" in page
        if not done:
            office.post(place)
    late = plain(office.get("/office/aside").text)
    assert late.count("The pairing of its phone had ended when it was taken in") == 3
    phone_of_another = make_phone(app)
    phone_of_another.push()
    assert plain(office.get("/office/aside").text).count("had ended when it was taken in") == 3


def test_it_is_said_where_all_claim_to_be_made_before(
    app: FastAPI, office: TestClient, phone: Phone
) -> None:
    end(app, phone, "2026-03-03T12:00:00-05:00")
    page = plain(sent(office, json.dumps(file_of(phone)).encode()))
    assert "All of its entries say that they were made before that." in page
    assert "made after the pairing" not in page


def test_of_a_phone_that_nobody_may_enter_on_it_is_said(
    app: FastAPI, office: TestClient, phone: Phone
) -> None:
    with app.state.server.database.write() as session:
        session.get_one(Person, "tobin-hale").disabled = True
    page = plain(sent(office, json.dumps(file_of(phone)).encode()))
    assert "Nobody may enter on this phone any more. " in page.replace("</p>", " ")
    assert "Import the file only if you know" in page


def events(app: FastAPI) -> list[Json]:
    """Return the opening's log."""
    with app.state.server.database.read() as session:
        query = "SELECT body FROM event WHERE opening = ?"
        rows = session.connection().exec_driver_sql(query, (OPENING,)).all()
    return [json.loads(row[0]) for row in rows]


def test_what_cannot_be_taken_is_said(office: TestClient, phone: Phone) -> None:
    good = file_of(phone)
    assert "Choose a file first" in sent(office, b"")
    assert "no file of unsent entries" in sent(office, b"\xff\xd8 a picture")
    assert "from a newer version" in sent(office, json.dumps({**good, "v": 9}).encode())
    foreign = {**good, "device": "phone-nobody"}
    assert "never paired with this office" in sent(office, json.dumps(foreign).encode())


def test_a_file_that_is_too_large_is_refused_before_it_is_read(office: TestClient) -> None:
    headers = {"content-length": str(rescue.MOST_BYTES + 1), "content-type": "multipart/form-data"}
    assert office.post("/office/rescue", content=b"", headers=headers).status_code == 413
