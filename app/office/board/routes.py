"""/office: the board, its list by itself for who watches, and word of changes."""

import asyncio
import json
from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.kinds import Json
from app.core.pages.common import PRACTICE, form_choice
from app.core.pages.openings import progress_shown
from app.core.quantity.messages import Msg, Plural, When
from app.core.quantity.moments import moment_of
from app.core.quantity.speaker import Speaker
from app.office.board.asking import (
    CREW,
    FILTERS,
    MOST_COUNTED,
    ORDERS,
    BoardQuery,
    crew_names,
    filter_counts,
    summary_page,
)
from app.office.issue import work
from app.office.pages import office_page, received_text
from app.office.plan.crews import crews_in_use
from app.office.review import STATES
from app.store.database import Database
from app.store.summary_tables import Summary
from app.store.tables import Person

router = APIRouter(prefix="/office")
Asker = Annotated[Person, Depends(need_supervisor)]
WATCH_SECONDS = 55  # then the browser asks again, and is looked at again
TICK = 1.0
_FLAGS = (
    ("outs", Msg("{count} out")),
    ("queries", Msg("{count} without an answer")),
    ("waiting", Msg("{count} told to wait")),
    ("not_ready", Msg("{count} not ready")),
    (
        "otherwise",
        Plural(
            "{count} step that today's rules would judge otherwise",
            "{count} steps that today's rules would judge otherwise",
        ),
    ),
    ("parts", Plural("{count} part to reorder", "{count} parts to reorder")),
)
# where one acts on it
_FLAG_PLACES = {
    "outs": "/office/o/{opening}#look-title",
    "queries": "/office/o/{opening}#queries-title",
    "waiting": "/office/o/{opening}#queries-title",
    "not_ready": "/office/o/{opening}#steps-title",
    "otherwise": "/office/o/{opening}#flags-title",
    "parts": "/field/o/{opening}/parts",
}
UNREAD = Msg("cannot be judged by this version")


@router.api_route("", methods=["GET", "HEAD"])
def board_page(request: Request, _: Asker) -> Response:
    """Show the board."""
    return office_page(request, "office/board.html", Msg("Openings"), _board_context(request))


@router.get("/board")
def board_piece(request: Request, _: Asker) -> Response:
    """Return the board's list by itself, for the script that keeps it fresh."""
    return office_page(request, "office/board_list.html", Msg("Openings"), _board_context(request))


def _board_context(request: Request) -> Json:
    asked = BoardQuery.of(request.query_params)
    now = datetime.fromtimestamp(server_of(request).clock(), UTC)
    with server_of(request).database.read() as session:
        found, on = summary_page(session, asked, now)
        counted = filter_counts(session, now)
        crew = crew_names(session, found)
        people = work.installers(session)
        crews = crews_in_use(session)
    speaker = speaker_of(request)
    return {
        "asked": {"show": asked.show, "find": asked.find, "sort": asked.sort},
        "crews": [
            form_choice(id, name, id == asked.crew)
            for id, name in [(CREW + one.id, one.name) for one in crews]
            + [(one.id, one.name) for one in people]
        ],
        "filters": [
            _filter_link(speaker, asked, name, counted[name])
            for name in FILTERS
            if counted[name] or name in ("", asked.show)
        ],
        "sorts": [
            {"value": name, "text": speaker.say(words), "chosen": name == asked.sort}
            for name, (words, _) in ORDERS.items()
        ],
        "rows": [
            {**board_row(speaker, one, now), "crew": ", ".join(crew.get(one.opening, ()))}
            for one in found
        ],
        "next": _board_address(asked, after=on) if on else "",
        "first": _board_address(asked) if asked.after else "",
        "empty": "" if found else speaker.say(_EMPTY if counted[""] else _NONE),
    }


_EMPTY = Msg("No opening is like that.")
_NONE = Msg("No opening has been issued yet.")


def _filter_link(speaker: Speaker, asked: BoardQuery, name: str, count: int) -> Json:
    most = f"{MOST_COUNTED}+" if name in ("late", "quiet") and count == MOST_COUNTED else str(count)
    return {
        "href": _board_address(replace(asked, show=name)),
        "text": speaker.say(FILTERS[name]),
        "count": "" if asked.narrowed else most,
        "here": name == asked.show,
    }


def _board_address(asked: BoardQuery, after: str = "") -> str:
    given = {"show": asked.show, "find": asked.find, "crew": asked.crew, "sort": asked.sort}
    given["after"] = after
    given["sort"] = "" if asked.sort == "urgent" else asked.sort
    query = urlencode({name: value for name, value in given.items() if value})
    return "/office" + ("?" + query if query else "")


def board_row(speaker: Speaker, summary: Summary, now: datetime) -> Json:
    """Return an opening as a line of the board, at this time."""
    say = speaker.say
    step = Msg("Next: {id} {title}", id=summary.step, title=Msg(summary.step_title))
    progress = Msg("{done} of {total} signed", done=summary.signed, total=summary.steps)
    state = "broken" if summary.state == "unread" else summary.state
    return {
        "id": "o-" + summary.opening,
        "href": "/office/o/" + summary.opening,
        "letter": summary.letter,
        "room": summary.room,
        "title": summary.title,
        "address": summary.address,
        "state": state,
        "state_text": say(UNREAD if summary.state == "unread" else STATES[summary.state]),
        "step": say(step) if summary.step else "",
        "progress": say(progress),
        "flags": [
            {
                "text": say(_flag_words(words, getattr(summary, name))),
                "href": _FLAG_PLACES[name].format(opening=summary.opening),
            }
            for name, words in _FLAGS
            if getattr(summary, name)
        ],
        "practice": say(PRACTICE) if summary.practice else "",
        "until": _until_words(speaker, summary, now),
        "heard": received_text(speaker, summary.heard),
        "picture": _door_so_far(speaker, summary),
    }


def _door_so_far(speaker: Speaker, summary: Summary) -> Json | None:
    """Return the door as its own progress; None where the summary does not say how steps stand."""
    if not summary.step_states:
        return None
    states = json.loads(summary.step_states)
    steps = [{"key": key, "state": state} for key, state in states.items()]
    return progress_shown(speaker, steps, letters=False)


def _until_words(speaker: Speaker, summary: Summary, now: datetime) -> str:
    """Return "waiting until" where a clock still runs; else ""."""
    until = moment_of(summary.until)
    if until is None or until <= now.timestamp() * 1000:
        return ""
    clock = Msg(summary.clock)
    return speaker.say(Msg("waiting until {time}: {clock}", time=When(summary.until), clock=clock))


@router.get("/changes")
async def change_stream(request: Request, _: Asker) -> Response:
    """Tell a browser, as long as it listens, when something on the board may have changed."""
    told = request.headers.get("last-event-id", "")
    stream = _change_lines(request, server_of(request).database, told)
    return StreamingResponse(stream, media_type="text/event-stream")


async def _change_lines(request: Request, database: Database, told: str) -> AsyncIterator[str]:
    """Yield a line for each change, by the database's own count of its commits."""
    seen = int(told) if told.isascii() and told.isdigit() and len(told) < 16 else database.changes
    yield f"retry: 2000\nid: {database.changes}\n\n"
    for _ in range(int(WATCH_SECONDS / TICK)):
        if database.changes != seen:
            seen = database.changes
            yield f"event: changed\nid: {seen}\ndata: {seen}\n\n"
        await asyncio.sleep(TICK)
        if await request.is_disconnected():
            return


def _flag_words(words: Msg | Plural, count: int) -> Msg:
    return words.of(count) if isinstance(words, Plural) else Msg(words.template, count=count)
