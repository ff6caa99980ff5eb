"""/office/learn: what accepted doors teach, with a CSV of each table."""

from collections.abc import Callable, Iterator, Sequence
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, select
from starlette.requests import Request
from starlette.responses import Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import Speaker
from app.office.learn.charts import FEW
from app.office.learn.figures import AskedMonths, figures_of, months_counted, titles_of
from app.office.learn.tables import LessonTable, TableWords, all_tables
from app.office.moving.sheet import sheet_text
from app.office.moving.take_in import csv_file
from app.office.pages import office_page
from app.store import lessons, procedures
from app.store.learning import count_waiting
from app.store.tables import Crew, Person

router = APIRouter(prefix="/office/learn")
Asker = Annotated[Person, Depends(need_supervisor)]
SHOWN = 15  # rows of a table on the page; all are in its CSV
BESIDE = 5  # columns that there is room for beside a chart
YEAR = 12  # months that are shown where none are asked for


@router.get("")
def learn_page(
    request: Request, _: Asker, first: str = "", last: str = "", crew: str = ""
) -> Response:
    """Show what the doors accepted in these months teach; of all crews, or one."""
    speaker = speaker_of(request)
    with server_of(request).database.read() as session:
        months = months_counted(session)
        crews = _crew_names(session)
        asked = _asked_of(months, first, last, crew if crew in crews else "")
        figures = figures_of(session, asked)
        known = procedures.all_of(session, request.app.state.office.procedures)
        waiting = count_waiting(session)
    words = TableWords(speaker, titles_of(known), crews)
    doors = figures.total(lessons.DOOR).count
    query = f"?first={asked.first}&last={asked.last}&crew={asked.crew}"
    tables = [_shown_table(speaker, table, query) for table in all_tables(figures, words)]
    nothing = _NONE_OF_CREW if asked.crew and months else _NONE
    context = {
        "doors": speaker.say(
            Plural("{count} accepted door", "{count} accepted doors").of(doors)
        ),
        "waiting": speaker.say(_WAITING.of(waiting)) if waiting else "",
        "few": speaker.say(Msg("With fewer than {least} there is no chart.", least=FEW)),
        "first": _choices_of(months, asked.first, words.month),
        "last": _choices_of(months, asked.last, words.month),
        "crews": _choices_of(list(crews), asked.crew, lambda id: crews[id]),
        "tables": tables,
        "nothing": "" if any(one["rows"] for one in tables) else speaker.say(nothing),
    }  # fmt: skip
    return office_page(request, "office/learn.html", Msg("What doors teach"), context)


_NONE = Msg("No accepted door is counted yet. After the first one, this page shows:")
_NONE_OF_CREW = Msg("This crew has no accepted door in these months. With one, this page shows:")
_WAITING = Plural(
    "{count} accepted door is not counted yet: that follows by itself.",
    "{count} accepted doors are not counted yet: that follows by itself.",
)


def _asked_of(months: list[str], first: str, last: str, crew: str) -> AskedMonths:
    """Return what is asked for; the last twelve months with doors where no month is named."""
    last = last if last in months else (months[0] if months else "")
    before = [month for month in months if month <= last]
    first = first if first in months else (before[:YEAR][-1] if before else "")
    return AskedMonths(min(first, last), max(first, last), crew)


def _crew_names(session: Session) -> dict[str, str]:
    crews = session.exec(select(Crew).order_by(Crew.name, Crew.id)).all()
    return {crew.id: crew.name for crew in crews}


def _choices_of(values: Sequence[str], chosen: str, word_of: Callable[[str], str]) -> list[Json]:
    return [{"value": value, "text": word_of(value), "chosen": value == chosen} for value in values]


def _shown_table(speaker: Speaker, table: LessonTable, query: str) -> Json:
    """Return a table for the template: of checks only those that were ever out."""
    rows = table.rows
    if table.name == "checks":
        rows = [row for row in rows if row[3].plain != "1.0000"]
    return {
        "id": table.name,
        "title": speaker.say(table.title),
        "about": speaker.say(table.about),
        "head": [speaker.say(words) for _, words in table.columns],
        "named": table.named,
        "rows": [
            {"first": row[0].text, "cells": [cell.text for cell in row[1:]]} for row in rows[:SHOWN]
        ],
        "more": speaker.say(_MORE.of(len(rows) - SHOWN)) if len(rows) > SHOWN else "",
        "chart": table.chart,
        "wide": len(table.columns) > BESIDE,
        "csv": f"/office/learn/{table.name}.csv{query}",
    }


_MORE = Plural("{count} more row is in the CSV.", "{count} more rows are in the CSV.")


@router.get("/{file}")
def learn_file(
    request: Request, _: Asker, file: str, first: str = "", last: str = "", crew: str = ""
) -> Response:
    """Return one of the tables as a CSV, with all of its rows."""
    with server_of(request).database.read() as session:
        crews = _crew_names(session)
        months = months_counted(session)
        asked = _asked_of(months, first, last, crew if crew in crews else "")
        figures = figures_of(session, asked)
        known = procedures.all_of(session, request.app.state.office.procedures)
    for table in all_tables(figures, TableWords(speaker_of(request), titles_of(known), crews)):
        if file == table.name + ".csv":
            names = [name for name, _ in table.columns]
            return csv_file(f"sillbook-{file}", sheet_text(names, _csv_rows(names, table)))
    raise MissingError("page-unknown", Msg("There is no such page."))


def _csv_rows(names: list[str], table: LessonTable) -> Iterator[dict[str, str]]:
    for row in table.rows:
        yield dict(zip(names, (cell.plain for cell in row), strict=True))
