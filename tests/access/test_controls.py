"""Security controls that no other file shows: looking, bursts, names of files, the audit log."""

import logging
import re
import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import passwords, sessions
from app.main import create_app
from app.settings import Settings
from app.store.database import Database
from tests.access.conftest import browser_of, sign_in
from tests.access.test_routes import ENDLESS, PEOPLE, TABLE, filled


@pytest.fixture(scope="module")
def demo(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    data = tmp_path_factory.mktemp("controls") / "data"
    shutil.copytree(demo_data, data)
    made = create_app(Settings(data))
    with TestClient(made):
        yield made


def contents(database: Database) -> dict[str, list[object]]:
    """Return all rows of all tables, but for when a session was last used."""
    with database.read() as session:
        run = session.connection().exec_driver_sql
        names = [row[0] for row in run("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: sorted(map(str, run(f'SELECT * FROM "{name}"'))) for name in names}


@pytest.mark.control(8)
def test_looking_at_every_page_changes_nothing(demo: FastAPI) -> None:
    """Every route that answers GET, for every role, own and foreign."""
    database = demo.state.server.database
    browsers = [browser_of(demo) for _ in PEOPLE]
    for browser, (name, password) in zip(browsers, PEOPLE.values(), strict=True):
        assert browser.post("/sign-in", data={"name": name, "password": password}).status_code
    before = contents(database)
    for route in TABLE:
        method, path = route.split(" ")
        if method == "GET" and route != ENDLESS:
            for browser in browsers:
                browser.get(filled(path, True))
                browser.get(filled(path, False))
    assert contents(database) == before


@pytest.mark.control(4)
def test_lifetimes_are_a_working_day_and_a_week() -> None:
    """A phone's own token has no end: it is ended at the office (DEVELOPERS.md says so)."""
    assert (sessions.IDLE, sessions.ABSOLUTE) == (12 * 3600, 7 * 24 * 3600)


@pytest.mark.control(13)
def test_a_burst_of_passwords_is_hashed_few_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each takes 19 MiB: twenty at once would take a small machine."""
    running, most = 0, 0
    lock = threading.Lock()
    real = PasswordHasher.verify

    def counted(self: PasswordHasher, kept: str, password: str) -> bool:
        nonlocal running, most
        with lock:
            running += 1
            most = max(most, running)
        time.sleep(0.01)
        try:
            return real(self, kept, password)
        finally:
            with lock:
                running -= 1

    monkeypatch.setattr(PasswordHasher, "verify", counted)
    threads = [
        threading.Thread(target=passwords.password_fits, args=(None, "x")) for _ in range(20)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert 1 <= most <= 2


@pytest.mark.control(26)
@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "a\r\nSet-Cookie: x=1", "fdp.\u202egpj", "x\0.csv", "openings.exe"]
)
def test_names_of_files_are_the_servers_own(demo: FastAPI, name: str) -> None:
    office = browser_of(demo)
    who, password = PEOPLE["supervisor"]
    office.post("/sign-in", data={"name": who, "password": password})
    asked = office.get("/office/take-out/all/" + quote(name, safe=""))
    assert asked.status_code == (400 if "\0" in name else 404)  # a NUL is refused at the door
    assert "x" not in asked.cookies
    good = office.get("/office/take-out/all/openings.csv")
    assert re.fullmatch(r'attachment; filename="[\w.-]+"', good.headers["content-disposition"])


@pytest.mark.control(29)
def test_what_happens_to_access_is_logged(app: FastAPI, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "sillbook.access")
    browser = browser_of(app)
    sign_in(browser, "inga", "wrong password")
    sign_in(browser, "inga")
    browser.post("/pair/new")
    said = caplog.text
    for words in (
        "sign-in refused for 'inga'",
        "sign-in of 'inga'",
        "pairing code made for 'inga'",
    ):
        assert words in said
    assert "wrong password" not in said
    assert browser.cookies["sillbook"] not in said


@pytest.mark.control(29)
def test_nobody_writes_lines_into_the_log(app: FastAPI, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "sillbook.access")
    sign_in(browser_of(app), "inga\r\n2026-03-02 sillbook.access INFO sign-in of 'boss'\x1b[2J")
    lines = [record.getMessage() for record in caplog.records]
    assert lines
    assert not any(char in line for line in lines for char in "\r\n\x1b")


@pytest.mark.control(16)
def test_an_invitation_that_is_wrong_is_told_as_one_that_was_used(app: FastAPI) -> None:
    form = {"code": "A" * 26, "password": "rain on the tin roof", "again": "rain on the tin roof"}
    answer = browser_of(app).post("/welcome", data=form)
    assert answer.status_code == 422
    assert "it is wrong, was used, or is older than a week" in answer.text
