"""Calendars by private link, read back by another library (vobject) than the one that wrote them.

Beside it the feed is unfolded and read by the grammar of RFC 5545, 3.1 and 3.6.1.
"""

import re
from datetime import date, timedelta

import vobject
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.access.conftest import browser_of
from tests.office.conftest import fields
from tests.office.test_plan import make_crew, plan


def lines_of(feed: str) -> list[str]:
    """Return the content lines of a feed, unfolded (RFC 5545, 3.1: CRLF and a space)."""
    assert feed.endswith("\r\n")
    assert all(len(line.encode()) <= 75 for line in feed.split("\r\n"))
    return feed.replace("\r\n ", "").rstrip("\r\n").split("\r\n")


def make_link(office: TestClient, crew: str) -> str:
    path = f"/office/calendars/{crew}"
    html = office.post(path, data=fields(office.get(path).text, path)).text
    return re.findall(r"/calendar/[^<]+\.ics", html)[0]


def test_a_crews_calendar_has_its_openings_by_whole_days(app: FastAPI, office: TestClient) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    first = date.today()
    last = first + timedelta(days=2)
    plan(office, "saltgrass-a", crew=heron, first_day=str(first), last_day=str(last))
    plan(office, "saltgrass-b", first_day=str(first))  # nobody's
    link = make_link(office, heron)
    answer = browser_of(app).get(link)
    assert answer.headers["content-type"].startswith("text/calendar")
    told = lines_of(answer.text)
    assert told[0] == "BEGIN:VCALENDAR"
    assert told[-1] == "END:VCALENDAR"
    assert told.count("BEGIN:VEVENT") == 1
    assert f"DTSTART;VALUE=DATE:{first:%Y%m%d}" in told
    assert f"DTEND;VALUE=DATE:{last + timedelta(days=1):%Y%m%d}" in told  # exclusive: 3.6.1
    assert any(re.match(r"DTSTAMP:\d{8}T\d{6}Z$", line) for line in told)
    assert any(line.startswith("SUMMARY:Saltgrass Bend A Great room") for line in told)
    [event] = next(vobject.readComponents(answer.text)).vevent_list
    assert (event.dtstart.value, event.dtend.value) == (first, last + timedelta(days=1))
    assert event.summary.value.startswith("Saltgrass Bend A Great room")
    everything = browser_of(app).get(make_link(office, "all")).text
    assert lines_of(everything).count("BEGIN:VEVENT") == 2
    both = next(vobject.readComponents(everything)).vevent_list
    assert {event.dtstart.value for event in both} == {first}
    assert len({event.uid.value for event in both}) == 2


def test_a_link_that_was_ended_leads_nowhere_and_is_kept_as_a_hash(
    app: FastAPI, office: TestClient
) -> None:
    link = make_link(office, "all")
    path = "/office/calendars/all"
    html = office.get(path).text
    token = link.split("/")[-1].removesuffix(".ics")
    assert token not in html
    form = html[html.rindex("<form", 0, html.index("End this link")) :]
    office.post(path, data=fields(form, path))
    assert browser_of(app).get(link).status_code == 404
    assert browser_of(app).get("/calendar/nothing.ics").status_code == 404


def test_a_link_ends_with_its_crew_and_with_whoever_made_it(
    app: FastAPI, office: TestClient
) -> None:
    heron = make_crew(office, "Heron", "tobin-hale")
    link, ours = make_link(office, heron), make_link(office, "all")
    office.post(f"/office/crews/{heron}", data={"act": "end"})
    assert browser_of(app).get(link).status_code == 404
    assert browser_of(app).get(ours).status_code == 200
    with app.state.server.database.write() as session:
        session.connection().exec_driver_sql(
            "UPDATE person SET disabled = 1 WHERE id = 'nadia-ferrow'"
        )
    assert browser_of(app).get(ours).status_code == 404
