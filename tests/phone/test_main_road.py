"""The phone alone: paired once, then days without an office, then everything arrives, once."""

import pytest

from app.access.keys import Verifier, head_message, signing_message
from tests.browser.crew import Crew
from tests.browser.models import SEEN, OpeningPage, PartsPage
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, STEP, all_is_well, tick

LINE = "#kept-and-sent"


@pytest.mark.long
def test_work_without_an_office_arrives_once(site: Site) -> None:
    """Step A is done and signed with the server stopped; the browser starts anew.

    Then all is sent.
    """
    site.office.stop()
    page = site.phone.page
    crew = Crew(page, OPENING, "Family room")
    step = crew.step("A")
    page.goto(f"/field/o/{OPENING}")
    OpeningPage(page).about("Parts")
    PartsPage(page).all_here()
    step = crew.step("A")
    step.tick_all()
    step.decide("Go", words="Four of us, two cup lifters, dry until Thursday.")
    crew.measure(step, "A")
    expect(page.locator(LINE)).to_contain_text("saved on this phone, not yet sent", timeout=SEEN)
    crew.sign(step)
    told = site.phone.own()
    assert any(event["kind"] == "step.signed" for event in told)
    site.phone.close()
    page = site.phone.open()
    page.goto(STEP)
    expect(page.get_by_role("region", name="Sign-off")).to_contain_text(
        "Signed by Tobin Hale", timeout=SEEN
    )
    expect(page.locator(LINE)).to_contain_text(
        f"{len(told)} entries saved on this phone", timeout=SEEN
    )
    site.office.start()
    all_is_well(site, told)
    expect(page.locator(LINE)).to_have_text("All sent", timeout=SEEN)
    signed(site)


def signed(site: Site) -> None:
    """The office has the signature of the sign-off, and it fits the phone's own key."""
    event = next(e for e in site.phone.own() if e["kind"] == "step.signed")
    ((hash_, signature),) = site.office.rows(
        "SELECT hash, signature FROM event WHERE id = ?", event["id"]
    )
    ((key,),) = site.office.rows("SELECT key FROM device WHERE id = ?", event["device"])
    assert Verifier(key).fits(signing_message(event["id"], hash_), signature)
    assert not Verifier(key).fits(head_message(event["device"], OPENING, 1, hash_), signature)


@pytest.mark.control(9, 10)
def test_pages_of_the_worker_have_the_servers_policy(site: Site) -> None:
    """A page that the worker makes carries the same headers as one of the server, strict ones."""
    page = site.phone.page
    ours = page.goto("/field")
    assert ours is not None
    assert ours.from_service_worker
    theirs = page.goto("/sign-in")
    assert theirs is not None
    assert not theirs.from_service_worker
    for name in (
        "content-security-policy",
        "x-content-type-options",
        "referrer-policy",
        "cache-control",
    ):
        assert ours.headers[name] == theirs.headers[name]
    assert "unsafe" not in ours.headers["content-security-policy"]


@pytest.mark.control(7)
def test_a_form_of_another_site_is_not_taken(site: Site) -> None:
    """Another site posts a form to the field book: the worker sees it, and keeps nothing."""
    page = site.phone.page
    page.goto(STEP)
    before = len(site.phone.own())
    other = site.phone.context.new_page()
    other.set_content(
        f'<form method="post" action="{site.line.address}{STEP}"><button>Win</button></form>'
    )
    with other.expect_event("requestfailed") as failed:
        other.get_by_role("button").click()
    assert failed.value.url == site.line.address + STEP
    other.close()
    assert len(site.phone.own()) == before
    tick(page, 0)
    assert len(site.phone.own()) == before + 1
