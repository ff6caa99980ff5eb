"""python -m tests.bench.walk: what a crew is asked on seven doors, at short and full depth.

By the real core, before anything is out: first readings and how many of them are one tap (yes or
no, a choice), ticks, photos, words of the procedure on the screens. Printed, never asserted.
"""

import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from app.core.kinds import Json
from app.core.record import judge
from app.core.record.events import new_event
from app.core.record.state import State
from app.core.where.places import FULL, SHORT
from app.demo import company
from app.main import create_app
from app.settings import Settings
from tests.browser.chromium import launch
from tests.core import doors
from tests.core.sample import changed
from tests.faults.test_photos import camera_file
from tests.phone.card_crew import CardCrew
from tests.phone.device import Device
from tests.phone.fixtures import Site
from tests.phone.line import Line
from tests.phone.office import Office
from tests.phone.test_card_job import shared_phone
from tests.phone.test_shared_phone import PINS, TOBIN
from tests.phone.work import OPENING
from tests.procedures.demo_book import OPENING_DRAWINGS, PROCEDURES, SHIPPED

TAPS = ("yes-no", "choice")


FOUR = OPENING_DRAWINGS[0]
INCH = 25400000


def _narrower(count: int, panel: int, frame: int) -> Json:
    """Return the four-panel door with its first panels only, each `panel` nm wide; the frame too.

    Its tracks, weeps and parts are those that the narrower frame has.
    """
    panels = [{**one, "width": str(panel)} for one in FOUR["panels"][:count]]
    size = dict.fromkeys(("frame_width", "sill_length", "head_length"), str(frame))
    lengths = {**FOUR["lengths"], **size, "opening_width": str(frame + INCH)}
    weeps = [at for at in FOUR["weeps"] if int(at) < frame - 3 * INCH]
    counts = {**FOUR["counts"], "tracks": str(count), "weep_count": str(len(weeps))}
    more = {"panels": panels, "lengths": lengths, "weeps": weeps, "counts": counts}
    return changed(FOUR, more)


DOORS = {
    # jambs 1 1/2 in, overlap 2 in: 47 1/2 + 47 1/2 - 2 + 3 = 96 in
    "1 panel": _narrower(1, 95 * INCH // 2, 101 * INCH // 2),
    "2 panels, 8 ft": _narrower(2, 95 * INCH // 2, 96 * INCH),
    "3 panels, one fixed": OPENING_DRAWINGS[1],
    "4 panels, 15 ft 11 in": FOUR,
    "6 panels, leads meet": OPENING_DRAWINGS[2],
    "8 panels, leads meet, two fixed": {
        **FOUR, **doors.data([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE"),
        "lengths": {**FOUR["lengths"], **doors.lengths(8 * 46 + 4)},
    },
    "lift-and-slide, 8 ft, one fixed": OPENING_DRAWINGS[5],
}  # fmt: skip


def count(drawing: Json, depth: str) -> Json:
    """Return how much is asked on a door."""
    made = next(one for one in SHIPPED.values() if drawing["door"] in one["doors"])
    body = {"procedure": made["id"], "version": made["version"], "drawing": drawing}
    draft = {
        "id": "i", "opening": "o", "device": "office-1", "seen": {},
        "at": "2026-03-02T08:00:00-05:00",
        "person": "p", "kind": "opening.issued", "body": {**body, "depth": depth},
    }  # fmt: skip
    issue = new_event([], draft)
    state = State([issue], PROCEDURES)
    out = {"readings": 0, "one tap": 0, "ticks": 0, "photos": 0, "words": 0}
    for step in state.steps:
        here = 0
        for point in judge.asked_points(state, step):
            panel = state.panel_for(point["id"], step.panel)
            places = 0 if point.get("info") else len(state.places(point["id"], panel))
            here += places
            out["one tap"] += places if point["quantity"] in TAPS else 0
            out["words"] += len(point["title"].split()) * max(places, 1)
        out["readings"] += here
        for task in state.tasks(step):
            out["photos" if task["kind"] == "photo" else "ticks"] += 1
            out["words"] += len(task["text"].split())
        out[step.data["id"]] = int(out.get(step.data["id"], 0)) + here
    return out


AIMS = {"touches": 700, "scrolled": 20 * 844, "new_words": 3000, "waited": 40_000}


def by_cards() -> None:
    """Print what a whole door took a crew that works it by its cards, step by step.

    One phone of its own and two persons, so that each sign-off takes a PIN. touches: of a finger,
    each digit of a PIN, each letter, and the camera's own two among them. words: all that stood
    on all screens; new_words: that did not stand on the screen before; read_first: of texts that
    no screen of this door showed before. waited: milliseconds until the next is painted.
    """
    line = Line()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        data.mkdir()
        database = create_app(Settings(data)).state.server.database
        company.load_company(database)
        database.close()
        office = Office(data, line)
        office.start()
        browser = launch(playwright)
        phone = Device(playwright.chromium, Path(folder) / "phone", line.address)
        site = Site(office, line, phone, Path(folder), browser)
        try:
            phone.open()
            phone.pair(site.code("tobin"))
            shared_phone(site)
            office.stop()
            crew = CardCrew(
                phone.page,
                OPENING,
                PINS[TOBIN],
                in_worker=phone.in_worker,
                camera=camera_file(Path(folder) / "camera.jpg"),
            )
            crew.work()
        finally:
            phone.close()
            browser.close()
            office.stop()
            line.close()
    for step, found in crew.counts.items():
        print(f"{step:6}", vars(found))
    total = vars(crew.total())
    print("all   ", total)
    print("aims  ", {name: f"{total[name]:.0f} of {most}" for name, most in AIMS.items()})


if __name__ == "__main__":
    for name, drawing in DOORS.items():
        for depth in (SHORT, FULL):
            print(f"{name:32} {depth:6}", count(drawing, depth))
    by_cards()
