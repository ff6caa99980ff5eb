"""/office/today: what needs the office, one click to each act; below it the week of the crews."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.kinds import Json
from app.core.pages.setout_job import setouts_together
from app.core.quantity.messages import Msg, Plural, Qty, When
from app.core.quantity.speaker import MONTHS, Speaker
from app.core.record.events import is_day
from app.core.record.state import State
from app.core.trade import handling
from app.office.pages import form_of, office_page
from app.office.plan import crews, needs
from app.office.plan.planning import moved_days
from app.store import log, procedures
from app.store.people import names_by_id
from app.store.summary_tables import NOTHING, SETTLED, Summary
from app.store.tables import Crew, CrewSetup, Person

router = APIRouter(prefix="/office")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST_CARDS = 1000
MOST_UNPLANNED = 8
_DAYS = (Msg("Mon"), Msg("Tue"), Msg("Wed"), Msg("Thu"), Msg("Fri"), Msg("Sat"), Msg("Sun"))


@router.get("/today")
def today_page(request: Request, _: Asker, day: str = "", move: str = "") -> Response:
    """Show what needs the office and the week of a day; move: the opening that is moved."""
    now = datetime.fromtimestamp(server_of(request).clock(), UTC)
    today = crews.today_of(request)
    monday = _monday_of(day if is_day(day) else today)
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        found = needs.needs_of(session, now)
        more = needs.more_than_shown(session, now)
        week = week_of(session, speaker, monday, today, move)
    context = {
        "needs": [
            {
                "title": speaker.say(one.title),
                "more": speaker.say(one.more) if one.more is not None else "",
                "href": one.href,
                "button": speaker.say(one.button),
                "urgent": one.urgent,
            }
            for one in found
        ],
        "more": [{"href": href, "text": speaker.say(words.of(n))} for href, words, n in more],
        "week": week,
    }
    return office_page(request, "office/today.html", Msg("Today"), context)


def _monday_of(day: str) -> date:
    at = date.fromisoformat(day)
    return at - timedelta(days=at.weekday())


def week_of(session: Session, speaker: Speaker, monday: date, today: str, move: str) -> Json:
    """Return the week for its template: crews down, days across, openings as cards."""
    days = [(monday + timedelta(days=n)).isoformat() for n in range(7)]
    rows = _planned_rows(session, days[0], days[6])
    moving = session.get(Summary, move) if move else None
    if moving and (moving.practice or moving.state in SETTLED):
        moving = None
    last = 7 if moving or any(row.last_day >= days[5] for row in rows) else 5
    days = days[:last]
    kept = crews.crews_in_use(session)
    known = {crew.id for crew in kept}
    others = sorted({row.crew for row in rows} - known)
    names = names_by_id(session)
    setups = crews.setups_of(session)
    cards = {row.opening: _card(speaker, row, today) for row in rows}
    lines = []
    for crew in [*kept, *(session.get(Crew, id) or Crew(id="", name="") for id in others)]:
        mine = [row for row in rows if row.crew == crew.id]
        people = crews.on_day(setups, crew.id, today)
        lines.append(
            {
                "id": crew.id,
                "name": crew.name or speaker.say(Msg("No crew")),
                "href": f"/office/crews/{crew.id}" if crew.id else "",
                "load": f"/office/load/{crew.id}?day={days[0]}" if crew.id and mine else "",
                "people": _people_short(names, people),
                "days": [
                    {
                        "day": _day_words(speaker, day),
                        "date": day,
                        "today": day == today,
                        "cards": [
                            {**cards[row.opening],
                             "movable": day == max(row.first_day, days[0])}
                            for row in mine
                            if row.first_day <= day <= row.last_day
                        ],
                        "move": _move_form(moving, crew.id, day) if moving else None,
                    }
                    for day in days
                ],
            }
        )  # fmt: skip
    return {
        "days": [{"text": _day_words(speaker, day), "today": day == today} for day in days],
        "crews": lines,
        "earlier": f"/office/today?day={(monday - timedelta(days=7)).isoformat()}#week",
        "later": f"/office/today?day={(monday + timedelta(days=7)).isoformat()}#week",
        "moving": needs.name_of(moving) if moving else "",
        "plan": f"/office/plan/{moving.opening}" if moving else "",
        "unplanned": [_unplanned_line(row) for row in _unplanned_rows(session)],
        "lifting": [speaker.say(words) for words in _lifting_notes(setups, rows, days)],
    }


def _planned_rows(session: Session, first: str, last: str) -> Sequence[Summary]:
    """Return the openings that are planned for a day of these, by the index of their last day."""
    wanted = select(Summary).where(
        Summary.last_day != NOTHING, Summary.last_day >= first, Summary.first_day <= last
    )
    wanted = wanted.where(Summary.state != "cancelled")
    order = (col(Summary.last_day), col(Summary.opening))
    return session.exec(wanted.order_by(*order).limit(MOST_CARDS)).all()


def _unplanned_rows(session: Session) -> Sequence[Summary]:
    wanted = select(Summary).where(
        Summary.last_day == "",
        col(Summary.state).not_in((*SETTLED, "signed")),
        col(Summary.practice).is_(False),
    )
    order = (col(Summary.place), col(Summary.heard), col(Summary.opening))
    return session.exec(wanted.order_by(*order).limit(MOST_UNPLANNED)).all()


def _unplanned_line(row: Summary) -> Json:
    return {"href": f"/office/plan/{row.opening}", "text": f"{row.title} {row.letter} {row.room}"}


def _card(speaker: Speaker, row: Summary, today: str) -> Json:
    say = speaker.say
    late = row.due != "" and row.due < today
    settled = row.state in SETTLED
    kind = "late" if late else ("done" if settled else "planned")
    lines = []
    if row.state in ("done", "archived", "signed"):
        lines.append(say(Msg("accepted") if row.state != "signed" else Msg("ready for review")))
    elif row.begun:
        step = Msg("at {step}", step=row.step)
        begun = row.begun[:10]
        if begun != row.first_day:
            step = Msg("at {step}, begun {day}", step=row.step, day=_day_words(speaker, begun))
        lines.append(say(step))
        if row.state == "returned":
            lines.append(say(Msg("returned")))
    elif row.first_day < today:
        lines.append(say(Msg("not begun")))
    if row.until:
        lines.append(say(Msg("waits until {time}", time=When(row.until))))
    if late:
        lines.append(say(Msg("late")))
    return {
        "id": "o-" + row.opening,
        "opening": "" if settled else row.opening,  # what is accepted is moved no more
        "href": f"/office/o/{row.opening}" if settled else f"/office/plan/{row.opening}",
        "move": f"/office/today?day={row.first_day}&move={row.opening}#week",
        "text": needs.name_of(row),
        "more": ", ".join(lines),
        "kind": kind,
    }


def _day_words(speaker: Speaker, day: str) -> str:
    at = date.fromisoformat(day)
    month = speaker.say(Msg(MONTHS[at.month - 1]))
    return f"{speaker.say(_DAYS[at.weekday()])} {at.day} {month}"


def _people_short(names: dict[str, str], people: list[str]) -> str:
    if not people:
        return ""
    lead = names.get(people[0], people[0])
    return lead if len(people) == 1 else f"{lead} +{len(people) - 1}"


def _move_form(row: Summary, crew: str, day: str) -> Json:
    days = moved_days({"first_day": row.first_day, "last_day": row.last_day}, day)
    form = form_of(f"/office/plan/{row.opening}", crew=crew, promised=row.promised, **days)
    return {**form, "id": f"move-{crew}-{day}"}


def _lifting_notes(setups: list[CrewSetup], rows: Sequence[Summary], days: list[str]) -> list[Msg]:
    """Return what lifting each opening of the week needs that its crew cannot give by hand.

    For planning: whoever directs the lift decides (see handling.py).
    """
    out = []
    for row in rows:
        letter, _, mass = row.heaviest.partition(" ")
        if not mass or row.state in SETTLED or row.first_day not in days:
            continue
        count = handling.fewest_people(int(mass))
        size = len(crews.on_day(setups, row.crew, row.first_day))
        if count is None or count > max(size, 1):
            words = Msg(
                "{day}: {opening}, panel {letter} weighs {mass}: {aid}",
                day=When(row.first_day), opening=needs.name_of(row), letter=letter,
                mass=Qty("mass", int(mass)), aid=handling.in_short(int(mass)),
            )  # fmt: skip
            out.append(words)
    return out


@router.get("/load/{crew}")
def load_page(request: Request, _: Asker, crew: str, day: str = "") -> Response:
    """Show what must be on a crew's truck in the week of a day: its openings' materials, summed."""
    monday = _monday_of(day if is_day(day) else crews.today_of(request))
    with server_of(request).database.read() as session:
        kept = crews.crew_of_id(session, crew)
        rows = _planned_rows(session, monday.isoformat(), (monday + timedelta(6)).isoformat())
        mine = [row for row in rows if row.crew == crew and row.state not in SETTLED]
        known = procedures.all_of(session, request.app.state.office.procedures)
        events = log.events_of(session, [row.opening for row in mine])
    openings = [
        ({"id": row.opening, "letter": row.letter, "room": f"{row.room}, {row.title}"},
         State(events[row.opening], known))
        for row in mine
    ]  # fmt: skip
    speaker = speaker_of(request)
    context = setouts_together(openings, speaker)
    days = Msg("Week of {day}", day=When(monday.isoformat()))
    count = Plural("{count} opening", "{count} openings").of(len(mine))
    context["job"] = {
        "title": kept.name,
        "address": speaker.say(Msg("{days}: {count}", days=days, count=count)),
    }
    return office_page(request, "office/load.html", Msg("What to load"), context)
