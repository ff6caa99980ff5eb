"""The server's adapter: the book that the core is given, and what is kept of its answer."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.record.canonical import digest
from app.field.server import FieldHost, local_now
from app.main import create_app
from app.settings import Settings
from app.store import log
from app.store.ids import uuid7
from tests.access.conftest import OURS, Clock, fill, sign_in
from tests.access.smallcore import SmallCore


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    made = create_app(Settings(tmp_path), core=SmallCore(), clock=Clock())
    fill(made.state.server.database)
    with TestClient(made):
        yield made


@pytest.fixture
def inga(app: FastAPI) -> TestClient:
    return signed_in(app, "inga")


def signed_in(app: FastAPI, login: str) -> TestClient:
    browser = TestClient(app, follow_redirects=False, headers=OURS)
    assert sign_in(browser, login) == 303
    return browser


def events(app: FastAPI, opening: str = "op-1") -> list[dict[str, object]]:
    with app.state.server.database.read() as session:
        return log.events_of(session, [opening])[opening]


def form(**more: str) -> dict[str, str]:
    return {"id": uuid7(), "opening": "op-1", "task": "glass-checked", **more}


def test_people_see_their_own_openings(app: FastAPI, inga: TestClient) -> None:
    assert "Inga op-1<" in inga.get("/field").text
    assert "Sven op-1 op-2<" in signed_in(app, "sven").get("/field").text


def test_form_becomes_an_event_and_leads_on(app: FastAPI, inga: TestClient) -> None:
    sent = form()
    answer = inga.post("/field/o/op-1", data=sent)
    assert (answer.status_code, answer.headers["location"]) == (303, "/field")
    (event,) = events(app)
    assert event["id"] == sent["id"]
    assert event["person"] == "inga"
    assert str(event["device"]).startswith("web-")


def test_events_of_one_opening_make_one_chain(app: FastAPI, inga: TestClient) -> None:
    sven = signed_in(app, "sven")
    for browser in (inga, sven, inga):
        browser.post("/field", data=form())
    first, second, third = events(app)
    assert [e["n"] for e in (first, second, third)] == [1, 2, 3]
    assert (second["prev"], third["prev"]) == (digest(first), digest(second))


def test_same_form_from_twenty_threads_gives_one_event(app: FastAPI, inga: TestClient) -> None:
    sent = form()
    with ThreadPoolExecutor(20) as threads:
        answers = list(threads.map(lambda _: inga.post("/field", data=sent), range(20)))
    assert {answer.status_code for answer in answers} == {303}
    assert len(events(app)) == 1


def test_different_forms_from_twenty_threads_are_all_kept(app: FastAPI, inga: TestClient) -> None:
    with ThreadPoolExecutor(20) as threads:
        answers = list(threads.map(lambda _: inga.post("/field", data=form()), range(40)))
    assert {answer.status_code for answer in answers} == {303}
    assert [event["n"] for event in events(app)] == list(range(1, 41))


def test_form_sent_again_with_something_else_is_never_called_saved(
    app: FastAPI, inga: TestClient
) -> None:
    sent = form()
    inga.post("/field", data=sent)
    answer = inga.post("/field", data={**sent, "task": "other"})
    assert answer.status_code == 409
    assert len(events(app)) == 1


def test_foreign_opening_is_not_there(app: FastAPI, inga: TestClient) -> None:
    assert inga.post("/field", data=form(opening="op-2")).status_code == 404
    assert inga.post("/field", data=form(opening="nowhere")).status_code == 404
    assert events(app, "op-2") == []


@pytest.mark.control(21)
def test_nobody_writes_as_another(app: FastAPI, inga: TestClient) -> None:
    """Even a core that was talked into it is not believed."""
    assert inga.post("/field", data=form(**{"as": "sven"})).status_code == 404
    assert events(app) == []


@pytest.mark.control(8)
def test_looking_changes_nothing(app: FastAPI, inga: TestClient) -> None:
    inga.post("/field", data=form())
    before = events(app)
    for path in ("/field", "/field/o/op-1", "/field?act=tick&id=x&opening=op-1&task=t"):
        inga.get(path)
        inga.head(path)
    assert events(app) == before


def test_htmx_gets_the_same_answers(inga: TestClient) -> None:
    htmx = {"HX-Request": "true"}
    assert inga.post("/field", data=form(), headers=htmx).status_code == 303
    assert inga.get("/field", headers=htmx).text == inga.get("/field").text


def test_request_as_the_core_gets_it(app: FastAPI, inga: TestClient) -> None:
    asked: list[dict[str, object]] = []

    class Listening(SmallCore):
        def answer(self, data: dict[str, object]) -> dict[str, object]:
            asked.append(data)
            return super().answer(data)

    app.state.field = FieldHost(app.state.server.database, Listening())
    inga.get("/field/o/a%20b%C3%A9?q=1&q=2&w=")
    (data,) = asked
    assert data["method"] == "GET"
    assert data["path"] == "/field/o/a bé"
    assert data["query"] == {"q": "2", "w": ""}
    assert data["form"] == {}
    assert data["person"] == {
        "id": "inga", "name": "Inga", "role": "installer", "units": "in", "lang": "en",
    }  # fmt: skip
    assert data["people"] == {"inga": "Inga", "sven": "Sven"}
    assert len(set(data["ids"])) == 8  # type: ignore[arg-type]
    assert data["book"]["events"] == {"op-1": []}  # type: ignore[index]


def test_now_has_an_offset() -> None:
    from datetime import datetime

    assert datetime.fromisoformat(local_now()).tzinfo is not None


def test_ids_are_uuids_of_version_7_in_order_of_time() -> None:
    """RFC 9562 section 5.7: version 7, variant 10, 48 bits of milliseconds first."""
    import time
    import uuid

    before = time.time_ns() // 1_000_000
    ids = [uuid.UUID(uuid7()) for _ in range(100)]
    after = time.time_ns() // 1_000_000
    assert {(made.version, made.variant) for made in ids} == {(7, uuid.RFC_4122)}
    assert all(before <= made.int >> 80 <= after for made in ids)
    assert len(set(ids)) == 100
