"""What the phone's screens cost, as shares of the floor, and a profile by part.

The floor is what the browser itself needs to open an almost empty page from a worker: the fixed
files in floor/, another origin of the same browser, measured in the same run. By the clock: from
the touch until the next screen is painted. Processor: of all the browser's processes, until a
third of a second after (Linux only; 0 elsewhere). Called by phone.py: part "shares".
"""

import json
import statistics
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from itertools import cycle
from pathlib import Path

from playwright.sync_api import Page, Worker

from app.core.kinds import Json
from tests.bench.held import held, processes
from tests.phone.device import Device

FLOOR = Path(__file__).parent / "floor"
WATCH = (FLOOR / "watch.js").read_text("utf-8")
OPENING = "door-500"
CARD = f"/field/o/{OPENING}/next/B1"
STEP = f"/field/o/{OPENING}/step/B1"
TIMES = 9
KEPT = 20
SETTLED = 300  # milliseconds after the paint, counted as the screen's own
QUIET = 2000  # between two: what is sent comes a second after an entry
LOOK = 50
PATIENCE = 60_000
KEEP = ".keep-key"
COLD = 5
QUARTER = 4
TRACED = 5
LEAST = 0.5  # milliseconds: less is not printed

Took = tuple[float, float]  # milliseconds by the clock, and of processor


class _Silent(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@contextmanager
def floor_served() -> Iterator[str]:
    """Serve the floor's files; yields their address."""
    served = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Silent, directory=str(FLOOR)))
    threading.Thread(target=served.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{served.server_address[1]}"
    finally:
        served.shutdown()
        served.server_close()


def processor(mark: str) -> dict[int, int]:
    """Return the nanoseconds that each thread of the browser ran so far; {} beyond Linux."""
    ran: dict[int, int] = {}
    for pid in processes(mark) if sys.platform == "linux" else []:
        for task in Path(f"/proc/{pid}/task").glob("*"):
            with suppress(OSError, ValueError):  # it may be gone
                ran[int(task.name)] = int((task / "schedstat").read_text().split()[0])
    return ran


def ran_since(mark: str, before: dict[int, int]) -> float:
    """Return the milliseconds of processor since then."""
    now = processor(mark)
    return sum(ns - before.get(thread, 0) for thread, ns in now.items()) / 1e6


class Shares:
    """The phone, and what was measured on it."""

    def __init__(self, phone: Device) -> None:
        self.phone = phone
        self.mark = f"--user-data-dir={phone.profile}"
        self.floor: Took = (0, 0)
        phone.context.add_init_script(WATCH)

    @property
    def page(self) -> Page:
        """The page that is looked at."""
        return self.phone.page

    def took(self, how: str, what: str, value: str = "") -> Took:
        """Return what one touch or one opened page took."""
        self.page.wait_for_timeout(QUIET)
        before = processor(self.mark)
        self.page.evaluate("(asked) => bench.begin(...asked)", [how, what, value])
        clock = 0.0
        for _ in range(PATIENCE // LOOK):
            self.page.wait_for_timeout(LOOK)
            with suppress(Exception):  # the page is being loaded
                clock = float(self.page.evaluate("() => bench.took()"))
            if clock:
                break
        self.page.wait_for_timeout(SETTLED)
        return clock, ran_since(self.mark, before)

    def row(self, words: str, work: Callable[[], Took], times: int = TIMES) -> list[Took]:
        """Print a row of the table: the medians, their shares of the floor, and the clock's p95."""
        every = [work() for _ in range(times)]
        clock, spent = (statistics.median(one[k] for one in every) for k in (0, 1))
        p95 = statistics.quantiles([one[0] for one in every], n=20, method="inclusive")[-1]
        of = [
            f"{value:6.0f} ms {value / floor if floor else 0:5.2f}"
            for value, floor in zip((clock, spent), self.floor, strict=True)
        ]
        print(f"  {words:44} clock {of[0]}  processor {of[1]}  p95 {p95:6.0f} ms", flush=True)
        return every

    def worker(self) -> Worker:
        """Return the field book's worker: the floor has one too, on another origin."""
        every = self.phone.context.service_workers
        return [one for one in every if one.url.startswith(self.phone.address)][-1]

    def opened(self, path: str) -> None:
        """Open a page outside the measurement."""
        self.page.goto(path, timeout=PATIENCE)
        self.page.wait_for_function("() => self.bench")

    def measure_floor(self) -> None:
        """Measure the floor, and print it."""
        with floor_served() as address:
            self.opened(address + "/index.html")
            self.page.wait_for_function("() => navigator.serviceWorker.controller !== null")
            numbers = iter(range(1000))
            opening = [self.took("open", f"{address}/{next(numbers)}") for _ in range(2 + TIMES)]
        self.floor = (
            statistics.median(one[0] for one in opening[2:]),
            statistics.median(one[1] for one in opening[2:]),
        )
        clock, spent = self.floor
        said = "the floor: an almost empty page"
        print(f"  {said:44} clock {clock:6.0f} ms       processor {spent:6.0f} ms")

    def places(self) -> list[str]:
        """Return the card of each place of the survey."""
        self.opened(f"/field/o/{OPENING}/point/sill-room")
        links = self.page.locator("a.place-go").all()
        every = [link.get_attribute("href") or "" for link in links]
        return [f"{CARD}?point=sill-room&place={path.rpartition('place=')[2]}" for path in every]

    def keep_one(self, card: str, value: str) -> Took:
        """Keep a reading on its card; until verdict and next card stand there."""
        self.opened(card)
        return self.took("keep", KEEP, value)

    def between(self, start: str, selector: str) -> Took:
        """Go on from a page by one of its links."""
        self.opened(start)
        return self.took("touch", selector)

    def cold(self, path: str) -> Took:
        """Stop the worker, then open a page."""
        self.opened(STEP)
        self.phone.stop_worker()
        return self.took("open", path)

    def put_off(self, here: str, there: str) -> Took:
        """Go from card to card as "Later" does: by a link whose target is swapped in."""
        self.opened(here)
        self.page.evaluate(LATER, there)
        return self.took("touch", "#later-of-the-bench")


LATER = """(path) => document.getElementById("main").insertAdjacentHTML(
  "beforeend", `<a id="later-of-the-bench" href="${path}">Later</a>`)"""
WHERE = f"a.where[href='/field/o/{OPENING}']"


def table(phone: Device) -> None:
    """Print the table of shares, and the profile of a reading kept."""
    shares = Shares(phone)
    shares.measure_floor()
    places, values = shares.places(), cycle(f"13 {n}/16" for n in (1, 3, 5))
    every = cycle(places)

    def kept() -> Took:
        return shares.keep_one(next(every), next(values))

    kept()
    shares.row("keep a reading, next card ready", kept, KEPT)
    shares.row("card to card", lambda: shares.put_off(places[0], places[1]))
    shares.row("card to step", lambda: shares.between(places[0], "a.strip-step"))
    shares.row("step to opening", lambda: shares.between(STEP, WHERE))
    shares.row("cold start to a card", lambda: shares.cold(places[0]), COLD)
    shares.opened(STEP)
    weight = "async (path) => (await (await fetch(path)).arrayBuffer()).byteLength"
    size = shares.page.evaluate(weight, STEP)
    nodes = shares.page.evaluate("() => document.querySelectorAll('*').length")
    print(f"  a step's page {size / 1000:8.1f} KB {nodes:8} nodes")
    print("where a kept reading's time goes, milliseconds of processor (median)")
    profiled(shares, kept)
    with held(shares.mark, QUARTER) as how:
        print(how)
        shares.row("keep a reading, next card ready", kept, KEPT)


# ---- a profile by part

# The core's parts are timed inside the interpreter of a new machine: what is patched goes with it.
INSIDE = """async () => {
  const load = self.loadMicroPython;
  let machine = null;
  self.loadMicroPython = async (...asked) => (machine = await load(...asked));
  vm.drop();
  try { await vm.start(); } finally { self.loadMicroPython = load; }
  machine.runPython(PYTHON);
  self.benchRan = () => {
    machine.runPython("import json\\nspent = json.dumps(SPENT)\\nSPENT.clear()");
    return JSON.parse(machine.globals.get("spent"));
  };
}"""
PYTHON = """
import js
from app.core import entry, phone
from app.core.pages import request
SPENT = {}
INNER = [0]

def timed(name, work):
    def run(*given):
        begun, inner = js.performance.now(), INNER[0]
        INNER[0] = 0
        try:
            return work(*given)
        finally:
            took = js.performance.now() - begun
            SPENT[name] = SPENT.get(name, 0) + took - INNER[0]
            INNER[0] = inner + took
    return run

phone.handle = timed("JSON, canonical bytes", phone.handle)
phone.needs = timed("JSON, canonical bytes", phone.needs)
phone.render = timed("template", phone.render)
phone.answer = timed("core", phone.answer)
request.carried_forward = timed("fold", request.carried_forward)
"""
CATEGORIES = ("toplevel", "devtools.timeline", "disabled-by-default-devtools.timeline")
IN_PAGE = {
    **dict.fromkeys(("UpdateLayoutTree", "Layout", "ParseAuthorStyleSheet"), "page: style, layout"),
    **dict.fromkeys(("PrePaint", "Paint", "Layerize", "Commit", "UpdateLayer"), "paint"),
    **dict.fromkeys(
        ("FunctionCall", "EvaluateScript", "RunMicrotasks", "ParseHTML", "v8.compile"),
        "page: script, parse",
    ),
}


def traced(shares: Shares, work: Callable[[], Took]) -> list[Json]:
    """Return the events of the browser's own trace while some work is done."""
    session = shares.phone.cdp()
    events: list[Json] = []
    done = threading.Event()
    session.on("Tracing.dataCollected", lambda said: events.extend(said["value"]))
    session.on("Tracing.tracingComplete", lambda said: done.set())
    config = {"includedCategories": list(CATEGORIES)}
    session.send("Tracing.start", {"traceConfig": config, "transferMode": "ReportEvents"})
    work()
    session.send("Tracing.end")
    while not done.is_set():
        shares.page.wait_for_timeout(LOOK)
    session.detach()
    return events


def by_part(events: list[Json]) -> dict[str, float]:
    """Return the milliseconds of processor of each part; of nested events each its own."""
    names: dict[tuple[int, int], str] = {}
    for event in events:
        if event["name"] in ("process_name", "thread_name"):
            tid = event["tid"] if event["name"] == "thread_name" else 0
            names[event["pid"], tid] = event["args"]["name"]
    parts: dict[str, float] = {}
    threads: dict[tuple[int, int], list[Json]] = {}
    for event in events:
        if event.get("ph") == "X" and event.get("tdur"):
            threads.setdefault((event["pid"], event["tid"]), []).append(event)
    for (pid, tid), mine in threads.items():
        kind = names.get((pid, 0), "").lower()
        thread = names.get((pid, tid), "")
        for event, own in _own_times(mine):
            part = _part_of(kind, thread, event["name"])
            parts[part] = parts.get(part, 0) + own / 1000
    return parts


def _own_times(events: list[Json]) -> Iterator[tuple[Json, float]]:
    """Give each event of a thread with the microseconds that were not those of one inside it."""
    own = {id(event): float(event["tdur"]) for event in events}
    stack: list[Json] = []
    for event in sorted(events, key=lambda one: (one["ts"], -one["dur"])):
        while stack and stack[-1]["ts"] + stack[-1]["dur"] <= event["ts"]:
            stack.pop()
        if stack:
            own[id(stack[-1])] -= event["tdur"]
        stack.append(event)
    return ((event, max(own[id(event)], 0)) for event in events)


def _part_of(process: str, thread: str, name: str) -> str:
    """Return the part that an event counts for; the network may be a process or a thread."""
    if "network" in (process + thread).lower() or "IOThread" in thread:
        return "network and messages between processes"
    if "browser" in process:
        return "browser: " + ("its own thread" if "Main" in thread else "storage, other threads")
    if "renderer" not in process:
        return process or "other processes"
    if "ServiceWorker" in thread:
        return "worker, the interpreter in it"
    if thread == "CrRendererMain":
        return IN_PAGE.get(name, "page: other")
    return "paint" if "Compositor" in thread or "Raster" in thread else "renderer, other threads"


def profiled(shares: Shares, kept: Callable[[], Took]) -> None:
    """Print where the time of a reading kept goes: by the trace, and inside the interpreter."""
    every = [by_part(traced(shares, kept)) for _ in range(TRACED)]
    for part in sorted({part for one in every for part in one}):
        middle = statistics.median(one.get(part, 0) for one in every)
        if middle >= LEAST:
            print(f"  {part:44} {middle:8.1f}")
    worker = shares.worker()
    worker.evaluate(INSIDE.replace("PYTHON", json.dumps(PYTHON)))
    kept()
    inside: list[dict[str, float]] = []
    for _ in range(TRACED):
        worker.evaluate("() => self.benchRan()")
        kept()
        inside.append(worker.evaluate("() => self.benchRan()"))
    for part in sorted({part for one in inside for part in one}):
        middle = statistics.median(one.get(part, 0) for one in inside)
        print(f"    in the interpreter, by the clock: {part:24} {middle:8.1f}")
