"""One page of one browser for all files: a new worker each is enough to keep them apart."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.parity.engine import Engine, engine


@pytest.fixture(scope="session")
def second(chromium: Browser) -> Iterator[Engine]:
    """The second interpreter."""
    with engine(chromium) as running:
        yield running
