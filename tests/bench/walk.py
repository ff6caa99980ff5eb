"""python -m tests.bench.walk: what a crew is asked on six doors, at short and full depth.

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
from tests.procedures.demo_book import KEY, OPENING_DRAWINGS, PROCEDURE

TAPS = ("yes-no", "choice")


def _cut(drawing: Json, count: int) -> Json:
    """Return a drawing with the first panels only; its frame as narrow as they need."""
    panels = drawing["panels"][:count]
    gone = sum(int(panel["width"]) for panel in drawing["panels"][count:])
    width = str(int(drawing["lengths"]["frame_width"]) - gone)
    lengths = {**drawing["lengths"], "frame_width": width}
    return changed(drawing, {"panels": panels, "lengths": lengths})


FOUR = OPENING_DRAWINGS[0]
DOORS = {
    "1 panel": _cut(FOUR, 1),
    "2 panels, 8 ft": _cut(FOUR, 2),
    "3 panels, one fixed": OPENING_DRAWINGS[1],
    "4 panels, 15 ft 11 in": FOUR,
    "6 panels, leads meet": OPENING_DRAWINGS[2],
    "8 panels, leads meet, two fixed": {
        **FOUR, **doors.data([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE"),
        "lengths": {**FOUR["lengths"], **doors.lengths(8 * 46 + 4)},
    },
}  # fmt: skip


def count(drawing: Json, depth: str) -> Json:
    """Return how much is asked on a door."""
    body = {"procedure": PROCEDURE["id"], "version": PROCEDURE["version"], "drawing": drawing}
    draft = {
        "id": "i", "opening": "o", "device": "office-1", "seen": {},
        "at": "2026-03-02T08:00:00-05:00",
        "person": "p", "kind": "opening.issued", "body": {**body, "depth": depth},
    }  # fmt: skip
    issue = new_event([], draft)
    state = State([issue], {KEY: PROCEDURE})
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
        for task in step.data["tasks"]:
            out["photos" if task["kind"] == "photo" else "ticks"] += 1
            out["words"] += len(task["text"].split())
        out[step.data["id"]] = int(out.get(step.data["id"], 0)) + here
    return out


if __name__ == "__main__":
    for name, drawing in DOORS.items():
        for depth in (SHORT, FULL):
            print(f"{name:32} {depth:6}", count(drawing, depth))
