"""Acceptance in a browser: the record as issued has every reading, its code is known, it prints."""

import io
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from app.core.kinds import Json
from tests.browser import axe
from tests.browser.fixtures import PATIENCE
from tests.browser.models import OfficeReview, SignIn
from tests.browser.server import Sillbook, serving


@pytest.fixture(scope="module")
def ready(waiting: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sillbook]:
    data = tmp_path_factory.mktemp("ready") / "data"
    shutil.copytree(waiting, data)
    with serving(data) as running:
        yield running


@pytest.mark.long
def test_accepted_record_in_a_browser(chromium: Browser, ready: Sillbook, book: list[Json]) -> None:
    context = chromium.new_context(base_url=ready.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    SignIn(page).as_("nadia")
    page.goto("/office/o/marrow-lane-a")
    review = OfficeReview(page)
    review.accept()
    expect(page.get_by_text("Accepted by Nadia Ferrow").first).to_be_visible(timeout=PATIENCE)
    record = review.record()
    record.whole()
    typed = [e["body"]["text"] for e in book if e["kind"] == "reading.taken"]
    assert Counter(record.typed()) == Counter(typed)
    screens_before_unfolding(page)
    record.unfold("Check that this is the record as issued", "Delivery check")
    # this server is this machine's own: no code leads there, and the file is what is checked
    expect(record.page.get_by_role("img", name="QR code")).to_have_count(0)
    expect(record.page.get_by_text("sillbook verify FILE")).to_be_visible()
    prints_what_checks_it(page)
    heads_of_checks_are_one_line(page)
    page.locator("a[href^='/verify/']").click()
    expect(page.get_by_role("status").filter(has_text="As issued")).to_be_visible()
    context.close()


def screens_before_unfolding(page: Page) -> None:
    """On a phone the record is at most six screens long until something is unfolded.

    In both languages; and axe-core finds nothing that keeps people out.
    """
    page.set_viewport_size({"width": 390, "height": 844})
    here = page.url
    for asked in ("?lang=es&units=mm", "?lang=en&units=both"):
        page.goto(here.partition("?")[0] + asked)
        high, wide = page.evaluate(
            "[document.documentElement.scrollHeight, document.documentElement.scrollWidth]"
        )
        assert high <= 6 * 844
        assert wide <= 390
        assert axe.violations(page) == []
    page.goto(here)
    page.set_viewport_size({"width": 1280, "height": 720})


def prints_what_checks_it(page: Page) -> None:
    """Every printed sheet says which opening and revision it is of, and has the code (pypdf)."""
    code = str(page.locator("a[href^='/verify/']").get_attribute("href")).rpartition("/")[2]
    printed = PdfReader(io.BytesIO(page.pdf(format="Letter")))
    sheets = [sheet.extract_text() for sheet in printed.pages]
    assert len(sheets) > 10
    for number, sheet in enumerate(sheets, 1):
        for part in (f"code {code}", "Revision 1", "A · Family room"):
            assert part in " ".join(sheet.split()), (number, part)


def heads_of_checks_are_one_line(page: Page) -> None:
    """On a narrow screen the name of a check has the whole line, not a column's width."""
    page.set_viewport_size({"width": 390, "height": 844})
    check = page.get_by_role("rowheader", name="Panel widths as drawn")
    box = check.bounding_box()
    assert box is not None
    assert box["height"] < 40
    page.set_viewport_size({"width": 1280, "height": 720})
