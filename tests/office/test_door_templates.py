"""Templates of door systems: kept of a drawn door, chosen at the head of a new opening's form.

No outside source: what must come over is counted field by field against the door it was kept of.
"""

import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.core.kinds import Json
from app.store import log
from app.store.door_templates import IDENTITY
from app.store.tables import Opening
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields
from tests.office.test_issue import drawing, make_job, shown_fields

DOOR = "marrow-lane-b"
NAME, WHY = "Slim four-panel", "Limits of the maker's sheet of 2026, page 4."


def keep(office: TestClient, name: str = NAME, why: str = WHY, opening: str = DOOR) -> str:
    """Keep a template of a door; returns what chooses it in the form."""
    path = f"/office/templates/new/{opening}"
    sent = {**fields(office.get(path).text, path), "name": name, "why": why}
    assert office.post(path, data=sent).url.path == "/office/templates"
    page = office.get(f"/office/jobs/{make_job(office)}/openings/new").text
    found = re.findall(rf'<option value="(template:[^"]+)"[^>]*>Template: {name}<', page)
    assert len(found) == 1
    return str(found[0])


def drawing_of(app: FastAPI, opening: str) -> Json:
    with app.state.server.database.read() as session:
        body: Json = log.events_of(session, [opening])[opening][0]["body"]
    return body


def test_a_door_is_issued_from_a_template_with_what_only_it_needs(
    app: FastAPI, office: TestClient
) -> None:
    job, chosen = make_job(office), keep(office)
    path = f"/office/jobs/{job}/openings/new"
    page = office.get(f"{path}?copy={chosen}").text
    form = fields(page, path)
    assert WHY.replace("'", "&#39;") in page
    assert [form.get(name, "") for name in IDENTITY] == ["", "", "", ""]
    assert form["letter"] == "A"
    typed = {"number": "S-777", "room": "Porch"}  # and nothing else
    answer = office.post(path, data={**form, **typed, "act": "issue"})
    assert answer.url.path == f"/office/jobs/{job}", errors(answer.text)
    with app.state.server.database.read() as session:
        made = session.exec(select(Opening.id).where(Opening.job == job)).one()
    first, other = drawing_of(app, DOOR), drawing_of(app, made)
    assert other["procedure"] == first["procedure"]
    own = {"number": "S-777", "revision": "", "author": "", "date": ""}
    assert other["drawing"] == {**drawing("marrow-lane-b.yaml"), **own}


def test_a_form_begun_with_a_template_shows_at_most_twenty_fields_unfolded(
    office: TestClient,
) -> None:
    """Twenty: what the office asked for. Hidden and folded fields are not seen."""
    job, chosen = make_job(office), keep(office)
    page = office.get(f"/office/jobs/{job}/openings/new?copy={chosen}").text
    assert 8 <= len(shown_fields(page)) <= 20
    assert "given, begun with the template" in page


def test_one_of_the_same_name_takes_the_place_of_the_one_before(office: TestClient) -> None:
    first = keep(office)
    assert keep(office, NAME.upper(), "Newer.", "saltgrass-a") != first
    page = office.get("/office/templates").text
    assert page.count("End this template") == 1
    assert "Newer." in page
    assert WHY not in page


def test_an_ended_template_is_chosen_no_more_and_breaks_no_form(
    app: FastAPI, office: TestClient
) -> None:
    job, chosen = make_job(office), keep(office)
    path = f"/office/jobs/{job}/openings/new"
    form = fields(office.get(f"{path}?copy={chosen}").text, path)
    page = office.get("/office/templates").text
    office.post("/office/templates", data={**fields(page, "/office/templates")})
    assert "Template: " not in office.get(path).text
    assert office.get(f"{path}?copy={chosen}").status_code == 404
    # who had the form open already loses nothing
    answer = office.post(path, data={**form, "number": "S-1", "room": "Hall", "act": "issue"})
    assert answer.url.path == f"/office/jobs/{job}"


@pytest.mark.parametrize(
    ("typed", "at"),
    [({"name": " "}, "f-name"), ({"name": "x" * 81}, "f-name"), ({"why": "y" * 501}, "f-why")],
)
def test_what_does_not_fit_is_said_at_its_field_and_kept(
    office: TestClient, typed: dict[str, str], at: str
) -> None:
    path = f"/office/templates/new/{DOOR}"
    answer = office.post(path, data={"name": NAME, "why": WHY, **typed})
    assert answer.status_code == 422
    assert list(errors(answer.text)) == [at]
    assert "No template is here yet." in office.get("/office/templates").text


def test_there_is_no_template_of_what_is_not_there(app: FastAPI, office: TestClient) -> None:
    assert office.get("/office/templates/new/nothing").status_code == 404
    sent = {"name": NAME, "why": ""}
    assert office.post("/office/templates/new/nothing", data=sent).status_code == 404
    job = make_job(office)
    page = office.get(f"/office/jobs/{job}/openings/new?copy=template:nothing")
    assert page.status_code == 404
    assert enter(app, "installer").get("/office/templates").status_code == 403
