"""Invented contexts of service visits, in every state they can be in."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.shapes import badge, choice, form, link, note, page

Json = dict[str, Any]


def visit_samples() -> dict[str, tuple[str, Json]]:
    """The pages of service visits."""
    return {
        "visits": ("field/visits.html", visits_context()),
        "visits-none": (
            "field/visits.html",
            {**visits_context(), "visits": [], "begin": None, "complaints": []},
        ),
        "visit": ("field/visit.html", visit_context()),
        "visit-plan": ("field/visit.html", {**visit_context(), "plan": plan(), "measure": None}),
        "visit-sign": (
            "field/visit.html",
            {**visit_context(), "measure": None, "sign": signing("Say what was found.")},
        ),
        "visit-signed": (
            "field/visit.html",
            {
                **visit_context(),
                "measure": None,
                "signed": {
                    "text": "Signed by Ana Example, 2 May 2028, 14:05",
                    "words": "Turned the right roller of A up.",
                    "trace": "F Roller height",
                },
            },
        ),
    }


def visits_context() -> Json:
    """Two visits, and the form of a third."""
    rows = [
        {"href": "visit.html", "words": "It sticks at the lock", "state": state, "state_text": text}
        for state, text in (("signed", "signed: Ana Example, 2 May 2028"), ("open", "begun: Bo"))
    ]
    return {
        "page": page("Service visits", "Opening"),
        "visits": rows,
        "begin": form("begin", "Say why you were called.", words=""),
        "complaints": [choice("c1", "It rattles in the wind", True)],
    }


def move(number: int, moved: bool) -> Json:
    """A place as it was left and as it was found."""
    return {
        "number": str(number),
        "point": "As left: closing gap",
        "place": "LEFT jamb, you outside: high",
        "before": '3/16"',
        "found": '5/16"',
        "change": '+1/8"',
        "now": '3/16"' if moved else "",
        "first": moved,
        "moved": moved,
    }


def visit_context() -> Json:
    """A visit in the middle of its measuring."""
    return {
        "page": page("Service visit", "Service visits"),
        "why": note("Begun by Ana Example, 2 May 2028, 14:05", "It sticks at the lock"),
        "measure": link("Measure: 3 places still to measure", "next.html"),
        "moves": [move(1, True)],
        "others": [move(2, False)],
        "picture_of": drawn.elevation(),
        "trend": "1 place has moved since the handover.",
        "plan": None,
        "out": [{"text": "F Gaps even", "badge": badge("out"), "says": ["The gap tapers 1/8."]}],
        "photos": {"taken": [], "form": form("photo"), "none": False},
        "signed": None,
        "sign": None,
    }


def plan() -> Json:
    """What the door model says to turn."""
    return {
        "title": "Gaps even, top to bottom",
        "badge": badge("out"),
        "picture": drawn.elevation(),
        "remedies": ["Panel A: right roller up by 3/64."],
        "card": "next.html",
    }


def signing(error: str = "") -> Json:
    """The form that signs a visit."""
    return {
        "form": form("sign", error, words="", trace="", confirm=""),
        "statement": "I measured what stands here, and did what I wrote down.",
        "traces": [choice("F", "F Roller height"), choice("house", "The house has moved", True)],
        "likely": "Out now: checks of step F.",
        "name": "Ana Example",
        "shared": True,
        "pin": True,
    }
