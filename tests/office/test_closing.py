"""Cancelling, archiving and reopening openings and jobs at the office."""

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.store.summary_tables import Summary
from app.store.tables import Event, Job
from tests.demo.conftest import enter
from tests.office.conftest import fields

WHY = "the owner sold the house"
OUT = "quarry-steps-a"  # three checks are out there


def close(office: TestClient, opening: str, act: str = "close", reason: str = WHY) -> int:
    path = "/office/o/" + opening
    html = office.get(path).text
    form = fields(html[html.index('id="closing"') :], path)
    sent = {**form, "act": act, "reason": reason}
    return office.post(path, data=sent, follow_redirects=False).status_code


def state_of(app: FastAPI, opening: str) -> str:
    with app.state.server.database.read() as session:
        return session.get_one(Summary, opening).state


def test_a_cancelled_opening_leaves_the_board_and_comes_back(
    app: FastAPI, office: TestClient
) -> None:
    assert OUT in office.get("/office?show=outs").text
    assert close(office, OUT) == 303
    assert state_of(app, OUT) == "cancelled"
    assert f"o-{OUT}" not in office.get("/office").text
    assert f"o-{OUT}" not in office.get("/office?show=outs").text
    assert f"o-{OUT}" in office.get("/office?show=closed").text
    assert WHY in office.get("/office/o/" + OUT).text
    assert close(office, OUT, "reopen", "sold again") == 303
    assert f"o-{OUT}" in office.get("/office?show=outs").text


def test_a_reason_is_asked_for_and_what_is_closed_is_not_closed_again(
    app: FastAPI, office: TestClient
) -> None:
    assert close(office, OUT, reason=" ") == 422
    assert close(office, OUT, "reopen") == 409
    assert close(office, OUT) == 303
    assert close(office, OUT) == 409
    assert state_of(app, OUT) == "cancelled"


def test_the_same_form_twice_closes_once(app: FastAPI, office: TestClient) -> None:
    path = "/office/o/" + OUT
    html = office.get(path).text
    form = {**fields(html[html.index('id="closing"') :], path), "reason": WHY}
    assert [office.post(path, data=form).url.query for _ in range(2)] == [b"said=closed"] * 2
    with app.state.server.database.read() as session:
        closed = select(Event.id).where(Event.opening == OUT, Event.kind == "opening.closed")
        assert len(session.exec(closed).all()) == 1


def test_a_cancelled_opening_refuses_the_crews_entry_and_keeps_what_was_typed(
    app: FastAPI, office: TestClient
) -> None:
    crew = enter(app, "installer")
    path = "/field/o/marrow-lane-b"
    raise_form = fields(crew.get(path + "/queries").text, path + "/queries")
    close(office, "marrow-lane-b")
    typed = {**raise_form, "what": "wall is 2 in short", "bars.B1": "yes"}
    refused = crew.post(path + "/queries", data=typed)
    assert refused.status_code == 409
    assert "wall is 2 in short" in refused.text
    assert WHY in refused.text
    assert WHY in crew.get(path).text
    assert 'id="closed"' in crew.get("/field").text


def test_a_job_is_closed_with_its_openings_and_reopened_with_those_alone(
    app: FastAPI, office: TestClient
) -> None:
    close(office, "saltgrass-b", reason="that one alone")
    path = "/office/jobs/saltgrass-bend/close"
    assert office.post(path, data={**fields(office.get(path).text, path)}).status_code == 422
    sent = {**fields(office.get(path).text, path), "reason": WHY}
    assert office.post(path, data=sent).url.path == "/office/jobs/saltgrass-bend"
    assert state_of(app, "saltgrass-a") == "cancelled"
    listed = office.get("/office/jobs").text
    assert 'href="/office/jobs/saltgrass-bend"' not in listed
    assert 'href="/office/jobs/saltgrass-bend"' in office.get("/office/jobs?show=closed").text
    assert "openings/new" not in office.get("/office/jobs/saltgrass-bend").text
    assert office.get("/office/jobs/saltgrass-bend/openings/new").status_code == 409
    office.post(path, data=sent)  # a form that comes late changes nothing
    with app.state.server.database.read() as session:
        assert session.get_one(Job, "saltgrass-bend").closed == "cancelled"
    again = {**fields(office.get(path).text, path), "reason": "on again"}
    assert office.post(path, data=again).url.path == "/office/jobs/saltgrass-bend"
    assert state_of(app, "saltgrass-a") == "new"
    assert state_of(app, "saltgrass-b") == "cancelled"  # closed by itself


def test_an_opening_of_a_closed_job_is_reopened_with_its_job(
    app: FastAPI, office: TestClient
) -> None:
    path = "/office/jobs/quarry-steps/close"
    review = "/office/o/" + OUT
    html = office.get(review).text
    closing = fields(html[html.index('id="closing"') :], review)
    office.post(path, data={**fields(office.get(path).text, path), "reason": WHY})
    shown = office.get(review).text
    assert f'href="{path}"' in shown[shown.index('id="closing"') :]
    refused = office.post(review, data={**closing, "act": "reopen", "reason": "sold again"})
    assert refused.status_code == 409
    assert state_of(app, OUT) == "cancelled"
    office.post(path, data={**fields(office.get(path).text, path), "reason": "on again"})
    assert state_of(app, OUT) == "open"


def test_what_is_closed_is_not_planned(app: FastAPI, office: TestClient) -> None:
    path = "/office/plan/" + OUT
    form = fields(office.get(path).text, path)
    close(office, OUT)
    assert office.get(path).status_code == 409
    assert office.post(path, data={**form, "first_day": "2026-03-02"}).status_code == 409
    assert f'href="{path}"' not in office.get("/office/jobs/quarry-steps").text
    close(office, OUT, "reopen")
    assert f'href="{path}"' in office.get("/office/jobs/quarry-steps").text


def test_a_summary_of_a_closed_opening_is_made_again_alike(
    app: FastAPI, office: TestClient
) -> None:
    close(office, OUT)
    database = app.state.server.database
    with database.read() as session:
        assert list(database.summaries.differences(session)) == []
