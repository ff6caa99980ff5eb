"""A service visit in a real worker, without a network: begun, measured, photographed, signed.

What is expected follows from the rules of a visit (app/core/record/visits.py): the record stays,
and its sheet is there as soon as the office hears of the signature.
"""

import pytest
from playwright.sync_api import Page, expect

from app.core.record import visits
from app.core.record.state import State
from app.homeowner import issuing
from app.main import create_app
from app.settings import Settings
from app.store import log
from tests.browser.crew import DOWN
from tests.browser.models import SEEN, PointPage
from tests.browser.readings import demo_state, spots
from tests.faults.test_photos import camera_file
from tests.homeowner.finished import PROCEDURES, finished
from tests.phone.fixtures import Site
from tests.phone.seeding import put
from tests.phone.work import OPENING, all_is_well

HOME = f"/field/o/{OPENING}"
WORDS = "Turned the right roller of A up"


def accept_before(site: Site) -> None:
    """Give the office a door that was accepted, with its record; the phone takes it; then stop."""
    site.office.stop()
    put(site.office.data, OPENING, finished().events[1:])
    database = create_app(Settings(site.office.data)).state.server.database
    with database.write() as session:
        events = log.events_of(session, [OPENING])[OPENING]
        accepted = [event for event in events if event["kind"] == "opening.reviewed"][-1]
        issuing.issue(session, accepted)
    database.close()
    site.office.start()
    site.phone.page.goto("/field")
    for _ in range(80):
        if any(event["kind"] == "record.issued" for event in site.phone.live(OPENING)):
            break
        site.phone.sync()
        site.phone.page.wait_for_timeout(250)
    site.office.stop()


def points_left(site: Site, begun: str) -> list[tuple[str, str]]:
    """Return the points that the visit still asks for, each with its panel."""
    state = State(site.phone.live(OPENING), PROCEDURES)
    left = visits.places_left(visits.visited_state(state, begun))
    return list(
        dict.fromkeys((point, state.panel_for(point, step.panel)) for step, point, _ in left)
    )


def measure(page: Page, site: Site, begun: str) -> None:
    """Enter what the visit asks for, as drawn; what has moved opens points of the door model."""
    drawn = demo_state(OPENING)
    for _ in range(60):
        left = points_left(site, begun)
        if not left:
            return
        point, panel = left[0]
        page.goto(f"{HOME}~{begun}/point/{point}" + (f"/{panel}" if panel else ""))
        asked = PointPage(page)
        asked.read(DOWN)
        for spot in spots(drawn, point, panel):
            asked.keep(spot.text, spot.words, spot.ago, spot.sure)
    raise AssertionError(f"still asked for: {points_left(site, begun)}")


@pytest.mark.long
def test_a_visit_without_a_network_has_its_sheet_when_it_comes_back(site: Site) -> None:
    accept_before(site)
    page = site.phone.page
    page.goto(HOME + "/visit")
    page.get_by_label("Why you were called").fill("It sticks at the lock")
    page.get_by_role("button", name="Begin the visit").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Service visit", timeout=SEEN)
    [begun] = [event["id"] for event in site.phone.own() if event["kind"] == "visit.begun"]
    measure(page, site, begun)
    page.goto(f"{HOME}~{begun}")
    page.get_by_label("Take a photo, or choose one").set_input_files(
        camera_file(site.folder / "roller.jpg")
    )
    page.get_by_role("button", name="Keep this photo").click()
    expect(page.locator("#photos figure")).to_have_count(1, timeout=SEEN)
    signing = page.get_by_role("region", name="Sign the visit")
    signing.get_by_label("What you found, and what you did").fill(WORDS)
    signing.get_by_label("Where the trouble comes from").select_option(index=1)
    signing.get_by_label("I have read this, and it is so.").check()
    signing.get_by_role("button", name="Sign the visit").click()
    expect(page.get_by_text(WORDS).first).to_be_visible(timeout=SEEN)
    told = site.phone.own()
    assert told[-1]["kind"] == "visit.signed"
    assert site.line.server == 0  # nobody was there to ask
    site.office.start()
    all_is_well(site, told)
    kinds = [event["kind"] for event in site.office.events(OPENING)]
    assert kinds.count("service.issued") == 1
    assert kinds.count("record.issued") == 1  # the record stays
