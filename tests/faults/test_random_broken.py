"""Schedules of chance find what is broken on purpose, and make it short."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from app.core.kinds import Json
from tests.faults.random import broken, schedule
from tests.faults.random.__main__ import shrunk, temporary
from tests.faults.random.invariant import Outcome
from tests.faults.random.shrink import shortest
from tests.faults.random.site import Site, opened

SEEDS = 200  # so many at most are tried until one shows it


@pytest.fixture(scope="module")
def site(chromium: Browser) -> Iterator[Site]:
    """Two phones and an office, whole until a test breaks them."""
    with temporary() as folder, opened(chromium, Path(folder)) as made:
        yield made


# What is broken, how that must show, how many actions are enough to show it, the seed to begin
# with: the last one shows in few schedules, and 28 that show nothing are passed (`make long` not).
BROKEN = {
    "forgetful-office": ("lost", 2, 1),
    "altering-office": ("altered", 2, 1),
    "hasty-phone": ("lost", 4, 1),
    "trusting-phone": ("lost", 5, 29),
}


# An office and a phone stand for all; the others are found in `make long`.
LATER = ("altering-office", "trusting-phone")


@pytest.mark.parametrize(
    "variant",
    [pytest.param(name, marks=[pytest.mark.long] * (name in LATER)) for name in BROKEN],
)
def test_what_is_broken_is_found_and_made_short(variant: str, site: Site) -> None:
    """An office or a phone with one fault put in by hand: found, and shown in a few actions."""
    what, enough, first = BROKEN[variant]
    site.break_with(variant)
    made, outcome = first_failing(site, what, first)
    failure = shrunk(site, made, outcome)
    assert what in failure.outcome.kinds
    assert len(failure.short["actions"]) <= enough
    assert all(action in made["actions"] for action in failure.short["actions"])
    site.break_with("")
    assert site.run(failure.short).found == []  # it was the fault, and nothing else


@pytest.mark.long
def test_what_shows_seldom_is_found_from_the_first_seed(site: Site) -> None:
    """By chance alone, nothing passed."""
    site.break_with("trusting-phone")
    assert first_failing(site, "lost", 1)
    site.break_with("")


def first_failing(site: Site, what: str, first: int) -> tuple[Json, Outcome]:
    """Return the first schedule from a seed on that fails in such a way."""
    for seed in range(first, SEEDS + 1):
        made = schedule.made(seed)
        outcome = site.run(made)
        if what in outcome.kinds:
            return made, outcome
    raise AssertionError("nothing was found")


def test_every_broken_variant_is_tried() -> None:
    """None is forgotten here."""
    assert set(BROKEN) == set(broken.NAMES)


@pytest.mark.parametrize("needed", [set(), {0}, {19}, {3, 4}, {0, 9, 19}, set(range(20))])
def test_shrinking_leaves_what_is_needed_and_no_more(needed: set[int]) -> None:
    """Worked out by hand: a failure that needs certain items, and all of them."""
    assert shortest(range(20), lambda part: needed <= set(part)) == sorted(needed)
