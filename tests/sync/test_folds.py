"""What the writer carries forward is what the events alone give; what failed is forgotten."""

from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import Connection, event
from sqlmodel import Session

from app.core.kinds import Json
from app.core.record.state import State
from app.store import folds, log
from app.store.database import Database
from app.store.summaries import Summaries
from tests.sync.client import Phone
from tests.sync.test_push import READING, stored

pytestmark = pytest.mark.sqlite


def read(phone: Phone, place: str, value: int) -> Json:
    body = {**READING, "place": place, "value": str(value), "text": str(value), "units": "mm"}
    return phone.write("op-1", "reading.taken", body)


def is_as_from_events(database: Database) -> bool:
    with database.read() as session:
        return list(Summaries().differences(session)) == []


def test_carried_over_many_entries_it_is_as_from_events_alone(
    phone: Phone, make_phone: Callable[[str], Phone], database: Database
) -> None:
    other = make_phone("otto")
    other.pull()
    for turn in range(12):
        one, two = (phone, other) if turn % 2 else (other, phone)
        made = read(one, ("left", "right")[turn % 2], 10**6 * turn)
        if turn % 3 == 0:
            one.write("op-1", "entry.struck", {"target": made["id"], "why": "misread"})
        one.push()
        two.tick("op-1", done=bool(turn % 2))  # from a page that had not seen it: it comes late
        two.push()
        one.pull()
        assert is_as_from_events(database), turn
    told = database.summaries.folds.get("op-1")
    assert told is not None
    assert told.state is not None
    anew = State(stored(database), database.summaries.procedures)
    assert [e["id"] for e in told.state.ledger.events] == [e["id"] for e in anew.ledger.events]


def test_what_a_failed_write_added_is_forgotten(phone: Phone, database: Database) -> None:
    phone.tick("op-1")
    phone.push()
    lost = read(phone, "left", 10**9)

    def fail() -> None:
        with database.write() as session:
            log.append_events(session, [lost])
            database.summaries.refresh(session, ["op-1"])
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert database.summaries.folds.get("op-1") is None
    phone.push()
    assert is_as_from_events(database)


def test_work_that_fails_with_nobody_beside_it_leaves_nothing(
    phone: Phone, database: Database
) -> None:
    """It has no savepoint of its own: the whole transaction goes, and what was carried with it."""
    phone.tick("op-1")
    phone.push()
    lost = read(phone, "left", 10**9)

    def fail(session: Session) -> None:
        log.append_events(session, [lost])
        database.summaries.refresh(session, ["op-1"])
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        database.write_together(fail)
    assert database.summaries.folds.get("op-1") is None
    assert lost["id"] not in {e["id"] for e in stored(database)}
    phone.push()
    assert lost["id"] in {e["id"] for e in stored(database)}
    assert is_as_from_events(database)


def writer_statements(database: Database, act: Callable[[], Any]) -> list[str]:
    """Return the statements of the transactions that an act writes in."""
    seen: list[str] = []

    def note(connection: Connection, _cursor: Any, statement: str, *_more: Any) -> None:
        if connection.get_execution_options().get("writes"):
            seen.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        act()
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
    return seen


def test_an_entry_costs_the_writer_few_statements_whatever_came_before(
    phone: Phone, database: Database
) -> None:
    counts = []
    for turn in range(30):
        read(phone, ("left", "right")[turn % 2], 10**6 * turn)
        counts.append(len(writer_statements(database, phone.push)))
    assert counts[-1] == counts[3]  # the first ones fill what is carried forward
    assert counts[-1] <= 20  # what it takes now; nothing outside says how few it could be


def test_only_so_many_openings_are_kept(
    phone: Phone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folds, "MOST", 1)
    for opening in ("op-1", "op-2", "op-1", "op-2"):
        phone.tick(opening)
        phone.push()
        assert is_as_from_events(database)
    assert [database.summaries.folds.get(id_) is None for id_ in ("op-1", "op-2")] == [True, False]
