"""The set-out of a whole job in the office; what the form and a CSV say of locks and pockets."""

import re

from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.office.issue import reading
from app.office.issue.writing import in_columns, texts_of
from tests.demo.conftest import enter

JOB = "/office/jobs/marrow-lane"
POCKETED = {
    "number": "P-1", "door": "sliding", "lock": "left", "rule": "simple", "set_from": "outside",
    "panel_1_kind": "P", "panel_1_track": "1", "panel_1_width": "48", "panel_1_height": "92",
    "panel_1_lead": "yes",
    "panel_2_kind": "p", "panel_2_track": "2", "panel_2_width": "48", "panel_2_height": "92",
    "frame_width": "98", "jamb_face": "2", "interlock_overlap": "2", "tracks": "2",
    "pocket_depth": "50", "lock_clear": "3", "interlock_clear": "1", "locks": "37\n4 ft",
}  # fmt: skip
TERMS = reading.Terms("in", [], [])


def rows(html: str) -> dict[str, str]:
    """Return the rows of the last table: the sum over the job."""
    cells = re.findall(r"<tr><td>([^<]*)</td><td>([^<]*)</td></tr>", html[html.rindex("set-sum") :])
    return dict(cells)


def test_every_opening_then_the_sum(office: TestClient) -> None:
    html = office.get(JOB + "/setout").text
    assert html.index('id="opening-marrow-lane-a"') < html.index('id="opening-marrow-lane-b"')
    assert html.rindex("set-sum") > html.index('id="opening-marrow-lane-b"')
    # the drawings: 27 and 24 anchors; 4 and 3 panels, one of them fixed with its screws
    assert rows(html)["Anchors for jambs and head"] == "51"
    assert rows(html)["Panels to pull with the force gauge, both ways"] == "6"
    # what the first opening still waits for is named with its letter
    assert "Opening A: Shims: finish" in html
    assert f'href="{JOB}/setout"' in office.get(JOB).text


def test_each_opening_has_a_plan_at_each_stage(office: TestClient) -> None:
    html = office.get(JOB + "/setout").text
    assert html.count('class="p-now"') == 4 + 3


def test_an_unknown_job_is_said(office: TestClient) -> None:
    assert office.get("/office/jobs/nothing/setout").status_code == 404


def test_the_crew_has_it_for_the_job_in_its_book(app: FastAPI) -> None:
    crew = enter(app, "installer")
    html = crew.get("/field/o/marrow-lane-a/setout/job").text
    assert rows(html)["Anchors for jambs and head"] == "51"
    assert '/field/o/marrow-lane-a/setout/job"' in crew.get("/field/o/marrow-lane-a/setout").text
    assert crew.get("/field/o/saltgrass-a/setout/job").status_code == 404


def test_locks_and_pockets_are_read_and_written_the_same() -> None:
    drawn = reading.read_drawing(POCKETED, TERMS)
    assert [problem.message.template for problem in drawn.problems] == []
    assert [panel["kind"] for panel in drawn.drawing["panels"]] == ["P", "P"]
    assert drawn.drawing["locks"] == [str(37 * 25_400_000), str(48 * 25_400_000)]
    for texts in (texts_of(drawn.drawing, "in", []), in_columns(texts_of(drawn.drawing, "mm", []))):
        assert reading.read_drawing(texts, TERMS).drawing == drawn.drawing


def test_a_drawing_without_locks_stays_what_it_was() -> None:
    drawn = reading.read_drawing({**POCKETED, "locks": ""}, TERMS)
    assert "locks" not in drawn.drawing
    assert any(words.template == "Locks" for words in drawn.missing)


def test_a_shallow_pocket_and_a_wrong_kind_are_said_at_their_field() -> None:
    shallow = reading.read_drawing({**POCKETED, "pocket_depth": "40"}, TERMS)
    assert shallow.problems[0].field == "pocket_depth"
    wrong = reading.read_drawing({**POCKETED, "panel_1_kind": "Z"}, TERMS)
    assert wrong.problems[0].field == "panel_1_kind"
