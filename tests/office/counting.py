"""Which statements the database runs meanwhile, and how many a page of the office takes."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import event

from app.store.database import Database


@contextmanager
def statements_run(database: Database) -> Iterator[list[str]]:
    """Give the statements that are run meanwhile; not the outbox's, which looks now and then."""
    run: list[str] = []

    def note(_c: Any, _u: Any, statement: str, *_: Any) -> None:
        if current_thread().name != "outbox":
            run.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield run
    finally:
        event.remove(database.engine, "before_cursor_execute", note)


def counted(app: FastAPI, office: TestClient, path: str) -> int:
    """Return how many statements the database ran for a page."""
    with statements_run(app.state.server.database) as run:
        assert office.get(path).status_code == 200
    return len(run)
