"""What browser tests ask for: one browser a test process, a server with the demo a test file.

tests/conftest.py hands these to every test that asks.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.chromium import launch
from tests.browser.models import SEEN, SignIn
from tests.browser.server import Sillbook, serving

PHONE = {"width": 390, "height": 844}
PATIENCE = 60_000  # milliseconds, on a busy or slow machine


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


@pytest.fixture(scope="session")
def demo_data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo company as it is when new, made once. Copy it, do not serve it."""
    from app.demo import company  # as late as this: most tests need nothing of it
    from app.main import create_app
    from app.settings import Settings

    data = tmp_path_factory.mktemp("demo")
    database = create_app(Settings(data)).state.server.database
    company.load_company(database)
    database.close()
    return data


@pytest.fixture(scope="module")
def sillbook(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sillbook]:
    """A server process with the demo company, for the tests of one file."""
    data = tmp_path_factory.mktemp("served") / "data"
    shutil.copytree(demo_data, data)
    with serving(data) as running:
        yield running


@pytest.fixture
def phone(chromium: Browser, sillbook: Sillbook) -> Iterator[Page]:
    """A page of a phone's size, nobody signed in, relative to the server of this file."""
    context = chromium.new_context(viewport=PHONE, base_url=sillbook.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def signed_in(chromium: Browser, sillbook: Sillbook) -> Callable[[Page, str], Page]:
    """Signs a person in on a page, which stays empty: by the page for it once, then as that was.

    A test that signs somebody out, or is about signing in, does it through the page (SignIn).
    """
    cookies: dict[str, list[Any]] = {}

    def sign_in(page: Page, name: str) -> Page:
        if name not in cookies:
            context = chromium.new_context(base_url=sillbook.address, locale="en-US")
            context.set_default_timeout(PATIENCE)
            other = context.new_page()
            SignIn(other).as_(name)
            expect(other.get_by_role("heading", level=1)).not_to_have_text("Sign in", timeout=SEEN)
            cookies[name] = context.cookies()
            context.close()
        page.context.add_cookies(cookies[name])
        return page

    return sign_in


@pytest.fixture
def desk(phone: Page, signed_in: Callable[[Page, str], Page]) -> Page:
    """The supervisor's browser, on a screen as wide as a desk's."""
    phone.set_viewport_size({"width": 1280, "height": 800})
    signed_in(phone, "nadia").goto("/office")
    return phone


@pytest.fixture
def crew(
    chromium: Browser, sillbook: Sillbook, signed_in: Callable[[Page, str], Page]
) -> Iterator[Page]:
    """The installer's browser, of a phone's size, on an empty page."""
    context = chromium.new_context(viewport=PHONE, base_url=sillbook.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    yield signed_in(context.new_page(), "tobin")
    context.close()
