"""A running Firefox that nobody sees, spoken to by Marionette in the words of Selenium.

So the page models that speak to WebKit speak to Firefox as they are.
"""

import os
import signal
import subprocess
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

from marionette_driver import errors
from marionette_driver.marionette import Marionette, WebElement
from selenium.common.exceptions import WebDriverException

from tests.firefox.setup import find
from tests.webkit.screen import free_port

PATIENCE = 120  # seconds for one answer, and for the start
SIZE = ("390", "844")  # of a phone's window
PREFERENCES = {
    "browser.shell.checkDefaultBrowser": "false",
    "datareporting.policy.dataSubmissionEnabled": "false",
    "network.captive-portal-service.enabled": "false",
    "network.connectivity-service.enabled": "false",
    "toolkit.startup.max_resumed_crashes": "-1",
    "intl.accept_languages": '"en-US"',
}
SET_VALUE = """
arguments[0].value = arguments[1];
arguments[0].dispatchEvent(new Event("input", { bubbles: true }));
"""
Answer = TypeVar("Answer")


def asked(work: Callable[[], Answer]) -> Answer:
    """Do it; what Marionette refuses is raised as Selenium raises it."""
    try:
        return work()
    except errors.MarionetteException as error:
        raise WebDriverException(str(error)) from error


class Element:
    """An element of the page."""

    def __init__(self, found: WebElement) -> None:
        self.found = found

    def click(self) -> None:
        """Click it."""
        asked(self.found.click)

    def clear(self) -> None:
        """Empty it."""
        asked(self.found.clear)

    def send_keys(self, text: str) -> None:
        """Type into it; a time is set, since its parts are typed as each country writes them."""
        if self.get_property("type") == "datetime-local":
            run = self.found.marionette.execute_script
            asked(lambda: run(SET_VALUE, script_args=[self.found, text], sandbox=None))
        else:
            asked(lambda: self.found.send_keys(text))

    def is_selected(self) -> bool:
        """Return whether it is ticked or chosen."""
        return bool(asked(self.found.is_selected))

    def get_dom_attribute(self, name: str) -> str | None:
        """Return an attribute as it is written."""
        value: str | None = asked(lambda: self.found.get_attribute(name))
        return value

    def get_property(self, name: str) -> Any:
        """Return a property."""
        return asked(lambda: self.found.get_property(name))


def given(value: Any) -> Any:
    """Return what a script gave, with our own elements in it."""
    if isinstance(value, WebElement):
        return Element(value)
    return [given(one) for one in value] if isinstance(value, list) else value


def plain(value: Any) -> Any:
    """Return what is given to a script, with Marionette's own elements in it."""
    if isinstance(value, Element):
        return value.found
    return [plain(one) for one in value] if isinstance(value, list | tuple) else value


class Driver:
    """A Firefox with its profile, in a process group of its own."""

    def __init__(self, profile: Path) -> None:
        profile.mkdir(parents=True, exist_ok=True)
        port = free_port()
        wishes = {**PREFERENCES, "marionette.port": str(port)}
        lines = [f'user_pref("{name}", {value});\n' for name, value in wishes.items()]
        (profile / "user.js").write_text("".join(lines))
        size = ["--width", SIZE[0], "--height", SIZE[1]]
        self._process = subprocess.Popen(
            [str(find()), "--headless", "--marionette", "--no-remote", *size,
             "--profile", str(profile), "about:blank"],
            env={**os.environ, "HOME": str(profile), "LANG": "C.UTF-8"},
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._session = Marionette(port=port, socket_timeout=PATIENCE)
        try:
            self._begin()
        except BaseException:
            self.kill()
            raise

    def _begin(self) -> None:
        end = time.monotonic() + PATIENCE
        while True:
            try:
                self._session.start_session(timeout=PATIENCE)
                break
            except (OSError, errors.MarionetteException):
                if time.monotonic() > end or self._process.poll() is not None:
                    raise
                time.sleep(0.2)
        self._session.timeout.script = PATIENCE
        self._session.timeout.page_load = PATIENCE

    @property
    def current_url(self) -> str:
        """Where the page is."""
        return str(asked(self._session.get_url))

    def get(self, address: str) -> None:
        """Go to an address."""
        asked(lambda: self._session.navigate(address))

    def execute_script(self, script: str, *arguments: Any) -> Any:
        """Run a script in the page and return what it returns."""
        return self._run(self._session.execute_script, script, arguments)

    def execute_async_script(self, script: str, *arguments: Any) -> Any:
        """Run a script in the page that calls its last argument with what it has to give."""
        return self._run(self._session.execute_async_script, script, arguments)

    def _run(self, how: Callable[..., Any], script: str, arguments: tuple[Any, ...]) -> Any:
        # without a sandbox: the page's own objects are what a script in it sees
        return given(asked(lambda: how(script, script_args=plain(arguments), sandbox=None)))

    def print_page(self, paper: dict[str, float]) -> str:
        """Print the page; returns the PDF in base 64. paper: its width and height in centimetres.

        The command is WebDriver's own; the client has no word for it.
        """
        asks = {"page": paper, "background": True}
        send = self._session._send_message
        return str(asked(lambda: send("WebDriver:Print", asks, key="value")))

    def close(self) -> None:
        """End the browser as its person does: what it has is written."""
        with suppress(errors.MarionetteException, OSError):
            self._session._send_message("Marionette:Quit", {"flags": ["eForceQuit"]})
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(PATIENCE)
        self.kill()

    def kill(self) -> None:
        """SIGKILL to the browser and every process of it."""
        with suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        with suppress(OSError):
            self._session.client.close()
