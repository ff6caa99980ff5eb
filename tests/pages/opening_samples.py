"""Invented contexts of openings and of what their drawings give."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.shapes import STEPS, clock, fact, form, link, note, page

Json = dict[str, Any]


DOOR = "Stacking door, 5 panels, XXXXO seen from outside, leads at the LEFT"


def card(
    letter: str, room: str, state: str, text: str, following: str = "Next: C Sill bedding"
) -> Json:
    """An opening in a list."""
    return {
        "href": "opening.html",
        "letter": letter,
        "room": room,
        "address": "12 Example Lane, Sampleton",
        "door": DOOR,
        "progress": "3 of 11 signed",
        "next": following,
        "go_on": "next.html" if following else "",
        "state": state,
        "state_text": text,
        "clocks": [clock()],
        "plan": "Planned: 23 Nov 2026, crew Heron" if state == "new" else "",
        "practice": "Practice: not a door that is set" if state == "new" else "",
        "picture": drawn.progress(),
        "why": "The owner sold the house." if state == "new" else "",
    }


def groups() -> list[Json]:
    """Openings by where they stand."""
    return [
        {
            "id": "now",
            "title": "Being set",
            "address": "",
            "openings": [
                card("A", "Great room, lake side", "broken", "a sign-off is broken"),
                card("B", "Primary bedroom", "open", "12 of 34 readings in step B1"),
            ],
        },
        {
            "id": "new",
            "title": "Not begun",
            "address": "12 Example Lane, Sampleton",
            "openings": [card("C", "Pool house", "new", "", "")],
        },
        {
            "id": "done",
            "title": "Done",
            "address": "",
            "openings": [card("D", "Kitchen", "done", "accepted by Dee Sample", "")],
        },
    ]


def opening_context() -> Json:
    """The page of one opening."""
    links = {
        name: f"{name}.html"
        for name in ("drawing", "setout", "parts", "queries", "history", "record", "instruments")
    } | {"shop": "shop.html"}
    return {
        "page": page("Opening and steps", "All openings"),
        "door": DOOR,
        "progress": "3 of 11 signed",
        "clocks": [clock(), clock("over")],
        "next": link("Go on: C Sill bedding", "step.html"),
        "so_far": drawn.progress(),
        "out": "Out: B1.",
        "visit": link("Service visit", "visits.html"),
        "debrief": link("Debrief", "practice.html"),
        "outlook": {
            "kind": "within",
            "answer": 'The door can be finished: the worst reveal will taper 1/32".',
            "href": "step.html",
        },
        "notes": [note("Returned by Dee Sample, 3 March, 9:00", "See step C, please.")],
        "steps": STEPS,
        "mate": "qr.svg",
        "depth": form("raise-depth", reason=""),
        "links": links,
        "parts_text": "2 short",
        "queries_text": "1 open",
    }


def shop_context() -> Json:
    """The maker's shop drawing, two pages of it."""
    pages = [
        {"src": f"photo-{n}.jpg", "width": 2200, "height": 1700, "text": f"Page {n} of 2"}
        for n in (1, 2)
    ]
    return {"page": page("Shop drawing", "Opening"), "pages": pages, "drawing": "drawing.html"}


def drawing_context() -> Json:
    """What the drawing gives and what it leaves open."""
    panels = [
        {
            "letter": letter,
            "kind": "O" if letter == "E" else "X",
            "lead": letter == "A",
            "track": n + 1,
            "kind_text": "fixed" if letter == "E" else "slides",
            "width": '40"',
            "height": '94"',
            "mass": "" if n else "212 lb",
        }
        for n, letter in enumerate("ABCDE")
    ]
    return {
        "page": page("Drawing S-101", "Steps"),
        "number": "S-101, revision B",
        "date": "1 February 2026",
        "pictures": [
            {"title": "Seen from outside", "picture": drawn.elevation()},
            {"title": "Tracks from above", "picture": drawn.plan()},
        ],
        "groups": [
            {
                "id": "lengths",
                "title": "Lengths",
                "facts": [
                    fact("Frame, outside width", '191"'),
                    fact("Frame, outside height", '96"'),
                    fact("Bottom of a stile over the sill, panels set", "", 'commonly 3/8"'),
                    fact("Axle distance", ""),
                ],
            }
        ],
        "panels": panels,
        "weeps": ['6"', "4 ft", "8 ft", "12 ft", '15 ft 6"'],
        "shims": ['1/16"', '1/8"', '1/4"'],
        "locks": ["3 ft"],
        "limits": [{"label": "Sill, room-side line, end to end", "words": 'at most 1/8"'}],
        "missing": 2,
        "query": "queries.html",
    }


def setout_context() -> Json:
    """The set-out."""

    def part(name: str, title: str, **more: Any) -> Json:
        found = {
            "id": name,
            "title": title,
            "says": [],
            "heads": [],
            "rows": [],
            "picture": None,
            "missing": [],
            "cautions": [],
            "stages": [],
            "lead": "",
        }
        found.update(more)
        return found

    return {
        "page": page("Layout", "Steps"),
        "job": "setout-job.html",
        "sections": [
            part(
                "order",
                "Order of the panels",
                says=["Set from outside: the farthest track first."],
                heads=["Turn", "Panel", "Why"],
                rows=[
                    ["1", "E", "Fixed, on the outermost track but hooked under D's interlock."],
                    ["2", "D", "Next track; its interlock hooks E."],
                ],
                picture=drawn.plan(),
                stages=[
                    {
                        "id": str(turn),
                        "title": f"{turn}. Panel, from outside",
                        "says": ["Next track; its interlock hooks E."],
                        "picture": picture,
                    }
                    for turn, picture in enumerate(drawn.stages(), 1)
                ],
                cautions=[
                    "A 212 lb panel is four people or cups and a "
                    "machine. Nobody stands on the glass side."
                ],
            ),
            part(
                "anchors",
                "Anchors",
                missing=["Anchors kept clear of a weep, each side"],
                lead="The drawing does not give what this needs. Ask for:",
            ),
            part(
                "bed",
                "Sealant under the sill",
                says=["9 tubes of 10 fl oz with 15 % to spare."],
                heads=["Bead", "Length"],
                rows=[["Room-side line", '15 ft 11"'], ["Cross lines", '31 of 4"']],
            ),
        ],
    }


def setout_parts() -> Json:
    """The set-outs of a job's two openings, and the sum."""
    parts = []
    for letter, room in (("A", "Great room"), ("B", "Study")):
        sections = setout_context()["sections"]
        for section in sections:
            section["id"] = f"{letter}-{section['id']}"
        parts.append(
            {"id": letter, "letter": letter, "room": room, "door": DOOR, "sections": sections}
        )
    total = {
        **setout_context()["sections"][-1],
        "id": "sum",
        "title": "Materials of the whole job",
        "lead": "The sum is not yet whole. Still open:",
        "missing": ["Opening A: the drawing does not give “Sill pan, thickness”. Ask the office."],
    }
    return {"parts": parts, "sums": [total]}


def setout_job_context() -> Json:
    """The set-out of a whole job on the phone."""
    return {
        **setout_parts(),
        "page": page("Layout of the job", "Layout"),
        "address": "12 Example Lane, Sampleton",
    }
