"""An invented completion record."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.office_samples import ANSWERED, table
from tests.pages.opening_samples import DOOR
from tests.pages.shapes import STEPS, checks, fact, note, page
from tests.pages.sheet_samples import fates
from tests.pages.step_samples import owner

Json = dict[str, Any]


def record_context() -> Json:
    """A completion record."""
    facts = [
        fact("Address", "12 Example Lane, Sampleton"),
        fact("Opening", "A, Great room, lake side"),
        fact("Drawing", "S-101, revision B"),
        fact("Procedure", "Stacking door, version 3"),
        fact("Set", "1 March to 5 March 2026"),
        fact("Company", "Example Door Setters"),
        fact("Lead", "Ana Example"),
        fact("Safety marks", ""),
    ]
    steps = [
        {
            "id": row["id"],
            "title": row["title"],
            "state_text": row["state_text"],
            "anchor": row["id"] + "-" + str(number),
            "good": row["state"] != "broken",
            "signed": ["Signed by Ana Example, 2 March, 15:10, signed in on the office's pages"],
            "tasks": [
                {
                    "text": "Slab scanned for tendons",
                    "done": True,
                    "by": "Ana Example, 2 March",
                    "words": "",
                },
                {
                    "text": "Photo: the pan",
                    "done": True,
                    "by": "No photo: Ana Example, 2 March",
                    "words": "Too dark",
                },
            ],
            "decisions": [note("Corrected by others: said by Cal Builder, 2 March", "On Tuesday.")]
            if row["id"] == "B1"
            else [],
            "checks": [dict(c, correct=None, query="") for c in checks()[:3]]
            if row["id"] in ("B1", "C")
            else [],
            "tables": [table(row["id"] + "-room", "Sill, room-side line")]
            if row["id"] in ("B1", "C")
            else [],
            "entered": "Entries came in from 1 March to 2 March 2026.",
            "photos": [
                {
                    "sha256": "ab" * 32,
                    "width": 1600,
                    "height": 1200,
                    "href": "photo.jpg",
                    "text": "Photo: pan before cover",
                    "by": "Ana Example, 2 March",
                }
            ]
            if row["id"] == "B2"
            else [],
        }
        for number, row in enumerate(STEPS)
    ]
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
            "key": "3f2a 91c0 77d4 0b1e 5a6c",
        },
        "downloads": [{"href": "letter.pdf", "text": "PDF, Letter, inches"}],
        "changes": [note("Sill, station 3: was OUT, is within")],
        "care": [{"title": "Cleaning", "says": ["Water and a soft cloth."]}],
        "words": [fact("weep", "a small way out for water")],
        "pictures": [{"title": "From outside, again", "picture": drawn.elevation()}],
        "built": {
            "title": "As drawn and as recorded",
            "heads": ["What", "As drawn", "As recorded"],
            "rows": [["Every drawn anchor is in", "27", "26"]],
        },
        "predicted": {
            "title": "Taper of the gaps, predicted before hanging and measured after",
            "heads": ["Gap", "Predicted", "Measured"],
            "rows": [["LEFT jamb", 'even, give or take 1/16"', '1/64" wider at top']],
            "note": 'The prediction was off by 1/64" at most.',
        },
        "signatures": [dict(owner()["signed"], title="Handover", choice="", later="", received="")],
        "draft": "Not accepted yet: the office has not reviewed it.",
        "door": DOOR,
        "picture_of": drawn.elevation(),
        "facts": facts,
        "result": "13 of 14 checks are within their limits; 1 was "
        "left out of its limit by written concession.",
        "open": [note("Lock keys: one of three was short; ordered.")],
        "instruments": [note("Tape T7, checked good Ana Example, 2 March, 07:05")],
        "concessions": [
            note(
                'Sill, weather-side line, 1/16" over its limit: conceded by Dee Sample, 4 March',
                "Rollers run free, weeps drain.",
            )
        ],
        "taken_in": [],
        "corrected": [
            note(
                "Ana Example, 2 March, 11:20: sill, room-side line",
                "Ground 1/16 off the hump at the meeting stile.",
            )
        ],
        "accepted": "Accepted by Dee Sample, 5 March 2026, 10:00",
        "accepted_words": "",
        "steps": steps,
        "parts": [{"mark": "P-1", "what": "panel A", "count": "1", "state_text": "here"}],
        "queries": [ANSWERED],
        "left": {
            "says": ["Frame 68 °F, panels closed."],
            "heads": ["What", "Where", "Reading"],
            "rows": [
                ["Closing gap", "high", '1/4"'],
                ["Closing gap", "low", '1/4"'],
                ["Force to start", "panel A", "18 lbf"],
            ],
        },
        "struck": fates()[1:4],
        "people": [{"name": "Ana Example", "what": "lead; signed A to F"}],
        "claims": ["It says what was measured, at these places."],
        "cautions": [
            "Glass, height and weight hurt people: have moving "
            "panels adjusted by trained hands only."
        ],
    }
