"""Steps without scripts: every form posts and leads on by itself."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.crew import Crew
from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.models import SEEN, OpeningPage, PartsPage, SignIn
from tests.browser.server import Sillbook, serving


@contextmanager
def page_without_scripts(chromium: Browser, served: Sillbook) -> Iterator[Page]:
    """A phone whose browser runs no scripts."""
    context = chromium.new_context(
        viewport=PHONE, base_url=served.address, java_script_enabled=False
    )
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


@pytest.fixture
def plain(chromium: Browser, sillbook: Sillbook) -> Iterator[Page]:
    with page_without_scripts(chromium, sillbook) as page:
        yield page


def begin(plain: Page) -> Crew:
    """Sign in, and have all parts of the opening."""
    SignIn(plain).as_("tobin")
    crew = Crew(plain, "marrow-lane-a", "Family room")
    crew.step("A").back()
    OpeningPage(plain).about("Parts")
    PartsPage(plain).all_here()
    return crew


def first_step(crew: Crew) -> None:
    page = crew.step("A")
    page.tick_all()
    page.decide("Go", words="Four of us, dry until Thursday.")
    crew.measure(page, "A")
    crew.sign(page)


@pytest.mark.long
def test_a_step_to_its_sign_off(plain: Page) -> None:
    first_step(begin(plain))
    expect(plain.get_by_role("main")).to_contain_text("1 of 14 signed")


@pytest.mark.long
def test_three_steps_to_their_sign_off(chromium: Browser, demo_data: Path, tmp_path: Path) -> None:
    data = Path(shutil.copytree(demo_data, tmp_path / "data"))
    with serving(data) as served, page_without_scripts(chromium, served) as plain:
        crew = begin(plain)
        first_step(crew)
        page = crew.step("B1")
        page.tick_all()
        page.decide("Opening is within every limit", name="R. Mellor")
        crew.measure(page, "B1")
        crew.sign(page)
        page = crew.step("B2")
        page.tick_all()
        crew.measure(page, "B2")
        crew.sign(page)
        expect(plain.get_by_role("main")).to_contain_text("3 of 14 signed")


def test_bad_input_keeps_what_was_typed(plain: Page) -> None:
    SignIn(plain).as_("tobin")
    crew = Crew(plain, "marrow-lane-a", "Family room")
    point = crew.step("D").point("Frame, clear height")
    point.send("eight feet")
    expect(point.error).to_be_visible(timeout=SEEN)
    expect(point.field).to_have_value("eight feet")
    expect(point.field).to_be_focused()
