"""Page models: what a person does on a page, found by role and name as they find it."""

import re
from datetime import datetime, timedelta

from playwright.sync_api import Locator, Page

from tests.browser.seen import expect

SEEN = 60_000  # milliseconds to wait for what must come, on a busy or slow machine


def open_fold(scope: Locator | Page, name: str) -> Locator:
    """Unfold the details of this summary, where it is folded, and return them."""
    fold = scope.get_by_role("group").filter(has_text=name).last
    if fold.get_attribute("open") is None:
        fold.get_by_text(name).first.click()
    return fold


# of the demo company, see seed_data/demo/company.yaml
PASSWORDS = {
    "tobin": "gauge-rule-and-tape",
    "ines": "shim-string-and-square",
    "nadia": "plumb-line-and-level",
    "oda": "bead-chalk-and-reveal",
}


class AnyPage:
    """What stands on every page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    @property
    def title(self) -> Locator:
        """The heading of the page."""
        return self.page.get_by_role("heading", level=1)

    @property
    def told(self) -> Locator:
        """The lines over the page that are read out when they change."""
        return self.page.get_by_role("status")

    def whole(self) -> None:
        """Wait until the page has come to its end: what is counted before may be a part of it."""
        self.page.wait_for_load_state("domcontentloaded")

    def back(self) -> None:
        """Go one level up; that page stands there when this returns."""
        self.page.evaluate("() => { document.getElementById('main').dataset.left = ''; }")
        self.page.get_by_role("navigation", name="Back").get_by_role("link").click()
        expect(self.page.locator("#main[data-left]")).to_have_count(0, timeout=SEEN)

    def sign_out(self) -> None:
        """Sign out at the foot of the page."""
        self.page.get_by_role("button", name="Sign out").click()
        expect(self.title).to_have_text("Sign in", timeout=SEEN)


class SignIn(AnyPage):
    """Where everybody begins."""

    def as_(self, name: str, password: str = "") -> None:
        """Sign in; one of the demo's people needs no password here."""
        self.page.goto("/sign-in")
        self.page.get_by_label("Name").fill(name)
        self.page.get_by_label("Password").fill(password or PASSWORDS[name])
        self.page.get_by_role("button", name="Sign in").click()


class Openings(AnyPage):
    """The list of openings."""

    def open(self, room: str) -> "OpeningPage":
        """Go to an opening by its room."""
        self.page.goto("/field")
        self.page.get_by_role("link", name=room).click()
        expect(self.title).to_have_text("The opening and its steps", timeout=SEEN)
        return OpeningPage(self.page)


class OpeningPage(AnyPage):
    """One opening: its steps, and the ways to what is known of it."""

    @property
    def steps(self) -> Locator:
        """The lines of the steps."""
        section = self.page.get_by_role("region", name="Steps")
        return section.get_by_role("listitem")

    def step(self, title: str, nth: int = 0) -> "StepPage":
        """Go to a step by its title; nth where it is done once for each panel."""
        self.steps.get_by_role("link").filter(has_text=title).nth(nth).click()
        expect(self.title).to_contain_text(title, timeout=SEEN)
        return StepPage(self.page).whole_page()

    def about(self, name: str) -> None:
        """Go to the drawing, the set-out, the parts, the queries, the readings or the record."""
        ways = self.page.get_by_role("navigation", name="About this opening")
        ways.get_by_role("link", name=name).click()


class PartsPage(AnyPage):
    """The parts list."""

    def all_here(self) -> None:
        """Say of every line that it is here: one tap, taken back once, and given again."""
        expect(self.title).to_have_text("Parts", timeout=SEEN)
        self.whole()
        at_once = self.page.get_by_role("button", name="All here")
        undo = self.page.get_by_role("button", name="Undo")
        at_once.click()
        expect(at_once).to_have_count(0, timeout=SEEN)
        undo.click()
        expect(undo).to_have_count(0, timeout=SEEN)
        at_once.click()
        expect(undo).to_be_visible(timeout=SEEN)
        lines = self.page.get_by_role("main").get_by_role("listitem")
        for number in range(lines.count()):
            expect(lines.nth(number).get_by_role("strong").first).to_have_text("here")


class StepPage(AnyPage):
    """A step: its tasks, decisions, readings, checks and sign-off."""

    def whole_page(self) -> "StepPage":
        """Ask for everything of the step: the short page has what is out and what is left."""
        self.page.get_by_role("link", name="Show everything").click()
        expect(self.page.get_by_role("link", name="Show the short page")).to_be_visible(
            timeout=SEEN
        )
        return self

    @property
    def bars(self) -> Locator:
        """What still bars the sign-off; many are folded up."""
        self.unfold("#all-bars")
        return self.page.get_by_role("region", name="Sign-off").get_by_role("listitem")

    def task(self, text: str) -> Locator:
        """The button of a task."""
        return self.page.get_by_role("button", name=text)

    def tick(self, text: str) -> None:
        """Tick a task."""
        self.unfold()
        self.task(text).click()
        expect(self.task(text)).to_have_attribute("aria-pressed", "true", timeout=SEEN)

    def tick_all(self) -> None:
        """Tick every task that is open: one tap for all that may go together, then the rest."""
        self.unfold()
        region = self.page.get_by_role("region", name="Tasks")
        expect(region).to_be_visible(timeout=SEEN)
        self.whole()
        at_once = region.get_by_role("button", name="All yes")
        if at_once.count():
            at_once.click()
            expect(at_once).to_have_count(0, timeout=SEEN)
        count = region.get_by_role("listitem").count()
        for number in range(count):
            button = region.get_by_role("listitem").nth(number).get_by_role("button")
            if button.get_attribute("aria-pressed") == "false":
                button.click()
                expect(button).to_have_attribute("aria-pressed", "true", timeout=SEEN)
        self.no_photos()

    def no_photos(self) -> None:
        """Say of every photo that is still to be taken why there is none."""
        still = self.page.locator("div.photos:not(:has(figure)):not(:has(.note))")
        for left in range(still.count() - 1, -1, -1):
            still.first.get_by_text("None, because …").click()
            still.first.get_by_label("Why there is no photo").fill("No light here")
            still.first.get_by_role("button", name="Keep", exact=True).click()
            expect(still).to_have_count(left, timeout=SEEN)

    def decide(self, choice: str, words: str = "", name: str = "") -> None:
        """Make the step's decision."""
        self.unfold()
        section = self.page.get_by_role("region", name="To be decided")
        section.get_by_role("radio", name=choice, exact=True).check()
        if name:
            section.get_by_label("Who decided").fill(name)
        if words:
            section.get_by_label("In their words" if name else "Note").fill(words)
        section.get_by_role("button", name="Keep this decision").click()
        expect(section).to_contain_text(choice + ":", timeout=SEEN)

    def check(self, title: str) -> Locator:
        """A check with its verdict, by its title; those that are within are folded away."""
        self.unfold()
        heading = self.page.get_by_role("heading", name=title, exact=True)
        return self.page.get_by_role("article").filter(has=heading)

    def unfold(self, what: str = "#all-well") -> None:
        """Unfold what is done and within, or what bars, where the page has it folded."""
        self.whole()
        if self.page.get_by_role("link", name="Show everything").count():
            self.whole_page()
        fold = self.page.locator(what)
        if fold.count() and fold.get_attribute("open") is None:
            fold.locator("summary").first.click()

    def correct(self, title: str, words: str) -> None:
        """Write down what was done about a check."""
        check = self.check(title)
        open_fold(check, "Write down what was done about it")
        check.get_by_label("What was done, and where").fill(words)
        check.get_by_role("button", name="Keep this").click()
        expect(check.get_by_text(words)).to_be_visible(timeout=SEEN)

    def moved(self, text: str) -> None:
        """Say that something was moved: what it spoils must be measured again."""
        self.unfold()
        section = self.page.get_by_role("region", name="Something was moved afterwards?")
        fold = open_fold(section, text)
        done = fold.get_by_role("button", name="Yes, this was done")
        done.click()
        expect(done).to_be_hidden(timeout=SEEN)  # folded again: the page is a new one
        expect(self.page.get_by_text("must be measured again").first).to_be_visible(timeout=SEEN)

    def point(self, title: str) -> "PointPage":
        """Go to a point by its title."""
        self.point_link(title).click()
        expect(self.title).to_contain_text(title, timeout=SEEN)
        return PointPage(self.page)

    def point_link(self, title: str) -> Locator:
        """The line of a point."""
        self.unfold()
        readings = self.page.get_by_role("region", name="Readings", exact=True)
        words = self.page.get_by_text(title, exact=True)
        return readings.get_by_role("link").filter(has=words)

    def sign(self) -> None:
        """Sign the step off."""
        self.page.get_by_role("checkbox", name="I have read this, and it is so.").check()
        self.page.get_by_role("button", name="Sign this step off").click()

    @property
    def can_be_signed(self) -> bool:
        """Whether the page offers the sign-off."""
        return self.page.get_by_role("button", name="Sign this step off").is_visible()


class PointPage(AnyPage):
    """Where readings are entered, one place after the other."""

    @property
    def field(self) -> Locator:
        """The field of the number."""
        return self.page.get_by_role("main").get_by_role("textbox").first

    @property
    def place(self) -> Locator:
        """The heading with the place that is asked for."""
        return self.page.get_by_role("heading", level=2, name=re.compile(r"^\d+ of \d+"))

    @property
    def error(self) -> Locator:
        """What is wrong with what was typed."""
        return self.page.get_by_role("alert")

    def read(self, way: str) -> None:
        """Choose how a level line is read, where the page asks for it."""
        choice = self.page.get_by_role("radio", name=way)
        self.whole()
        if choice.count():
            choice.check()
            self.page.get_by_role("button", name="This is how it is read").click()
            expect(self.place).to_be_visible(timeout=SEEN)

    def keep(self, text: str, place: str, ago: int = 0, sure: bool = False) -> None:
        """Enter a reading at the place that the page asks for, and wait until it is kept.

        ago: minutes since it was measured, where that was not just now. sure: it is asked back.
        """
        expect(self.place).to_contain_text(place, timeout=SEEN)
        if ago:
            self.measured(ago)
        self.send(text)
        if sure:
            self.page.get_by_role("button", name="It is right: keep it").click()
        self.is_kept(place)

    def measured(self, ago: int) -> None:
        """Say that it was measured so many minutes ago."""
        self.whole()
        fold = open_fold(self.page, "Who, with what, when:")
        time = (datetime.now().astimezone() - timedelta(minutes=ago)).isoformat()[:16]
        fold.get_by_label("Measured at").fill(time)

    def send(self, text: str) -> None:
        """Type a number and press Enter, write words and keep them, or tap the answer."""
        self.whole()
        if self.field.count():
            self.field.fill(text)
            if self.page.locator("textarea#value").count():
                self.page.get_by_role("button", name="Keep", exact=True).click()
            else:
                self.field.press("Enter")
        else:
            self.page.get_by_role("button", name=text, exact=True).click()

    def is_kept(self, place: str) -> None:
        """Wait until the page says that the reading of this place is kept."""
        expect(self.told).to_contain_text(re.compile("Kept: .*" + re.escape(place)), timeout=SEEN)

    def at(self, place: str) -> None:
        """Choose a place to measure, out of turn or again."""
        name = re.compile("^Measure (again )?" + re.escape(place))
        self.page.get_by_role("link", name=name).first.click()
        expect(self.place).to_contain_text(place, timeout=SEEN)

    def cannot_reach(self, place: str, why: str) -> None:
        """Say that the place that the page asks for cannot be reached."""
        expect(self.place).to_contain_text(place, timeout=SEEN)
        fold = open_fold(self.page, "Cannot reach this place")
        fold.get_by_label("Because").fill(why)
        fold.get_by_role("button", name="Keep: could not be reached").click()
        self.is_kept(place)

    def undo(self) -> None:
        """Strike what was just kept."""
        self.told.get_by_role("button", name="Undo").click()

    def reading(self, place: str) -> "ReadingPage":
        """Go to the reading that counts at a place."""
        self.page.get_by_role("link", name=re.compile(re.escape(place) + ": change it")).click()
        expect(self.page.get_by_text("Who", exact=True)).to_be_visible(timeout=SEEN)
        return ReadingPage(self.page)

    def check(self, title: str) -> Locator:
        """A check that looks at this point."""
        return StepPage(self.page).check(title)


class ReadingPage(AnyPage):
    """One reading: strike it, or move it to where it belongs."""

    @property
    def typed(self) -> Locator:
        """The reading as it was typed."""
        line = self.page.get_by_role("main").locator("dl > div").filter(has_text="As typed")
        return line.get_by_role("definition")

    def strike(self, why: str) -> None:
        """Strike the reading as a mistake."""
        section = self.page.get_by_role("region", name="It is a mistake: strike it")
        section.get_by_label("Why").fill(why)
        section.get_by_role("button", name="Strike this reading").click()
        expect(section).to_be_hidden(timeout=SEEN)

    def move(self, opening: str, why: str) -> None:
        """Move the reading to the same place of another opening."""
        section = self.page.get_by_role("region", name="It belongs to another opening: move it")
        section.get_by_label("To the same place of").select_option(label=opening)
        section.get_by_label("Why").fill(why)
        section.get_by_role("button", name="Move it").click()
        expect(section).to_be_hidden(timeout=SEEN)


class OfficeReview(AnyPage):
    """Where a supervisor looks through an opening and accepts it."""

    def open(self, room: str) -> None:
        """Go to the review of an opening by its room."""
        self.page.goto("/office")
        self.page.get_by_role("link", name=room).click()
        expect(self.title).to_have_text("Review", timeout=SEEN)

    def accept(self) -> None:
        """Accept the opening."""
        section = self.page.get_by_role("region", name="Accept", exact=True)
        section.get_by_role("checkbox").check()
        section.get_by_role("button", name="Accept this opening").click()

    def record(self) -> "RecordPage":
        """Go to the completion record."""
        self.page.get_by_role("link", name="Completion record").click()
        expect(self.title).to_have_text("Your door, as installed", timeout=SEEN)
        return RecordPage(self.page)


class RecordPage(AnyPage):
    """The completion record."""

    def typed(self) -> list[str]:
        """Return every reading as it was typed, those that were struck too."""
        self.whole()
        cells = self.page.get_by_role("main").locator("[data-typed]")
        found: list[str] = cells.evaluate_all("all => all.map(cell => cell.dataset.typed)")
        return found

    def unfold(self, *names: str) -> None:
        """Unfold parts of the record, by their titles."""
        for name in names:
            self.page.locator("summary").filter(has_text=name).click()
