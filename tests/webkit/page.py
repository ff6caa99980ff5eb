"""A page in WebKit, spoken to as the page models speak to one in Chromium.

So the same scenarios run in both. Elements are found by find.js, clicks and keys are the driver's
own. Only what the models use is here.
"""

import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from selenium.common.exceptions import WebDriverException
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webdriver import WebDriver
from selenium.webdriver.remote.webelement import WebElement

FIND = (Path(__file__).parent / "find.js").read_text("utf-8")
PATIENCE = 90  # seconds, on a busy machine
PAUSE = 0.03  # seconds between two looks
Step = list[Any]
_GIVE_MOMENT = """
  arguments[0].value = arguments[1];
  arguments[0].dispatchEvent(new Event("input", {bubbles: true}));
"""
KEYS = {"Enter": Keys.ENTER}


def wanted(text: "str | re.Pattern[str] | None", exact: bool = False) -> Any:
    """Return what find.js is to look for."""
    if text is None:
        return None
    return {"pattern": text.pattern} if isinstance(text, re.Pattern) else vars_of(text, exact)


def vars_of(text: str, exact: bool) -> dict[str, Any]:
    """Return a wish for a text."""
    return {"text": text, "exact": exact}


class Finds:
    """What elements are looked for in: a page, or other elements."""

    page: "Page"
    steps: list[Step]

    def _more(self, kind: str, what: Any) -> "Locator":
        return Locator(self.page, [*self.steps, [kind, what]])

    def get_by_role(
        self,
        role: str,
        name: "str | re.Pattern[str] | None" = None,
        exact: bool = False,
        level: int = 0,
    ) -> "Locator":
        """Find by role and accessible name."""
        return self._more("role", {"role": role, "wanted": wanted(name, exact), "level": level})

    def get_by_label(self, text: str) -> "Locator":
        """Find a field by its label."""
        return self._more("label", wanted(text))

    def get_by_text(self, text: "str | re.Pattern[str]", exact: bool = False) -> "Locator":
        """Find the innermost elements with a text."""
        return self._more("text", wanted(text, exact))

    def locator(self, selector: str) -> "Locator":
        """Find by CSS."""
        return self._more("css", selector)


_READY_TO_CLICK = """
window.wasClicked = false;
const heard = () => { window.wasClicked = true; };
arguments[0].addEventListener("click", heard, { capture: true, once: true });
arguments[0].scrollIntoView({ block: "center", behavior: "instant" });
"""


class Locator(Finds):
    """Elements, looked for anew at each use."""

    def __init__(self, page: "Page", steps: list[Step]) -> None:
        self.page = page
        self.steps = steps

    def filter(
        self, has_text: "str | re.Pattern[str] | None" = None, has: "Locator | None" = None
    ) -> "Locator":
        """Keep those with a text, or with another element inside."""
        kept = self if has_text is None else self._more("containing", wanted(has_text))
        return kept if has is None else kept._more("having", has.steps)

    def nth(self, at: int) -> "Locator":
        """The one at a place, from 0."""
        return self._more("nth", at)

    @property
    def first(self) -> "Locator":
        """The first."""
        return self.nth(0)

    @property
    def last(self) -> "Locator":
        """The last."""
        return self.nth(-1)

    def look(self, script: str, *arguments: Any) -> Any:
        """Run a script over `all`, the elements there are now."""
        return self.page.run(
            f"{FIND} const {{ found: all, isShown, plain }} = find(arguments[0]); {script}",
            self.steps,
            *arguments,
        )

    def count(self) -> int:
        """Return how many there are now."""
        return int(self.look("return all.length;"))

    def all(self) -> "list[Locator]":
        """Return each of those there are now."""
        return [self.nth(at) for at in range(self.count())]

    def is_visible(self) -> bool:
        """Return whether it is shown now."""
        return bool(self.look("return all.length > 0 && isShown(all[0]);"))

    def element(self) -> WebElement:
        """Return the one element; more than one is an error."""
        found = self.look("return all;")
        if len(found) != 1:
            raise NotYet(f"{len(found)} elements: {self.steps}")
        element: WebElement = found[0]
        return element

    def use(self, how: Callable[[WebElement], Any]) -> Any:
        """Do something with the element, as soon as it can be done."""
        return self.page.patiently(lambda: how(self.element()))

    def click(self, **_: Any) -> None:
        """Click it, in the middle of the window as a person would bring it there."""
        self.use(self._click)

    def _click(self, element: WebElement) -> None:
        self.page.run(_READY_TO_CLICK, element)
        element.click()
        if self.page.run("return window.wasClicked === false;"):
            raise NotYet("the page moved, and the click went beside it")

    def fill(self, text: str) -> None:
        """Type into it, in place of what stands there; a moment as the browser gives it."""
        if self.get_attribute("type") == "datetime-local":  # has a field a part, in the local order
            self.use(lambda element: self.page.run(_GIVE_MOMENT, element, text))
            return
        self.use(lambda element: element.clear())
        self.use(lambda element: element.send_keys(text))

    def press(self, key: str) -> None:
        """Press a key in it."""
        self.use(lambda element: element.send_keys(KEYS[key]))

    def check(self) -> None:
        """Tick it, or choose it."""
        self.use(lambda element: element.is_selected() or self._click(element))

    def set_input_files(self, path: Path) -> None:
        """Choose a file, and wait until the page has it."""
        self.use(lambda element: element.send_keys(str(path)))
        self.use(self._has_file)

    def _has_file(self, element: WebElement) -> None:
        if not self.page.run("return arguments[0].files.length;", element):
            raise NotYet("no file is chosen")

    def select_option(self, label: str) -> None:
        """Choose of a list."""
        from selenium.webdriver.support.select import Select

        self.use(lambda element: Select(element).select_by_visible_text(label))

    def get_attribute(self, name: str) -> str | None:
        """Return an attribute as it is written."""
        found: str | None = self.use(lambda element: element.get_dom_attribute(name))
        return found

    def inner_text(self) -> str:
        """Return its text as it is shown."""
        return str(self.use(lambda element: element.get_property("innerText")))

    def expectation(self) -> "Expectation":
        """Return what can be expected of it."""
        return Expectation(self)


class NotYet(Exception):
    """What is looked for is not there, or not alone; it may still come."""


class Page(Finds):
    """A window of the browser."""

    def __init__(self, driver: WebDriver, address: str) -> None:
        self.driver = driver
        self.address = address
        self.page = self
        self.steps = []

    @property
    def url(self) -> str:
        """Where it is."""
        return str(self.driver.current_url)

    def goto(self, path: str) -> None:
        """Go to a path of the office's address, or to an address."""
        self.driver.get(path if ":" in path else self.address + path)

    def wait_for_load_state(self, _: str) -> None:
        """Wait until the page has come to its end."""
        self.patiently(self._is_whole)

    def _is_whole(self) -> None:
        if self.run("return document.readyState;") == "loading":
            raise NotYet("the page is still loading")

    def wait_for_timeout(self, milliseconds: float) -> None:
        """Let time pass."""
        time.sleep(milliseconds / 1000)

    def run(self, script: str, *arguments: Any) -> Any:
        """Run a script in the page."""
        return self.driver.execute_script(script, *arguments)

    def evaluate(self, script: str, argument: Any = None) -> Any:
        """Evaluate an expression, or call a function; a promise is waited for."""
        answer = self.driver.execute_async_script(
            f"const done = arguments[arguments.length - 1]; const made = ({script});"
            "Promise.resolve(typeof made === 'function' ? made(arguments[0]) : made)"
            ".then((value) => done({ value }), (error) => done({ error: String(error) }));",
            argument,
        )
        if "error" in answer:
            raise AssertionError(answer["error"])
        return answer.get("value")

    def patiently(self, work: Callable[[], Any], within: float = PATIENCE) -> Any:
        """Do it as soon as it can be done; what hinders it at the end is raised."""
        end = time.monotonic() + within
        while True:
            try:
                return work()
            except (NotYet, WebDriverException):
                if time.monotonic() > end:
                    raise
            time.sleep(PAUSE)


# What is compared with what is expected; of one element, unless it is a number of them.
_ONE = "if (all.length !== 1) return null;"
_SEEN = {
    "text": _ONE + "return plain(all[0].textContent);",
    "count": "return all.length;",
    "shown": "if (all.length > 1) return null; return all.length > 0 && isShown(all[0]);",
    "attribute": _ONE + "return all[0].getAttribute(arguments[1]);",
    "property": _ONE + "return all[0][arguments[1]];",
}


class Expectation:
    """What is expected of elements: looked at again and again until it is so."""

    def __init__(self, of: Locator) -> None:
        self._of = of

    def _comes(self, what: str, is_so: Callable[[Any], bool], *arguments: Any) -> None:
        last: list[Any] = [None]

        def look() -> None:
            last[0] = self._of.look(_SEEN[what], *arguments)
            if last[0] is None or not is_so(last[0]):
                raise NotYet

        with self._told(last, what):
            self._of.page.patiently(look)

    @contextmanager
    def _told(self, last: list[Any], what: str) -> Iterator[None]:
        try:
            yield
        except NotYet:
            there = self._of.page.run("return location.pathname + ': ' + document.body.innerText;")
            raise AssertionError(f"{what} is {last[0]!r}: {self._of.steps}\n{there}") from None

    def to_have_text(self, text: str, **_: Any) -> None:
        """Its whole text."""
        self._comes("text", lambda seen: seen == _plain(text))

    def to_contain_text(self, text: "str | re.Pattern[str]", **_: Any) -> None:
        """A part of its text."""
        self._comes("text", lambda seen: _holds(seen, text))

    def not_to_contain_text(self, text: "str | re.Pattern[str]", **_: Any) -> None:
        """No such part of its text."""
        self._comes("text", lambda seen: not _holds(seen, text))

    def to_have_count(self, count: int, **_: Any) -> None:
        """How many."""
        self._comes("count", lambda seen: seen == count)

    def not_to_have_count(self, count: int, **_: Any) -> None:
        """Another number of them."""
        self._comes("count", lambda seen: seen != count)

    def to_be_visible(self, **_: Any) -> None:
        """That it is shown."""
        self._comes("shown", lambda seen: seen is True)

    def to_be_hidden(self, **_: Any) -> None:
        """That it is not shown."""
        self._comes("shown", lambda seen: seen is False)

    def to_have_attribute(self, name: str, value: str, **_: Any) -> None:
        """An attribute as it is written."""
        self._comes("attribute", lambda seen: seen == value, name)

    def to_have_js_property(self, name: str, value: Any, **_: Any) -> None:
        """A property."""
        self._comes("property", lambda seen: seen == value, name)

    def to_have_value(self, value: str, **_: Any) -> None:
        """What is typed in it."""
        self.to_have_js_property("value", value)


def _plain(text: str) -> str:
    return " ".join(text.split())


def _holds(seen: str, text: "str | re.Pattern[str]") -> bool:
    if isinstance(text, re.Pattern):
        return bool(text.search(seen))
    return _plain(text) in seen
