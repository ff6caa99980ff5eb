"""/health says whether the server can work: with its database down it does not say ok.

503 Service Unavailable: RFC 9110, 15.6.4.
"""

from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from app.store.tables import Setting
from tests.store import postgres


def test_health_tells_that_the_file_is_gone_and_that_it_is_back(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path))
    browser = TestClient(app, raise_server_exceptions=False)
    assert (browser.get("/health").status_code, browser.get("/health").text) == (200, "ok")
    file = app.state.server.database.path
    away = file.rename(tmp_path / "away")
    assert browser.get("/health").status_code == 503
    away.rename(file)
    assert browser.get("/health").status_code == 200
    app.state.server.database.close()


def test_health_tells_that_the_server_of_the_database_stopped(tmp_path: Path) -> None:
    if postgres.programs() is None:
        pytest.skip(postgres.HINT)
    with postgres.cluster() as server:
        address = postgres.make_database(server, "sillbook_health")
        app = create_app(Settings(tmp_path, postgres=address))
        browser = TestClient(app, raise_server_exceptions=False)
        assert browser.get("/health").status_code == 200
    assert browser.get("/health").status_code == 503
    app.state.server.database.engine.dispose()


@pytest.mark.control(2)
def test_files_of_the_data_are_their_owners_alone(tmp_path: Path) -> None:
    """CWE-276. Also those that a version before left readable to everybody."""
    old = tmp_path / "sillbook.db"
    old.touch(0o644)
    app = create_app(Settings(tmp_path))
    with app.state.server.database.write() as session:
        session.merge(Setting(name="x", value="y"))
    for file in tmp_path.iterdir():
        assert file.stat().st_mode & 0o077 == 0, file.name
    app.state.server.database.close()
