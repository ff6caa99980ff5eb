"""/office/lists: what waits across openings: parts to reorder, queries, openings not ready."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlalchemy import tuple_
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages.parts import state_words
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.office.pages import office_page, received_text
from app.store import people
from app.store.summary_tables import OpenItem, Summary
from app.store.tables import Person

router = APIRouter(prefix="/office/lists")
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50
# name of a list -> its title, its kinds of items, what is said where it is empty
LISTS = {
    "parts": (
        Msg("Parts to reorder"),
        ("parts",),
        Msg("No part is short, damaged or wrong."),
    ),
    "queries": (
        Msg("Queries without an answer"),
        ("queries", "waiting"),
        Msg("No query is open."),
    ),
    "not-ready": (
        Msg("Openings that are not ready"),
        ("not_ready", "waiting"),
        Msg("No opening is waiting."),
    ),
}


@router.get("/{name}")
def list_page(request: Request, _: Asker, name: str, after: str = "") -> Response:
    """Show a list, the oldest first, a page at a time."""
    if name not in LISTS:
        raise MissingError("page-unknown", Msg("There is no such page."))
    title, kinds, empty = LISTS[name]
    with server_of(request).database.read() as session:
        found = _open_items(session, kinds, after[:1000])
        names = people.names_by_id(session)
    shown = found[:PAGE]
    speaker = speaker_of(request)
    context = {
        "title": speaker.say(title),
        "items": [_item_line(speaker, item, row, names) for item, row in shown],
        "empty": "" if shown else speaker.say(empty),
        "name": name,
        "next": _cursor_of(shown[-1][0]) if len(found) > PAGE else "",
    }
    return office_page(request, "office/items.html", title, context)


def _open_items(
    session: Session, kinds: tuple[str, ...], after: str
) -> list[tuple[OpenItem, Summary]]:
    order = (col(OpenItem.at), col(OpenItem.id))
    wanted = select(OpenItem, Summary).join(Summary, col(Summary.opening) == col(OpenItem.opening))
    wanted = wanted.where(col(OpenItem.kind).in_(kinds)).order_by(*order).limit(PAGE + 1)
    at, mark, id = after.partition("~")
    if mark:
        wanted = wanted.where(tuple_(*order) > tuple_(at, id))
    return list(session.exec(wanted))


def _cursor_of(item: OpenItem) -> str:
    return f"{item.at}~{item.id}"


_KINDS = {
    "queries": Msg("no answer yet"),
    "waiting": Msg("told to wait"),
}


def _item_line(speaker: Speaker, item: OpenItem, row: Summary, names: dict[str, str]) -> Json:
    say = speaker.say
    state = say(state_words(item.choice)) if item.kind == "parts" else ""
    if item.kind == "not_ready":  # both are words of the procedure
        state = say(Msg("{what} {choice}", what=Msg(item.what), choice=Msg(item.choice)))
    who = names.get(item.person) or say(Msg("a person no longer listed"))
    by = Msg("{who}, {when}", who=who, when=received_text(speaker, item.at))
    step = Msg("bars {step}", step=item.step)
    return {
        "href": "/office/o/" + item.opening,
        "opening": f"{row.letter} {row.room}",
        "job": row.title,
        "mark": item.ref if item.kind == "parts" else "",
        "what": "" if item.kind == "not_ready" else item.what,
        "state": state or say(_KINDS[item.kind]),
        "said": item.said,
        "name": say(Msg("Said by {name}", name=item.name)) if item.name else "",
        "step": say(step) if item.step else "",
        "by": say(by),
    }
