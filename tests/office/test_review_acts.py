"""The review of a door with exceptions: each is seen once, and each act says what it did, in place.

Common practice, no source: who sends work back names what must be measured again.
"""

import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.core.record import gate, judge
from app.core.record.state import State
from app.store import log
from tests.demo.walk import Page
from tests.homeowner.conftest import OPENING
from tests.homeowner.finished import PROCEDURES
from tests.office.excepted_door import Excepted, excepted, excepted_data

PATH = "/office/o/" + OPENING


@pytest.fixture(scope="module")
def door() -> Excepted:
    return excepted()


@pytest.fixture(scope="module")
def demo_data(demo_data: Path, door: Excepted, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's folder of data, in which that door waits for its review."""
    return excepted_data(demo_data, tmp_path_factory.mktemp("excepted"), door)


def sent(office: TestClient, address: str, act: str, **typed: str) -> str:
    """Send a form of a page as a person does; returns where it led."""
    forms = Page(office.get(address).text).forms
    path, found = next(form for form in forms if form[1].get("act") == act)
    fields = {name: value for name, value in found.items() if not name.startswith("again.")}
    answer = office.post(path, data={**fields, **typed}, follow_redirects=False)
    assert answer.status_code == 303, answer.text[:2000]
    return answer.headers["location"]


def test_each_exception_is_seen_once(office: TestClient, door: Excepted) -> None:
    html = office.get(PATH).text
    ids = re.findall(r'<li class="exception[^"]*" id="([^"]+)"', html)
    assert len(ids) == len(set(ids)) == len(door.conceded) + 1
    assert {id.split("-", 2)[2] for id in ids if id.startswith("check-")} == set(door.conceded)
    assert "photos-missing" in ids
    assert f"{len(ids)} things to look at" in html
    for id in ids:
        assert html.count(f'id="{id}"') == 1


def test_what_is_returned_must_be_measured_again(app: FastAPI, office: TestClient) -> None:
    address = PATH + "?return=C&again=sill-setback"
    assert 'name="again.sill-setback" value="yes" checked' in office.get(address).text
    words = "Measure the setback again."
    assert sent(office, address, "return", words=words, **{"again.sill-setback": "yes"}).startswith(
        PATH + "?said=returned#"
    )
    state = state_of(app)
    step = state.step("C")
    left = gate.places_unmeasured(state, "sill-setback", "")
    assert len(left) == len(state.places("sill-setback", "")) > 0
    assert "not-measured" in [bar.code for bar in gate.bars_of(state, step)]
    unmeasured = [
        point["id"]
        for point in judge.asked_points(state, step)
        if not point.get("info") and gate.places_unmeasured(state, point["id"], "")
    ]
    assert unmeasured == ["sill-setback"]


def test_nothing_named_nothing_is_stale(app: FastAPI, office: TestClient) -> None:
    sent(office, PATH + "?return=C", "return", words="The photo, please.")
    state = state_of(app)
    codes = [bar.code for bar in gate.bars_of(state, state.step("C"))]
    assert "not-measured" not in codes
    sign = gate.sign_of(state, state.step("C"))
    assert sign is not None
    assert not sign.good


def test_a_point_of_another_step_is_not_taken(app: FastAPI, office: TestClient) -> None:
    sent(office, PATH + "?return=C", "return", words="Again.", **{"again.joint-width": "yes"})
    state = state_of(app)
    review = state.review()
    assert review is not None
    assert "again" not in review["body"]
    assert not gate.places_unmeasured(state, "joint-width", "")


def test_words_missing_keep_what_was_chosen(office: TestClient) -> None:
    path, fields = next(
        form
        for form in Page(office.get(PATH + "?return=C").text).forms
        if form[1].get("act") == "return"
    )
    answer = office.post(path, data={**fields, "again.sill-setback": "yes"})
    assert answer.status_code == 422
    assert "Say what the crew should do." in answer.text
    assert 'name="again.sill-setback" value="yes" checked' in answer.text


def test_acceptance_says_so_and_names_the_next_review(office: TestClient) -> None:
    assert "Next review" not in office.get(PATH).text  # no other opening waits
    where = sent(office, PATH, "accept", confirm="yes")
    assert where == PATH + "?said=accepted#judging"
    assert "Accepted. The completion record is issued." in office.get(where).text


def state_of(app: FastAPI) -> State:
    """Return the opening as the office's log has it."""
    with app.state.server.database.read() as session:
        return State(log.events_of(session, [OPENING])[OPENING], PROCEDURES)
