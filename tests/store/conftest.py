"""A migrated database with two people, a job and two openings."""

from collections.abc import Iterator

import pytest

from app.settings import Settings
from app.store.database import Database
from app.store.migrate import migrate_database
from app.store.tables import Assigned, Job, Opening, Person
from tests.store.both import (
    postgres_address,
    postgres_store,
    pytest_generate_tests,
    store,
)

__all__ = [
    "postgres_address",
    "postgres_store",
    "pytest_generate_tests",
    "store",
]


@pytest.fixture
def database(store: Settings) -> Iterator[Database]:
    opened = Database(store.database, store.postgres)
    migrate_database(opened)
    fill(opened)
    yield opened
    opened.close()


def fill(opened: Database) -> None:
    """Two people, a job and two openings, one of them handed to somebody."""
    with opened.write() as session:
        session.add(person("inga", "installer"))
        session.add(person("sven", "supervisor"))
        session.add(Job(id="job-1", title="Hill house", address="1 Invented Way"))
        session.flush()
        session.add(Opening(id="op-1", job="job-1", letter="A", room="Living room"))
        session.add(Opening(id="op-2", job="job-1", letter="B", room="Study"))
        session.flush()
        session.add(Assigned(opening="op-1", person="inga"))


def person(id: str, role: str) -> Person:
    return Person(id=id, name=id.title(), role=role, login=id, password="none")
