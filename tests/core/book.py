"""A book with two openings of the small door, asked as a browser would ask it."""

from app.core.entry import answer
from app.core.kinds import Any, Json
from app.core.record.events import heads_of, new_event
from tests.core.sample import DRAWING, PROCEDURES, Site

PERSON = {"id": "p1", "name": "Ada Example", "units": "in", "lang": "en"}


class Book:
    """What a device holds, and what comes of asking it."""

    def __init__(self, units: str = "in") -> None:
        self.site = Site()
        self.person = dict(PERSON)
        self.person["units"] = units
        self.events: dict[str, list[Json]] = {}
        for id in ("o1", "o2"):
            site = Site()
            issue = dict(site.issue)
            issue["id"] = "issue-" + id
            issue["opening"] = id
            self.events[id] = [issue]
        self.now = "2026-03-02T14:05:00-05:00"
        self.asked = 0
        self.lent: Json = {}  # whose hands the device is in: see app/core/pages/owner.py
        self.instruments: list[Json] = []  # the company's list, as the office's register has it

    def request(self, method: str, path: str, form: "Json | None" = None) -> Json:
        """Return a request as the server or the worker makes it."""
        self.asked += 1
        path, _mark, rest = path.partition("?")
        query = {}
        for pair in rest.split("&"):
            name, _equals, value = pair.partition("=")
            if name:
                query[name] = value
        count = str(self.asked)
        base = "01900000-0000-7000-8000-" + ("0" * (12 - len(count))) + count
        return {
            "method": method, "path": path, "query": query, "form": form or {},
            "now": self.now, "ids": [base], "device": "web-1",
            "lent": self.lent, "person": self.person,
            "people": {"p1": "Ada Example", "p2": "Bo Example"},
            "book": {
                "openings": [
                    {"id": id, "job": "j1", "job_title": "Job one", "address": "1 Example Lane",
                     "homeowner": "", "letter": letter, "room": room}
                    for id, letter, room in (("o1", "A", "Kitchen"), ("o2", "B", "Porch"))
                ],
                "events": self.events, "procedures": PROCEDURES,
                "instruments": self.instruments,
            },
        }  # fmt: skip

    def move(self, version: int) -> None:
        """Let the office move the first opening to another version of its procedure."""
        body = {"procedure": "small", "version": version, "why": "newer"}
        self.write_at_office("moved-" + str(version), "procedure.moved", body)

    def write_at_office(
        self, id: str, kind: str, body: Json, at: str = "2026-03-02T07:00:00-05:00"
    ) -> None:
        """Let the office write an event of the first opening."""
        events = self.events["o1"]
        draft = {
            "id": id, "device": "office-1", "opening": "o1", "seen": heads_of(events),
            "at": at, "person": "p2", "kind": kind, "body": body,
        }  # fmt: skip
        events.append(new_event(events, draft))

    def get(self, path: str) -> Json:
        """Ask for a page."""
        return answer(self.request("GET", path))

    def send(self, path: str, form: Json) -> Json:
        """Send a form as it is, and keep the events that come of it."""
        got = answer(self.request("POST", path, form))
        for event in got["events"]:
            self.events[event["opening"]].append(event)
        return got

    def fill(self, path: str, find: "Any", **typed: str) -> Json:
        """Open a page, find a form in its context, fill it in and send it where it says."""
        form = find(self.get(path)["context"])
        return self.send(form["action"], filled(form, **typed))


def filled(form: Json, **typed: str) -> Json:
    """Return a form's fields as a browser sends them."""
    out = {field["name"]: field["value"] for field in form["hidden"]}
    out.update(typed)
    return out


def task(context: Json) -> Json:
    """Return the form of the first task."""
    found: Json = context["tasks"][0]["form"]
    return found


def decision(context: Json) -> Json:
    """Return the form of the first decision."""
    found: Json = context["decisions"][0]["form"]
    return found


def entry(context: Json) -> Json:
    """Return the form for a reading."""
    found: Json = context["entry"]["form"]
    return found


def signoff(context: Json) -> Json:
    """Return the form that signs a step off."""
    found: Json = context["signoff"]["form"]
    return found


STEP = "/field/o/o1/step/A"
WHOLE = STEP + "?show=all"
GAP = "/field/o/o1/point/gap"
assert DRAWING
