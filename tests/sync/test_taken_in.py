"""What was set aside: shown with its reason, taken in by decision, never deleted."""

import html
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.access import sessions
from app.core.kinds import Json
from app.core.record.state import State
from app.core.record.taken import origin_of
from app.settings import Settings
from app.store import log
from app.store.database import Database
from app.store.ids import uuid7
from app.store.tables import Aside
from tests.access.conftest import Clock, browser_of
from tests.core.sample import PROCEDURES
from tests.sync.client import Key, Phone

MakePhone = Callable[[str], Phone]
WHY = "Read out to me by Inga, who still has the paper."


@pytest.fixture
def store(tmp_path: Path) -> Settings:
    return Settings(tmp_path)


@pytest.fixture
def sven(app: FastAPI, database: Database, clock: Clock) -> TestClient:
    """A browser in which the supervisor is signed in."""
    made = browser_of(app)
    with database.write() as session:
        made.cookies.set("sillbook", sessions.start_session(session, "sven", int(clock.now)))
    return made


SIGNED = {
    "step": "A", "digest": "x", "covers": [], "verdicts": [], "drawing": "d", "procedure": "p",
    "rules": 1, "procedure_digest": "0" * 64,
}  # fmt: skip


def read(phone: Phone, place: str, text: str, value: int, **more: str) -> Json:
    body = {
        "point": "gap", "panel": "", "place": place, "quantity": "length", "text": text,
        "value": str(value), "how": "plain", "units": "in", **more,
    }  # fmt: skip
    return phone.write("op-1", "reading.taken", body)


def put_aside(phone: Phone, event: Json) -> str:
    """Send an entry under a signature of another key; return the reason."""
    own, phone.key = phone.key, Key()
    batch = phone.batch([event])
    phone.key = own
    return str(phone.post(batch)["receipts"][0]["why"])


def rows(database: Database) -> list[Aside]:
    with database.read() as session:
        return list(session.exec(select(Aside).order_by(Aside.received_at)))


def take(sven: TestClient, key: str, reason: str = WHY, id_: str = "") -> tuple[int, str]:
    form = {"reason": reason, "id": id_ or uuid7()}
    answer = sven.post("/office/aside/" + key, data=form)
    return answer.status_code, html.unescape(answer.text)


def events(database: Database) -> list[Json]:
    with database.read() as session:
        return log.events_of(session, ["op-1"])["op-1"]


def test_taken_in_counts_as_the_offices_entry(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    event = read(phone, "left", "1/8", 3_175_000)
    assert put_aside(phone, event) == "head-bad"
    (row,) = rows(database)
    assert "signature over this entry is wrong" in html.unescape(sven.get("/office/aside").text)
    assert take(sven, row.key)[0] == 303
    state = State(events(database), PROCEDURES)
    (reading,) = state.readings("gap", "", "left")
    assert (reading.text, reading.value) == ("1/8", 3_175_000)
    assert reading.event["device"].startswith("office-")
    assert reading.event["person"] == "sven"
    assert reading.event["body"]["measured_by"] == "inga"
    assert reading.event["body"]["measured_at"] == event["at"]
    cited = origin_of(state.ledger, reading.id)
    assert cited is not None
    assert cited["body"]["entry"] == event
    assert (cited["body"]["of"], cited["body"]["device"]) == (event["id"], phone.device)
    assert (cited["body"]["reason"], cited["body"]["why"]) == (WHY, "head-bad")


def test_nothing_is_deleted_and_nothing_taken_in_twice(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    event = read(phone, "left", "1/8", 3_175_000)
    put_aside(phone, event)
    (row,) = rows(database)
    id_ = uuid7()
    assert take(sven, row.key, id_=id_)[0] == 303
    count = len(events(database))
    assert take(sven, row.key, id_=id_)[0] == 303  # the same form once more
    status, page = take(sven, row.key)
    assert (status, len(events(database))) == (409, count)
    assert "taken in already" in page
    (after,) = rows(database)
    assert (json.loads(after.text), after.taken) == (event, id_)
    assert "Taken in." in sven.get("/office/aside").text
    exported = sven.get("/office/aside/all.json").json()["entries"]
    assert [one["entry"] for one in exported] == [event]


def test_what_it_had_not_seen_it_does_not_replace(
    make_phone: MakePhone, database: Database, sven: TestClient
) -> None:
    """Set aside on one phone, measured on another in between: both stand, nothing is decided."""
    one, two = make_phone("inga"), make_phone("otto")
    for each in (one, two):
        each.pull()
    late = read(one, "left", "1/8", 3_175_000)
    read(two, "left", "5/16", 7_937_500)
    two.push()
    put_aside(one, late)
    take(sven, rows(database)[0].key)
    live = State(events(database), PROCEDURES).readings("gap", "", "left")
    assert sorted(reading.text for reading in live) == ["1/8", "5/16"]


def test_history_says_where_it_came_from(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    put_aside(phone, read(phone, "left", "1/8", 3_175_000))
    take(sven, rows(database)[0].key)
    text = html.unescape(sven.get("/field/o/op-1/history").text)
    assert "Inga; typed by Sven" in text
    assert "set aside first" in text
    assert WHY in text
    review = html.unescape(sven.get("/office/o/op-1").text)
    assert WHY in review
    record = html.unescape(sven.get("/record/op-1?now=yes").text)
    assert WHY in record


@pytest.mark.parametrize(
    ("kind", "body", "says"),
    [
        ("step.signed", SIGNED, "by their own hand"),
        ("opening.reviewed", {"result": "returned", "words": ""}, "Only the office"),
        ("task.ticked", {"step": "Z9", "task": "t", "done": True}, "does not fit the opening"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_in_says_why(
    phone: Phone, database: Database, sven: TestClient, kind: str, body: Json, says: str
) -> None:
    put_aside(phone, phone.write("op-1", kind, body))
    (row,) = rows(database)
    before = events(database)
    assert says in html.unescape(sven.get("/office/aside/" + row.key).text)
    status, page = take(sven, row.key)
    assert status == 409
    assert says in page
    assert events(database) == before


def test_unreadable_and_held_say_why(phone: Phone, database: Database, sven: TestClient) -> None:
    first, second = (phone.tick("op-1") for _ in range(2))
    phone.post(phone.batch([second]))
    broken = {**first, "n": "one"}
    phone.post({**phone.batch([first]), "events": [broken]})
    found = {row.state: row.key for row in rows(database)}
    assert "as soon as it can be" in sven.get("/office/aside/" + found["held"]).text
    assert "entered by hand" in sven.get("/office/aside/" + found["set-aside"]).text


def gap_values(known: list[Json]) -> list[str]:
    """Return the values that count at one place, as any book folds them."""
    state = State(known, PROCEDURES)
    here = state.ledger.of_kind("reading.taken")
    return [e["body"]["value"] for e in here if state.ledger.replaced_by(e) is None]


def test_a_stored_entry_is_set_aside_for_every_book(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    """The office's event leaves it out; the entry stays. The same form once more is no fault."""
    good = read(phone, "left", "1/8", 3_175_000)
    harm = read(phone, "left", "1/2", 12_700_000)
    assert [receipt["state"] for receipt in phone.push()] == ["stored", "stored"]
    assert gap_values(events(database)) == [harm["body"]["value"]]
    path = f"/office/o/op-1/entries/{harm['id']}"
    assert harm["id"] in sven.get("/office/o/op-1/entries").text
    for _ in range(2):
        sent = sven.post(path, data={"reason": WHY}, follow_redirects=False)
        assert sent.status_code == 303
    page = html.unescape(sven.get(path).text)
    assert WHY in page
    assert "It is set aside already." in page
    said = [event for event in events(database) if event["kind"] == "entry.set-aside"]
    assert [event["body"] for event in said] == [{"target": harm["id"], "why": WHY}]
    assert gap_values(events(database)) == [good["body"]["value"]]
    phone.pull()
    assert gap_values(phone.events("op-1")) == [good["body"]["value"]]
    assert harm["id"] in {event["id"] for event in events(database)}


@pytest.mark.parametrize("reason", ["", "  ", "x" * 1001])
def test_a_stored_entry_is_not_set_aside_without_a_reason(
    phone: Phone, database: Database, sven: TestClient, reason: str
) -> None:
    kept = read(phone, "left", "1/8", 3_175_000)
    phone.push()
    before = events(database)
    page = sven.post(f"/office/o/op-1/entries/{kept['id']}", data={"reason": reason})
    assert (page.status_code, events(database)) == (422, before)
    assert reason.strip() in page.text


def test_what_cannot_be_set_aside_says_why(
    phone: Phone, database: Database, sven: TestClient
) -> None:
    """The office's own words, and whatever is no entry of this opening."""
    issued = events(database)[0]
    path = f"/office/o/op-1/entries/{issued['id']}"
    assert "taken back where it was said" in html.unescape(sven.get(path).text)
    assert sven.post(path, data={"reason": WHY}).status_code == 409
    assert len(events(database)) == 1
    for missing in ("/office/o/op-1/entries/none", "/office/o/none/entries", f"{path}x"):
        assert sven.get(missing).status_code == 404
    assert sven.post("/office/o/op-1/entries/none", data={"reason": WHY}).status_code == 404


def test_a_reason_must_be_given(phone: Phone, database: Database, sven: TestClient) -> None:
    put_aside(phone, read(phone, "left", "1/8", 3_175_000))
    (row,) = rows(database)
    before = events(database)
    for reason in ("", "  ", "x" * 1001):
        status, page = take(sven, row.key, reason)
        assert (status, events(database)) == (422, before)
        assert "Give the reason in writing" in page
    assert reason in page  # what was typed is kept


def test_list_is_paged_by_key(phone: Phone, database: Database, sven: TestClient) -> None:
    other = Key()
    own, phone.key = phone.key, other
    for _ in range(60):
        phone.post(phone.batch([phone.tick("op-1")]))
    phone.key = own
    first = sven.get("/office/aside").text
    assert first.count('href="/office/aside/') == 51  # and the file
    after = first.partition('name="after" value="')[2].partition('"')[0]
    second = sven.get("/office/aside", params={"after": after}).text
    keys = {row.key for row in rows(database)}
    seen = [key for key in keys if key in first or key in second]
    assert len(keys) == len(seen) == 60


def test_unknown_key_is_404(sven: TestClient) -> None:
    assert sven.get("/office/aside/nothing").status_code == 404
