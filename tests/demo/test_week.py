"""The week of the demo company: its crews, and what they are to do, whenever it is loaded."""

from datetime import date, datetime, timedelta, timezone

import pytest
from fastapi import FastAPI
from sqlmodel import select

from app.demo.week import load_week, working_day
from app.store.summary_tables import Summary
from app.store.tables import Assigned, CrewSetup, Event
from tests.demo.conftest import enter

NOW = datetime.now().astimezone()
PLANNED = 5


def test_today_shows_crews_and_what_they_are_to_do(app: FastAPI) -> None:
    load_week(app.state.server.database, NOW)
    page = enter(app, "supervisor").get("/office/today").text
    assert page.count('href="/office/crews/') == 2
    shown = page.split('<table class="week">')[1].split("</table>")[0]
    for one in ("marrow-lane-b", "quarry-steps-a"):  # of today, whichever day it is
        assert f'data-opening="{one}"' in shown
    assert "late" in shown  # what was promised for the working day before
    assert page.count("/office/plan/quarry-steps-b") == 1  # the one that nobody planned


def test_each_crew_has_members_the_lead_first_who_find_their_doors(app: FastAPI) -> None:
    database = app.state.server.database
    load_week(database, NOW)
    with database.read() as session:
        crews = {one.crew: one.people.split() for one in session.exec(select(CrewSetup))}
        assert {crew: (people[0], len(people)) for crew, people in crews.items()} == {
            "heron": ("tobin-hale", 2),
            "plover": ("ines-calder", 2),
        }
        assert session.get(Assigned, ("saltgrass-a", "sanna-reeve"))
        assert list(database.summaries.differences(session)) == []


@pytest.mark.parametrize(
    ("day", "count", "then"),
    [
        (2, 0, 2), (2, 4, 6), (2, 5, 9), (2, -1, -1), (4, 3, 9), (6, 1, 9), (6, 0, 6),
        (7, 0, 6), (8, 1, 9), (8, -5, -1), (8, 10, 20),
    ],
)  # fmt: skip
def test_working_days_leave_weekends_out(day: int, count: int, then: int) -> None:
    """Against a calendar: 2 March 2026 is a Monday."""
    monday = date(2026, 3, 2)
    assert working_day(date(2026, 3, day), count) == monday + timedelta(days=then - 2)


def test_a_second_time_plans_nothing(app: FastAPI) -> None:
    database = app.state.server.database
    sunday = datetime(2026, 3, 8, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    for now in (sunday, NOW):
        load_week(database, now)
    with database.read() as session:
        row = session.get_one(Summary, "saltgrass-a")
        assert (row.first_day, row.last_day, row.promised) == (
            "2026-03-09", "2026-03-11", "2026-03-12",
        )  # fmt: skip
        planned = select(Event.id).where(Event.kind == "opening.planned")
        assert len(session.exec(planned).all()) == PLANNED
