"""A phone.

A Chromium with a profile of its own on the disk, so that what it keeps is really kept.
"""

import json
import os
import signal
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, BrowserType, CDPSession, Error, Page

from app.core.kinds import Json
from tests.browser.chromium import FLAGS, is_root
from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.browser.setup import find

SIZE = {"width": 390, "height": 844}
_READ = """async () => {
  const db = await new Promise((resolve, reject) => {
    const asked = indexedDB.open("sillbook");
    asked.onupgradeneeded = () => asked.transaction.abort();
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => resolve(null);
  });
  if (!db) return null;
  const tx = db.transaction(["meta", "events", "outbox", "openings", "photos", "procedures"]);
  const all = (name) => new Promise((resolve) => {
    const asked = tx.objectStore(name).getAll();
    asked.onsuccess = () => resolve(asked.result);
  });
  const get = (name) => new Promise((resolve) => {
    const asked = tx.objectStore("meta").get(name);
    asked.onsuccess = () => resolve(asked.result || null);
  });
  const phone = await get("phone");
  const out = {
    device: phone && phone.device, person: phone && phone.person,
    forked: Boolean(phone && phone.forked),
    news: await get("news"), events: await all("events"), outbox: await all("outbox"),
    openings: await all("openings"), procedures: await all("procedures"),
    photos: (await all("photos")).map(({ sha256, event, sent, bytes }) => (
      { sha256, event, sent, size: bytes.byteLength }
    )),
  };
  db.close();
  return JSON.stringify(out, (_, value) => (value === undefined ? null : value));
}"""  # as text: the driver would take a value of this size apart piece by piece, for a minute

# Asked anew every few seconds: on a busy machine the browser may let one look for it go.
_NEWER = """async () => {
  const registration = await navigator.serviceWorker.getRegistration("/field");
  for (let count = 0; count < 600 && !registration.waiting; count += 1) {
    if (count % 50 === 0 && !registration.installing) registration.update().catch(() => 0);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return Boolean(registration.waiting);
}"""


class Device:
    """One phone.

    Open() starts its browser, close() ends it as a person does, kill() as a dead battery.
    """

    def __init__(self, browser: BrowserType, profile: Path, address: str) -> None:
        self._browser = browser
        self.profile = profile
        self.address = address
        self._context: BrowserContext | None = None

    def open(self, **options: Any) -> Page:
        """Start the browser and return its first page."""
        self._context = self._browser.launch_persistent_context(
            str(self.profile),
            executable_path=find(whole=True),
            headless=True,
            args=list(FLAGS),
            chromium_sandbox=not is_root(),
            viewport=SIZE,
            base_url=self.address,
            locale="en-US",
            **options,
        )
        self._context.set_default_timeout(SEEN)
        return self._context.pages[0] if self._context.pages else self._context.new_page()

    @property
    def context(self) -> BrowserContext:
        """The running browser."""
        assert self._context is not None, "the phone is off"
        return self._context

    @property
    def page(self) -> Page:
        """The first page that is open."""
        return self.context.pages[0]

    def close(self) -> None:
        """Close the browser."""
        if self._context is not None:
            context, self._context = self._context, None
            context.close()

    def kill(self) -> None:
        """End the browser with SIGKILL: nothing is flushed, nobody says goodbye."""
        wanted = f"--user-data-dir={self.profile}".encode()
        for path in Path("/proc").glob("[0-9]*/cmdline"):
            try:
                words = path.read_bytes().split(b"\0")
            except OSError:
                continue
            if wanted in words and not any(word.startswith(b"--type=") for word in words):
                os.kill(int(path.parent.name), signal.SIGKILL)
        with suppress(Error):  # the driver finds the browser gone
            self.close()
        for lock in self.profile.glob("Singleton*"):
            lock.unlink()

    def pair(self, code: str, name: str = "Heron's phone") -> None:
        """Pair by the link of the office, and come to the openings."""
        page = self.page
        page.goto("/pair#" + code)
        page.get_by_label("What this phone is called").fill(name)
        page.get_by_role("button", name="Pair this phone").click()
        expect(page.get_by_role("heading", level=1)).to_have_text(
            "Openings to be set", timeout=SEEN
        )

    def book(self, page: Page | None = None) -> Json:
        """Return what the phone's book holds."""
        found: Json = json.loads((page or self.page).evaluate(_READ) or "null")
        return found

    def own(self, page: Page | None = None) -> list[Json]:
        """Return the events that were made here, in the order of their chains."""
        book = self.book(page)
        own = [record["event"] for record in book["events"] if record["device"] == book["device"]]
        return sorted(own, key=lambda event: (event["opening"], event["n"]))

    def live(self, opening: str) -> list[Json]:
        """Return the events of an opening that the phone's pages are made of."""
        records = self.book()["events"]
        return [r["event"] for r in records if r["opening"] == opening and not r.get("lost")]

    def sync(self) -> None:
        """Send and take now, as when the network comes back."""
        self.page.evaluate(
            "navigator.serviceWorker.controller.postMessage({kind: 'sync', why: 'asked'})"
        )

    def is_sent(self, within: float = 60) -> bool:
        """Wait until nothing is left to send, asking now and then.

        Return whether it came to that.
        """
        end = time.monotonic() + within
        while time.monotonic() < end:
            book = self.book()
            waiting = [photo for photo in book["photos"] if not photo["sent"]]
            if not book["outbox"] and not waiting and not (book["news"] or {}).get("trouble"):
                return True
            self.sync()
            self.page.wait_for_timeout(300)
        return False

    def takes_all(self, within: float = 60) -> None:
        """Ask until the office's openings are in the book, and nothing is left to take."""
        end = time.monotonic() + within
        while time.monotonic() < end:
            book = self.book()
            if book["openings"] and not book["news"].get("trouble"):
                return
            self.sync()
            self.page.wait_for_timeout(300)
        raise AssertionError(f"nothing was taken in {within} s: {self.book()['news']}")

    def looks_for_newer(self) -> None:
        """Let the browser look for a newer worker, and wait until it stands ready."""
        assert self.page.evaluate(_NEWER)

    def in_worker(self, script: str) -> Any:
        """Run a script in the worker that is in charge."""
        return self.context.service_workers[-1].evaluate(script)

    def cdp(self, page: Page | None = None) -> CDPSession:
        """Return a session of the developer's protocol on a page."""
        return self.context.new_cdp_session(page or self.page)

    def evict(self) -> None:
        """Everything that this browser keeps of the office's pages is gone."""
        self.page.goto("about:blank")  # a page that is open loads itself anew when its worker goes
        session = self.cdp()
        session.send("Storage.clearDataForOrigin", {"origin": self.address, "storageTypes": "all"})

    def lose_book(self, for_good: bool = False) -> None:
        """Close the worker's connection to its book under it; for good: it cannot be opened again.

        Until the worker starts anew.
        """
        self.in_worker("async () => (await book.open()).close()")
        if for_good:
            self.in_worker(
                "() => { IDBFactory.prototype.open = "
                '() => { throw new DOMException("gone", "UnknownError"); }; }'
            )

    def restart_worker(self) -> Page:
        """Let a worker start anew; return the page that is then open."""
        self.stop_worker()
        return self.page

    def stop_worker(self, page: Page | None = None) -> None:
        """End the worker, as browsers do when it is idle; it has ended when this returns."""
        session = self.cdp(page)
        states: dict[str, str] = {}

        def note(event: Any) -> None:
            states.update((one["versionId"], one["runningStatus"]) for one in event["versions"])

        session.on("ServiceWorker.workerVersionUpdated", note)
        session.send("ServiceWorker.enable")
        session.send("ServiceWorker.stopAllWorkers")
        for _ in range(100):  # a page that is asked for before it ended is lost with it
            (page or self.page).wait_for_timeout(20)
            if set(states.values()) <= {"stopped"}:
                break
        session.detach()


def code_for(page: Page, person: str) -> str:
    """Sign in at the office and make a pairing code for oneself."""
    SignIn(page).as_(person)
    expect(page.get_by_role("heading", level=1)).not_to_have_text("Sign in", timeout=SEEN)
    page.goto("/pair/new")
    page.get_by_role("button", name="Make a code").click()
    return page.locator("strong.code").inner_text().strip()
