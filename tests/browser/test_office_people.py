"""People, phones and what was set aside, at the office's desk and with those they are about."""

import re
from collections.abc import Iterator

import httpx2 as httpx
import pytest
from playwright.sync_api import Browser, Page

from app.core.kinds import Json
from tests.browser.axe import violations
from tests.browser.fixtures import PATIENCE
from tests.browser.models import PASSWORDS, SEEN, SignIn, open_fold
from tests.browser.seen import expect
from tests.browser.server import Sillbook
from tests.sync.client import Key, Phone

WORDS = "rain on the tin roof"
OPENING = "marrow-lane-a"


@pytest.fixture
def other(chromium: Browser, sillbook: Sillbook) -> Iterator[Page]:
    """A browser of somebody else."""
    context = chromium.new_context(base_url=sillbook.address, locale="en-US")
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


def heading(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words, timeout=SEEN)


def test_a_person_is_invited_works_and_is_shut_out(phone: Page, other: Page) -> None:
    SignIn(phone).as_("oda", "bead-chalk-and-reveal")
    heading(phone, "Today")
    phone.goto("/office/index")
    phone.get_by_role("link", name="People").click()
    phone.get_by_role("link", name="Invite a person").click()
    phone.get_by_label("Name, as it stands in the record").fill("Kara Nilsvane")
    phone.get_by_label("Sign-in name").fill("tobin")
    phone.get_by_label("What the person does").select_option("installer")
    phone.get_by_role("button", name="Make the invitation").click()
    expect(phone.get_by_role("alert").get_by_role("link")).to_have_text(
        "Somebody has this sign-in name already.", timeout=SEEN
    )
    phone.get_by_label("Sign-in name").fill("kara")
    phone.get_by_role("button", name="Make the invitation").click()
    heading(phone, "Invitation")
    link = phone.get_by_role("link", name=re.compile("welcome")).inner_text()
    other.goto(link[link.index("/welcome") :])
    expect(other.get_by_label("The code of your invitation")).not_to_have_value("", timeout=SEEN)
    assert "#" not in other.url
    other.get_by_label("The new password, 8").fill("password1")
    other.get_by_label("The new password once more").fill("password1")
    other.get_by_role("button", name="Keep the password and sign in").click()
    expect(other.get_by_role("alert")).to_contain_text(
        "one of the first that are tried", timeout=SEEN
    )
    other.get_by_label("The new password, 8").fill(WORDS)
    other.get_by_label("The new password once more").fill(WORDS)
    other.get_by_role("button", name="Keep the password and sign in").click()
    expect(other.get_by_text("You sign in as")).to_contain_text("kara", timeout=SEEN)
    other.goto("/field")
    heading(other, "Openings to be set")
    phone.get_by_role("link", name="Back to the person").click()
    fold = open_fold(phone, "Shut out")
    fold.get_by_role("button", name="Shut out").click()
    expect(phone.get_by_text("shut out", exact=False).first).to_be_visible(timeout=SEEN)
    other.goto("/field")
    heading(other, "Sign in")
    phone.goto("/office/people")
    phone.get_by_role("link", name="Oda Lindquarry").click()
    open_fold(phone, "Shut out").get_by_role("button", name="Shut out").click()
    expect(phone.get_by_role("alert")).to_contain_text("the last administrator", timeout=SEEN)


def paired(sillbook: Sillbook, crew: Page) -> Phone:
    """Pair a phone by the code on the page that a signed-in installer sees."""
    SignIn(crew).as_("tobin", PASSWORDS["tobin"])
    crew.goto("/pair/new")
    crew.get_by_role("button", name="Make a code").click()
    expect(crew.get_by_role("img", name="QR code of the link below")).to_be_visible(timeout=SEEN)
    code = crew.get_by_role("link", name=re.compile("pair.[A-Z2-9]")).inner_text().partition("#")[2]
    made = Phone(httpx.Client(base_url=sillbook.address, timeout=60), sillbook.address)
    made.pair(code)
    made.pull()
    return made


def put_aside(phone: Phone) -> Json:
    """Send a tick under the signature of another key."""
    task = {"step": "A", "task": "a-count", "done": True}
    door = next(iter(phone.procedures.values()))
    task["task"] = door["steps"][0]["tasks"][0]["id"]
    event = phone.write(OPENING, "task.ticked", task)
    own, phone.key = phone.key, Key()
    receipts = phone.post(phone.batch([event]))["receipts"]
    phone.key = own
    assert receipts[0]["state"] == "set-aside"
    return event


def test_what_was_set_aside_is_taken_in_and_a_phone_is_ended(
    phone: Page, other: Page, sillbook: Sillbook
) -> None:
    device = paired(sillbook, other)
    put_aside(device)
    SignIn(phone).as_("nadia")
    phone.goto("/office/aside")
    heading(phone, "Held or set aside")
    expect(phone.get_by_role("main")).to_contain_text(
        "The phone's signature over this entry is wrong.", timeout=SEEN
    )
    phone.get_by_role("link", name="Look at it, and decide").first.click()
    phone.get_by_role("button", name="Take it in").click()
    expect(phone.get_by_role("alert").first).to_contain_text("Give the reason", timeout=SEEN)
    phone.get_by_label("Why it is taken in").fill("Tobin showed me the phone.")
    phone.get_by_role("button", name="Take it in").click()
    expect(phone.get_by_text("This was taken in already.")).to_be_visible(timeout=SEEN)
    phone.goto(f"/office/o/{OPENING}")
    expect(phone.get_by_text("Tobin showed me the phone.").first).to_be_visible(timeout=SEEN)
    other.goto(f"/field/o/{OPENING}")
    expect(other.get_by_text("Tobin showed me the phone.").first).to_be_visible(timeout=SEEN)
    phone.goto("/phones")
    row = phone.get_by_role("listitem").filter(has_text="a phone").last
    expect(row).to_contain_text("Last seen")
    open_fold(row, "End the pairing of this phone").get_by_role("button", name="End it").click()
    expect(phone.get_by_text(re.compile(r"^Ended \d")).first).to_be_visible(timeout=SEEN)
    with pytest.raises(Exception, match="401 pair-again"):
        device.pull()


def test_what_one_typed_is_not_sent_as_another_who_signed_in_beside_it(desk: Page) -> None:
    """Nadia types a return and leaves; Oda signs in at the same browser, and sends the page."""
    desk.goto("/office/o/marrow-lane-b?return=B2#return")
    desk.get_by_label("What they should do").fill("Pack the middle again.")
    beside = desk.context.new_page()
    beside.goto("/me")
    beside.get_by_role("button", name="Sign out").click()
    SignIn(beside).as_("oda", "bead-chalk-and-reveal")
    heading(beside, "Today")
    desk.get_by_role("button", name="Return it").click()
    heading(desk, "Another person is signed in now")
    expect(desk.get_by_role("main")).to_contain_text(
        "You are signed in as Oda Lindquarry. This was typed by Nadia Ferrow."
    )
    expect(desk.get_by_text("Pack the middle again.")).to_be_visible()
    assert violations(desk) == []
    beside.goto("/office/o/marrow-lane-b")
    expect(beside.get_by_text("Pack the middle again.")).to_have_count(0)
    desk.get_by_role("button", name="Keep it as Oda Lindquarry").click()
    heading(desk, "Review")
    expect(desk.get_by_text("Pack the middle again.").first).to_be_visible()
