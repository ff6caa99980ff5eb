"""The log only grows, and only in chains without gaps."""

import json

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from app.core.errors import RefusedError
from app.core.record.canonical import digest
from app.store import log
from app.store.database import Database
from app.store.tables import Event
from tests.store.events import tick


def stored(database: Database) -> list[dict[str, object]]:
    with database.read() as session:
        return log.events_of(session, ["op-1"])["op-1"]


def add(database: Database, *events: dict[str, object]) -> list[str]:
    with database.write() as session:
        return log.append_events(session, events)


def test_events_come_back_as_they_were_given(database: Database) -> None:
    first = tick([], task="première “½”")
    second = tick([first])
    assert add(database, first, second) == [first["id"], second["id"]]
    assert stored(database) == [first, second]


def test_order_is_by_cause_not_by_arrival(database: Database) -> None:
    a1 = tick([], device="web-b")
    a2 = tick([a1], device="web-b")
    b1 = tick([], device="web-a")
    add(database, a1, a2, b1)
    assert stored(database) == [b1, a1, a2]


def test_hash_is_the_digest_of_the_body(database: Database) -> None:
    event = tick([])
    add(database, event)
    with database.read() as session:
        row = session.get_one(Event, event["id"])
    assert row.hash == digest(json.loads(row.body)) == digest(event)


def test_replay_is_passed_over(database: Database) -> None:
    event = tick([])
    add(database, event)
    assert add(database, event) == []
    assert stored(database) == [event]


def test_same_id_with_other_content_is_refused_and_nothing_is_kept(database: Database) -> None:
    event = tick([])
    add(database, event)
    fresh = tick([event])
    other = {**fresh, "n": 3, "id": event["id"]}
    with pytest.raises(RefusedError) as refused:
        add(database, fresh, other)
    assert refused.value.code == "entry-already-used"
    assert stored(database) == [event]


@pytest.mark.parametrize("change", [{"n": 3}, {"n": 1}, {"prev": "0" * 64}, {"prev": ""}])
def test_gap_or_fork_in_the_chain_is_refused(database: Database, change: dict[str, object]) -> None:
    event = tick([])
    add(database, event)
    with pytest.raises(RefusedError) as refused:
        add(database, {**tick([event]), **change})
    assert refused.value.code == "chain-gap"


@pytest.mark.parametrize("table", ["event", "procedure"])
@pytest.mark.parametrize("statement", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_database_itself_refuses_to_change_the_log(
    database: Database, table: str, statement: str
) -> None:
    add(database, tick([]))
    with database.write() as session:
        session.execute(
            text("INSERT INTO procedure (id, version, digest, text) VALUES ('p', 1, 'd', '{}')")
        )
    with pytest.raises(IntegrityError, match="append-only"), database.write() as session:
        session.execute(text(statement.format(table)))


@pytest.mark.sqlite
def test_replacing_a_row_is_refused_too(database: Database) -> None:
    """INSERT OR REPLACE deletes without a DELETE trigger unless triggers are recursive."""
    event = tick([])
    add(database, event)
    columns = "id, opening, device, n, prev, hash, turn, kind, body, received_at"
    with pytest.raises(IntegrityError, match="append-only"), database.write() as session:
        session.execute(
            text(f"INSERT OR REPLACE INTO event ({columns}) SELECT {columns} FROM event")
        )
    assert stored(database) == [event]


def test_event_of_an_unknown_opening_is_refused(database: Database) -> None:
    with pytest.raises(IntegrityError):
        add(database, tick([], opening="nowhere"))
