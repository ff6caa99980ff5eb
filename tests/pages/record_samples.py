"""An invented completion record."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.office_samples import ANSWERED
from tests.pages.shapes import STEPS, badge, fact, note, page
from tests.pages.step_samples import owner

Json = dict[str, Any]


MATRIX = {
    "tables": [
        {
            "name": "Sill, room-side line (laser)",
            "heads": ["LEFT", "4 ft", "RIGHT"],
            "rows": [
                {
                    "title": "Sill, room-side line (laser)",
                    "cells": [
                        {"text": '13"', "typed": "13", "note": 0},
                        {"text": '13 1/16"', "typed": "13-1/16", "note": 1},
                        {"text": "not reached", "typed": "", "note": 2},
                    ],
                }
            ],
        }
    ],
    "single": [{"title": "Load on header today", "text": "closed", "typed": "x", "note": 0}],
    "notes": [note("clock in doubt"), note("", "A post is in the way")],
    "earlier": [
        {
            "title": "Opening, clear width",
            "place": "low",
            "text": "16' 0\"",
            "typed": "192",
            "who": "Ana Example",
            "at": "2 March, 10:00",
            "why": "measured again by Ana Example, 2 March, 10:20",
            "words": "Tape slipped",
        }
    ],
    "who": "Read by Ana Example, 2 March, 10:00 to 10:40.",
}
NO_READINGS: Json = {"tables": [], "single": [], "notes": [], "earlier": [], "who": ""}


def section(row: Json, number: int) -> Json:
    """A step of the appendix."""
    photo = {
        "sha256": "ab" * 32,
        "short": "abababababab",
        "width": 1600,
        "height": 1200,
        "href": "photo.jpg",
        "text": "B2 · Photo: pan before cover",
        "by": "Ana Example, 2 March",
        "late": "added after the sign-off",
    }
    check = {
        "title": "Sill level",
        "badge": badge("out"),
        "found": '3/16"',
        "says": ["High at 4 ft."],
        "limit": 'at most 1/8"',
        "basis": "company",
        "done": [note("Ground there")],
    }
    return {
        "id": row["id"],
        "title": row["title"],
        "anchor": row["id"] + "-" + str(number),
        "good": row["state"] != "broken",
        "signed": ["signed by Ana Example, 2 March, 15:10; signed in under their own password"],
        "tasks": [
            {"text": "Slab scanned for tendons", "done": True, "by": "", "words": ""},
            {
                "text": "Photo: the pan",
                "done": False,
                "by": "no photo: Ana Example, 2 March",
                "words": "Too dark",
            },
        ],
        "decisions": [note("Corrected by others: said by Cal Builder, 2 March", "On Tuesday.")]
        if row["id"] == "B1"
        else [],
        "checks": [check] if row["id"] in ("B1", "C") else [],
        "profiles": [{"title": "Sill", "picture": drawn.elevation()}] if row["id"] == "C" else [],
        "readings": MATRIX if row["id"] in ("B1", "C") else NO_READINGS,
        "photos": [photo] if row["id"] == "B2" else [],
    }


def record_context() -> Json:
    """A completion record."""
    return {
        "page": page("Completion record SB-A-0007", "Steps"),
        "number": "SB-A-0007",
        "running": "A · Great room · 12 Example Lane, Sampleton",
        "stamp": {
            "made": "Issued 5 March 2026, 10:05",
            "digest": "9f2c" * 16,
            "revision": "Revision 2",
            "standing": "As issued; nothing came after it.",
            "good": True,
            "code": "7EKR1-5E896",
            "verify": "/verify/7EKR1-5E896",
            "qr": "/verify/7EKR1-5E896/qr.svg",
            "address": "https://book.example.org/verify/7EKR1-5E896",
            "by_file": "",
            "practice": "",
            "key": "3f2a 91c0 77d4 0b1e 5a6c",
        },
        "company": {
            "company": "Example Door Setters",
            "telephone": "555-0100",
            "dial": "5550100",
            "address": "3 Example Lane, Sampleton",
            "logo": "/company/logo.png",
        },
        "hand_on": "",
        "complain": None,
        "switches": [
            {"href": "?lang=en", "text": "English", "lang": "en", "here": True},
            {"href": "?lang=es", "text": "Español", "lang": "es", "here": False},
        ],
        "download": {"href": "letter.pdf", "text": "PDF to keep, Letter"},
        "downloads": [{"href": "a4.pdf", "text": "PDF to keep, A4"}],
        "changes": [note("Sill, station 3: was OUT, is within")],
        "front": [fact("Home", "12 Example Lane, Sampleton"), fact("Door", "A · Great room")],
        "matters": {
            "heads": ["What matters", "Worst measured", "Allowed", "Verdict"],
            "rows": [
                {
                    "title": "Sill level",
                    "worst": '1/16"',
                    "allowed": '1/8" or less',
                    "badge": badge("within"),
                },
            ],
        },
        "exceptions": [
            {
                "label": "Left as it is",
                "text": "Sill, weather-side line (step C)",
                "lines": [
                    {"label": "Measured", "words": '3/16"', "typed": False},
                    {"label": "Why", "words": "Rollers run free, weeps drain.", "typed": True},
                ],
            }
        ],
        "care": [{"title": "Cleaning", "says": ["Water and a soft cloth."]}],
        "words": [fact("weep", "a small way out for water")],
        "pictures": [{"title": "From outside, again", "picture": drawn.elevation()}],
        "compared": [
            {
                "title": "As drawn and as recorded",
                "heads": ["What", "As drawn", "As recorded"],
                "rows": [["Every drawn anchor is in", "27", "26"]],
                "note": "",
            },
            {
                "title": "Taper of the gaps, predicted before hanging and measured after",
                "heads": ["Gap", "Predicted", "Measured"],
                "rows": [["LEFT jamb", 'even, give or take 1/16"', '1/64" wider at top']],
                "note": 'The prediction was off by 1/64" at most.',
            },
            {
                "title": "Read again after a night, before work went on",
                "heads": ["Place", "When signed", "Read again"],
                "rows": [["Set-back of the sill, 2'", '1/2"', '1/2" on 3 Mar 2026: it stands']],
                "note": "",
            },
        ],
        "signatures": [dict(owner()["signed"], title="Handover", choice="", later="", received="")],
        "draft": "Not accepted yet: the office has not reviewed it.",
        "picture_of": drawn.elevation(),
        "facts": [fact("Drawing", "S-101, revision B"), fact("Depth", "short")],
        "legend": ["Positions are counted from the LEFT end, seen from outside."],
        "result": "13 of 14 checks are within their limits. 1 was left as it is.",
        "instruments": [note("Tape T7, checked good Ana Example, 2 March, 07:05")],
        "taken_in": [],
        "corrected": [
            note(
                "Ana Example, 2 March, 11:20: sill, room-side line",
                "Ground 1/16 off the hump at the meeting stile.",
            )
        ],
        "sections": [section(row, number) for number, row in enumerate(STEPS)],
        "parts": [{"mark": "P-1", "what": "panel A", "count": "1", "state_text": "here"}],
        "queries": [ANSWERED],
        "left": {"says": ["Frame 68 °F, panels closed."], **MATRIX},
        "struck": [
            {
                "place": "Opening, clear width: high",
                "text": "16' 1\"",
                "typed": "193",
                "why": "struck by Ana Example, 2 March, 10:30",
                "words": "Figures turned round",
                "by": "Ana Example, 2 March, 10:10",
            }
        ],
        "people": [{"name": "Ana Example", "what": "lead; signed A to F"}],
        "unasked": [fact("A", "Panel diagonal")],
        "log": ["A: entered 1 March to 2 March 2026"],
        "claims": ["It says what was measured, at these places."],
        "cautions": [
            "Glass, height and weight hurt people: have moving "
            "panels adjusted by trained hands only."
        ],
    }
