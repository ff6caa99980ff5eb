"""One office: the real application over a real database, that dies when a request says so.

A request may carry `X-Dies: WHERE`: the office ends itself with SIGKILL `asked` (before it does
anything), `row` (in the middle of its transaction, after an event was written) or `kept`
(committed, before it answers). So the phones' line decides it, however quick a machine is.
"""

import logging
import os
import shutil
import signal
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import uvicorn
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.access import pairing
from app.core.kinds import Json
from app.core.record.events import new_event
from app.main import create_app
from app.office.issue.work import assign_crew
from app.outbox.worker import OutboxWorker
from app.settings import Settings
from app.store import epoch, log
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.summaries import Summaries
from tests.faults.random import broken

# else the browser asks again by itself where a connection was used before
CLOSE = {"connection": "close"}
ROWS = 1  # events written before an office dies in mid-transaction


def serve(data: Path, on: socket.socket, variant: str = "") -> None:
    """Serve a folder of data until the process is ended."""
    logging.disable(logging.WARNING)
    broken.break_office(variant)
    # Nobody is written to here, and one look between two files of a new start would begin a
    # database of its own there: see _as_at_the_start.
    OutboxWorker._run = lambda _: None  # type: ignore[method-assign]
    uvicorn.Server(config(create_app(Settings(data)))).run(sockets=[on])


def config(app: Any) -> uvicorn.Config:
    """Return how an office is served."""
    return uvicorn.Config(Mortal(app), log_config=None, access_log=False)


def die() -> None:
    """End this process as the kernel ends it: nothing is flushed, nobody says goodbye."""
    os.kill(os.getpid(), signal.SIGKILL)


class Mortal:
    """The application, which may die at each request; and the work of its own web pages."""

    def __init__(self, app: Any) -> None:
        self.app: ASGIApp = app
        self.database: Database = app.state.server.database

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or die."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        where = Headers(scope=scope).get("x-dies", "")
        if where == "asked":
            die()
        if where == "row":
            _die_among_rows()
        if scope["path"] in OWN_WORK:
            said = OWN_WORK[scope["path"]](self.database, scope["query_string"].decode())
            await PlainTextResponse(said or "", headers=CLOSE)(scope, receive, send)
            return

        async def tell(message: Message) -> None:
            if where == "kept":
                die()
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(CLOSE)
            await send(message)

        await self.app(scope, receive, tell)


def _die_among_rows() -> None:
    was, rows = log.keep_event, []

    def keep(*asked: Any, **more: Any) -> None:
        was(*asked, **more)
        rows.append(1)
        if len(rows) == ROWS:
            die()

    log.keep_event = keep


def _as_at_the_start(database: Database, _: str) -> None:
    """Put the files of the template under a running office, and begin as create_app does.

    A new process for each schedule would cost more than the schedule.
    """
    data = database.path.parent
    database.engine.dispose()
    database.stamp.close()
    for path in data.iterdir():
        if path.is_dir():
            shutil.rmtree(path)
        elif not path.name.endswith(".lock"):
            path.unlink()
    shutil.copytree(data.parent / "template", data, dirs_exist_ok=True)
    database.summaries = Summaries()
    with database.write() as session:
        epoch.start_epoch(session, database.stamp)
        database.summaries.start(session)


def _make_crew(database: Database, words: str) -> None:
    """Give an opening to these people, and to nobody else: "OPENING,PERSON,…"."""
    opening, *people = words.split(",")
    with database.write() as session:
        assign_crew(session, opening, people)


def _code(database: Database, person: str) -> str:
    """Make a code by which a person pairs a phone."""
    with database.write() as session:
        return pairing.make_code(session, person, int(time.time()))


def _enter(database: Database, opening: str) -> None:
    """Enter something by the office's own hand for the web: phones must take it."""
    with database.write() as session:
        before = log.events_of(session, [opening])[opening]
        seen: dict[str, int] = {}
        for event in before:
            seen[event["device"]] = max(seen.get(event["device"], 0), event["n"])
        draft: Json = {
            "id": uuid7(), "device": device_id(session, "web"), "opening": opening, "seen": seen,
            "at": "2026-03-02T09:00:00+00:00", "person": "sven", "kind": "task.ticked",
            "body": {"step": "A", "task": "seen", "done": len(before) % 2 == 0},
        }  # fmt: skip
        log.append_events(session, [new_event(before, draft)])


# What the office does of itself, as its own pages would: path -> what is done with the query.
OWN_WORK: dict[str, Callable[[Database, str], str | None]] = {
    "/as-at-the-start": _as_at_the_start,
    "/code": _code,
    "/crew": _make_crew,
    "/entry-at-the-office": _enter,
}
