"""How many statements a page of the office runs."""

from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import event


def counted(app: FastAPI, office: TestClient, path: str) -> int:
    """Return how many statements the database ran for a page."""
    engine = app.state.server.database.engine
    seen: list[str] = []

    def note(_c: Any, _u: Any, statement: str, *_more: Any) -> None:
        seen.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        assert office.get(path).status_code == 200
    finally:
        event.remove(engine, "before_cursor_execute", note)
    return len(seen)
