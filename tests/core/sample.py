"""A small door and a small procedure for the tests of the record."""

from app.core.kinds import Json
from app.core.record.events import new_event
from app.core.record.gate import sign_off_body, verdict_line
from app.core.record.judge import results_of
from app.core.record.judging import judgement
from app.core.record.state import State
from app.core.record.written import JUDGED, judged_by, judgement_of

INCH = 25400000


def inches(n: int, d: int = 1) -> str:
    """Return n/d inches as decimal text of nanometres."""
    return str(n * INCH // d)


def _panel(letter: str, kind: str, track: int, lead: bool) -> Json:
    return {
        "letter": letter, "kind": kind, "track": track, "lead": lead,
        "width": inches(48), "height": inches(94),
    }  # fmt: skip


DRAWING: Json = {
    "number": "T-1",
    "revision": "A",
    "author": "drawing office",
    "date": "2026-01-05",
    "door": "stacking",
    "lock": "left",
    "set_from": "outside",
    "rule": "simple",
    "panels": [
        _panel("A", "X", 1, True),
        _panel("B", "O", 2, False),
    ],
    "lengths": {
        "frame_width": inches(99),
        "frame_height": inches(96),
        "jamb_face": inches(3),
        "interlock_overlap": inches(3),
    },
    "counts": {"tracks": "2"},
    "amounts": {},
    "weeps": [],
    "shims": [inches(1, 16)],
    "parts": [{"mark": "P-A", "what": "panel A", "count": 1, "step": "B"}],
    "limits": {},
}  # fmt: skip


def _point(id: str, title: str) -> Json:
    return {
        "id": id, "title": title, "quantity": "length", "how": "plain", "tool": "tape",
        "where": {"kind": "listed", "items": [
            {"id": "left", "title": "left", "side": "left"},
            {"id": "right", "title": "right", "side": "right"}]},
        "hint": "", "info": False, "closing": False,
    }  # fmt: skip


def _check(id: str, calc: str, point: str, limits: Json, rank: str = "supervisor") -> Json:
    return {
        "id": id, "title": id, "calc": calc, "points": {"readings": point}, "limits": limits,
        "settings": {}, "basis": {"kind": "practice", "text": ""}, "reason": "", "rank": rank,
    }  # fmt: skip


PROCEDURE: Json = {
    "id": "small",
    "version": 1,
    "title": "A small procedure",
    "doors": ["stacking"],
    "digest": "0" * 64,
    "steps": [
        {
            "id": "A", "title": "Look", "about": "", "per": "", "hold": True,
            "cautions": ["Glass cuts."],
            "tasks": [{"id": "seen", "text": "Seen", "kind": "tick"}],
            "decisions": [{"id": "go", "text": "Go?", "name": True, "words": False, "choices": [
                {"id": "yes", "text": "Go", "opens": True},
                {"id": "no", "text": "No go", "opens": False}]}],
            "points": [_point("gap", "Gap")],
            "checks": [_check("gap-most", "each-within", "gap", {"most": {"value": inches(1, 4)}})],
            "adjustments": [{"id": "moved", "text": "It was moved", "stale": ["gap"]}],
        },
        {
            "id": "B", "title": "Set", "about": "", "per": "panel", "hold": True, "cautions": [],
            "tasks": [], "decisions": [],
            "points": [_point("reveal", "Reveal")],
            "checks": [_check(
                "reveal-alike", "alike", "reveal", {"most": {"value": inches(1, 16)}}, "never")],
            "adjustments": [],
        },
    ],
}  # fmt: skip


def version(number: int, step: str, **more: object) -> Json:
    """Return a version of the procedure in which one step differs."""
    out = dict(PROCEDURE)
    out["version"] = number
    out["steps"] = [changed(one, more) if one["id"] == step else one for one in PROCEDURE["steps"]]
    return out


def changed(one: Json, more: Json) -> Json:
    """Return a dict with some values in place of others."""
    out = dict(one)
    out.update(more)
    return out


_TIGHTER = _check("gap-most", "each-within", "gap", {"most": {"value": inches(3, 16)}})
_TASKS = [
    {"id": "seen", "text": "Seen", "kind": "tick"},
    {"id": "swept", "text": "Swept", "kind": "tick"},
    {"id": "scanned", "text": "Slab scanned for tendons", "kind": "tick", "rank": "never"},
    {"id": "labels", "text": "Photo of each label", "kind": "photo"},
]
_WAITING = {"id": "seen", "text": "Seen", "kind": "tick", "after": "gap", "settled": ["gap-most"]}
_RESET = [
    {"id": "moved", "text": "It was moved", "stale": ["gap"]},
    {"id": "reset", "text": "Panels were reset", "stale": ["reveal"]},
]
_NIGHT = {
    "point": "gap", "at": "first", "most": {"value": inches(1, 16)},
    "basis": {"kind": "practice", "text": ""}, "reason": "It shows first.",
}  # fmt: skip
PROCEDURES = {
    "small@1": PROCEDURE,
    "small@2": version(2, "B", tasks=[{"id": "vacuum", "text": "Vacuum", "kind": "tick"}]),
    "small@3": version(3, "A", checks=[_TIGHTER]),
    "small@4": version(4, "A", title="Look closely", cautions=["Glass cuts. Gloves."]),
    "small@6": version(6, "A", tasks=_TASKS, parts=True),
    "small@5": version(5, "A", points=[], checks=[], adjustments=[]),
    "small@7": changed(version(7, "A"), {"nights": [_NIGHT]}),
    "small@8": version(8, "A", tasks=[_WAITING]),
    "small@9": version(9, "A", adjustments=_RESET),
}
LASER = {
    "instrument": "L2", "name": "Laser L2", "sort": "laser", "resolution": inches(1, 32),
    "grade": "", "slope": "300000",
}  # fmt: skip


class Site:
    """Devices that write events for one opening, each into what it holds."""

    def __init__(self) -> None:
        self.books: dict[str, list[Json]] = {}
        self.count = 0
        body = {"procedure": "small", "version": 1, "drawing": DRAWING}
        self.issue = self.write("office-1", "opening.issued", body)

    def book(self, device: str) -> "list[Json]":
        """Return what a device holds; a new one starts with the issue."""
        if device not in self.books:
            self.books[device] = [self.issue] if device != "office-1" else []
        return self.books[device]

    def write(
        self, device: str, kind: str, body: Json, at: str = "2026-03-02T08:00:00+00:00"
    ) -> Json:
        """Write an event on a device, from a page made of all that it holds."""
        book = self.book(device)
        if kind in ("concession.given", "concession.spoken") and "rules" not in body:
            body = changed(self._judged(device, kind, body), body)
        self.count += 1
        seen: dict[str, int] = {}
        for event in book:
            seen[event["device"]] = max(seen.get(event["device"], 0), event["n"])
        event = new_event(
            book,
            {
                "id": "e" + str(self.count), "device": device, "opening": "o1", "seen": seen,
                "at": at, "person": "p-" + device, "kind": kind, "body": body,
            },
        )  # fmt: skip
        book.append(event)
        return event

    def _judged(self, device: str, kind: str, body: Json) -> Json:
        """Return what a concession says of how its check was judged."""
        state = self.state(device)
        for step in state.steps:
            for result in results_of(state, step):
                if (result.check["id"], result.panel) == (body["check"], body["panel"]):
                    line = verdict_line(state, step, result)
                    if kind == "concession.spoken":
                        line = {"check": line["check"], "verdict": line["verdict"]}
                    return judged_by(state, [line])
        return judged_by(state, [])

    def send(self, source: str, target: str) -> None:
        """Let one device pull all that another holds."""
        have = [event["id"] for event in self.book(target)]
        for event in self.book(source):
            if event["id"] not in have:
                self.book(target).append(event)

    def all(self) -> "list[Json]":
        """Return all events of all devices, each once."""
        out: list[Json] = []
        ids: dict[str, bool] = {}
        for device in self.books:
            for event in self.books[device]:
                if event["id"] not in ids:
                    ids[event["id"]] = True
                    out.append(event)
        return out

    def state(self, device: str = "") -> State:
        """Return the state of what a device holds; of everything for ""."""
        return State(self.book(device) if device else self.all(), PROCEDURES)

    def judge(self, reason: str = "") -> None:
        """Let the office judge what waits for it, as at receipt; with a reason, all anew."""
        for event in list(self.book("office-1")):
            ledger = self.state("office-1").ledger
            if event["kind"] in JUDGED and (reason or judgement_of(ledger, event["id"]) is None):
                body = judgement(self.state("office-1"), event, bool(reason))
                if body is not None:
                    body["seal"] = "0" * 64
                    if reason:
                        body["reason"] = reason
                    self.write("office-1", "judgement.given", body)

    def read(
        self, device: str, point: str, place: str, text: str, nm: str, panel: str = ""
    ) -> Json:
        """Take a reading on a device."""
        body = {
            "point": point, "panel": panel, "place": place, "quantity": "length", "text": text,
            "value": nm, "how": "plain", "units": "in",
        }  # fmt: skip
        return self.write(device, "reading.taken", body)

    def read_with(self, device: str, place: str, nm: str, measured: str = "") -> Json:
        """Take a reading of the gap with laser L2; measured: when, where it comes from paper."""
        body = {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "x",
            "value": nm, "how": "plain", "units": "in", "instrument": "L2",
        }  # fmt: skip
        if measured:
            body["measured_at"] = measured
        return self.write(device, "reading.taken", body)

    def name(self, device: str) -> Json:
        """Name laser L2 in the log."""
        return self.write(device, "instrument.named", dict(LASER))

    def check(self, device: str, off: int, relayed: bool = False, at: str = "") -> Json:
        """Check laser L2 by two pegs 10 m apart, off by so many mm: 3 is on its own limit."""
        self.count += 1
        body = changed(
            LASER,
            {
                "occasion": "c" + str(self.count), "way": "two-peg", "texts": [], "units": "mm",
                "values": ["0", "0", "0", str(off * 1000000)], "length": str(10 * 10**9),
                "other": "",
            },
        )  # fmt: skip
        if relayed:
            body["relayed"] = True
        return self.write(device, "instrument.checked", body, at or "2026-03-02T08:00:00+00:00")

    def move(self, version: int) -> Json:
        """Move the opening to another version of its procedure."""
        body = {"procedure": "small", "version": version, "why": "newer"}
        return self.write("office-1", "procedure.moved", body)

    def ready_a(self, device: str) -> None:
        """Do all that step A asks, both readings within."""
        self.write(device, "task.ticked", {"step": "A", "task": "seen", "done": True})
        body = {"step": "A", "decision": "go", "choice": "yes", "name": "Builder"}
        self.write(device, "decision.made", body)
        self.read(device, "gap", "left", "1/8", inches(1, 8))
        self.read(device, "gap", "right", "1/4", inches(1, 4))

    def sign(self, device: str, key: str = "A", at: str = "2026-03-02T08:00:00+00:00") -> Json:
        """Sign a step on a device, whatever its gate says."""
        state = self.state(device)
        step = state.step(key)
        return self.write(device, "step.signed", sign_off_body(state, step), at)
