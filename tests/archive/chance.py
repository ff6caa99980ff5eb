"""Logs of invented histories: three phones and an office, every kind of event, every verdict.

They are of the small procedure of the core's tests and go past the store: what phones of a version
wrote, well or badly, must fold in every later one.
"""

import random

from app.core.kinds import Json
from app.core.record.events import new_event
from app.core.record.taken import taking_drafts
from tests.core.sample import DRAWING, PROCEDURES, Site, inches
from tests.properties.test_fold import CLOCKS, PHONES, play

HISTORIES, ACTS = 24, 40
ALL_ACTS = (
    "ready", "read", "read", "strike", "sign", "fix", "move", "send", "send", "office", "concede",
    "return", "gone", "untick", "info", "redraw", "tool", "check", "relay", "paper", "moved",
    "say", "deny", "take", "judge", "anew",
)  # fmt: skip

# Kinds that no act above makes, each with what may stand in it.
OTHERS: list[tuple[str, Json]] = [
    ("how.chosen", {"point": "gap", "panel": "", "how": "down"}),
    ("depth.raised", {"reason": "the inspector asks for all of it"}),
    ("cautions.read", {"step": "A", "cautions": "cd" * 32}),
    ("setup.tied", {"point": "gap", "panel": "", "place": "left", "text": "1", "shift": inches(1)}),
    ("close.settled", {"step": "A", "check": "gap-most", "panel": "", "readings": [], "by": "gauge",
                       "texts": ["1/4"], "verdict": "within"}),
    ("photo.taken", {"step": "A", "task": "seen", "sha256": "ab" * 32, "size": 9, "width": 2,
                     "height": 3}),
    ("part.stated", {"mark": "P1", "state": "short", "words": "one is gone"}),
    ("correction.made", {"step": "A", "check": "gap-most", "panel": "", "words": "Pack 1/16.",
                         "places": ["gap|left"]}),
    ("tasks.ticked", {"step": "A", "tasks": ["seen"], "done": True}),
    ("parts.stated", {"marks": ["P1", "P-A"], "state": "here"}),
    ("query.raised", {"words": "wall is short", "measured": "94", "drawn": "96", "bars": ["A"]}),
    ("concession.missed", {"check": "gap-most", "panel": "", "number": "482109375"}),
    ("visit.begun", {"words": "it sticks", "callback": "c1"}),
    ("reading.taken", {"point": "gap", "panel": "", "place": "left", "quantity": "length",
                       "text": "3/16", "value": inches(3, 16), "how": "plain", "units": "in",
                       "visit": "e1"}),
    ("visit.signed", {"visit": "e1", "words": "turned a roller", "trace": "A", "covers": ["e2"]}),
    ("handover.signed", {"name": "Orla Owner", "consent": True, "strokes": [[1, 2, 3, 4]]}),
    ("sheet.signed", {"step": "A", "decision": "go", "choice": "yes", "covers": [], "name": "Bo",
                      "consent": True, "words": "as told"}),
]  # fmt: skip


def logs() -> list[list[Json]]:
    """Return the logs, always the same."""
    made = [play(_history(random.Random(seed))) for seed in range(HISTORIES)]
    return [*made, _others(), _too_close(), _out_of_reach()]


def _history(chance: random.Random) -> list[tuple[str, str, int, str]]:
    return [
        (chance.choice(PHONES), chance.choice(ALL_ACTS), chance.randrange(8), chance.choice(PHONES))
        for _ in range(ACTS)
    ]


def _others() -> list[Json]:
    """Return a log with every kind that is left, and one of a version that is not there yet."""
    site = Site()
    site.ready_a("phone-a")
    site.name("phone-a")
    for kind, body in OTHERS:
        site.write("phone-a", kind, body, CLOCKS["phone-a"])
    query = next(e for e in site.book("phone-a") if e["kind"] == "query.raised")
    site.send("phone-a", "office-1")
    answer = {"query": query["id"], "answer": "build", "words": "build it out"}
    site.write("office-1", "query.answered", answer)
    reading = next(e for e in site.book("office-1") if e["kind"] == "reading.taken")
    issued = {"revision": 1, "number": "SB-A-1", "digest": "ab" * 32, "code": "NEPAX-BNEPA"}
    site.write("office-1", "record.issued", issued)
    closed = {"result": "cancelled", "reason": "the owner sold it", "with_job": True}
    site.write("office-1", "opening.closed", closed)
    days = {"start": "2026-03-02", "end": "2026-03-04", "promised": "2026-03-09"}
    site.write("office-1", "opening.planned", {"crew": "c1", "crew_name": "Heron", **days})
    site.write("office-1", "opening.reopened", {"reason": "the new owner wants it"})
    sheet = {"visit": "e1", "sheet": 1, "number": "SB-A-1", "digest": "ab" * 32,
             "code": "NEPAX-BNEPA"}  # fmt: skip
    site.write("office-1", "service.issued", sheet)
    site.write("office-1", "entry.set-aside", {"target": reading["id"], "why": "chain"})
    book = site.book("office-1")
    lost = site.read("phone-b", "gap", "left", "1/8", inches(1, 8))
    for draft in taking_drafts(
        lost, book, "office-1", "boss", CLOCKS["phone-b"], ["t1", "t2"], "x", "said"
    ):
        book.append(new_event(book, draft))
    site.write(
        "office-1", "opening.reviewed", {"result": "returned", "step": "A", "words": "again"}
    )
    return site.all()


def _too_close() -> list[Json]:
    """Return a log with a gap that stands on its limit, where the drawing asks for guard bands."""
    site = Site()
    drawing = {**DRAWING, "rule": "guarded"}
    site.write("office-1", "drawing.revised", {"drawing": drawing, "why": "as the maker asks"})
    site.send("office-1", "phone-a")
    site.name("phone-a")
    for place, nm in (("left", inches(1, 4)), ("right", inches(1, 8))):
        site.read_with("phone-a", place, nm)
    return site.all()


def _out_of_reach() -> list[Json]:
    """Return a log in which a place can no longer be reached."""
    site = Site()
    site.ready_a("phone-a")
    body = {"point": "gap", "panel": "", "place": "left", "why": "behind the post"}
    site.write("phone-a", "reading.unreachable", body)
    return site.all()


def procedures() -> dict[str, Json]:
    """Return the procedures that the logs were issued with."""
    return dict(PROCEDURES)
