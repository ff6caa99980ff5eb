"""How quick and small the phone is, printed and never asserted: `python -m tests.bench.phone`.

A phone of its own (Chromium with a profile on the disk), paired with a real office, its openings
with 50, 500 and 5,000 events made by the core's own rules (histories.py). With words, only those
parts: `python -m tests.bench.phone bytes shares taps cold list pull send`. "shares" is the table of
the screens against the floor, and the profile (shares.py).

A tap is a reading kept on the page of a survey: from the form being sent to the verdict standing
painted on the page, after the two seconds that a person at least needs to read a tape and type.
Slower, on Linux only: the whole browser is held to a part of one core (held.py), a newer phone to
about a quarter, a cheap one to a sixth. Aims: p95 at most 100 ms at a sixth with 500 events, 5,000
events at most 1.5 times as long as 50; a cold start 500 ms at a quarter; first page 60 KB, bundle
400 KB, compressed.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, Playwright, sync_playwright
from sqlmodel import Session

from app.core.kinds import Json
from app.core.record.canonical import digest
from app.core.record.events import new_event
from app.demo import company
from app.field.bundle import build_bundle
from app.main import create_app
from app.settings import Settings
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Assigned, Opening, Person
from tests.bench import shares
from tests.bench.held import held
from tests.bench.histories import SURVEY, history
from tests.browser.chromium import launch
from tests.browser.models import SignIn
from tests.phone.device import Device, code_for
from tests.phone.line import Line
from tests.phone.office import Office

SIZES = (50, 500, 5000)
SPEEDS = (1, 4, 6) if sys.platform == "linux" else (1,)
TAPS = 16
TYPING = 2000  # milliseconds
STARTS = 7
MANY = 50  # openings on a full phone
EVENTS = 100  # of each of those
ENTRIES = 1000
PATIENCE = 600_000  # milliseconds

KEEP = """async text => {
  const form = document.getElementById("keep");
  form.querySelector("[name=value]").value = text;
  const begun = performance.now();
  const done = new Promise((resolve) => new MutationObserver(() => {
    const line = document.querySelector("#notices .saved-line");
    const kept = line && line.textContent.includes("Kept");
    if (kept) requestAnimationFrame(() => setTimeout(resolve, 0));
  }).observe(document.body, {childList: true, subtree: true}));
  form.requestSubmit();
  await done;
  return performance.now() - begun;
}"""
LOADED = """() => new Promise((resolve) => {
  const at = () => performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd;
  if (at()) resolve(at());
  else addEventListener("DOMContentLoaded", () => setTimeout(() => resolve(at())));
})"""
FILL = """async (records) => {
  await book.transact("readwrite", (tx) => {
    const store = (name) => tx.objectStore(name);
    for (const { event, hash } of records) act.keep(store, event, hash);
  });
  const begun = performance.now();
  await sync.run("asked");
  const took = performance.now() - begun;
  const { left, all } = await book.read((tx) => ({
    left: tx.objectStore("outbox").count(), all: tx.objectStore("events").getAll(),
  }));
  const sent = new Set(records.map(({ event }) => event.id));
  const kept = all.filter(({ id, sent: told }) => sent.has(id) && told.startsWith("stored")).length;
  return { took, left, kept };
}"""


def furnish(database: Database) -> None:
    """Add the doors of the bench to the demo company's."""
    company.load_company(database)
    with database.write() as session:
        for size in SIZES:
            _door(session, f"door-{size}", size, "tobin-hale")
        for number in range(MANY):
            _door(session, f"many-{number}", EVENTS, "ines-calder")
        session.get_one(Person, "ines-calder").lang = "en"  # what is pressed is named in English


def _door(session: Session, id_: str, size: int, person: str) -> None:
    issue = dict(log.events_of(session, ["marrow-lane-a"])["marrow-lane-a"][0])
    draft = {**issue, "id": uuid7(), "opening": id_, "seen": {}}
    known = procedures.all_of(session, {})
    hands = ["phone-" + uuid7(), device_id(session, "web")]
    session.add(Opening(id=id_, job="marrow-lane", letter=id_[-4:], room="Bench"))
    session.flush()
    for event in history(new_event([], draft), known, hands, id_, size):
        log.keep_event(session, event, digest(event))
    session.add(Assigned(opening=id_, person=person))
    session.flush()


def code_of(playwright: Playwright, office: Office, person: str) -> str:
    """Have a person make a pairing code at the office, from a computer of their own."""
    browser = launch(playwright)
    try:
        return code_for(browser.new_context(base_url=office.line.address).new_page(), person)
    finally:
        browser.close()


def spread(words: str, took: list[float]) -> None:
    """Print the median and the 95th of a hundred, milliseconds."""
    p95 = statistics.quantiles(took, n=20, method="inclusive")[-1]
    print(f"  {words:52} p50 {statistics.median(took):8.0f} ms  p95 {p95:8.0f} ms", flush=True)


class Bench:
    """The phone, its office and where they are."""

    def __init__(self, phone: Device, office: Office) -> None:
        self.phone = phone
        self.office = office

    def each_speed(self, work: Callable[[], None]) -> None:
        """Do some work with the browser at each speed."""
        for part in SPEEDS:
            with held(f"--user-data-dir={self.phone.profile}", part) as how:
                print(how)
                work()

    def taps(self) -> None:
        """Print tap to verdict, for each size of history."""
        for size in SIZES:
            spread(f"tap to verdict, {size} events", self.tapped(size, TAPS))

    def tapped(self, size: int, count: int) -> list[float]:
        """Keep readings along the survey of the sill; the first two are not counted."""
        page = self.phone.page
        page.goto(f"/field/o/door-{size}/point/{SURVEY[0]}", timeout=0)
        links = page.locator("a.place-go")
        places = [links.nth(at).get_attribute("href") or "" for at in range(links.count())]
        took = []
        for turn in range(count + 2):
            page.goto(places[turn % len(places)], timeout=0)
            page.locator("#keep").wait_for(timeout=0)
            page.wait_for_timeout(TYPING)
            took.append(page.evaluate(KEEP, f"13 {turn % 3 + 1}/16"))
        return took[2:]

    def cold(self) -> None:
        """Print the time from a stopped worker to a page."""
        point = f"/field/o/door-500/point/{SURVEY[0]}"
        for words, path in (("the list", "/field"), ("a point, 500 events", point)):
            took = []
            for _ in range(STARTS):
                self.phone.stop_worker()
                took.append(opened(self.phone.page, path))
            spread(f"cold start to {words}", took)

    def lists(self) -> None:
        """Print the time of the pages of an opening while the worker is warm."""
        for words, path in (("the list of openings", "/field"),
                            ("an opening, 500 events", "/field/o/door-500"),
                            ("a step, 500 events", "/field/o/door-500/step/B1")):  # fmt: skip
            opened(self.phone.page, path)
            spread(words, [opened(self.phone.page, path) for _ in range(STARTS)])

    def send(self) -> None:
        """Print how long 1,000 entries take from the outbox to the receipt."""
        records = records_to_send(self.phone)
        page = self.phone.page
        page.goto("/field/status")
        told = self.phone.context.service_workers[-1].evaluate(FILL, records)
        took = told["took"] / 1000
        print(f"  {told['kept']} entries from outbox to receipt {took:8.2f} s, left {told['left']}")


def records_to_send(phone: Device) -> list[Json]:
    """Return 1,000 entries that a phone could have made of a door, each with its hash."""
    book = phone.book()
    opening = "door-50"
    held_now = [r["event"] for r in book["events"] if r["opening"] == opening]
    step = book["procedures"][0]["procedure"]["steps"][0]
    ticked = {"step": step["id"], "task": step["tasks"][0]["id"], "done": True}
    lasts: dict[str, Json] = {}
    for event in sorted(held_now, key=lambda each: each["n"]):
        lasts[event["device"]] = event
    records = []
    for _ in range(ENTRIES):
        draft = {
            "id": uuid7(), "device": book["device"], "opening": opening,
            "seen": {name: event["n"] for name, event in lasts.items()},
            "at": "2026-03-30T10:00:00-05:00", "person": book["person"]["id"],
            "kind": "task.ticked", "body": ticked,
        }  # fmt: skip
        made = new_event(list(lasts.values()), draft)
        lasts[made["device"]] = made
        records.append({"event": made, "hash": digest(made)})
    return records


def opened(page: Page, path: str) -> float:
    """Return the milliseconds from asking for a page to its being all there."""
    page.goto(path, timeout=0, wait_until="domcontentloaded")
    return float(page.evaluate(LOADED))


def sizes(browser_page: Page) -> None:
    """Print the bytes of a first visit, as they come over the line, and of the bundle."""
    session = browser_page.context.new_cdp_session(browser_page)
    session.send("Network.enable")
    got: list[float] = []
    session.on("Network.loadingFinished", lambda said: got.append(said["encodedDataLength"]))
    browser_page.goto("/sign-in", wait_until="networkidle")
    print(f"  first visit, before signing in {sum(got) / 1000:8.1f} KB")
    SignIn(browser_page).as_("tobin")
    browser_page.wait_for_load_state("networkidle")
    session.send("Network.clearBrowserCache")
    got.clear()
    browser_page.goto("/field", wait_until="networkidle")
    all_of_it = f"{sum(got) / 1000:8.1f} KB, in {len(got)} answers"
    print(f"  first page of the field book, all it needs {all_of_it}")
    by_part: dict[str, int] = {}
    for file in build_bundle().files:
        by_part[file.part] = by_part.get(file.part, 0) + len(file.packed("br"))
    other = by_part.pop("words", 0) / 1000
    parts = ", ".join(f"{part} {size / 1000:.1f}" for part, size in sorted(by_part.items()))
    print(f"  bundle in English, in Brotli {sum(by_part.values()) / 1000:8.1f} KB: {parts}")
    print(f"  words of other languages, files by themselves {other:8.1f} KB")


def pair(phone: Device, code: str) -> float:
    """Pair a phone; return the seconds from the code being sent to the list of openings."""
    page = phone.open()
    page.goto("/pair#" + code)
    page.get_by_label("What this phone is called").fill("Bench")
    begun = time.monotonic()
    page.get_by_role("button", name="Pair this phone").click()
    page.locator("a[href^='/field/o/']").first.wait_for(timeout=PATIENCE)
    return time.monotonic() - begun


def pulled(device_: Device, code: str) -> None:
    """Print how long a new phone takes from its code to a full list."""
    took = pair(device_, code)
    page = device_.page
    print(
        f"  paired, bundle and {MANY} openings of {EVENTS} events pulled, list shown {took:8.2f} s"
    )
    spread("list of 50 openings", [opened(page, "/field") for _ in range(STARTS)])
    took_cold = []
    for _ in range(STARTS):
        device_.stop_worker()
        took_cold.append(opened(page, "/field"))
    spread("cold start to a list of 50 openings", took_cold)
    device_.close()


def main(wanted: list[str]) -> None:
    """Print the figures that are wanted, or all."""
    line = Line()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        data.mkdir()
        database = create_app(Settings(data)).state.server.database
        furnish(database)
        database.close()
        office = Office(data, line)
        office.start()
        phone = Device(playwright.chromium, Path(folder) / "phone", line.address)
        bench = Bench(phone, office)
        try:
            if not wanted or "bytes" in wanted:
                browser = launch(playwright)
                sizes(browser.new_context(base_url=line.address).new_page())
                browser.close()
            if not wanted or {"shares", "taps", "cold", "list", "send"} & set(wanted):
                pair(phone, code_of(playwright, office, "tobin"))
                if not wanted or "shares" in wanted:
                    shares.table(phone)
                if not wanted or "list" in wanted:
                    bench.each_speed(bench.lists)
                if not wanted or "cold" in wanted:
                    bench.each_speed(bench.cold)
                if not wanted or "taps" in wanted:
                    bench.each_speed(bench.taps)
                if not wanted or "send" in wanted:
                    bench.send()
            if not wanted or "pull" in wanted:
                code = code_of(playwright, office, "ines")
                pulled(Device(playwright.chromium, Path(folder) / "full", line.address), code)
        finally:
            phone.close()
            office.stop()
            line.close()


if __name__ == "__main__":
    main(sys.argv[1:])
