"""Crews, the plan of an opening, today and the week.

What costs most to let wait comes first: common practice, no source.
"""

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import col, update

from app.office.plan import crews, needs
from app.office.plan.planning import moved_days
from app.store.summary_tables import Summary
from app.store.tables import Assigned, Event, Person
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields
from tests.office.counting import statements_run

OUT = "quarry-steps-a"  # three checks are out there


@pytest.fixture
def heard_now(app: FastAPI) -> None:
    """The demo may be older than half an hour: crews that stand still for longer are stopped."""
    now = datetime.now(UTC).isoformat(timespec="milliseconds")
    with app.state.server.database.write() as session:
        session.exec(update(Summary).where(col(Summary.heard) != "").values(heard=now))


def monday(weeks: int = 0) -> date:
    today = date.today()
    return today - timedelta(days=today.weekday() - 7 * weeks)


def make_crew(office: TestClient, name: str, lead: str, *others: str) -> str:
    path = "/office/crews/new"
    boxes = {f"crew.{one}": "yes" for one in others}
    sent = {**fields(office.get(path).text, path), "name": name, "lead": lead, **boxes}
    office.post(path, data={**sent, "first": "2026-01-05"})
    return re.findall(rf'href="/office/crews/([^"]+)" translate="no">{name}<',
                      office.get("/office/crews").text)[0]  # fmt: skip


def plan(office: TestClient, opening: str, **typed: str) -> Any:
    path = f"/office/plan/{opening}"
    return office.post(path, data={**fields(office.get(path).text, path), **typed})


def test_a_planned_opening_stands_in_the_week_and_on_the_crews_phones(
    app: FastAPI, office: TestClient
) -> None:
    heron = make_crew(office, "Heron", "tobin-hale", "ines-calder")
    first, last = monday(1).isoformat(), (monday(1) + timedelta(1)).isoformat()
    answer = plan(office, "saltgrass-a", crew=heron, first_day=first, last_day=last)
    assert answer.url.path == "/office/today"
    assert answer.text.count('class="week-card') == 2  # a card each day
    with app.state.server.database.read() as session:
        assert session.get(Assigned, ("saltgrass-a", "tobin-hale"))
        assert session.get(Assigned, ("saltgrass-a", "ines-calder"))
        row = session.get_one(Summary, "saltgrass-a")
        assert (row.first_day, row.last_day, row.due) == (first, last, last)
        assert list(app.state.server.database.summaries.differences(session)) == []
    assert "crew Heron" in enter(app, "installer").get("/field").text


def test_a_plan_that_says_nothing_new_writes_nothing(app: FastAPI, office: TestClient) -> None:
    plan(office, OUT, first_day="2026-03-02", promised="2026-03-09")
    plan(office, OUT)
    with app.state.server.database.read() as session:
        run = session.connection().exec_driver_sql
        count = run("SELECT count(*) FROM event WHERE kind = 'opening.planned'").scalar()
        assert count == 1
        assert session.get_one(Summary, OUT).last_day == "2026-03-02"


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"first_day": "next week"}, "f-first-day"),
        ({"last_day": "2026-03-02"}, "f-first-day"),
        ({"first_day": "2026-03-03", "last_day": "2026-03-02"}, "f-last-day"),
        ({"crew": "nobody"}, "f-crew"),
        ({"first_day": "9999-12-31"}, "f-first-day"),
        ({"first_day": "0000-01-01"}, "f-first-day"),
        ({"first_day": "1950-01-02"}, "f-first-day"),
    ],
)
def test_a_wrong_plan_is_told_where_it_was_made_and_keeps_what_was_typed(
    office: TestClient, typed: dict[str, str], field: str
) -> None:
    answer = plan(office, OUT, promised="2026-04-01", **typed)
    assert answer.status_code == 422
    assert list(errors(answer.text)) == [field]
    assert "2026-04-01" in answer.text


@pytest.mark.parametrize(
    "day", ["9999-12-31", "0001-01-01", "0000-01-01", "2199-12-31", "1970-01-01"]
)
def test_a_day_that_no_calendar_goes_on_from_breaks_no_page(office: TestClient, day: str) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    for path in (f"today?day={day}", f"load/{heron}?day={day}", f"plan/{OUT}?day={day}"):
        assert office.get("/office/" + path).status_code == 200


def test_a_crew_changes_by_day_and_its_past_stays(app: FastAPI, office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    path = f"/office/crews/{heron}"
    later = (date.today() + timedelta(days=5)).isoformat()
    office.post(path, data={"name": "Heron", "lead": "ines-calder", "first": later})
    with app.state.server.database.read() as session:
        assert crews.people_on(session, heron, "2026-01-04") == []
        assert crews.people_on(session, heron, date.today().isoformat()) == ["tobin-hale"]
        assert crews.people_on(session, heron, later) == ["ines-calder"]
    assert "Inés Calder" in office.get("/office/crews").text
    office.post(path, data={"act": "end"})
    assert "data-label" not in office.get("/office/today").text  # no row of the week


def test_an_ended_crew_is_named_where_it_was_planned_and_comes_back(
    app: FastAPI, office: TestClient
) -> None:
    """Common practice, no source: nobody learns at the house that no crew was coming."""
    heron = make_crew(office, "Heron", "tobin-hale")
    day = date.today().isoformat()
    plan(office, OUT, crew=heron, first_day=day)
    path = f"/office/crews/{heron}"
    office.post(path, data={"act": "end"})
    assert "No crew goes to Quarry Steps A" in titles(office)
    answer = plan(office, OUT, promised="2026-04-01")  # what was not changed is not lost
    assert list(errors(answer.text)) == ["f-crew"]
    assert f'value="{heron}" selected' in answer.text
    assert path in office.get("/office/crews").text
    office.post(path, data=fields(office.get(path).text, path))
    assert plan(office, OUT, promised="2026-04-01").url.path == "/office/today"
    assert not [one for one in titles(office) if one.startswith("No crew")]


def test_a_crew_whose_lead_left_is_told_of(app: FastAPI, office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale", "ines-calder")
    assert "Crew Heron has no lead" not in titles(office)
    with app.state.server.database.write() as session:
        session.get_one(Person, "tobin-hale").disabled = True
    assert "Crew Heron has no lead" in titles(office)
    path = f"/office/crews/{heron}"
    office.post(path, data={**fields(office.get(path).text, path), "lead": "ines-calder"})
    assert "Crew Heron has no lead" not in titles(office)


def test_two_crews_have_two_names(office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    path = "/office/crews/new"
    sent = {**fields(office.get(path).text, path), "name": "Heron", "lead": "ines-calder"}
    assert list(errors(office.post(path, data=sent).text)) == ["f-name"]
    path = f"/office/crews/{heron}"  # its own name is no other's
    assert office.post(path, data=fields(office.get(path).text, path)).status_code == 200


def test_what_is_accepted_is_moved_no_more(app: FastAPI, office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    plan(office, OUT, crew=heron, first_day="2026-03-02")
    week = f"/office/today?day=2026-03-02&move={OUT}"
    assert 'class="aside week-move"' in office.get(week).text
    with app.state.server.database.write() as session:
        session.get_one(Summary, OUT).state = "done"
    html = office.get(week).text
    assert 'class="week-card' in html
    assert 'class="aside week-move"' not in html
    assert "data-opening" not in html
    assert f'action="/office/plan/{OUT}"' not in html


def test_a_crew_needs_a_name_and_a_lead(office: TestClient) -> None:
    path = "/office/crews/new"
    sent = {**fields(office.get(path).text, path), "name": "", "lead": "nobody", "first": "soon"}
    answer = office.post(path, data=sent)
    assert answer.status_code == 422
    assert set(errors(answer.text)) == {"f-name", "f-lead", "f-first"}


def test_a_move_keeps_how_long_it_lasts(office: TestClient) -> None:
    days = {"first_day": "2026-03-02", "last_day": "2026-03-04"}
    moved = {"first_day": "2026-03-09", "last_day": "2026-03-11"}
    assert moved_days(days, "2026-03-09") == moved
    heron = make_crew(office, "Heron", "tobin-hale")
    plan(office, OUT, crew=heron, **days)
    html = office.get(f"/office/today?day=2026-03-09&move={OUT}").text
    sent = fields(html, f"/office/plan/{OUT}")  # the first button: the crew's Monday
    assert {**sent, "crew": heron, "promised": "", **moved} == sent
    office.post(f"/office/plan/{OUT}", data=sent)
    assert 'class="week-card' in office.get("/office/today?day=2026-03-11").text
    assert 'class="week-card' not in office.get("/office/today?day=2026-03-02").text


def test_the_last_day_goes_with_the_first_one_where_nobody_changed_it(
    app: FastAPI, office: TestClient
) -> None:
    """One field moves a job: typed past its last day, it lasts as long as before."""
    heron = make_crew(office, "Heron", "tobin-hale")
    plan(office, OUT, crew=heron, first_day="2026-03-02", last_day="2026-03-04")
    plan(office, OUT, first_day="2026-03-09")
    with app.state.server.database.read() as session:
        row = session.get_one(Summary, OUT)
    assert (row.first_day, row.last_day) == ("2026-03-09", "2026-03-11")
    answer = plan(office, OUT, first_day="2026-03-20", last_day="2026-03-12")
    assert list(errors(answer.text)) == ["f-last-day"]


def titles(office: TestClient) -> list[str]:
    html = office.get("/office/today").text
    return re.findall(r'class="need-title" translate="no">([^<]*)<', html)


@pytest.mark.usefixtures("heard_now")
def test_today_says_what_is_out_and_leads_to_the_act(office: TestClient) -> None:
    html = office.get("/office/today").text
    assert "Quarry Steps A: 3 checks out" in html
    assert f'href="/office/o/{OUT}#look-title"' in html


def test_a_crew_that_enters_nothing_while_something_is_out_is_stopped(app: FastAPI) -> None:
    later = datetime.now(UTC) + timedelta(hours=1)
    with app.state.server.database.read() as session:
        found = needs.needs_of(session, later)
    assert found[0].title.template == "{who}: {opening}, {out}"
    assert found[0].urgent


def test_late_is_seen_until_it_is_done(app: FastAPI, office: TestClient) -> None:
    plan(office, OUT, first_day="2026-03-02", promised="2026-03-09")
    assert "Late: Quarry Steps A" in titles(office)
    plan(office, OUT, first_day="2026-03-02", last_day="2199-01-01", promised="2199-01-01")
    assert "Late: Quarry Steps A" not in titles(office)


def test_the_list_has_the_late_ones_and_those_of_a_crew(office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    plan(office, OUT, crew=heron, first_day="2026-01-05")
    plan(office, "saltgrass-a", crew="", first_day=monday(9).isoformat())
    for asked in ("show=late", f"crew=crew:{heron}"):
        listed = office.get("/office?" + asked).text
        assert f"o-{OUT}" in listed
        assert "o-saltgrass-a" not in listed


@pytest.mark.usefixtures("heard_now")
def test_a_query_comes_before_what_is_out(app: FastAPI, office: TestClient) -> None:
    crew = enter(app, "installer")
    path = "/field/o/marrow-lane-b/queries"
    sent = {**fields(crew.get(path).text, path), "what": "drawing says 96", "bars.B1": "yes"}
    crew.post(path, data=sent)
    said = titles(office)
    assert said.index("Question: Marrow Lane B, drawing says 96") < said.index(
        "Quarry Steps A: 3 checks out"
    )
    with app.state.server.database.read() as session:
        run = session.connection().exec_driver_sql
        id_ = run("SELECT id FROM event WHERE kind = 'query.raised'").scalar()
        assert session.get_one(Event, id_)
    page = office.get("/office/today").text
    assert f"/office/o/marrow-lane-b#query-{id_}" in page


def test_what_to_load_sums_the_weeks_openings(office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    plan(office, OUT, crew=heron, first_day="2026-03-02")
    html = office.get(f"/office/load/{heron}?day=2026-03-04").text
    assert "Quarry Steps" in html
    assert "Nothing is planned" in office.get(f"/office/load/{heron}?day=2026-03-11").text
    assert office.get("/office/load/nobody").status_code == 404


def test_no_query_of_today_goes_through_the_whole_table(app: FastAPI) -> None:
    """SQLite's own plan: each statement over summaries searches by an index, or walks one."""
    from tests.office.test_board import spread

    database = app.state.server.database
    spread(database, 500)
    with statements_run(database) as run, database.read() as session:
        needs.needs_of(session, datetime.now(UTC))
    assert len(run) <= 12
    with database.read() as session:
        for statement in [words for words in run if "FROM summary" in words]:
            holes = statement.count("?")
            rows = session.connection().exec_driver_sql(
                "EXPLAIN QUERY PLAN " + statement, tuple("0" * holes)
            )
            told = " ".join(row[3] for row in rows)
            assert "USING INDEX" in told, (statement, told)
            assert "TEMP B-TREE" not in told, (statement, told)


def test_a_returned_opening_is_told_in_the_week(app: FastAPI, office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale", "ines-calder")
    plan(office, "marrow-lane-b", crew=heron, first_day=monday().isoformat())
    assert ", returned" not in office.get("/office/today").text
    with app.state.server.database.write() as session:
        session.get_one(Summary, "marrow-lane-b").state = "returned"
    assert ", returned" in office.get("/office/today").text
