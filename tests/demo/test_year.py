"""The invented year: its doors stand accepted, and teach just what its file says was wrong."""

import shutil
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import pytest
from fastapi import FastAPI
from sqlmodel import select

from app.core.kinds import Json
from app.core.quantity.measure import parse_amount
from app.demo import year
from app.demo.company import FOLDER, read_yaml
from app.homeowner import issuing
from app.main import create_app
from app.settings import Settings
from app.store import learning, lessons
from app.store.learned_tables import LearnedDoor
from app.store.records import Issued
from app.store.summary_tables import Summary

COUNT = 5  # of the 24: the fifth came back
FILE = read_yaml(FOLDER / "year.yaml")


@pytest.fixture(scope="module")
def app(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    folder = tmp_path_factory.mktemp("year") / "data"
    shutil.copytree(demo_data, folder)
    made = create_app(Settings(folder))
    doors = load_some(made)
    assert doors == [f"year-{number:02}" for number in range(1, COUNT + 1)]
    while learning.learn_some(made.state.server.database, {}):
        pass
    yield made
    made.state.server.database.close()


def load_some(app: FastAPI) -> list[str]:
    database = app.state.server.database
    loaded = year.load_year(database, lambda s, events: issuing.on_kept(s, events, {}))
    return list(islice(loaded, COUNT))


def doors_of(app: FastAPI) -> list[LearnedDoor]:
    with app.state.server.database.read() as session:
        return list(session.exec(select(LearnedDoor).order_by(LearnedDoor.opening)))


def test_every_door_stands_accepted_with_its_record(app: FastAPI) -> None:
    with app.state.server.database.read() as session:
        rows = session.exec(select(Summary).where(Summary.opening.startswith("year-"))).all()  # type: ignore[attr-defined]
        assert [(row.state, row.outs, row.otherwise) for row in rows] == [("done", 0, 0)] * COUNT
        assert len(session.exec(select(Issued.opening)).all()) == COUNT


def test_floors_are_those_of_the_file(app: FastAPI) -> None:
    homes = FILE["homes"]
    for number, door in enumerate(doors_of(app)):
        low = homes[number % len(homes)]["floor"][number // len(homes)]
        assert door.floor == parse_amount("length", low, "in")
        assert door.floor_out == (door.floor > parse_amount("length", "1/4 in", "in"))


def test_what_was_wrong_at_first_is_what_the_file_spoils(app: FastAPI) -> None:
    """Widths of the frame are judged by one check."""
    spoiled = [one for one in FILE["spoiled"] if one["point"] == "frame-widths"]
    crews = ["heron", "heron", "plover", "plover", "heron"]
    assert [door.crew for door in doors_of(app)] == crews
    wrong = {
        number
        for one in spoiled
        for number, crew in enumerate(crews)
        if crew == one["crew"] and number % one["every"] == 0
    }
    found = set()
    for number, door in enumerate(doors_of(app)):
        taught = learning.lessons_in(door)
        if taught[lessons.CHECK, "D", "frame-width-alike", ""].good == 0:
            found.add(number)
    assert found == wrong != set()


def test_the_fifth_came_back(app: FastAPI) -> None:
    visit: Json = FILE["returns"][COUNT - 1]
    for number, door in enumerate(doors_of(app)):
        taught = learning.lessons_in(door)
        back = [one for key, one in taught.items() if key[0] == lessons.BACK]
        assert len(back) == (number == COUNT - 1)
        if back:
            assert taught[lessons.BACK, "", visit["trace"], ""].sizes == [visit["days"]]


def test_loading_it_again_changes_nothing(app: FastAPI) -> None:
    before = [door.model_dump() for door in doors_of(app)]
    load_some(app)
    assert learning.learn_some(app.state.server.database, {}) == 0
    assert [door.model_dump() for door in doors_of(app)] == before
