"""Every kind of page in the states in which people meet it, brought about through the pages."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page, expect

from tests.browser.crew import DOWN
from tests.browser.models import SEEN, PointPage, SignIn, StepPage, open_fold
from tests.browser.office_states import JOB, PAGES

NEW = "/field/o/marrow-lane-a"  # nothing done yet
HALF = "/field/o/marrow-lane-b"  # steps A to C signed
FLOOR = "/field/o/quarry-steps-a"  # a floor that is out


@dataclass(frozen=True)
class View:
    """A state of a page: its name, who looks at it ("" for nobody), how it comes about."""

    name: str
    person: str
    show: Callable[[Page], None]


PATHS: dict[Callable[[Page], None], str] = {}  # what shows a view -> the path that it opens


def goes_to(path: str) -> Callable[[Page], None]:
    """Return what opens a path."""

    def show(page: Page) -> None:
        page.goto(path)

    PATHS[show] = path
    return show


def refused_sign_in(page: Page) -> None:
    """A wrong password."""
    SignIn(page).as_("tobin", "not this one")
    expect(page.get_by_role("alert")).to_be_visible(timeout=SEEN)


def reading_refused(page: Page) -> None:
    """A text that is no length."""
    page.goto(NEW + "/point/sill-length")
    point = PointPage(page)
    point.send("about a foot")
    expect(point.error).to_be_visible(timeout=SEEN)


def reading_kept(page: Page) -> None:
    """A reading was just kept."""
    page.goto(NEW + "/point/opening-heights")
    PointPage(page).send("96")
    expect(page.get_by_role("status")).to_contain_text("Kept:", timeout=SEEN)


def past_cautions(path: str) -> Callable[[Page], None]:
    """Return what opens a card that comes once the cautions of its step were read."""

    def show(page: Page) -> None:
        page.goto(path)
        read = page.get_by_role("button", name="All read")
        if read.count():  # once a day
            read.click()
            expect(read).to_have_count(0, timeout=SEEN)
            page.goto(path)
        title = page.get_by_role("heading", level=1)
        expect(title).not_to_have_text("Cautions", timeout=SEEN)

    PATHS[show] = path
    return show


def card_out(page: Page) -> None:
    """A card that stays, because the reading is out."""
    page.goto(NEW + "/next/A?point=panel-widths&place=A-top")  # HALF stays as it was signed
    page.get_by_role("main").get_by_role("textbox").fill("49")
    page.get_by_role("main").get_by_role("textbox").press("Enter")
    expect(page.get_by_role("button", name="Typo: undo")).to_be_visible(timeout=SEEN)


def two_stations(page: Page) -> None:
    """The second station of a line, said in words; the next one is asked back."""
    page.goto(NEW + "/point/sill-weather-shots")
    point = PointPage(page)
    point.read(DOWN)
    point.send("13")
    expect(point.place).to_contain_text("3' 11", timeout=SEEN)
    point.send("13 1/16")
    expect(page.get_by_text("right?")).to_be_visible(timeout=SEEN)


def asked_back(page: Page) -> None:
    """A station almost exactly an inch off its neighbours."""
    page.goto(NEW + "/point/sill-room-shots")
    point = PointPage(page)
    point.read(DOWN)
    for place in ("3' 11", "7' 11", "11' 11"):
        point.send("13")
        expect(point.place).to_contain_text(place, timeout=SEEN)
    point.send("14")
    expect(page.get_by_role("button", name="It is right: keep it")).to_be_visible(timeout=SEEN)


def out_of_reach_without_words(page: Page) -> None:
    """Cannot reach, and no reason given."""
    page.goto(NEW + "/point/timber-wettest")
    fold = open_fold(page, "Cannot reach this place")
    fold.get_by_role("button", name="Keep: could not be reached").click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=SEEN)


def one_reading(page: Page) -> None:
    """A reading that counts."""
    page.goto(HALF + "/point/opening-widths")
    page.get_by_role("link", name=re.compile("low.*: change it")).click()
    expect(page.get_by_text("As typed")).to_be_visible(timeout=SEEN)


def strike_refused(page: Page) -> None:
    """A strike without a reason."""
    one_reading(page)
    page.get_by_role("button", name="Strike this reading").click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=SEEN)


def struck_reading(page: Page) -> None:
    """A reading that was struck."""
    page.goto(HALF + "/history")
    page.get_by_role("main").get_by_role("listitem").filter(
        has_text="Figures turned round"
    ).get_by_role("link").click()
    expect(page.get_by_text("As typed")).to_be_visible(timeout=SEEN)


def all_folds_open(path: str) -> Callable[[Page], None]:
    """Return what opens a path and everything that is folded on it."""

    def show(page: Page) -> None:
        page.goto(path)
        page.evaluate(
            "() => document.querySelectorAll('details').forEach(fold => { fold.open = true; })"
        )

    PATHS[show] = path
    return show


def at_its_end(path: str) -> Callable[[Page], None]:
    """Return what opens a path at its end, where the bar in reach covers nothing."""
    show = goes_to(path)

    def show_end(page: Page) -> None:
        show(page)
        page.evaluate("() => scrollTo(0, document.documentElement.scrollHeight)")

    PATHS[show_end] = path
    return show_end


def one_entry(page: Page) -> None:
    """An entry as it is kept, with the form that sets it aside."""
    page.goto("/office/o/marrow-lane-b/entries")
    page.get_by_role("link", name="reading.taken").first.click()
    expect(page.get_by_role("button", name="Set it aside")).to_be_visible(timeout=SEEN)


def part_refused(page: Page) -> None:
    """A part that is short, without a word of what."""
    page.goto(NEW + "/parts")
    line = page.get_by_role("main").get_by_role("listitem").first
    line.get_by_role("radio", name="short").check()
    line.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=SEEN)


def query_refused(page: Page) -> None:
    """A query that bars no step."""
    page.goto(NEW + "/queries")
    page.get_by_role("main").get_by_role("textbox").first.fill(
        "Lock is drawn left, strike came right"
    )
    page.get_by_role("button", name="Ask the office").click()
    expect(page.get_by_role("alert")).to_be_visible(timeout=SEEN)


def query_raised(page: Page) -> None:
    """A query that waits for the office."""
    page.goto(NEW + "/queries")
    page.get_by_role("main").get_by_role("textbox").first.fill(
        "Lock is drawn left, strike came right"
    )
    page.get_by_role("checkbox", name="G Locks and fixed panels").check()
    page.get_by_role("button", name="Ask the office").click()
    expect(page.get_by_text("open since").first).to_be_visible(timeout=SEEN)


def sign_off_refused(page: Page) -> None:
    """A page still offers the sign-off that a second page has spoiled."""
    page.goto(HALF + "/step/B2")
    page.goto(HALF + "/step/C?show=all")
    task = StepPage(page).task("Sill boarded over")
    task.click()
    expect(task).to_have_attribute("aria-pressed", "false", timeout=SEEN)
    task.click()
    expect(task).to_have_attribute("aria-pressed", "true", timeout=SEEN)
    other = page.context.new_page()
    other.goto(HALF + "/step/C?show=all")
    StepPage(other).task("Rigid supports 12 in apart").click()
    expect(StepPage(other).task("Rigid supports 12 in apart")).to_have_attribute(
        "aria-pressed", "false", timeout=SEEN
    )
    StepPage(page).sign()
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "cannot be signed yet", timeout=SEEN
    )
    StepPage(other).tick("Rigid supports 12 in apart")
    other.close()


def refused(path: str, button: str) -> Callable[[Page], None]:
    """Return what opens a path and sends its form with what is needed left empty."""

    def show(page: Page) -> None:
        page.goto(path)
        page.evaluate("() => document.querySelectorAll('form').forEach(f => { f.noValidate = 1; })")
        page.get_by_role("main").get_by_role("button", name=button).first.click()
        expect(page.locator("main .error, main [role=alert]").first).to_be_visible(timeout=SEEN)

    return show


VIEWS = [
    View("sign-in", "", goes_to("/sign-in")),
    View("sign-in refused", "", refused_sign_in),
    View("openings", "tobin", goes_to("/field")),
    View("opening, new", "tobin", goes_to(NEW)),
    View("opening, half done", "tobin", goes_to(HALF)),
    View("drawing", "tobin", goes_to(NEW + "/drawing")),
    View("no shop drawing", "tobin", goes_to(NEW + "/shop")),
    View("drawing with a gap", "ines", goes_to("/field/o/saltgrass-b/drawing")),
    View("set-out", "tobin", goes_to(NEW + "/setout")),
    View("set-out of the job", "tobin", goes_to(NEW + "/setout/job")),
    View("set-out of a meeting pair", "ines", goes_to("/field/o/saltgrass-a/setout")),
    View("parts", "tobin", all_folds_open(NEW + "/parts")),
    View("parts refused", "tobin", part_refused),
    View("queries, none", "tobin", goes_to(NEW + "/queries")),
    View("query refused", "tobin", query_refused),
    View("queries, one open", "tobin", query_raised),
    View("readings", "tobin", goes_to(HALF + "/history")),
    View("card of the parts", "tobin", past_cautions(NEW + "/next/A")),
    View("card of tasks at once", "tobin", past_cautions(NEW + "/next/A?after=parts~~~")),
    View("card of a task", "tobin", past_cautions(NEW + "/next/D")),
    View("card of a reading", "tobin", goes_to(NEW + "/next/A?point=panel-widths&place=A-top")),
    View("card of an answer", "tobin", goes_to(NEW + "/next/A?point=safety-marks&place=A")),
    View("card out", "tobin", card_out),
    View("card of cautions", "tobin", goes_to(NEW + "/next/B1")),
    View("step A, new", "tobin", all_folds_open(NEW + "/step/A?show=all")),
    View("step A, new, short", "tobin", at_its_end(NEW + "/step/A")),
    View("step B1, out", "tobin", all_folds_open(FLOOR + "/step/B1?show=all")),
    View("step B1, out, short", "tobin", at_its_end(FLOOR + "/step/B1")),
    View("step C, barred", "tobin", goes_to(NEW + "/step/C?show=all")),
    View("step C, barred, short", "tobin", at_its_end(NEW + "/step/C")),
    View("step C, signed", "tobin", all_folds_open(HALF + "/step/C?show=all")),
    View("step C, signed, short", "tobin", at_its_end(HALF + "/step/C")),
    View("step E, a panel", "tobin", goes_to(NEW + "/step/E-B?show=all")),
    View("last step, short", "tobin", at_its_end(HALF + "/step/J")),
    View("handing it to the owner", "tobin", goes_to(HALF + "/owner")),
    View("step E, a panel, short", "tobin", at_its_end(NEW + "/step/E-B")),
    View("choice of way", "tobin", goes_to(NEW + "/point/opening-head")),
    View("reading asked for", "tobin", all_folds_open(NEW + "/point/frame-widths")),
    View("yes or no asked for", "tobin", goes_to(NEW + "/point/safety-marks")),
    View("choice asked for", "tobin", goes_to(NEW + "/point/as-left-position")),
    View("survey that is out", "tobin", all_folds_open(FLOOR + "/point/sill-room")),
    View("reading kept", "tobin", reading_kept),
    View("reading refused", "tobin", reading_refused),
    View("two stations compared", "tobin", two_stations),
    View("asked back", "tobin", asked_back),
    View("out of reach refused", "tobin", out_of_reach_without_words),
    View("one reading", "tobin", one_reading),
    View("strike refused", "tobin", strike_refused),
    View("struck reading", "tobin", struck_reading),
    View("sign-off refused", "tobin", sign_off_refused),
    View("not there", "tobin", goes_to("/field/o/nowhere")),
    View("office openings", "nadia", goes_to("/office")),
    View("office review", "nadia", all_folds_open("/office/o/marrow-lane-b")),
    View("office review, out", "nadia", all_folds_open("/office/o/quarry-steps-a")),
    View("an entry", "nadia", one_entry),
    View("record, draft", "nadia", goes_to("/record/marrow-lane-b")),
    View("record, floor out", "nadia", goes_to("/record/quarry-steps-a")),
    View("a job refused", "nadia", refused("/office/jobs/new", "Make the job")),
    View("an opening refused", "nadia", refused(JOB + "/openings/new", "Issue")),
    View("a person refused", "oda", refused("/office/people/new", "Make the invitation")),
    View("a procedure refused", "nadia", refused("/office/procedures/new", "Check it")),
    *(View(name, person, all_folds_open(path)) for name, person, path in PAGES),
]
