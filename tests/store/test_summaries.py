"""Summaries: made in the transaction of their events, and the same when made from events alone."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import text
from sqlmodel import Session, select

from app.core.kinds import Json
from app.core.record.events import in_order, new_event
from app.core.record.fold import carried_forward
from app.core.record.standing import opening_state, step_state
from app.core.record.state import State
from app.main import create_app
from app.settings import Settings
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.summaries import Summaries, checks_out
from app.store.tables import Event, Setting
from tests.bench.histories import History
from tests.core.finer import PROCEDURES as FINER
from tests.core.test_depth import standing_site

Rows = list[list[tuple[Any, ...]]]
ALL = (
    "SELECT * FROM summary ORDER BY opening",
    "SELECT * FROM open_item ORDER BY id",
    "SELECT * FROM search_word ORDER BY word, opening",
    "SELECT * FROM tally WHERE count <> 0 ORDER BY name",
)


@pytest.fixture
def app(demo_data: Path, tmp_path: Path) -> Iterator[FastAPI]:
    shutil.copytree(demo_data, tmp_path / "data")
    made = create_app(Settings(tmp_path / "data"))
    with TestClient(made):
        yield made


@pytest.fixture
def database(app: FastAPI) -> Database:
    found: Database = app.state.server.database
    return found


def rows(database: Database) -> Rows:
    with database.read() as session:
        found = [session.connection().execute(text(words)).fetchall() for words in ALL]
    return [[tuple(row) for row in table] for table in found]


def summary(database: Database, opening: str) -> dict[str, Any]:
    with database.read() as session:
        asked = text("SELECT * FROM summary WHERE opening = :opening")
        return dict(session.connection().execute(asked, {"opening": opening}).mappings().one())


def add(database: Database, opening: str, kind: str, body: dict[str, Any], hand: str) -> str:
    """Add one event by the office's or the browser's device, as its pages would."""
    with database.write() as session:
        before = log.events_of(session, [opening])[opening]
        draft = {
            "id": uuid7(),
            "device": device_id(session, hand),
            "opening": opening,
            "seen": State(before, procedures.all_of(session, {})).heads,
            "at": "2026-04-01T09:00:00-05:00",
            "person": "tobin-hale",
            "kind": kind,
            "body": body,
        }
        made = new_event(before, draft)
        log.append_events(session, [made])
    return str(made["id"])


def part(database: Database, state: str) -> None:
    body = {"mark": "F-SILL", "state": state, "words": "bent at one end"}
    add(database, "saltgrass-b", "part.stated", body, "web")


def test_each_opening_that_was_issued_has_one(database: Database) -> None:
    assert [row[0] for row in rows(database)[0]] == [
        "marrow-lane-a",
        "marrow-lane-b",
        "quarry-steps-a",
        "quarry-steps-b",
        "saltgrass-a",
        "saltgrass-b",
    ]


def test_states_are_those_of_the_pages(database: Database) -> None:
    with database.read() as session:
        known = procedures.all_of(session, {})
        for opening, *_ in rows(database)[0]:
            state = State(log.events_of(session, [opening])[opening], known)
            assert summary(database, opening)["state"] == opening_state(state)


def test_floor_that_is_out_is_counted(database: Database) -> None:
    found = summary(database, "quarry-steps-a")
    assert (found["state"], found["step"], found["signed"]) == ("open", "B1", 1)
    assert found["outs"] > 0


def test_how_each_step_stands_is_kept_in_the_steps_order(database: Database) -> None:
    """As the pages say it; what is out is said of a step that is not signed."""
    with database.read() as session:
        known = procedures.all_of(session, {})
        for opening, *_ in rows(database)[0]:
            state = State(log.events_of(session, [opening])[opening], known)
            outs = {step.key for step, _ in checks_out(state)}
            kept = json.loads(summary(database, opening)["step_states"])
            assert list(kept) == [step.key for step in state.steps]
            for step in state.steps:
                said = kept[step.key]
                if said in ("", "out"):
                    assert step_state(state, step) in ("ready", "barred", "open")
                    assert (said == "out") == (step.key in outs)
                else:
                    assert said == step_state(state, step)
    kitchen = json.loads(summary(database, "quarry-steps-a")["step_states"])
    assert (kitchen["A"], kitchen["B1"], kitchen["C"]) == ("signed", "out", "")


def test_a_door_that_was_called_off_has_nothing_out(database: Database) -> None:
    body = {"result": "cancelled", "reason": "The owner keeps the wall."}
    add(database, "quarry-steps-a", "opening.closed", body, "office")
    kept = summary(database, "quarry-steps-a")
    states = json.loads(kept["step_states"])
    assert (kept["outs"], kept["hold_outs"], states["A"], states["B1"]) == (0, "", "signed", "")


def test_summaries_of_an_older_version_are_made_anew_with_how_steps_stand(
    database: Database,
) -> None:
    """The migration leaves them without; the next start works them out."""
    kept = rows(database)
    with database.write() as session:
        session.connection().execute(text("UPDATE summary SET step_states = ''"))
        session.merge(Setting(name="summaries", value="12 by other rules"))
    with database.read() as session:
        assert len(list(Summaries().differences(session))) == len(kept[0])
    with database.write() as session:
        database.summaries.start(session)
    assert rows(database) == kept


def test_part_that_is_short_comes_and_goes(database: Database) -> None:
    part(database, "short")
    assert summary(database, "saltgrass-b")["parts"] == 1
    item = rows(database)[1][0]
    assert item[:3] == ("saltgrass-b|parts|F-SILL", "saltgrass-b", "parts")
    assert "bent at one end" in item
    part(database, "here")
    assert summary(database, "saltgrass-b")["parts"] == 0
    assert rows(database)[1] == []


def test_query_waits_until_it_is_answered(database: Database) -> None:
    body = {"words": "The header hangs lower than drawn.", "bars": ["C"]}
    query = add(database, "saltgrass-b", "query.raised", body, "web")
    assert summary(database, "saltgrass-b")["queries"] == 1
    answer = {"query": query, "answer": "wait", "words": "The builder comes on Monday."}
    add(database, "saltgrass-b", "query.answered", answer, "office")
    found = summary(database, "saltgrass-b")
    assert (found["queries"], found["waiting"]) == (0, 1)
    answer = {"query": query, "answer": "build", "words": "It is as the engineer drew it."}
    add(database, "saltgrass-b", "query.answered", answer, "office")
    assert summary(database, "saltgrass-b")["waiting"] == 0


def test_entry_of_the_office_is_not_hearing_from_the_crew(database: Database) -> None:
    before = summary(database, "marrow-lane-b")
    body = {"result": "returned", "step": "B1", "words": "Pack the middle again."}
    add(database, "marrow-lane-b", "opening.reviewed", body, "office")
    after = summary(database, "marrow-lane-b")
    assert after["heard"] == before["heard"]
    assert after["state"] == "returned"
    assert after["seq"] > before["seq"]


def test_made_from_events_alone_they_are_the_same(database: Database) -> None:
    part(database, "damaged")
    add(database, "saltgrass-b", "query.raised", {"words": "No pan.", "bars": ["B2"]}, "web")
    kept = rows(database)
    with database.write() as session:
        assert database.summaries.rebuild(session) == 6
    assert rows(database) == kept


@pytest.mark.parametrize("seed", ["one", "two"])
def test_carried_over_a_history_of_chance_it_is_what_the_events_alone_give(
    database: Database, seed: str
) -> None:
    """Readings, strikes, corrections and sign-offs by chance, in portions of chance, two phones."""
    chance = Random(seed)
    with database.read() as session:
        issued = session.exec(select(Event).where(Event.kind == "opening.issued")).all()
        alone = [row for row in issued if len(events_of(session, row.opening)) == 1]
        known = procedures.all_of(session, {})
    history = History(json.loads(alone[0].body), known, ["phone-a", "phone-b"], seed)
    history.work(90)
    history.again(150)
    at, outs = 1, set()
    while at < len(history.events):
        portion = history.events[at : at + chance.randint(1, 12)]
        at += len(portion)
        with database.write() as session:
            log.append_events(session, portion)
        outs.add(summary(database, alone[0].opening)["outs"])
        with database.read() as session:
            assert list(Summaries().differences(session)) == [], at
    assert len(outs) > 1


def test_a_rough_check_that_a_finer_one_stands_for_is_not_out() -> None:
    """The gate is open, so the board has nothing to show; where both are out it is out once."""
    for reading, left in ((4, []), (5, ["fine-alike"])):
        site = standing_site()
        known: list[Json] = []
        state: State | None = None
        for place, out in (("left", ["sill-level"]), ("right", left)):
            site.take("phone-a", "sill-fine", place, reading)
            known += [event for event in in_order(site.all()) if event not in known]
            state = carried_forward(state, known, FINER, {})
            assert [check for _, check in checks_out(state)] == out


def events_of(session: Session, opening: str) -> list[Json]:
    return log.events_of(session, [opening])[opening]


def test_rebuilding_mends_what_was_changed_by_hand(database: Database) -> None:
    kept = rows(database)
    with database.write() as session:
        session.connection().execute(text("UPDATE summary SET outs = 99, state = 'done'"))
        session.connection().execute(text("DELETE FROM summary WHERE opening = 'marrow-lane-a'"))
        session.connection().execute(text("DELETE FROM search_word WHERE word < 'm'"))
        session.connection().execute(text("UPDATE search_word SET word = word || 'x'"))
    assert rows(database) != kept
    with database.write() as session:
        database.summaries.rebuild(session)
    assert rows(database) == kept


def test_write_that_fails_leaves_no_summary_of_it(database: Database) -> None:
    kept = rows(database)

    def fail() -> None:
        with database.write() as session:
            before = log.events_of(session, ["saltgrass-b"])["saltgrass-b"]
            draft = {"id": uuid7(), "device": "web-x", "opening": "saltgrass-b", "seen": {}}
            draft |= {"at": "2026-04-01T09:00:00-05:00", "person": "tobin-hale"}
            body = {"mark": "F-SILL", "state": "short"}
            made = new_event(before, {**draft, "kind": "part.stated", "body": body})
            log.append_events(session, [made])
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert rows(database) == kept


def test_words_follow_what_the_job_is_called(database: Database) -> None:
    with database.write() as session:
        session.connection().execute(text("UPDATE job SET title = 'Osier-Row, Peña'"))
        log.touch_opening(session, "marrow-lane-a")
    words = [word for word, opening in rows(database)[2] if opening == "marrow-lane-a"]
    assert {"osier", "row", "pena", "family"} <= set(words)
    assert sorted(words) == sorted(summary(database, "marrow-lane-a")["words"].split())


def test_tallies_are_what_counting_gives(database: Database) -> None:
    part(database, "wrong")
    with database.read() as session:
        connection = session.connection()
        for name, count in connection.execute(text("SELECT name, count FROM tally")).fetchall():
            where = f"state = '{name[6:]}'" if name.startswith("state:") else f"{name} > 0"
            counted = connection.execute(text(f"SELECT count(*) FROM summary WHERE {where}"))
            assert counted.scalar_one() == count, name


def test_database_without_summaries_makes_them_at_the_start(
    app: FastAPI, database: Database
) -> None:
    kept = rows(database)
    with database.write() as session:
        session.connection().execute(text("DELETE FROM setting WHERE name = 'summaries'"))
        session.connection().execute(text("DELETE FROM summary"))
    with database.write() as session:
        database.summaries.start(session)
    assert rows(database) == kept
