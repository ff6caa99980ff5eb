"""Calendars by private link: what a crew, or the whole company, is planned for (iCalendar).

A link shows jobs, addresses and days, no names of people. It is kept as a hash, and ends when it
is ended, when its crew ends, or with the account of whoever made it.
Source: RFC 5545; written by the icalendar library.
"""

import logging
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends
from icalendar import Calendar, Event
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.quantity.messages import Msg, When
from app.homeowner import links
from app.homeowner.private import count_try
from app.office.pages import form_of, office_page
from app.office.plan import crews
from app.store.people import names_by_id
from app.store.summary_tables import NOTHING, Summary
from app.store.tables import CalendarLink, Crew, Person

router = APIRouter()
Asker = Annotated[Person, Depends(need_supervisor)]
BACK = timedelta(days=60)  # what a calendar still shows of the past
MOST = 2000
COMPANY = "all"
_LOG = logging.getLogger("sillbook.access")


@router.get("/office/calendars/{crew}")
def calendars_page(request: Request, _: Asker, crew: str) -> Response:
    """Show the links of a crew's calendar, or of the whole company's ("all")."""
    return _calendars_response(request, crew, "")


def _calendars_response(request: Request, crew: str, token: str) -> Response:
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        title = "" if crew == COMPANY else crews.crew_of_id(session, crew).name
        wanted = select(CalendarLink).where(CalendarLink.crew == _kept_crew(crew))
        kept = session.exec(wanted.order_by(col(CalendarLink.made).desc())).all()
        names = names_by_id(session)
    address = f"{str(request.base_url).rstrip('/')}/calendar/{token}.ics" if token else ""
    path = f"/office/calendars/{crew}"
    context = {
        "title": title or say(Msg("The whole company")),
        "fresh": address,
        "make": form_of(path, act="make"),
        "links": [
            {"text": say(_link_words(row, names)),
             "end": None if row.ended else form_of(path, act="end", link=row.token_hash)}
            for row in kept
        ],
    }  # fmt: skip
    return office_page(request, "office/calendars.html", Msg("Calendar"), context)


def _kept_crew(crew: str) -> str:
    return "" if crew == COMPANY else crew


def _link_words(row: CalendarLink, names: dict[str, str]) -> Msg:
    made, who = _day_of(row.made), names.get(row.person, row.person)
    if row.ended:
        return Msg("Made {day} by {who}, ended {end}", day=made, who=who, end=_day_of(row.ended))
    return Msg("Made {day} by {who}", day=made, who=who)


def _day_of(seconds: int) -> When:
    return When(datetime.fromtimestamp(seconds).date().isoformat())


@router.post("/office/calendars/{crew}")
def change_links(request: Request, asker: Asker, crew: str, form: FormFields) -> Response:
    """Make a link, which is shown once, or end one."""
    token = links.fresh_token() if form.get("act") == "make" else ""
    now = int(server_of(request).clock())
    with server_of(request).database.write() as session:
        if crew != COMPANY:
            crews.crew_of_id(session, crew)
        row = session.get(CalendarLink, form.get("link", ""))
        if token:
            row = CalendarLink(token_hash=links.hash_of(token), crew=_kept_crew(crew),
                               person=asker.id, made=now)  # fmt: skip
            session.add(row)
        elif row is not None and row.crew == _kept_crew(crew) and not row.ended:
            row.ended = now
            session.add(row)
    _LOG.info("calendar of %r: link %s by %r", crew, "made" if token else "ended", asker.id)
    return _calendars_response(request, crew, token)


@router.get("/calendar/{token}.ics")
def calendar_feed(request: Request, token: str) -> Response:
    """Give the calendar of a link: the openings planned, a day or more each."""
    now = datetime.fromtimestamp(server_of(request).clock(), UTC)
    with server_of(request).database.read() as session:
        link = _link_of(session, token)
        rows = _planned(session, link.crew, now.date() - BACK) if link is not None else []
        names = {crew.id: crew.name for crew in session.exec(select(Crew)).all()}
    if link is None:
        count_try(request)  # who guesses slows down
        raise links.LinkUnknownError
    title = names.get(link.crew, "") or "Sillbook"
    data = calendar_of(rows, title, names, now)
    headers = {"Cache-Control": "private, no-store", "Referrer-Policy": "no-referrer"}
    return Response(data, media_type="text/calendar; charset=utf-8", headers=headers)


def _link_of(session: Session, token: str) -> CalendarLink | None:
    row = session.get(CalendarLink, links.hash_of(token))
    if row is None or row.ended:
        return None
    maker, crew = session.get(Person, row.person), session.get(Crew, row.crew)
    gone = maker is None or maker.disabled or maker.role == "installer"
    return None if gone or (row.crew and (crew is None or crew.ended)) else row


def _planned(session: Session, crew: str, since: date) -> Sequence[Summary]:
    wanted = select(Summary).where(
        Summary.last_day != NOTHING,
        Summary.last_day >= since.isoformat(),
        Summary.state != "cancelled",
    )
    if crew:
        wanted = wanted.where(Summary.crew == crew)
    order = (col(Summary.last_day), col(Summary.opening))
    return session.exec(wanted.order_by(*order).limit(MOST)).all()


def calendar_of(
    rows: Sequence[Summary], title: str, crews_by_id: dict[str, str], now: datetime
) -> bytes:
    """Return a calendar with an event of whole days for each opening; the end is exclusive."""
    calendar = Calendar()
    calendar.add("prodid", "-//Sillbook//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", title)
    for row in rows:
        one = Event()
        one.add("uid", f"{row.opening}@sillbook")
        one.add("dtstamp", now)
        one.add("dtstart", date.fromisoformat(row.first_day))
        one.add("dtend", date.fromisoformat(row.last_day) + timedelta(days=1))
        one.add("summary", ", ".join(filter(None, (
            f"{row.title} {row.letter} {row.room}", crews_by_id.get(row.crew, "")))))  # fmt: skip
        one.add("location", row.address)
        calendar.add_component(one)
    feed: bytes = calendar.to_ical()
    return feed
