"""Signing in and out, sessions and their end."""

import re
import shutil
import sqlite3
import time
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import passwords, sessions
from app.access.sign_in import is_local
from app.core.errors import InputError
from app.main import create_app
from app.settings import Settings
from app.store.tables import Person
from tests.access.conftest import Clock, browser_of, sign_in


def is_in(browser: TestClient) -> bool:
    return browser.get("/field").status_code == 200


def test_signing_in_leads_home_by_role(app: FastAPI) -> None:
    for login, home in (("inga", "/field"), ("sven", "/office/today")):
        browser = browser_of(app)
        sign_in(browser, login)
        assert browser.get("/").headers["location"] == home


def test_login_is_found_however_it_is_written(browser: TestClient) -> None:
    assert sign_in(browser, " INGA ") == 303


def test_page_asked_for_comes_after_signing_in(browser: TestClient) -> None:
    asked = browser.get("/field/o/op-1")
    assert asked.headers["location"] == "/sign-in?next=/field/o/op-1"
    shown = browser.get(asked.headers["location"])
    assert 'name="next" value="/field/o/op-1"' in shown.text
    form = {"name": "inga", "password": "wrong", "next": "/field/o/op-1"}
    assert 'name="next" value="/field/o/op-1"' in browser.post("/sign-in", data=form).text


@pytest.mark.parametrize(
    "place",
    ["//evil.example", "https://evil.example", "/\\evil.example", "\\\\evil", "/\t/evil.example",
     "/\n/evil.example", "javascript:alert(1)", "field", "/ﬁeld", ""],
)  # fmt: skip
def test_nobody_is_led_away_after_signing_in(browser: TestClient, place: str) -> None:
    assert not is_local(place)
    sign_in(browser, next=place)
    assert browser.get("/sign-in", params={"next": place}).headers["location"] == "/field"


@pytest.mark.parametrize(
    ("login", "password"),
    [("inga", "wrong"), ("nobody", "wrong"), ("inga", ""), ("", ""), ("inga", "x" * 5000),
     ("inga\0", "wrong"), ("inga' OR 1=1 --", "x"), ("é" * 300, "x")],
)  # fmt: skip
@pytest.mark.control(16)
def test_wrong_name_and_wrong_password_are_told_alike(
    browser: TestClient, login: str, password: str
) -> None:
    answer = browser.post("/sign-in", data={"name": login, "password": password})
    assert answer.status_code == 422
    assert "That name and password do not belong together." in answer.text
    assert "set-cookie" not in answer.headers


def test_login_is_kept_and_password_is_not(browser: TestClient) -> None:
    text = browser.post("/sign-in", data={"name": 'a"<b', "password": "secret-1"}).text
    assert 'value="a&#34;&lt;b"' in text
    assert "secret-1" not in text


@pytest.mark.control(5)
def test_disabled_person_is_refused_and_thrown_out(app: FastAPI, inga: TestClient) -> None:
    with app.state.server.database.write() as session:
        session.get_one(Person, "inga").disabled = True
    assert not is_in(inga)
    assert sign_in(browser_of(app)) == 422


@pytest.mark.control(1)
def test_cookie_is_out_of_reach(browser: TestClient) -> None:
    cookie = browser.post(
        "/sign-in", data={"name": "inga", "password": "plumb and level 9"}
    ).headers["set-cookie"]
    assert re.match(r"sillbook=[\w-]{43};", cookie)
    for part in ("HttpOnly", "SameSite=lax", "Path=/"):
        assert part in cookie
    assert "Secure" not in cookie


@pytest.mark.control(1)
def test_cookie_over_https_is_bound_to_the_host(app: FastAPI) -> None:
    browser = browser_of(app, "https://testserver")
    answer = browser.post("/sign-in", data={"name": "inga", "password": "plumb and level 9"})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-sillbook=")
    assert "Secure" in cookie
    assert "Domain" not in cookie
    assert is_in(browser)
    assert "max-age" in answer.headers["strict-transport-security"]


@pytest.mark.control(1)
def test_plain_cookie_signs_nobody_in_over_https(app: FastAPI, inga: TestClient) -> None:
    token = inga.cookies["sillbook"]
    other = browser_of(app, "https://testserver")
    assert other.get("/field", headers={"Cookie": f"sillbook={token}"}).status_code == 303


@pytest.mark.control(3)
def test_each_sign_in_gives_a_new_token_and_kills_the_old(app: FastAPI, inga: TestClient) -> None:
    old = inga.cookies["sillbook"]
    sign_in(inga)
    assert inga.cookies["sillbook"] != old
    assert browser_of(app).get("/field", headers={"Cookie": f"sillbook={old}"}).status_code == 303


@pytest.mark.control(5)
def test_session_is_dead_after_signing_out(app: FastAPI, inga: TestClient) -> None:
    token = inga.cookies["sillbook"]
    answer = inga.post("/sign-out")
    assert answer.headers["location"] == "/sign-in"
    assert "sillbook" not in inga.cookies
    assert browser_of(app).get("/field", headers={"Cookie": f"sillbook={token}"}).status_code == 303


def test_signing_out_leaves_other_browsers_alone(app: FastAPI, inga: TestClient) -> None:
    other = browser_of(app)
    sign_in(other)
    inga.post("/sign-out")
    assert is_in(other)


@pytest.mark.control(5)
def test_end_all_ends_every_session(app: FastAPI, inga: TestClient) -> None:
    with app.state.server.database.write() as session:
        sessions.end_all(session, "inga")
    assert not is_in(inga)


@pytest.mark.control(4)
def test_idle_session_ends(inga: TestClient, clock: Clock) -> None:
    clock.now += sessions.IDLE - 1
    assert is_in(inga)
    clock.now += sessions.IDLE
    assert not is_in(inga)


@pytest.mark.control(4)
def test_session_in_use_ends_all_the_same(inga: TestClient, clock: Clock) -> None:
    for _ in range(0, sessions.ABSOLUTE - sessions.IDLE, sessions.IDLE // 2):
        clock.now += sessions.IDLE // 2
        assert is_in(inga)
    clock.now += sessions.IDLE // 2
    assert is_in(inga)
    clock.now += sessions.IDLE // 2
    assert not is_in(inga)


@pytest.mark.control(4)
def test_session_from_a_clock_that_was_ahead_is_over(
    browser: TestClient, inga: TestClient, clock: Clock
) -> None:
    """It would last until that clock's time has come, and a week."""
    now, clock.now = clock.now, 4_102_444_800.0  # 2100-01-01
    assert sign_in(browser) == 303
    assert is_in(browser)
    clock.now = now
    assert not is_in(browser)


def test_sessions_that_are_over_are_dropped(app: FastAPI, inga: TestClient, clock: Clock) -> None:
    clock.now += sessions.ABSOLUTE + 1
    sign_in(inga)
    with sqlite3.connect(app.state.server.database.path) as plain:
        assert plain.execute("SELECT count(*) FROM session").fetchone() == (1,)


@pytest.mark.control(2)
def test_copy_of_the_database_signs_nobody_in(
    app: FastAPI, inga: TestClient, tmp_path: Path, clock: Clock
) -> None:
    """Whoever steals the database finds nothing in it that opens a session."""
    database = app.state.server.database
    with sqlite3.connect(database.path) as plain:
        plain.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        rows = [row for table in ("session", "person", "setting")
                for row in plain.execute(f"SELECT * FROM {table}")]  # fmt: skip
    stolen = tmp_path / "stolen"
    stolen.mkdir()
    shutil.copy(database.path, stolen)
    copy = browser_of(create_app(Settings(stolen), clock=clock))
    assert inga.cookies["sillbook"] not in str(rows)
    for value in {str(value) for row in rows for value in row}:
        if value.isascii() and value.isprintable():
            cookie = {"Cookie": f"sillbook={value}"}
            assert copy.get("/field", headers=cookie).status_code == 303
            assert sign_in(copy, "inga", value[:128]) in (422, 429)
    copy.app.state.server.database.close()


@pytest.mark.control(13)
def test_passwords_are_argon2id_with_the_least_cost_or_more() -> None:
    """OWASP's cheat sheet on password storage: argon2id, m=19456 (19 MiB), t=2, p=1."""
    kept = passwords.hash_password("plumb and level 9")
    found = re.match(r"\$argon2id\$v=19\$m=(\d+),t=(\d+),p=(\d+)\$", kept)
    assert found
    memory, passes, lanes = (int(number) for number in found.groups())
    assert memory >= 19 * 1024
    assert passes >= 2
    assert lanes == 1


@pytest.mark.parametrize("password", ["", "short 7", "x" * 129])
@pytest.mark.control(14)
def test_passwords_of_other_lengths_are_refused(password: str) -> None:
    with pytest.raises(InputError) as refused:
        passwords.hash_password(password)
    assert refused.value.code == "password-length"


@pytest.mark.control(13)
def test_weak_hash_is_renewed_at_sign_in(app: FastAPI, browser: TestClient) -> None:
    from argon2 import PasswordHasher

    weak = PasswordHasher(time_cost=1, memory_cost=8 * 1024, parallelism=1)
    database = app.state.server.database
    with database.write() as session:
        session.get_one(Person, "inga").password = weak.hash("plumb and level 9")
    assert sign_in(browser) == 303
    with database.read() as session:
        kept = session.get_one(Person, "inga").password
    assert not passwords.is_outdated(kept)
    assert passwords.password_fits(kept, "plumb and level 9")


@pytest.mark.control(16)
def test_unknown_login_takes_as_long_as_a_known_one() -> None:
    """The least of nine each, taken in turn, within a factor of two: the hash is nearly all.

    The thread's own time, not the clock on the wall: other tests run beside this one.
    """
    kept = passwords.hash_password("plumb and level 9")
    times: dict[str | None, list[float]] = {kept: [], None: []}
    for _ in range(9):
        for hash_, taken in times.items():
            began = time.thread_time()
            passwords.password_fits(hash_, "wrong")
            taken.append(time.thread_time() - began)
    known, unknown = min(times[kept]), min(times[None])
    assert known > 0.001
    assert 0.5 < known / unknown < 2
