"""Guessing slows down; nobody is locked out for good."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access.slowdown import FORGET, SlowDown, TooManyError
from tests.access.conftest import Clock, browser_of, sign_in


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
    slow = SlowDown(free=1, longest=10)
    for number in range(10_001):
        slow.enter(str(number), 0)
    slow.enter("later", FORGET + 1)
    assert len(slow._tries) == 1


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
