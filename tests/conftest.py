"""What every test may ask for."""

import pytest

from tests.browser.fixtures import (
    blank_page,
    chromium,
    crew,
    demo_data,
    desk,
    fresh_context,
    phone,
    sillbook,
)

__all__ = [
    "blank_page",
    "chromium",
    "crew",
    "demo_data",
    "desk",
    "fresh_context",
    "phone",
    "sillbook",
]

# Files that hold one long test; begun last, one of them would keep everybody waiting at the end.
_FIRST = ("tests/phone/", "tests/webkit/", "tests/faults/", "tests/browser/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files with the longest tests first; within a file nothing changes."""
    items.sort(key=lambda item: not item.nodeid.startswith(_FIRST))
