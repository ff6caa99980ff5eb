"""Guessing slows down; nobody is locked out for good."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access import invitations
from app.access.slowdown import FORGET, OwnCounts, SlowDown, TooManyError
from tests.access.conftest import OURS, PASSWORD, Clock, browser_of, sign_in


def waits(slow: SlowDown, key: str, now: float) -> int:
    try:
        slow.enter(key, now)
    except TooManyError as error:
        return int(str(error.details["seconds"]))
    return 0


def test_waits_double_up_to_the_longest() -> None:
    slow, now, told = SlowDown(free=2, longest=10), 0.0, []
    for _ in range(8):
        wait = waits(slow, "a", now)
        told.append(wait)
        if wait:
            now += wait
            assert waits(slow, "a", now) == 0
    assert told == [0, 0, 0, 3, 5, 9, 11, 11]
    assert waits(slow, "b", now) == 0


def test_tries_are_forgotten_after_a_while() -> None:
    slow = SlowDown(free=1, longest=10)
    for now in (0, 0):
        slow.enter("a", now)
    assert waits(slow, "a", 2 + FORGET + 1) == 0
    assert waits(slow, "a", 2 + FORGET + 1) == 2 - 2


def test_keys_that_are_over_are_dropped() -> None:
    counts = OwnCounts()
    slow = SlowDown(free=1, longest=10, counts=counts)
    for number in range(10_001):
        slow.enter(str(number), 0)
    slow.enter("later", FORGET + 1)
    assert len(counts._kept) == 1


@pytest.mark.control(15)
def test_burst_is_slowed_and_the_right_password_works_after_the_wait(
    browser: TestClient, clock: Clock
) -> None:
    answers = [sign_in(browser, password="wrong") for _ in range(20)]
    assert answers == [422] * 6 + [429] * 14
    assert sign_in(browser) == 429
    clock.now += 60
    assert sign_in(browser) == 303
    assert sign_in(browser) == 303


def test_wait_is_told(browser: TestClient) -> None:
    for _ in range(6):
        sign_in(browser, password="wrong")
    form = {"name": "inga", "password": "wrong"}
    answer = browser.post("/sign-in", data=form)
    assert answer.headers["retry-after"] == "3"
    assert "Wait 3 seconds" in answer.text
    as_json = browser.post("/sign-in", data=form, headers={"Accept": "application/json"})
    assert as_json.json()["error"]["code"] == "too-many-tries"


@pytest.mark.control(15, 16)
def test_unknown_logins_are_slowed_alike(browser: TestClient) -> None:
    answers = [sign_in(browser, "nobody", "wrong") for _ in range(8)]
    assert answers == [422] * 6 + [429] * 2


@pytest.mark.control(15)
def test_address_is_slowed_across_logins(app: FastAPI, clock: Clock) -> None:
    browser = browser_of(app)
    answers = [sign_in(browser, f"name-{number}", "wrong") for number in range(40)]
    assert answers[:31] == [422] * 31
    assert set(answers[31:]) == {429}
    clock.now += 30
    assert sign_in(browser) == 303


def test_a_wait_from_a_clock_that_was_ahead_is_over() -> None:
    """Wrong tries under a clock in 2100 keep nobody out once it is set right."""
    slow, ahead = SlowDown(free=1, longest=60), 4_102_444_800.0  # 2100-01-01
    for _ in range(9):
        waits(slow, "a", ahead)
        ahead += 60
    assert waits(slow, "a", 1_800_000_000) == 0
    assert waits(slow, "a", 1_800_000_001) > 0  # what comes next is slowed as ever


def guesses(app: FastAPI, login: str, number: int) -> int:
    """A wrong try from an address that was never seen."""
    at = (f"2001:db8::{number:x}", 4711)  # RFC 3849: addresses for examples
    stranger = TestClient(app, client=at, follow_redirects=False, headers=OURS)
    return sign_in(stranger, login, "wrong")


@pytest.mark.control(15)
def test_who_signed_in_before_is_let_in_while_strangers_guess_each_second(
    app: FastAPI, browser: TestClient, clock: Clock
) -> None:
    """OWASP, "Slow Down Online Guessing Attacks with Device Cookies": a lane of its own."""
    assert sign_in(browser) == 303
    browser.post("/sign-out")
    for second in range(90):
        clock.now += 1
        guesses(app, "inga", second)
    assert guesses(app, "inga", 999) == 429
    assert sign_in(browser) == 303
    assert sign_in(browser_of(app)) == 429  # the password alone does not open the lane
    assert [sign_in(browser, password="wrong") for _ in range(8)][-1] == 429  # slowed as any


@pytest.mark.control(15)
def test_the_lane_is_the_name_s_own_and_cannot_be_made(
    app: FastAPI, browser: TestClient, clock: Clock
) -> None:
    assert sign_in(browser) == 303
    theirs = browser.cookies["sillbook-known"]
    for second in range(90):
        clock.now += 1
        for login in ("inga", "sven"):
            guesses(app, login, 2 * second)
    assert sign_in(browser, "sven") == 429
    number, seal = theirs.split(".")
    nobody = "A" * 22
    for made in (number, f"{number}.{nobody}", f"{seal}.{seal}", ".".join([nobody] * 9), "..", ""):
        forger = browser_of(app)
        forger.cookies.set("sillbook-known", made)
        assert sign_in(forger) == 429


@pytest.mark.control(15)
def test_several_people_are_known_in_one_browser(
    app: FastAPI, browser: TestClient, clock: Clock
) -> None:
    for login in ("inga", "sven"):
        assert sign_in(browser, login) == 303
    for second in range(90):
        clock.now += 1
        for login in ("inga", "sven"):
            guesses(app, login, second)
    for login in ("inga", "sven"):
        assert sign_in(browser, login) == 303


@pytest.mark.control(15)
def test_an_invitation_lets_in_while_strangers_guess(app: FastAPI, clock: Clock) -> None:
    """For a browser that nobody signed in with before: the administrator's link."""
    server = app.state.server
    with server.database.write() as session:
        code = invitations.make_invitation(session, "inga", int(clock.now))
    for second in range(90):
        clock.now += 1
        guesses(app, "inga", second)
    fresh = browser_of(app)
    assert "invitation" in fresh.post("/sign-in", data={"name": "inga", "password": PASSWORD}).text
    words = {"code": code, "password": PASSWORD + " anew", "again": PASSWORD + " anew"}
    assert fresh.post("/welcome", data=words).status_code == 303
    assert sign_in(fresh, password=PASSWORD + " anew") == 303
