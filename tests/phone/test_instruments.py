"""A daily check on a phone without a network: it fails, and what was measured is asked again."""

from tests.browser.models import SEEN, PointPage, SignIn, open_fold
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well

POINT = f"/field/o/{OPENING}/point/sill-length"
TOOLS = f"/field/o/{OPENING}/instruments"


def register(site: Site) -> None:
    """Add a tape at the office, from a computer of its own."""
    context = site.browser.new_context(base_url=site.line.address)
    page = context.new_page()
    SignIn(page).as_("nadia")
    page.goto("/office/instruments/new")
    page.get_by_label("Name, as it is marked").fill("Tape T7")
    page.get_by_label("What it is").select_option(label="tape")
    page.get_by_label("Read to (its smallest step)").fill("1/16")
    page.get_by_label("Class, of a tape or rule").select_option(label="class II")
    page.get_by_role("button", name="Keep the instrument").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Tape T7")
    context.close()


def comes(site: Site) -> None:
    """Wait until the phone has taken the company's list."""
    for _ in range(60):
        site.phone.page.goto(TOOLS)
        site.phone.sync()
        site.phone.page.wait_for_load_state("domcontentloaded")
        if site.phone.page.get_by_role("link", name="Tape T7").count():
            return
        site.phone.page.wait_for_timeout(300)
    raise AssertionError("the list of instruments did not come to the phone")


def test_check_that_fails_without_a_network(site: Site) -> None:
    register(site)
    page = site.phone.page
    comes(site)
    site.office.stop()
    page.goto(POINT)
    open_fold(page, "Who, with what, when:").get_by_label("Instrument").select_option(
        label="Tape T7"
    )
    point = PointPage(page)
    point.send("191")
    expect(point.told).to_contain_text("Kept:", timeout=SEEN)
    page.goto(TOOLS)
    page.get_by_role("link", name="Tape T7").click()
    compared = page.get_by_role("region", name="Against another tape")
    compared.get_by_label("This tape", exact=True).fill("96")
    compared.get_by_label("The other tape", exact=True).fill("96 1/4")
    compared.get_by_label("Class of the other tape").select_option(label="class II")
    compared.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_text("Tape T7 failed its last check: put it aside.")).to_be_visible(
        timeout=SEEN
    )
    page.goto(POINT)
    expect(page.get_by_text("measure again: Tape T7 failed its check").first).to_be_visible()
    told = site.phone.own()
    kinds = [event["kind"] for event in told]
    for kind in ("instrument.named", "reading.taken", "instrument.checked"):
        assert kind in kinds
    site.office.start()
    all_is_well(site, told)
    rows = site.office.rows("SELECT last FROM instrument WHERE name = 'Tape T7'")
    assert rows[0][0]  # the register has heard of it
