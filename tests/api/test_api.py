"""The API as another program uses it: a small client made of the OpenAPI document alone."""

import csv
import io
import json
import re
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import keeping
from app.access.slowdown import MOST_A_MINUTE
from app.office.issue.fields import drawing_columns
from app.store import log
from app.store.tables import Assigned
from tests.access.conftest import Clock
from tests.api.conftest import asking, make_token
from tests.demo.conftest import enter

HOOK = {"url": "https://hooks.invalid/in", "kinds": ["query", "out"]}


class Client:
    """Calls an operation by its id; all that it knows is in the document."""

    def __init__(self, program: TestClient) -> None:
        self.program = program
        document = program.get("/api/openapi.json").json()
        self.operations = {
            one["operationId"]: (method, path)
            for path, item in document["paths"].items()
            for method, one in item.items()
            if method != "parameters" and one.get("operationId", "").startswith("v1-")
        }

    def call(self, id: str, key: str = "", body: Any = None, **given: Any) -> Any:
        method, path = self.operations[id]
        inside = {name: value for name, value in given.items() if f"{{{name}}}" in path}
        query = {name: value for name, value in given.items() if name not in inside}
        headers = {"Idempotency-Key": key} if key else {}
        return self.program.request(
            method, path.format(**inside), params=query, headers=headers, json=body
        )

    def all(self, id: str, **given: Any) -> list[Any]:
        """Return a list, page by page."""
        out: list[Any] = []
        after: str | None = ""
        while after is not None:
            page = self.call(id, after=after, **given).json()
            out += page["items"]
            after = page["next"]
        return out


def problem(answer: Any, status: int, code: str) -> None:
    """RFC 9457, 3.1: members, and the media type."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    said = answer.json()
    assert set(said) == {"type", "title", "status", "detail", "code"}
    assert (said["status"], said["code"]) == (status, code)


def test_lists_come_in_pages_each_thing_once(reader: TestClient) -> None:
    client = Client(reader)
    one_by_one = client.all("v1-list-openings", limit=1)
    assert one_by_one == client.all("v1-list-openings")
    assert len({one["id"] for one in one_by_one}) == len(one_by_one) > 3
    jobs = client.all("v1-list-jobs", limit=2)
    mine = client.all("v1-list-openings", job="marrow-lane")
    assert {one["job"] for one in mine} == {"marrow-lane"}
    assert {one["job"] for one in one_by_one} <= {one["id"] for one in jobs}
    assert client.call("v1-job", job="marrow-lane").json() in jobs
    assert client.call("v1-opening", opening=mine[0]["id"]).json() == mine[0]
    assert mine[0]["state"] == "done"


def test_readings_have_limits_and_verdicts_as_the_csv_has_them(
    app: FastAPI, reader: TestClient
) -> None:
    ours = Client(reader).all("v1-list-readings", opening="marrow-lane-a", limit=200)
    office = enter(app, "supervisor")
    text = office.get("/office/take-out/opening/marrow-lane-a/readings.csv").text
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert [one["id"] for one in ours] == [row["entry"] for row in rows]
    assert len(ours) > 200
    for one, row in zip(ours, rows, strict=True):
        assert one["digest"] == row["digest"]
        assert one["length_mm"] == row["length_mm"].removeprefix("'")
        told = " | ".join(f"{check['check']}: {check['verdict']}" for check in one["checks"])
        assert told == row["verdict"]
        limits = [limit for check in one["checks"] for limit in check["limits"]]
        assert " | ".join(limits) == row["limit"]
    assert any(one["checks"] and one["checks"][0]["limits"] for one in ours)


def test_records_can_be_verified_by_anybody(app: FastAPI, reader: TestClient) -> None:
    [record] = Client(reader).all("v1-list-records")
    page = TestClient(app).get(record["verify"].removeprefix("https://book.example.org")).text
    assert "stamp-good" in page
    assert record["code"] in page
    assert Client(reader).all("v1-list-records", opening="saltgrass-a") == []
    after = Client(reader).call("v1-list-records", after="marrow-lane-a|1").json()
    assert after == {"items": [], "next": None}


def test_no_answer_names_a_homeowner(reader: TestClient) -> None:
    client = Client(reader)
    told = json.dumps([client.all("v1-list-jobs"), client.all("v1-list-openings")])
    assert "Tennick" not in told


@pytest.mark.control(41)
def test_without_a_token_that_holds_nothing_is_said(
    app: FastAPI, keeper: TestClient, clock: Clock
) -> None:
    problem(TestClient(app).get("/api/v1/jobs"), 401, "token-unknown")
    problem(keeper.get("/api/v1/jobs"), 401, "token-unknown")  # no cookie opens it
    answer = asking(app, "sillbook_" + "x" * 32).get("/api/v1/jobs")
    problem(answer, 401, "token-unknown")
    assert answer.headers["www-authenticate"] == "Bearer"
    token = make_token(keeper, days="30")
    assert asking(app, token).get("/api/v1/jobs").status_code == 200
    clock.now += 30 * 24 * 3600 + 1
    problem(asking(app, token).get("/api/v1/jobs"), 401, "token-unknown")


@pytest.mark.control(41)
def test_a_token_ends_by_hand_and_with_whoever_made_it(app: FastAPI, keeper: TestClient) -> None:
    first, second = make_token(keeper), make_token(keeper, "write")
    page = keeper.get("/office/tokens").text
    assert first not in page
    assert second not in page
    import hashlib

    end = {"act": "end", "token": hashlib.sha256(first.encode()).hexdigest()}
    assert "ended " not in page
    page = keeper.post("/office/tokens", data=end).text
    assert len(re.findall(r"by Oda Lindquarry, ended \d", page)) == 1
    assert len(re.findall(r"by Oda Lindquarry, ends \d", page)) == 1
    problem(asking(app, first).get("/api/v1/jobs"), 401, "token-unknown")
    assert asking(app, second).get("/api/v1/jobs").status_code == 200
    with app.state.server.database.write() as session:
        run = session.connection().exec_driver_sql
        run("UPDATE person SET role = 'supervisor' WHERE id = 'oda-lindquarry'")
    problem(asking(app, second).get("/api/v1/jobs"), 401, "token-unknown")


@pytest.mark.control(41)
@pytest.mark.parametrize("way", ["disabled", "another role"])
def test_tokens_of_whoever_was_shut_out_stay_ended(
    app: FastAPI, keeper: TestClient, way: str
) -> None:
    """As sessions, codes and phones do: a token that was copied does not come back to life."""
    token = make_token(keeper, "write")
    with app.state.server.database.write() as session:
        keeping.add_person(session, "Second", "second", "administrator", "en", "in")
        maker = keeping.person_of(session, "oda-lindquarry")
        if way == "disabled":
            keeping.disable_person(session, maker)
            keeping.enable_person(session, maker)
        else:
            for role in ("supervisor", "administrator"):
                keeping.change_person(session, maker, maker.name, role, "en", "in")
    problem(asking(app, token).get("/api/v1/jobs"), 401, "token-unknown")


@pytest.mark.control(41)
def test_only_the_hash_of_a_token_is_kept(app: FastAPI, keeper: TestClient) -> None:
    token = make_token(keeper)
    with app.state.server.database.read() as session:
        dump = "\n".join(session.connection().connection.iterdump())
    assert token not in dump
    assert token.removeprefix("sillbook_") not in dump


@pytest.mark.control(41)
def test_who_may_read_may_not_write(reader: TestClient) -> None:
    client = Client(reader)
    problem(client.call("v1-add-job", "k", {"title": "x", "address": "y"}), 403, "scope")
    problem(client.call("v1-add-webhook", "k", HOOK), 403, "scope")
    problem(client.call("v1-list-webhooks"), 403, "scope")
    problem(client.call("v1-end-webhook", webhook="x"), 403, "scope")


@pytest.mark.control(41)
def test_guessing_slows_down_and_a_right_token_is_let_in(app: FastAPI, reader: TestClient) -> None:
    wrong = asking(app, "sillbook_guess")
    answers = [wrong.get("/api/v1/jobs") for _ in range(30)]
    assert answers[0].status_code == 401
    problem(answers[-1], 429, "too-many-tries")
    assert int(answers[-1].headers["retry-after"]) > 0
    assert reader.get("/api/v1/jobs").status_code == 200


def test_a_token_that_asks_too_often_waits(app: FastAPI, reader: TestClient, clock: Clock) -> None:
    for _ in range(MOST_A_MINUTE):
        assert reader.get("/api/v1/jobs/x").status_code == 404
    problem(reader.get("/api/v1/jobs/x"), 429, "too-many-tries")
    clock.now += 61
    assert reader.get("/api/v1/jobs/x").status_code == 404


def test_a_write_with_the_same_key_is_done_once(writer: TestClient, keeper: TestClient) -> None:
    client = Client(writer)
    body = {"title": "Heron Court", "address": "7 Invented Way", "mail": "owner@example.net"}
    first = client.call("v1-add-job", "order-7", body)
    assert first.status_code == 201
    again = client.call("v1-add-job", "order-7", body)
    assert (again.status_code, again.json()) == (201, first.json())
    other = client.call("v1-add-job", "order-7", {**body, "title": "Another"})
    problem(other, 422, "idempotency-key-reused")
    problem(client.call("v1-add-job", body=body), 400, "idempotency-key-missing")
    titles = [job["title"] for job in client.all("v1-list-jobs")]
    assert titles.count("Heron Court") == 1
    assert "owner@example.net" in keeper.get(f"/office/jobs/{first.json()['id']}/change").text


def drawn_texts(app: FastAPI) -> dict[str, str]:
    """A door's drawing as another program would have it: a row of the office's own export."""
    text = enter(app, "supervisor").get("/office/take-out/all/openings.csv").text
    rows = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")))
    [row] = [one for one in rows if one["job"] == "Saltgrass Bend" and one["letter"] == "A"]
    ours = drawing_columns()
    return {name: cell for name, cell in row.items() if cell and name in ours}


def test_an_opening_is_issued_once_with_the_drawing_of_the_csv(
    app: FastAPI, writer: TestClient
) -> None:
    client, texts = Client(writer), drawn_texts(app)
    body = {"letter": "K", "room": "Loft", "crew": ["ines"], "drawing": texts}
    made = client.call("v1-add-opening", "order-9", body, job="saltgrass-bend")
    assert made.status_code == 201, made.text
    again = client.call("v1-add-opening", "order-9", body, job="saltgrass-bend")
    assert (again.status_code, again.json()) == (201, made.json())
    now = made.json()
    assert (now["letter"], now["job"], now["state"]) == ("K", "saltgrass-bend", "new")
    assert [one for one in client.all("v1-list-openings") if one["letter"] == "K"] == [now]
    with app.state.server.database.read() as session:
        events = log.events_of(session, [now["id"], "saltgrass-a"])
        [issued] = events[now["id"]]
        assert issued["kind"] == "opening.issued"
        assert issued["person"] == "oda-lindquarry"  # whoever made the token answers for it
        assert issued["body"]["drawing"] == events["saltgrass-a"][0]["body"]["drawing"]
        assert session.get(Assigned, (now["id"], "ines-calder"))


def test_what_is_wrong_with_an_opening_is_told_at_each_field_and_makes_nothing(
    app: FastAPI, writer: TestClient
) -> None:
    client, texts = Client(writer), drawn_texts(app)
    before = client.all("v1-list-openings")
    texts |= {"frame_width": "wide", "colour": "grey", "panel_1_kind": "Z"}
    body = {"letter": "A", "room": " ", "crew": ["nobody"], "drawing": texts}
    answer = client.call("v1-add-opening", "k", body, job="saltgrass-bend")
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    said = answer.json()
    assert said["code"] == "opening-unfit"
    at = [fault["pointer"] for fault in said["errors"]]
    assert set(at) >= {
        "#/room", "#/crew/0", "#/drawing/frame_width", "#/drawing/colour", "#/drawing/panel_1_kind",
    }  # fmt: skip
    assert all(fault["detail"] for fault in said["errors"])
    taken = {**body, "room": "Loft", "crew": [], "drawing": drawn_texts(app)}
    answer = client.call("v1-add-opening", "k", taken, job="saltgrass-bend")
    assert [one["pointer"] for one in answer.json()["errors"]] == ["#/letter"]
    body = {"letter": "K", "room": "Loft", "drawing": drawn_texts(app)}
    answer = client.call("v1-add-opening", "k", {**body, "procedure": "x"}, job="saltgrass-bend")
    assert "#/procedure" in [one["pointer"] for one in answer.json()["errors"]]
    problem(client.call("v1-add-opening", "k", body, job="nothing"), 404, "job-unknown")
    problem(client.call("v1-add-opening", body=body, job="saltgrass-bend"), 400,
            "idempotency-key-missing")  # fmt: skip
    assert client.all("v1-list-openings") == before


def test_who_may_only_read_issues_no_opening(app: FastAPI, reader: TestClient) -> None:
    body = {"letter": "K", "room": "Loft", "drawing": drawn_texts(app)}
    problem(Client(reader).call("v1-add-opening", "k", body, job="saltgrass-bend"), 403, "scope")


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ({"title": "x"}, "message-unfit"),
        ({"title": " ", "address": "y"}, "job-unnamed"),
        ({"title": "x", "address": "y", "more": 1}, "message-unfit"),
        ({"title": 1, "address": "y"}, "message-unfit"),
        ({"title": "x", "address": "y", "mail": "nobody"}, "mail-unfit"),
    ],
)
def test_what_does_not_fit_is_refused_in_words_and_makes_nothing(
    writer: TestClient, body: Any, code: str
) -> None:
    client = Client(writer)
    before = client.all("v1-list-jobs")
    problem(client.call("v1-add-job", "k", body), 422, code)
    assert client.all("v1-list-jobs") == before
    # the key was not used up by a request that made nothing
    good = client.call("v1-add-job", "k", {"title": "x", "address": "y"})
    assert good.status_code == 201


def test_a_webhook_is_made_listed_and_ended(writer: TestClient) -> None:
    client = Client(writer)
    made = client.call("v1-add-webhook", "hook-1", HOOK)
    assert made.status_code == 201
    secret = made.json()["secret"]
    assert client.call("v1-add-webhook", "hook-1", HOOK).json()["secret"] == secret
    [listed] = client.all("v1-list-webhooks")
    assert listed == {key: made.json()[key] for key in ("id", "url", "kinds")}
    inside = client.call("v1-add-webhook", "hook-2", {**HOOK, "url": "https://127.0.0.1/in"})
    problem(inside, 422, "webhook-address")
    for _ in range(2):
        assert client.call("v1-end-webhook", webhook=listed["id"]).status_code == 204
    assert client.all("v1-list-webhooks") == []
    problem(client.call("v1-end-webhook", webhook="nothing"), 404, "webhook-unknown")


@pytest.mark.parametrize(
    ("path", "status", "code"),
    [
        ("/api/v1/openings/nothing", 404, "opening-unknown"),
        ("/api/v1/openings/nothing/readings", 404, "opening-unknown"),
        ("/api/v1/openings/marrow-lane-a/readings?after=nothing", 404, "cursor-unknown"),
        ("/api/v1/jobs/nothing", 404, "job-unknown"),
        ("/api/v1/jobs?limit=0", 400, "request-unreadable"),
        ("/api/v1/nothing", 404, "page-unknown"),
        ("/api/v1/jobs?after=%00", 400, "request-unreadable"),
    ],
)
def test_every_refusal_is_a_problem(reader: TestClient, path: str, status: int, code: str) -> None:
    problem(reader.get(path), status, code)


def test_a_form_for_a_token_says_what_is_wrong(keeper: TestClient) -> None:
    answer = keeper.post(
        "/office/tokens", data={"act": "make", "name": "", "scope": "all", "days": "9"}
    )
    assert answer.status_code == 422
    assert "Name the program" in answer.text
