"""Many openings moved to another version at once: looked at one by one, moved all or none."""

import html
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.record import gate
from app.core.record.state import State
from app.office.procedures import plan
from app.store import log, procedures
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields
from tests.office.counting import counted
from tests.office.test_procedures import ONE, TWO, put_in_force, second, take

MANY = f"/office/procedures/{TWO}/move"
JOB = MANY + "?job=marrow-lane"


def states(app: FastAPI) -> dict[str, State]:
    """Every opening that was issued, as it stands."""
    with app.state.server.database.read() as session:
        known = procedures.all_of(session, {})
        ids = [row.opening for row in plan.of_ids(session, OPENINGS)]
        events = log.events_of(session, ids)
    return {id: State(events[id], known) for id in ids}


OPENINGS = ["marrow-lane-a", "marrow-lane-b", "quarry-steps-a", "saltgrass-a", "saltgrass-b"]


def good(state: State) -> set[str]:
    signs = {step.key: gate.sign_of(state, step) for step in state.steps}
    return {key for key, sign in signs.items() if sign is not None and sign.good}


def asked(office: TestClient, path: str, why: str = "Checked more tightly.") -> dict[str, str]:
    return {**fields(office.get(path).text, MANY), "why": why}


@pytest.fixture
def two(office: TestClient) -> None:
    """A second version, with a tighter limit in step A, is known."""
    take(office, second())


def told(page: str) -> dict[str, list[str]]:
    """Return what the page says that would break, by opening: ids of steps."""
    out = {}
    for piece in html.unescape(page).split('<li><a href="/office/procedures/')[1:]:
        opening = piece.split("/openings/")[1].split('"')[0]
        out[opening] = re.findall(r"<li>(\w+) ", piece)
    return out


@pytest.mark.usefixtures("two")
def test_all_are_moved_and_just_what_was_told_breaks(app: FastAPI, office: TestClient) -> None:
    before = states(app)
    under = [id for id, state in before.items() if state.procedure_key == ONE]
    page = office.get(MANY).text
    assert sorted(told(page)) == sorted(under)
    assert len(under) >= 2
    sent = asked(office, MANY)
    answer = office.post(MANY, data=sent)
    assert f"Openings that were moved: {len(under)}." in answer.text
    after = states(app)
    for id in under:
        assert after[id].procedure_key == TWO
        assert sorted(good(before[id]) - good(after[id])) == told(page)[id], id
    assert [steps for steps in told(page).values() if steps] == [["A"], ["A"]]
    assert "Openings that were moved" in office.post(MANY, data=sent).text  # the same form twice
    events = [e for state in states(app).values() for e in state.ledger.events]
    assert sum(e["kind"] == "procedure.moved" for e in events) == len(under)


@pytest.mark.usefixtures("two")
def test_those_of_a_job_alone(app: FastAPI, office: TestClient) -> None:
    page = html.unescape(office.get(JOB).text)
    moved = set(told(page))
    assert moved
    assert all(id.startswith("marrow-lane") for id in moved)
    office.post(MANY, data=asked(office, JOB))
    assert {id for id, state in states(app).items() if state.procedure_key == TWO} == moved


@pytest.mark.usefixtures("two")
def test_the_job_leads_there_once_the_version_is_in_force(
    office: TestClient, keeper: TestClient
) -> None:
    job = "/office/jobs/marrow-lane"
    assert JOB not in office.get(job).text
    put_in_force(keeper)
    assert JOB in office.get(job).text
    office.post(MANY, data=asked(office, JOB))
    assert JOB not in office.get(job).text


@pytest.mark.usefixtures("two")
def test_nothing_is_moved_without_a_reason(app: FastAPI, office: TestClient) -> None:
    answer = office.post(MANY, data=asked(office, MANY, why=" "))
    assert answer.status_code == 422
    assert errors(answer.text) == {"f-why": "Say why it is moved: the crew reads it."}
    assert all(state.procedure_key != TWO for state in states(app).values())


@pytest.mark.usefixtures("two")
def test_what_comes_in_between_and_would_break_too_is_looked_at_first(
    app: FastAPI, office: TestClient
) -> None:
    """One of them is moved by somebody else: all stay, what was typed stays, and it is told."""
    sent = asked(office, MANY)
    alone = f"/office/procedures/{TWO}/openings/marrow-lane-b"
    office.post(alone, data={**fields(office.get(alone).text, alone), "why": "first"})
    answer = office.post(MANY, data=sent)
    assert answer.status_code == 422
    assert "has changed since the page was made" in answer.text
    assert fields(answer.text, MANY)["why"] == sent["why"]
    moved = {id for id, state in states(app).items() if state.procedure_key == TWO}
    assert moved == {"marrow-lane-b"}
    again = {**fields(answer.text, MANY), "why": sent["why"]}
    assert office.post(MANY, data=again).status_code == 200
    assert all(state.procedure_key != ONE for state in states(app).values())


@pytest.mark.usefixtures("two")
def test_an_entry_that_changes_nothing_of_it_does_not_hinder(
    app: FastAPI, office: TestClient
) -> None:
    sent = asked(office, MANY)
    crew, path = enter(app, "installer"), "/field/o/marrow-lane-a/parts"
    crew.post(path, data={**fields(crew.get(path).text, path), "state": "short"})
    assert "Openings that were moved" in office.post(MANY, data=sent).text


@pytest.mark.usefixtures("two")
def test_one_that_fails_leaves_all_where_they_were(
    app: FastAPI, office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = asked(office, MANY)
    real, seen = log.append_events, []

    def fails(*given: object) -> object:
        seen.append(given)
        if len(seen) == 2:
            raise plan.RefusedError("plan-changed", plan.CHANGED)
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(log, "append_events", fails)
    assert office.post(MANY, data=sent).status_code == 422
    assert len(seen) == 2
    assert all(state.procedure_key != TWO for state in states(app).values())


@pytest.mark.usefixtures("two")
def test_a_long_list_is_paged_and_asks_no_more(
    app: FastAPI, office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.office.procedures import many

    few = counted(app, office, JOB)
    whole = list(told(office.get(MANY).text))
    assert counted(app, office, MANY) == few - 1  # the job's name is not asked for
    monkeypatch.setattr(many, "PAGE", 1)
    met, after = [], ""
    for _ in whole:
        page = office.get(MANY, params={"after": after}).text
        met += told(page)
        found = re.search(r'name="after" value="([^"]*)"', page)
        after = found[1] if found else ""
    assert met == whole
    assert not after


def test_another_kind_of_door_stays(app: FastAPI, office: TestClient) -> None:
    doors = "doors: [stacking]"
    text = second()
    old = next(line for line in text.splitlines() if line.startswith("doors:"))
    take(office, text.replace(old, doors if old != doors else "doors: [sliding]"))
    page = html.unescape(office.get(MANY).text)
    kept = [id for id, state in states(app).items() if state.procedure_key == ONE
            and state.drawing.data["door"] not in doors]  # fmt: skip
    assert ("This procedure is not for that kind of door." in page) == bool(kept)
    if "Move openings:" in page:
        office.post(MANY, data=asked(office, MANY))
    assert all(states(app)[id].procedure_key == ONE for id in kept)


def test_ids_are_of_the_form_and_differ() -> None:
    """RFC 9562: version 7, variant 10, the time of the form in front."""
    form = "01a213fe-0b20-773c-a3fa-75d03c790a3d"
    made = {plan.event_id(form, f"o-{n}") for n in range(200)}
    assert len(made) == 200
    assert all(re.fullmatch(r"01a213fe-0b20-7\w{3}-[89ab]\w{3}-\w{12}", one) for one in made)
    assert plan.event_id(form, "o-1") == plan.event_id(form, "o-1")
