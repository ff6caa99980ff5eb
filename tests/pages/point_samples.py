"""Invented contexts of a point: readings being taken."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.shapes import LOW, badge, choice, clock, form, link, out_check, page, waiting

Json = dict[str, Any]


def entry(**more: Any) -> Json:
    """The place to be measured now."""
    found = {
        "form": form("entry", value="", by="", tool="", at="", info="", words=""),
        "key": "sill-room||s12",
        "coming": [{"key": "sill-room||s13", "nth": "14 of 17", "title": LOW + ", room-side line"}],
        "place": LOW + ", room-side line",
        "nth": "13 of 17",
        "again": "",
        "shown": {"text": "", "picture": drawn.scale()},
        "label": "Down from the beam",
        "unit": "inches",
        "example": "3/16, 1-3/8, 9.5 mm",
        "is_number": True,
        "is_choice": False,
        "is_words": False,
        "mode": "text",
        "keypad": "inches",
        "focus": True,
        "choices": [],
        "people": [choice("p1", "Ana Example", True), choice("p2", "Ben Sample")],
        "tools": [choice("l2", "laser L2 and rule R1", True), choice("t1", "tape T1")],
    }
    found.update(more)
    return found


def way(must: bool) -> Json:
    """How a level reading is read."""
    return {
        "form": form("way-form"),
        "chosen": "down from the beam",
        "must": must,
        "choices": [
            {
                "value": "down",
                "text": "Down from the beam: a bigger number is LOWER",
                "picture": drawn.reading_way("down"),
                "chosen": not must,
            },
            {
                "value": "up",
                "text": "Up from a mark: a bigger number is HIGHER",
                "picture": drawn.reading_way("up"),
                "chosen": False,
            },
        ],
    }


def places() -> list[Json]:
    """The places of a survey."""
    rows = []
    for n in range(17):
        value = "" if n in (8, 15, 16) else '36 3/16"'
        kind = "out" if n == 7 else "unreachable" if n == 15 else "within" if value else "none"
        rows.append(
            {
                "id": f"s{n}",
                "place": f"{n} ft from LEFT jamb, you outside",
                "value": value,
                "badge": badge(kind),
                "here": n == 8,
                "measure": "point.html",
                "reading": value and "reading.html",
            }
        )
    return rows


def point_context(**more: Any) -> Json:
    """A survey half done."""
    context = {
        "page": page("Sill, room-side line", "B1 Substrate and opening"),
        "step": link("B1 Substrate and opening", "step.html"),
        "title": "Sill, room-side line",
        "panel_title": "",
        "tool": "laser and rule",
        "progress": "12 of 17",
        "info": False,
        "hint": "Hold the rule on the substrate, not on dirt.",
        "stale": "",
        "way": way(False),
        "saved": {
            "text": 'Kept: 36 3/16" at 7 ft from LEFT jamb',
            "badge": badge("within"),
            "says": [],
            "remedies": [],
            "undo": form("undo"),
            "undo_text": 'Undo: strike 36 3/16" at 7 ft',
        },
        "setup": None,
        "clocks": [clock()],
        "compare": None,
        "ask": None,
        "entry": entry(),
        "whole": "13",
        "cannot": "",
        "unreachable": {**form("reach", words=""), "photo": True},
        "places": places(),
        "checks": [out_check()],
        "waiting": waiting(),
        "next": None,
    }
    context.update(more)
    return context
