"""/office/rescue over HTTP: limits, words of refusal, whose preview it is.

The phone is a demo installer's. What taking in does to the log: tests/sync/test_rescue.py.
The whole way: tests/faults/test_rescue.py.
"""

import json
import time

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import pairing
from app.core.kinds import Json
from app.sync import rescue
from tests.demo.conftest import enter
from tests.sync.client import Phone
from tests.sync.test_rescue import file_of

OPENING = "marrow-lane-a"


@pytest.fixture
def phone(app: FastAPI) -> Phone:
    """Tobin's phone, with an entry that is not sent."""
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
    assert "1 entries are new" in page
    assert "Tobin Hale" in page
    assert phone.outbox[0] not in [event["id"] for event in events(app)]
    other = enter(app, "administrator")
    assert other.get(place).status_code == 404
    assert other.post(place).status_code == 404
    assert enter(app, "installer").get(place).status_code == 403
    for _ in range(2):
        assert office.post(place, follow_redirects=False).status_code == 303
    assert "1 entries were taken in" in office.get(place).text
    assert [event["id"] for event in events(app)].count(phone.outbox[0]) == 1
    assert "1 entries are here already" in sent(office, json.dumps(file).encode())


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
