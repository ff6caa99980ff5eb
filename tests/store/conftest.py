"""A migrated database with two people, a job and two openings."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.store.database import Database
from app.store.migrate import migrate
from app.store.tables import Assigned, Job, Opening, Person


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = Database(tmp_path / "sillbook.db")
    migrate(opened)
    with opened.write() as session:
        session.add(person("inga", "installer"))
        session.add(person("sven", "supervisor"))
        session.add(Job(id="job-1", title="Hill house", address="1 Invented Way"))
        session.flush()
        session.add(Opening(id="op-1", job="job-1", letter="A", room="Living room"))
        session.add(Opening(id="op-2", job="job-1", letter="B", room="Study"))
        session.flush()
        session.add(Assigned(opening="op-1", person="inga"))
    yield opened
    opened.close()


def person(id: str, role: str) -> Person:
    return Person(id=id, name=id.title(), role=role, login=id, password="none")
