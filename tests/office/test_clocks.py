"""The review says whose clock is in doubt, when a sign-off came in, and what came too late."""

import html
import time
from datetime import UTC, datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import pairing
from app.store import log
from tests.sync.client import Phone

OPENING = "marrow-lane-a"
REVIEW = "/office/o/" + OPENING


@pytest.fixture
def phone(app: FastAPI) -> Phone:
    """Tobin's phone."""
    made = Phone(TestClient(app))
    with app.state.server.database.write() as session:
        code = pairing.make_code(session, "tobin-hale", int(time.time()))
    made.pair(code)
    made.pull()
    return made


def tick(phone: Phone, ahead: timedelta) -> None:
    """Tick a task by a clock that is so far ahead, and send it."""
    at = (datetime.now(UTC) + ahead).isoformat(timespec="seconds")
    phone.write(OPENING, "task.ticked", {"step": "A", "task": "a-hand", "done": True}, at=at)
    phone.push()


def review(office: TestClient, path: str = REVIEW) -> str:
    return " ".join(html.unescape(office.get(path).text).split())


def test_clock_that_is_a_day_ahead_is_told_with_whose_it_is(
    office: TestClient, phone: Phone
) -> None:
    assert "Clock in doubt" not in review(office)
    tick(phone, timedelta(days=1))
    page = review(office)
    assert "Entries: 1, by Tobin Hale. Each reading among them is marked" in page


def test_clock_that_went_back_is_told_too_and_a_small_difference_is_not(
    office: TestClient, phone: Phone
) -> None:
    """Five minutes are allowed: the same as in the completion record."""
    tick(phone, timedelta(minutes=-1))
    tick(phone, timedelta(minutes=-4))
    assert "Clock in doubt" not in review(office)
    tick(phone, timedelta(hours=-3))
    assert "Entries: 1, by Tobin Hale." in review(office)


def test_what_came_after_the_pairing_was_ended_is_told(
    app: FastAPI, office: TestClient, phone: Phone
) -> None:
    made = phone.write(OPENING, "task.ticked", {"step": "A", "task": "a-hand", "done": True})
    with app.state.server.database.write() as session, log.after_end(session):
        log.append_events(session, [made])
    told = "Entries that came in after the opening was withdrawn, or the pairing of their phone"
    assert told + " was ended: 1, by Tobin Hale." in review(office)
    assert told not in review(office, "/office/o/marrow-lane-b")


def test_sign_off_says_when_it_was_received(office: TestClient) -> None:
    """The demo's sign-offs claim March 2026; the office had them when the demo was loaded."""
    page = review(office, "/office/o/marrow-lane-b")
    assert page.count("· received by the office ") == 4  # A, B1, B2, C


FLOOD = {"point": "flood-level", "panel": "", "quantity": "length", "text": "1/2",
         "value": "12700000", "how": "plain", "units": "in"}  # fmt: skip


def flood(phone: Phone, place: str, ahead: timedelta) -> None:
    """Read the flood water by a clock that is so far ahead, and send it."""
    at = (datetime.now(UTC) + ahead).isoformat(timespec="seconds")
    phone.write(OPENING, "reading.taken", {**FLOOD, "place": place}, at=at)
    phone.push()


def test_an_end_that_its_phone_claims_before_it_can_have_been_is_judged_by_receipt_too(
    office: TestClient, phone: Phone
) -> None:
    """Start and end come in within seconds; the phone's clock says that twenty minutes passed."""
    flood(phone, "start", timedelta(0))
    assert "by when the office received it" not in review(office)
    flood(phone, "end", timedelta(minutes=20))
    page = review(office)
    assert "Flood test: 20 min" in page
    assert "by the phones’ clocks, " in page
    assert "by when the office received it." in page


def test_the_board_says_until_when_an_opening_waits(office: TestClient, phone: Phone) -> None:
    assert "waiting until" not in review(office, "/office")
    flood(phone, "start", timedelta(0))
    assert "waiting until" in review(office, "/office")
    assert ": Flood test" in review(office, "/office")
    flood(phone, "end", timedelta(minutes=16))
    assert "waiting until" not in review(office, "/office")


def test_the_board_waits_no_longer_than_the_clock(office: TestClient, phone: Phone) -> None:
    flood(phone, "start", -timedelta(minutes=16))
    assert "waiting until" not in review(office, "/office")
