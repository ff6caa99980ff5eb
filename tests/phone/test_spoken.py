"""A concession by voice: no data at the door, a telephone and the office. Two browsers."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from tests.browser.crew import Crew, step_point
from tests.browser.installation import measure_everything
from tests.browser.models import (
    SEEN,
    PointPage,
    SignIn,
    StepPage,
    open_fold,
)
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, STEP, all_is_well

CHECK = "Stiles straight"
FOLD = "No network, but a voice line: a spoken concession"


@pytest.fixture
def office(site: Site) -> Iterator[Page]:
    """The supervisor's browser, on a line of its own to the server."""
    address = f"http://127.0.0.1:{site.line.server}"
    context = site.browser.new_context(base_url=address, locale="en-US")
    context.set_default_timeout(SEEN)
    page = context.new_page()
    SignIn(page).as_("nadia")
    expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=SEEN)
    yield page
    context.close()


def bow(site: Site) -> Crew:
    """Measure the stiles without a network, one of them bowed."""
    crew = Crew(site.phone.page, OPENING, "Family room")
    measure_everything(crew, OPENING)  # only full depth asks for the bow of stiles
    step = crew.step("A")
    spots = crew.spots("stile-bow", crew.state.step("A"))
    page = step.point(step_point(crew.state.step("A"), "stile-bow")["title"])
    for spot in spots[:-1]:
        page.keep(spot.text, spot.words)
    page.send("1/4")
    sure(page)
    return crew


def sure(page: PointPage) -> None:
    """Say that an odd reading is so, where the page asks."""
    yes = page.page.get_by_role("button", name=re.compile("^Yes"))
    page.whole()
    if yes.count():
        yes.first.click()
    expect(page.told).to_contain_text("Kept:", timeout=SEEN)


def number_on(page: Page) -> str:
    page.goto(STEP)
    fold = open_fold(page, FOLD)
    found = re.search(r"\d{3} \d{3} \d{3}", fold.inner_text())
    assert found is not None
    return found[0]


def ask_code(office: Page, number: str) -> None:
    """At the office: what the installer reads out goes in."""
    office.goto(f"/office/o/{OPENING}")
    office.get_by_role("link", name="Concede by voice").click()
    check = office.get_by_label("Check", exact=True)
    expect(check).to_be_visible(timeout=SEEN)
    check.select_option(
        label=next(t for t in check.locator("option").all_inner_texts() if CHECK in t)
    )
    office.get_by_label("Whose phone asks").select_option(index=1)
    office.get_by_label("The number that the installer reads out").fill(number)
    office.get_by_label("Reason, as it will stand").fill(
        "Seen at the works; it is taken out later."
    )
    office.get_by_role("button", name="Make the code").click()


def give(office: Page, number: str) -> str:
    """Return the code that the office's page gives."""
    ask_code(office, number)
    heading = office.get_by_role("heading", name="Read this code out, digit by digit")
    expect(heading).to_be_visible(timeout=SEEN)
    found = re.search(r"\b\d{4} \d{4}\b", office.get_by_role("main").inner_text())
    assert found is not None
    return found[0]


def type_code(page: Page, code: str) -> None:
    page.goto(STEP)
    fold = open_fold(page, FOLD)
    fold.get_by_label("The code that the office reads out").fill(code)
    fold.get_by_role("button", name="Open provisionally").click()


def test_the_gate_opens_by_voice_and_the_office_confirms(site: Site, office: Page) -> None:
    server, site.line.server = site.line.server, 0  # no data at the door
    bow(site)
    page = site.phone.page
    page.goto(STEP)
    expect(StepPage(page).bars.filter(has_text=CHECK)).to_have_count(1, timeout=SEEN)
    number = number_on(page)
    misheard = number[:-1] + str((int(number[-1]) + 1) % 10)
    ask_code(office, misheard)
    expect(office.get_by_role("alert")).to_contain_text("a digit was misheard", timeout=SEEN)
    code = give(office, number)
    wrong = code[:-1] + str((int(code[-1]) + 1) % 10)
    type_code(page, wrong)
    expect(page.get_by_role("alert").filter(has_text="That code is wrong")).to_contain_text(
        "1 of 5", timeout=SEEN
    )
    type_code(page, code)
    expect(page.get_by_text("opened PROVISIONALLY by a spoken concession").first).to_be_visible(
        timeout=SEEN
    )
    expect(StepPage(page).bars.filter(has_text=CHECK)).to_have_count(0, timeout=SEEN)
    told = site.phone.own()
    site.line.server = server
    all_is_well(site, told)
    office.goto(f"/office/o/{OPENING}")
    expect(office.get_by_text("waits for your word in writing").first).to_be_visible(timeout=SEEN)
    expect(office.get_by_text("The code was given by Nadia Ferrow").first).to_be_visible(
        timeout=SEEN
    )
    fold = open_fold(office, "Concede this nonconformity: " + CHECK)
    expect(fold.get_by_label("Reason, as it will stand")).to_have_value(
        re.compile("Seen at"), timeout=SEEN
    )
    fold.get_by_role("checkbox", name="I leave this as it is").check()
    fold.get_by_role("button", name="Concede", exact=True).click()
    expect(office.get_by_text("Conceded by the office: Nadia Ferrow").first).to_be_visible(
        timeout=SEEN
    )
