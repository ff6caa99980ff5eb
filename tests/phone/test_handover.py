"""The handover on a phone without an office, then acceptance, the record, its PDF and its check.

And before any of it: the sheet for the builder's person when the opening is not ready. What is
expected follows from the rules of the record; that a PDF is one is told by its first bytes and by
poppler's or pypdf's reading of it.
"""

import io
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pypdf import PdfReader

from app.core.quantity.units import INCH
from app.homeowner import checking
from tests.browser.crew import Crew
from tests.browser.models import SEEN, AnyPage, OfficeReview, SignIn
from tests.phone.fixtures import Site
from tests.phone.seeding import done_before, put, surveyed
from tests.phone.work import OPENING, all_is_well

ROOM = "Family room"
CODE = "204816"
ROOT = Path(__file__).resolve().parents[2]


def seed(site: Site, events: list[object]) -> None:
    """Give the office what was done before, let the phone take it, and stop the office."""
    site.office.stop()
    put(site.office.data, OPENING, events)  # type: ignore[arg-type]
    site.office.start()
    page = site.phone.page
    page.goto("/field")
    for _ in range(80):
        if len(site.phone.live(OPENING)) > len(events):
            break
        site.phone.sync()
        page.wait_for_timeout(250)
    assert len(site.phone.live(OPENING)) > len(events)
    site.office.stop()


def draw(page: Page) -> None:
    """Draw a signature with the finger."""
    pad = page.get_by_role("img", name="Draw the signature here, if you like")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + 40)
    page.mouse.down()
    for at in range(1, 7):
        page.mouse.move(box["x"] + 20 + 30 * at, box["y"] + 40 + (25 if at % 2 else 0))
    page.mouse.up()


def sign(page: Page, region: str, name: str, button: str) -> None:
    """Sign on the screen with a name, the consent and a drawing."""
    section = page.get_by_role("region", name=region)
    section.get_by_label("Name of the person who signs").fill(name)
    section.get_by_label("I have read this, and sign with my name.").check()
    draw(page)
    section.get_by_role("button", name=button).click()
    expect(page.get_by_text(f"Signed by {name} (drawn on the screen)").first).to_be_visible(
        timeout=SEEN
    )


def hand_over(page: Page) -> None:
    """Put the phone into the owner's hands, with a code for this time."""
    page.get_by_role("link", name="Hand the phone to the owner").click()
    page.get_by_label("Six digits").fill(CODE)
    page.get_by_label("Once more").fill(CODE)
    page.get_by_role("button", name="Hand it over").click()


def take_back(page: Page) -> None:
    """Take it back by that code."""
    page.get_by_label("PIN of").fill(CODE)
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_role("heading", name="The opening and its steps")).to_be_visible(
        timeout=SEEN
    )


def test_handover_offline_then_the_record(site: Site, tmp_path: Path, chromium: Browser) -> None:
    seed(site, list(done_before("J", measured=True)))
    page = site.phone.page
    crew = Crew(page, OPENING, ROOM)
    step = crew.step("J")
    step.tick_all()
    hand_over(page)
    sign(page, "The owner signs", "Ada Tennick", "Keep this signature")
    take_back(page)
    crew.sign(crew.step("J"))
    told = site.phone.own()
    assert [e["kind"] for e in told][-2:] == ["handover.signed", "step.signed"]
    assert site.line.server == 0  # nobody was there to ask
    site.office.start()
    all_is_well(site, told)

    context = chromium.new_context(base_url=site.line.address, locale="en-US")
    try:
        record_of(context, site, tmp_path)
    finally:
        context.close()


def record_of(context: BrowserContext, site: Site, folder: Path) -> None:
    """Accept, look at the record as issued, and check it in every way that there is."""
    page = context.new_page()
    SignIn(page).as_("nadia")
    page.goto(f"/office/o/{OPENING}")
    review = OfficeReview(page)
    review.accept()
    expect(page.get_by_text("Accepted by Nadia Ferrow").first).to_be_visible(timeout=SEEN)
    record = review.record()
    record.whole()
    entries = site.office.events(OPENING)
    typed = Counter(e["body"]["text"] for e in entries if e["kind"] == "reading.taken")
    assert Counter(record.typed()) == typed
    expect(page.get_by_role("img", name="Signature drawn by Ada Tennick")).to_be_visible()
    expect(page.get_by_text("received by the office").first).to_be_visible()
    record.unfold("Check that this is the record as issued")

    pdf = context.request.get(f"/record/{OPENING}/r/1/letter.pdf").body()
    text = "".join(one.extract_text() for one in PdfReader(io.BytesIO(pdf)).pages)
    code = page.locator("a[href^='/verify/']").get_attribute("href").rpartition("/")[2]  # type: ignore[union-attr]
    assert code in text
    assert "Ada Tennick" in text
    page.goto(f"/verify/{code}")
    expect(page.get_by_role("status").filter(has_text="As issued")).to_be_visible()

    export = context.request.get(f"/record/{OPENING}/r/1/export.json").body()
    file = folder / "record.json"
    file.write_bytes(export)
    good = verify(file, code)
    assert good.returncode == 0, good.stdout
    assert "Whole" in good.stdout
    whole = json.loads(export)
    phone = [e["id"] for e in whole["events"] if not e["device"].startswith(("web-", "office-"))]
    assert set(whole["signatures"]) & set(phone)  # the phone's own signature is in it
    for said, piece in PIECES.items():
        altered(file, export, piece, said)


# what is altered -> a piece of the export in which one byte is changed
PIECES = {
    "a reading": b'"kind":"reading.taken"',
    "a verdict": b'"verdict":"within"',
    "a claimed time": b'"at":"20',
    "a person": b'"person":"',
    "a signature": b'"signatures":{"',
    "a limit": b'"limits":{',
    "the seal": b'"seal":"',
    "what it shows": b'"facts":{"accepted"',
    "the order": b'"turn":',
}


def altered(file: Path, export: bytes, piece: bytes, said: str) -> None:
    """One byte inside of a piece is another one: the check says that something is wrong."""
    at = export.index(piece) + len(piece) - 1
    file.write_bytes(export[:at] + bytes([export[at] ^ 1]) + export[at + 1 :])
    assert checking.check(file.read_bytes()).faults, said


def verify(file: Path, code: str) -> "subprocess.CompletedProcess[str]":
    """Run the check as anybody does: the command, a file, no server."""
    command = [sys.executable, "-m", "app.cli", "verify", str(file), "--code", code]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.long
def test_opening_not_ready_is_answered_without_an_office(site: Site, tmp_path: Path) -> None:
    """The sheet is shown, printed on one page, declined, then answered; until then it bars."""
    seed(site, list(surveyed(3 * INCH // 4)))
    page = site.phone.page
    crew = Crew(page, OPENING, ROOM)
    step = crew.step("B1")
    expect(step.bars.first).to_be_visible(timeout=SEEN)
    page.get_by_role("link", name="Page to sign").click()
    expect(AnyPage(page).title).to_have_text("Is the opening ready?", timeout=SEEN)
    AnyPage(page).whole()
    main = page.get_by_role("main")
    for words in ("Shim to the high point", "over it need", "Time:", "First grind"):
        expect(main.get_by_text(words).first).to_be_visible()
    for size in ("Letter", "A4"):
        printed = page.pdf(format=size, prefer_css_page_size=False)
        assert len(PdfReader(io.BytesIO(printed)).pages) == 1, size
    answer(page, "Declined or unanswered")
    expect(page.get_by_role("heading", name="Answered: Declined")).to_be_visible(timeout=SEEN)
    assert barred(crew, "Decided against")
    page.get_by_role("link", name="Page to sign").click()
    answer(page, "Corrected by us, as extra")
    expect(page.get_by_role("heading", name="Answered: Corrected by us")).to_be_visible(
        timeout=SEEN
    )
    assert not barred(crew, "Decided against")
    told = site.phone.own()
    assert [e["kind"] for e in told] == ["decision.made", "sheet.signed"] * 2
    site.office.start()
    all_is_well(site, told)


def answer(page: Page, choice: str) -> None:
    """Choose an answer on the sheet, and sign it."""
    section = page.get_by_role("region", name="The builder's answer")
    section.get_by_role("radio", name=choice).check()
    sign(page, "The builder's answer", "Bo Builder", "Keep this answer")


def barred(crew: Crew, words: str) -> bool:
    """Return whether the step's sign-off is barred with these words; bedding is, either way."""
    step = crew.step("C")
    expect(step.bars.first).to_contain_text("Sign off first: B1", timeout=SEEN)
    step = crew.step("B1")
    step.whole()
    return any(words in text for text in step.bars.all_inner_texts())
