"""Schedules of chance hold (and would not if anything were broken: test_random_broken.py).

What is real in them and what is not stands in tests/faults/random/PLAN.md. The seeds are the same
each time, so that a failure here is one that comes again; `make faults` takes others.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.faults.random import schedule
from tests.faults.random.__main__ import Tally, run, shown, temporary
from tests.faults.random.site import Site, opened

SCHEDULES = range(1, 21)
MANY_SCHEDULES = range(1, 201)
FOUND = sorted((Path(schedule.__file__).parent / "found").glob("*.json"))
MET = (
    "entry reading", "entry strike", "entry tick", "entry sign", "entry photo", "entry again",
    "form sent again", "cut", "lost", "stall", "slow answer", "late", "twice", "both", "torn",
    "dies row", "dies kept", "kill begun", "kill kept", "kill answered", "upgrade", "clock",
    "office restore", "office image back", "office crew", "copied", "paired anew",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(chromium: Browser) -> Iterator[Site]:
    """Two phones and an office, whole."""
    with temporary() as folder, opened(chromium, Path(folder)) as made:
        yield made


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_what_was_found_once_holds_now(path: Path, site: Site) -> None:
    """Schedules that failed once, as short as they got, each mended since."""
    outcome = site.run(schedule.read(path))
    assert outcome.found == []
    assert outcome.counts["told"]


def test_twenty_schedules(site: Site) -> None:
    """After each, all that a person was told is saved is at the office, once, unaltered."""
    nothing_lost(run(site, SCHEDULES))


@pytest.mark.long
def test_two_hundred_schedules(site: Site) -> None:
    """The same over so many that every kind of work and trouble comes up."""
    tally = run(site, MANY_SCHEDULES)
    nothing_lost(tally)
    assert [what for what in MET if not tally.counts[what]] == []


def nothing_lost(tally: Tally) -> None:
    """Assert that no schedule failed, and that people were told that something is saved."""
    assert not tally.failures, "\n".join(shown(failure) for failure in tally.failures)
    assert tally.counts["told"] > 2 * tally.schedules


def test_a_schedule_is_its_seeds_and_can_be_read_again(tmp_path: Path) -> None:
    """The same seed makes the same schedule; what is printed can be replayed."""
    made = schedule.made(7)
    assert made == schedule.made(7) != schedule.made(8)
    path = tmp_path / "schedule.json"
    path.write_text(schedule.written(made), "utf-8")
    assert schedule.read(path) == made
