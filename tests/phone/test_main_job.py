"""The whole installation at full depth by the pages, server stopped, then the record.

In `make long`: over six minutes alone on a core. `make test` has the same door at short depth by
its cards (test_card_job.py).
"""

from pathlib import Path

import pytest

from tests.browser.crew import Crew
from tests.browser.fixtures import PATIENCE, PHONE
from tests.browser.installation import (
    PAPERS,
    ROOM,
    accept,
    deliver,
    measure_everything,
    plain_step,
    prints_everything,
    roll,
    set_panels,
    shows_everything,
    square,
    survey,
)
from tests.browser.models import SEEN, StepPage
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file, take
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well


@pytest.mark.long
def test_a_whole_installation_without_an_office(site: Site, tmp_path: Path) -> None:
    """Steps A to J, with what goes wrong: out, mistaken, misplaced, out of reach, refused.

    Nothing answers but the phone; then the office is there again, and has everything, once.
    """
    site.office.stop()
    crew = Crew(site.phone.page, OPENING, ROOM)
    measure_everything(crew, OPENING)
    deliver(crew)
    photograph(crew.step("B1"), camera_file(tmp_path / "sill.jpg"))
    survey(crew)
    for key in ("B2", "C"):
        plain_step(crew, key)
    square(crew)
    set_panels(crew)
    roll(crew)
    for key in ("G", "H", "I", "J"):
        plain_step(crew, key)
    told = site.phone.own()
    expect(site.phone.page.locator("#kept-and-sent")).to_contain_text(
        f"{len(told)} entries and 1 photo saved on this phone, not yet sent", timeout=SEEN
    )
    site.office.start()
    all_is_well(site, told)
    record_of(site, crew, tmp_path)


def photograph(page: StepPage, file: Path) -> None:
    """Take the photo that a step asks for; it is shown at once."""
    section = page.page.get_by_role("region", name="Photos")
    take(section, file)
    expect(section.get_by_role("img").first).to_be_visible(timeout=SEEN)


def record_of(site: Site, crew: Crew, folder: Path) -> None:
    """The supervisor, at a computer of the office, accepts the opening and prints its record."""
    context = site.browser.new_context(viewport=PHONE, base_url=site.line.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    try:
        record = accept(context.new_page())
        shows_everything(record, crew)
        expect(record.page.get_by_role("main").locator("img[src*='/photos/']")).to_have_count(1)
        for paper in PAPERS:
            prints_everything(record, paper, folder)
    finally:
        context.close()
