"""An issued record is only added to; where names are erased its text alone can be written anew.

The rule is this project's own. In both databases.
"""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from app.store.database import Database
from app.store.records import Erasure, Issued

WITHOUT_NAME = "UPDATE issued SET text = 'without the name'"


def keep_issued(database: Database) -> None:
    with database.write() as session:
        for revision in (1, 2):
            session.add(
                Issued(opening="op-1", revision=revision, at="2026-03-02T14:05:00-05:00",
                       digest="d", code="c", text="with the name")
            )  # fmt: skip


def run(database: Database, statement: str) -> None:
    with database.write() as session:
        session.connection().execute(text(statement))


def texts(database: Database) -> list[str]:
    with database.read() as session:
        return list(session.connection().execute(text("SELECT text FROM issued")).scalars())


def test_text_stays_where_nothing_is_erased(database: Database) -> None:
    keep_issued(database)
    with database.write() as session:
        session.add(Erasure(opening="op-2", at=1))  # of another door
    with pytest.raises(DBAPIError, match="append-only"):
        run(database, WITHOUT_NAME)
    assert texts(database) == ["with the name"] * 2


@pytest.mark.parametrize(
    "change",
    ["digest = 'e'", "signature = 's'", "key = 'k'", "code = 'e'", "at = ''", "revision = 3"],
)
def test_all_but_the_text_stays_where_something_is_erased(database: Database, change: str) -> None:
    keep_issued(database)
    with database.write() as session:
        session.add(Erasure(opening="op-1", at=1))
    run(database, WITHOUT_NAME)
    assert texts(database) == ["without the name"] * 2
    for statement in (
        f"UPDATE issued SET {change} WHERE revision = 2",
        f"UPDATE issued SET text = '', {change} WHERE revision = 2",
        "DELETE FROM issued",
    ):
        with pytest.raises(DBAPIError, match="append-only"):
            run(database, statement)
    assert texts(database) == ["without the name"] * 2
