"""Accepted doors are counted once, in months that are always the sum of their doors."""

import json
import random
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from sqlalchemy import text
from sqlmodel import select

from app.core.kinds import Json
from app.office.learn.figures import AskedMonths, figures_of
from app.settings import Settings
from app.store import learning
from app.store.database import Database
from app.store.learned_tables import LearnedDoor, LearnedMonth
from app.store.migrate import migrate_database
from tests.homeowner.conftest import OPENING, served
from tests.office.simulated_company import SimulatedCompany, kept_door

STEPS = {"A": ["marks", "widths"], "B": ["level"]}


@pytest.fixture
def database(store: Settings) -> Iterator[Database]:
    opened = Database(store.database, store.postgres)
    migrate_database(opened)
    yield opened
    opened.close()


def months(database: Database) -> list[Json]:
    with database.read() as session:
        rows = [row.model_dump() for row in session.exec(select(LearnedMonth))]
    return sorted(rows, key=lambda row: [str(row[name]) for name in row if name != "sizes"])


def test_doors_that_come_change_and_go_leave_the_sum_of_those_that_are_there(
    database: Database,
) -> None:
    made, chance = SimulatedCompany(STEPS, 2), random.Random(5)
    with database.write() as session:
        made.keep(session, 30)
    first = months(database)
    with database.read() as session:
        doors = [LearnedDoor(**row.model_dump()) for row in session.exec(select(LearnedDoor))]
        kept = [row["count"] for row in first if row["kind"] == "door" and row["crew"] != "*"]
        assert sum(kept) == len(doors) == 30
    for door in chance.sample(doors, 10):  # another month and other facts
        job, taught = made.door(chance.randrange(99))
        with database.write() as session:
            learning.keep_doors(session, {door.opening: kept_door(door.opening, job, taught, 2)})
    changed = months(database)
    assert changed != first
    with database.write() as session:  # some that stand accepted no more
        learning.keep_doors(session, dict.fromkeys([door.opening for door in doors[:5]]))
    with database.write() as session:
        left = [LearnedDoor(**row.model_dump()) for row in session.exec(select(LearnedDoor))]
        now = months_by_hand(left)
        assert sums_in(months(database)) == now
        assert not list(learning.differences(session))
        learning.forget_all(session)
        learning.keep_doors(session, {door.opening: door for door in left})
        assert len(left) == 25
    assert sums_in(months(database)) == now


def sums_in(rows: list[Json]) -> set[tuple[object, ...]]:
    names = ("month", "crew", "kind", "step", "name", "way", "count", "good")
    return {tuple(row[name] for name in names) for row in rows}


def months_by_hand(doors: list[LearnedDoor]) -> set[tuple[object, ...]]:
    """Return (month, crew, kind, step, name, way, count, good), added up in another way."""
    counts: Counter[tuple[str, ...]] = Counter()
    goods: Counter[tuple[str, ...]] = Counter()
    for door in doors:
        for *key, count, good, _sizes in json.loads(door.facts):
            for crew in (door.crew, "*"):  # a crew's, and of all together
                counts[door.month, crew, *key] += count
                goods[door.month, crew, *key] += good
    return {(*key, count, goods[key]) for key, count in counts.items()}


def test_figures_are_those_of_the_doors_in_both_databases(database: Database) -> None:
    made = SimulatedCompany(STEPS, 2)
    with database.write() as session:
        made.keep(session, 30)
    with database.read() as session:
        found = figures_of(session, AskedMonths("2026-01", "2026-12"))
        mine = figures_of(session, AskedMonths("2026-01", "2026-12", "crew-01"))
    truth = made.truth
    assert found.total("door").count == 30
    assert found.total("check").good == sum(within for *_, within in truth.checks)
    assert found.sums["time", "A", "", ""].sizes == sorted(truth.times["A"])
    assert mine.sums["time", "A", "", ""].sizes == sorted(truth.times["A"])  # of all crews
    assert mine.total("door").count == sum(crew == "crew-01" for _, crew in truth.doors)
    assert [len(one.sizes) for one in found.floors] == [10, 10, 10]


def test_a_sum_that_was_altered_is_said(database: Database) -> None:
    with database.write() as session:
        SimulatedCompany(STEPS, 1).keep(session, 3)
        assert not list(learning.differences(session))
        words = (
            "UPDATE learned_month SET good = good + 1 WHERE kind = 'check' AND month = '2026-02'"
        )
        session.connection().execute(text(words))
        faults = list(learning.differences(session))
        assert faults
        assert {fault[:16] for fault in faults} == {"what was learned"}


@pytest.fixture
def app(accepted: Path, tmp_path: Path) -> Iterator[FastAPI]:
    shutil.copytree(accepted, tmp_path / "data")
    made = served(tmp_path / "data")
    yield made
    made.state.server.database.close()


def test_an_accepted_door_is_counted_once_and_forgotten_when_it_is_no_more(app: FastAPI) -> None:
    database: Database = app.state.server.database
    learner = learning.Learner(database)
    with database.read() as session:
        assert (learning.count_waiting(session), learning.waiting_doors(session)) == (1, [OPENING])
    learner.learn_all()
    with database.read() as session:
        assert (learning.count_waiting(session), learning.waiting_doors(session)) == (0, [])
        door = session.get_one(LearnedDoor, OPENING)
        assert len(door.month) == len("2026-03")
        assert not list(learning.differences(session))
    before = months(database)
    assert {row["kind"] for row in before} >= {"door", "check", "time", "gap"}
    learner.learn_all()  # nothing new: nothing is added twice
    assert months(database) == before
    with database.write() as session:  # what was kept is not what the entries give
        session.connection().execute(text("UPDATE learned_door SET facts = '[]'"))
        assert len(list(learning.differences(session))) >= 1
        session.rollback()
    with database.write() as session:
        session.connection().execute(text("UPDATE summary SET state = 'returned'"))
    learner.learn_all()
    assert months(database) == []


def test_another_version_has_all_counted_anew(
    app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    database: Database = app.state.server.database
    learning.Learner(database).learn_all()
    before = months(database)
    monkeypatch.setattr(learning, "VERSION", "another")
    with database.write() as session:
        learning.begin_learning(session)
    assert months(database) == []
    learning.Learner(database).learn_all()
    assert months(database) == before
    with database.write() as session:
        learning.begin_learning(session)  # the same version: nothing is forgotten
    assert months(database) == before


def test_a_door_that_cannot_be_counted_keeps_no_other_from_it(
    app: FastAPI, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(_: object) -> None:
        raise ValueError("a fault of the program")

    database: Database = app.state.server.database
    monkeypatch.setattr(learning, "lessons_of", broken)
    learning.Learner(database).learn_all()
    assert "could not be counted" in caplog.text
    assert months(database) == []
    with database.read() as session:
        assert learning.waiting_doors(session) == []
