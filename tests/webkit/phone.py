"""A phone whose browser is WebKit; all else of it is as tests/phone/device.py has it."""

import shutil
from pathlib import Path
from typing import Any

from tests.phone.device import Device
from tests.phone.line import Answered, Line
from tests.webkit.page import NotYet, Page
from tests.webkit.screen import Driver

HOOK = b"""
self.addEventListener("message", async ({ data, ports }) => {
  if (data.kind !== "test") return;
  if (data.what !== "hooked?") (await book.open()).close();
  if (data.what === "lose for good") {
    IDBFactory.prototype.open = () => { throw new DOMException("gone", "UnknownError"); };
  }
  ports[0].postMessage("yes");
});
"""
ASK = """(what) => new Promise((resolve) => {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }) => resolve(data);
  setTimeout(() => resolve("no"), 1000);
  navigator.serviceWorker.controller?.postMessage({ kind: "test", what }, [port2]);
})"""


class WebKitPhone(Device):
    """One phone; its window keeps all it has in its profile."""

    def __init__(self, display: str, profile: Path, address: str) -> None:
        self._display = display
        self.profile = profile
        self.address = address
        self._driver: Driver | None = None

    def open(self, **_: Any) -> Page:  # type: ignore[override]
        """Start the browser and return its page."""
        self._driver = Driver(self._display, self.profile)
        return self.page

    @property
    def driver(self) -> Driver:
        """The running driver."""
        assert self._driver is not None, "the phone is off"
        return self._driver

    @property
    def page(self) -> Page:  # type: ignore[override]
        """The page that is open."""
        return Page(self.driver.session, self.address)

    def close(self) -> None:
        """Close the browser."""
        if self._driver is not None:
            driver, self._driver = self._driver, None
            driver.close()

    def kill(self) -> None:
        """End all of the browser with SIGKILL."""
        self.driver.kill()
        self._driver = None

    def evict(self) -> None:
        """Everything that this browser ever kept is gone."""
        self.close()
        shutil.rmtree(self.profile)
        self.open()

    def hook(self, line: Line) -> None:
        """Let the worker hear what a test asks: this driver reaches pages only.

        Our line adds it to the worker's script on its way; the phone takes it as an update.
        """

        def add(exchange: Answered) -> None:
            if exchange.path == "/sw.js":
                exchange.exchange.content += HOOK

        line.after = add
        self.page.goto("/field")
        self.looks_for_newer()
        self.page.goto("/field")
        self.page.patiently(self._is_hooked)

    def _is_hooked(self) -> None:
        if self._ask("hooked?") != "yes":
            raise NotYet

    def _ask(self, what: str) -> str:
        return str(self.page.evaluate(ASK, what))

    def lose_book(self, for_good: bool = False) -> None:
        """Close the worker's connection to its book under it; needs hook()."""
        self._ask("lose for good" if for_good else "lose")

    def restart_worker(self) -> Page:  # type: ignore[override]
        """Start the browser anew, and its worker with it."""
        self.close()
        return self.open()
