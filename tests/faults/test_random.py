"""Schedules of chance: they hold, and they would not if anything were broken.

What is real in them and what is not stands in tests/faults/random/PLAN.md. The seeds are the same
each time, so that a failure here is one that comes again; `make faults` takes others.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from app.core.kinds import Json
from tests.faults.random import broken, schedule
from tests.faults.random.__main__ import Tally, run, shown, shrunk
from tests.faults.random.invariant import Outcome
from tests.faults.random.shrink import shortest
from tests.faults.random.site import Site, opened

SCHEDULES = range(1, 201)
FOUND = sorted((Path(schedule.__file__).parent / "found").glob("*.json"))
MET = (
    "entry reading", "entry strike", "entry tick", "entry sign", "entry photo", "entry again",
    "form sent again", "cut", "lost", "stall", "slow answer", "late", "twice", "both", "torn",
    "dies row", "dies kept", "kill begun", "kill kept", "kill answered", "upgrade", "clock",
    "office restore", "office image back",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """Two phones and an office, whole."""
    with opened(chromium, tmp_path_factory.mktemp("site")) as made:
        yield made


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_what_was_found_once_holds_now(path: Path, site: Site) -> None:
    """Schedules that failed once, as short as they got, each mended since."""
    outcome = site.run(schedule.read(path))
    assert outcome.found == []
    assert outcome.counts["told"]


def test_two_hundred_schedules(site: Site) -> None:
    """After each, all that a person was told is saved is at the office, once, unaltered."""
    tally = run(site, SCHEDULES)
    assert not tally.failures, "\n".join(shown(failure) for failure in tally.failures)
    met(tally)


def met(tally: Tally) -> None:
    """Assert that every kind of work and trouble came up: else the run proves less than it says."""
    assert [what for what in MET if not tally.counts[what]] == []
    assert tally.counts["told"] > 2 * tally.schedules


# What is broken, how that must show, and how many actions are enough to show it.
BROKEN = {
    "forgetful-office": ("lost", 3),
    "altering-office": ("altered", 2),
    "hasty-phone": ("lost", 4),
    "trusting-phone": ("lost", 5),
}


@pytest.mark.parametrize("variant", BROKEN)
def test_what_is_broken_is_found_and_made_short(
    variant: str, chromium: Browser, tmp_path: Path
) -> None:
    """An office or a phone with one fault put in by hand: found, and shown in a few actions."""
    what, enough = BROKEN[variant]
    with opened(chromium, tmp_path, variant) as site:
        made, outcome = first_failing(site, what)
        failure = shrunk(site, made, outcome)
    assert what in failure.outcome.kinds
    assert len(failure.short["actions"]) <= enough
    assert all(action in made["actions"] for action in failure.short["actions"])


def first_failing(site: Site, what: str) -> tuple[Json, Outcome]:
    """Return the first schedule that fails in such a way."""
    for seed in SCHEDULES:
        made = schedule.made(seed)
        outcome = site.run(made)
        if what in outcome.kinds:
            return made, outcome
    raise AssertionError("nothing was found")


def test_every_broken_variant_is_tried() -> None:
    """None is forgotten here."""
    assert set(BROKEN) == set(broken.NAMES)


def test_a_schedule_is_its_seeds_and_can_be_read_again(tmp_path: Path) -> None:
    """The same seed makes the same schedule; what is printed can be replayed."""
    made = schedule.made(7)
    assert made == schedule.made(7) != schedule.made(8)
    path = tmp_path / "schedule.json"
    path.write_text(schedule.written(made), "utf-8")
    assert schedule.read(path) == made


@pytest.mark.parametrize("needed", [set(), {0}, {19}, {3, 4}, {0, 9, 19}, set(range(20))])
def test_shrinking_leaves_what_is_needed_and_no_more(needed: set[int]) -> None:
    """Worked out by hand: a failure that needs certain items, and all of them."""
    assert shortest(range(20), lambda part: needed <= set(part)) == sorted(needed)
