"""The company at the office: kept by administrators, said by records that are issued after."""

import html

from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.store.company import company_of
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields

PATH = "/office/company"


def kept(app: FastAPI) -> tuple[str, str]:
    with app.state.server.database.read() as session:
        ours = company_of(session)
    return ours.name, ours.telephone


def test_administrator_changes_the_company(app: FastAPI) -> None:
    oda = enter(app, "administrator")
    form = fields(oda.get(PATH).text, PATH)
    assert (form["name"], form["telephone"]) == kept(app)
    answer = oda.post(PATH, data={"name": " Osier & Sons ", "telephone": "555-0142"})
    assert kept(app) == ("Osier & Sons", "555-0142")
    assert "Kept." in answer.text
    assert fields(answer.text, PATH)["name"] == "Osier & Sons"


def test_what_is_wrong_is_said_at_the_field_and_what_was_typed_stays(app: FastAPI) -> None:
    oda = enter(app, "administrator")
    before = kept(app)
    answer = oda.post(PATH, data={"name": " ", "telephone": "5" * 61})
    assert answer.status_code == 422
    assert errors(html.unescape(answer.text)) == {
        "f-name": "Give the name of the company.",
        "f-telephone": "At most 60 characters fit here.",
    }
    assert fields(answer.text, PATH)["telephone"] == "5" * 61
    assert kept(app) == before


def test_supervisor_is_not_shown_the_way_there(app: FastAPI, office: TestClient) -> None:
    assert f'href="{PATH}"' not in office.get("/office").text
    assert office.get(PATH).status_code == 403
    assert f'href="{PATH}"' in enter(app, "administrator").get("/office").text
