"""python -m tests.bench.walk: what a crew is asked on seven doors, at short and full depth.

By the real core, before anything is out: first readings and how many of them are one tap (yes or
no, a choice), ticks, photos, words of the procedure on the screens. Printed, never asserted.
"""

from app.core.kinds import Json
from app.core.record import judge
from app.core.record.events import new_event
from app.core.record.state import State
from app.core.where.places import FULL, SHORT
from tests.core import doors
from tests.core.sample import changed
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


if __name__ == "__main__":
    for name, drawing in DOORS.items():
        for depth in (SHORT, FULL):
            print(f"{name:32} {depth:6}", count(drawing, depth))
