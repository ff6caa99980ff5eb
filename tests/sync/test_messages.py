"""What is no message of ours is refused in one line, before anything is done."""

import json
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.sync.messages import MOST_EVENTS, Batch, EventIn
from app.sync.reading import MOST_BYTES
from tests.sync.client import Phone, Refused

pytestmark = pytest.mark.sqlite  # nothing here is about the database

BATCH: dict[str, Any] = {"epoch": "", "bundle": "", "unsent": 0, "events": [], "heads": []}

BAD: list[tuple[bytes, int, str]] = [
    (b"", 422, "json-unreadable"),
    (b"{", 422, "json-unreadable"),
    (b"\xff", 422, "json-unreadable"),
    (b'{"events": [], "events": []}', 422, "json-unreadable"),
    (b'{"events": [], "unsent": NaN}', 422, "json-unreadable"),
    (b"[" * 200_000, 422, "json-unreadable"),
    (b'{"unsent": ' + b"9" * 5000 + b"}", 422, "json-unreadable"),
    (b"[]", 422, "message-unfit"),
    (b"null", 422, "message-unfit"),
    (b"{}", 422, "message-unfit"),
    (json.dumps({**BATCH, "more": 1}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "unsent": True}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "unsent": -1}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "unsent": "1"}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "events": {}}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "events": [1]}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "events": [{}] * (MOST_EVENTS + 1)}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "heads": [{"opening": "x"}]}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "signatures": {"x": "y" * 129}}).encode(), 422, "message-unfit"),
    (json.dumps({**BATCH, "\ud800\n": 1}).encode(), 422, "message-unfit"),
    (b" " * (MOST_BYTES + 1), 413, "message-too-large"),
]


def post(phone: Phone, body: Any, **headers: str) -> Any:
    sent = {"Content-Type": "application/json", "Origin": phone.origin}
    sent["Authorization"] = f"Bearer {phone.token}"
    return phone.http.request("POST", "/sync", content=body, headers={**sent, **headers})


@pytest.mark.parametrize(("body", "status", "code"), BAD)
@pytest.mark.control(23)
def test_refused_in_one_line(phone: Phone, body: bytes, status: int, code: str) -> None:
    answer = post(phone, body)
    assert answer.status_code == status
    assert set(answer.json()) == {"error"}
    error = answer.json()["error"]
    assert error["code"] == code
    assert len(error["message"]) < 300
    assert error["message"].isprintable()


def test_other_kinds_are_refused(phone: Phone) -> None:
    body = json.dumps(BATCH).encode()
    assert post(phone, body).status_code == 200
    for kind in ("text/plain", "application/x-www-form-urlencoded", ""):
        assert post(phone, body, **{"Content-Type": kind}).status_code == 415
    assert (
        post(phone, body, **{"Content-Type": "Application/JSON; charset=utf-8"}).status_code == 200
    )


def test_length_is_looked_at_before_the_body(phone: Phone) -> None:
    assert post(phone, b"{}", **{"Content-Length": str(MOST_BYTES + 1)}).status_code == 413

    def stream() -> Any:
        for _ in range(5):
            yield b" " * 1024 * 1024

    assert post(phone, stream()).status_code == 413


def test_an_empty_batch_tells_how_it_stands(phone: Phone) -> None:
    answer = phone.post(phone.batch([]))
    assert answer == {"epoch": phone.epoch, "receipts": [], "held": {}}


@pytest.mark.parametrize(
    "headers", [{"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "cross-site"}]
)
@pytest.mark.control(7)
def test_other_sites_pages_send_nothing(phone: Phone, headers: dict[str, str]) -> None:
    answer = post(phone, json.dumps(BATCH).encode(), **headers)
    assert (answer.status_code, answer.json()["error"]["code"]) == (403, "cross-site")


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH"])
def test_other_methods(phone: Phone, method: str) -> None:
    answer = phone.http.request(method, "/sync", headers={"Origin": phone.origin})
    assert (answer.status_code, answer.json()["error"]["code"]) == (405, "method-unknown")


@pytest.mark.control(30)
def test_a_bug_says_nothing_of_the_inside(phone: Phone, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret inside")

    monkeypatch.setattr("app.sync.server.receive", broken)
    phone.tick("op-1")
    with pytest.raises(Refused, match="500 bug") as refused:
        phone.push()
    assert "secret" not in str(refused.value)


def test_one_document_describes_all(app: FastAPI) -> None:
    made = TestClient(app).get("/api/openapi.json").json()
    assert {"/sync", "/pair", "/photos/{sha256}", "/api/calculations"} <= set(made["paths"])
    schemas = made["components"]["schemas"]
    assert schemas["Batch"]["additionalProperties"] is False
    assert schemas["Batch"]["properties"]["events"]["maxItems"] == MOST_EVENTS
    assert set(schemas["EventIn"]["required"]) == set(EventIn.model_fields)
    assert set(schemas["Batch"]["properties"]) == set(Batch.model_fields)
    named = json.dumps(made).split('"#/components/schemas/')[1:]
    assert {part.partition('"')[0] for part in named} <= set(schemas)
