"""The depth of new openings: the opening's own, else the job's, else the company's, else short."""

import html

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.store.tables import Job
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields
from tests.office.test_issue import make_job, new_opening, send, state_of
from tests.office.test_moving import csv_of, example, rows_of, take, taken_out

COMPANY = "/office/company"


def company_has(app: FastAPI, depth: str) -> None:
    oda = enter(app, "administrator")
    form = fields(oda.get(COMPANY).text, COMPANY)
    assert oda.post(COMPANY, data={**form, "depth": depth}).status_code == 200
    assert fields(oda.get(COMPANY).text, COMPANY)["depth"] == depth


def job_has(office: TestClient, job: str, depth: str) -> None:
    path = f"/office/jobs/{job}/change"
    form = fields(office.get(path).text, path)
    assert office.post(path, data={**form, "depth": depth}).status_code == 200


def depth_offered(office: TestClient, job: str) -> str:
    path = f"/office/jobs/{job}/openings/new"
    return fields(office.get(path).text, path)["depth"]


@pytest.mark.parametrize(
    ("company", "job", "wanted"),
    [
        ("", "", "short"),
        ("full", "", "full"),
        ("full", "short", "short"),
        ("short", "full", "full"),
        ("full", "company", "full"),
    ],
)
def test_a_new_opening_starts_with_the_depth_of_its_job_else_of_the_company(
    app: FastAPI, office: TestClient, company: str, job: str, wanted: str
) -> None:
    ours = make_job(office)
    if company:
        company_has(app, company)
    if job:
        job_has(office, ours, job)
    assert depth_offered(office, ours) == wanted
    form = new_opening(office, ours)
    assert send(office, ours, form)[0] == 200
    assert state_of(app, form["opening"]).depth == wanted
    words = {"short": "Short: finer points", "full": "Everything"}[wanted]
    assert words in office.get(f"/office/jobs/{ours}").text.partition("new openings:")[2][:60]


def test_the_opening_s_own_depth_wins(app: FastAPI, office: TestClient) -> None:
    ours = make_job(office)
    job_has(office, ours, "full")
    form = new_opening(office, ours, depth="short")
    send(office, ours, form)
    assert state_of(app, form["opening"]).depth == "short"


def test_a_change_of_the_default_leaves_openings_as_they_are(
    app: FastAPI, office: TestClient
) -> None:
    ours = make_job(office)
    form = new_opening(office, ours)
    send(office, ours, form)
    company_has(app, "full")
    job_has(office, ours, "full")
    assert state_of(app, form["opening"]).depth == "short"


def test_an_empty_cell_takes_the_job_s_else_the_company_s(app: FastAPI, office: TestClient) -> None:
    company_has(app, "full")
    take(office, csv_of([example(office, letter="A", depth="")]))
    with app.state.server.database.read() as session:
        job = session.exec(select(Job.id).where(Job.title == "Far Mill")).one()
    job_has(office, job, "short")
    take(office, csv_of([example(office, letter="B", depth="")]))
    there = [row for row in rows_of(taken_out(office)) if row["job"] == "Far Mill"]
    assert {row["letter"]: row["depth"] for row in there} == {"A": "full", "B": "short"}


def test_a_depth_that_does_not_exist_is_said_at_its_field(app: FastAPI, office: TestClient) -> None:
    oda = enter(app, "administrator")
    answer = oda.post(COMPANY, data={"name": "Osier", "telephone": "", "depth": "deep"})
    assert answer.status_code == 422
    assert errors(html.unescape(answer.text)) == {"f-depth": "Choose one."}
    ours = make_job(office)
    path = f"/office/jobs/{ours}/change"
    form = fields(office.get(path).text, path)
    answer = office.post(path, data={**form, "depth": "deep"})
    assert errors(html.unescape(answer.text)) == {"f-depth": "Choose one."}
    path = "/office/jobs/new"
    form = fields(office.get(path).text, path)
    answer = office.post(path, data={**form, "title": "J", "address": "A", "depth": "deep"})
    assert answer.status_code == 422


def test_a_new_job_may_say_its_depth(office: TestClient) -> None:
    path = "/office/jobs/new"
    form = fields(office.get(path).text, path)
    sent = {**form, "title": "Deep Job", "address": "2 Invented Way", "depth": "full"}
    answer = office.post(path, data=sent)
    assert answer.status_code == 200
    assert office.post(path, data=sent).status_code == 200  # the same form twice
    job = str(answer.url).rpartition("/")[2]
    assert depth_offered(office, job) == "full"
