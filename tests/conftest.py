"""What every test may ask for."""

import gc
import os
import time
from collections.abc import Iterator

import pytest

from app.core.checks import base
from app.core.trade import verdicts
from tests.browser.fixtures import (
    blank_page,
    chromium,
    crew,
    demo_data,
    desk,
    fresh_context,
    phone,
    signed_in,
    sillbook,
)
from tests.homeowner.fixtures import accepted, book, waiting
from tests.phone.fixtures import line, paired
from tests.quick_folder import keep_files_in_memory
from tests.store.both import postgres_server, with_tables
from tests.store.tables_kept import copied_tables

# What is made once in a process stands here: imported in two places it would be made twice.
__all__ = [
    "accepted",
    "blank_page",
    "book",
    "chromium",
    "crew",
    "demo_data",
    "desk",
    "fresh_context",
    "line",
    "paired",
    "phone",
    "postgres_server",
    "signed_in",
    "sillbook",
    "waiting",
    "with_tables",
]

# Files that hold one long test; begun last, one of them would keep everybody waiting at the end.
_FIRST = (
    "tests/phone/",
    "tests/webkit/",
    "tests/faults/",
    "tests/browser/",
    "tests/stories/",
    "tests/homeowner/",
    "tests/tooling/",
    "tests/words/",
)


keep_files_in_memory()  # before anybody asks where temporary files go; workers inherit it


def pytest_runtest_setup() -> None:
    """Begin no test after the moment that `make quick` gives, in seconds as time.time() has them.

    Counted from its own start: style and collecting are in its minute.
    """
    if time.time() > float(os.environ.get("SILLBOOK_BEGIN_NONE_AFTER", "inf")):
        pytest.skip("no time left: run it by name")


def pytest_collection_finish() -> None:
    """Let the garbage collector go seldom through what stays to the end: tests and program.

    It went through them again and again: a sixth of the processor's time of tests without browsers.
    """
    gc.set_threshold(20_000, 20, 100)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files with the longest tests first; within a file nothing changes."""
    items.sort(key=lambda item: not item.nodeid.startswith(_FIRST))


@pytest.fixture(scope="session", autouse=True)
def tables_made_once() -> Iterator[None]:
    """Databases of this process get their tables from a copy."""
    with copied_tables():
        yield


@pytest.fixture(scope="session", autouse=True)
def figures_and_verdicts_agree() -> Iterator[None]:
    """Whatever a check finds in any test: its figure stands where its verdict says.

    Its picture and a closer look are made from figure and limits alone.
    """
    made = base.Outcome.__init__

    def checked(self: base.Outcome, *given: object, **named: object) -> None:
        made(self, *given, **named)  # type: ignore[arg-type]
        ends = [end for end in (self.low, self.high) if end is not None]
        if self.value is None:
            assert not ends
        elif self.verdict in (verdicts.WITHIN, verdicts.UNREACHABLE, verdicts.OUT, verdicts.CLOSE):
            assert ends, (self.says[0].template, self.value)
            inside = (self.low is None or self.low <= self.value) and (
                self.high is None or self.value <= self.high
            )
            wanted = inside if self.verdict != verdicts.OUT else not inside
            assert wanted or self.verdict == verdicts.CLOSE, (self.verdict, self.value, *ends)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(base.Outcome, "__init__", checked)
        yield
