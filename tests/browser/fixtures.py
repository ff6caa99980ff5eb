"""The one browser of a test process; tests/conftest.py hands it to every test that asks."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.chromium import launch


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A running Chromium, started when first asked for. Make contexts, do not close it."""
    with sync_playwright() as playwright:
        browser = launch(playwright)
        yield browser
        browser.close()


@pytest.fixture
def fresh_context(chromium: Browser) -> Iterator[BrowserContext]:
    """A context of its own for one test: no cookies, no storage, no workers of others."""
    context = chromium.new_context()
    yield context
    context.close()


@pytest.fixture
def blank_page(fresh_context: BrowserContext) -> Page:
    """An empty page in a context of its own."""
    return fresh_context.new_page()
