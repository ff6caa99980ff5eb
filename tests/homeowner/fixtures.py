"""An opening from issue to acceptance: its events, and folders of data that hold it.

tests/conftest.py hands these to every test that asks: made once in a process, and copied.
"""

import shutil
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.core.kinds import Json


@pytest.fixture(scope="session")
def book() -> list[Json]:
    """The events of an opening from issue to acceptance."""
    from tests.homeowner.finished import finished  # as late as this: most tests need nothing of it

    return finished().events


@pytest.fixture(scope="session")
def waiting(demo_data: Path, tmp_path_factory: pytest.TempPathFactory, book: list[Json]) -> Path:
    """A folder of data in which the opening is all signed and waits for the office."""
    from app.main import create_app
    from app.settings import Settings
    from app.store import log
    from tests.homeowner.conftest import OPENING, rehung

    folder = tmp_path_factory.mktemp("waiting") / "data"
    shutil.copytree(demo_data, folder)
    database = create_app(Settings(folder)).state.server.database
    with database.write() as session:
        known = log.events_of(session, [OPENING])[OPENING]
        own = {"device": known[0]["device"]}
        log.append_events(session, rehung(known, book[1:-1], own))
    database.close()
    return folder


@pytest.fixture(scope="session")
def accepted(waiting: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of data in which the office has accepted it: the record is issued."""
    from tests.demo.conftest import enter
    from tests.homeowner.conftest import accept, served

    folder = tmp_path_factory.mktemp("accepted") / "data"
    shutil.copytree(waiting, folder)
    app = served(folder)
    with TestClient(app):
        accept(enter(app, "supervisor"))
    return folder
