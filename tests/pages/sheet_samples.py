"""Invented contexts of readings, parts, and pages that say no."""

from typing import Any

from tests.pages.shapes import choice, fact, form, link, page, reading
from tests.pages.step_samples import at_once, photos

Json = dict[str, Any]


def fates() -> list[Json]:
    """A reading of every fate."""
    left = "8 ft from LEFT jamb, you outside"
    return [
        reading(1, left, "36 3/16"),
        reading(
            2,
            left,
            "37 3/16",
            "out",
            fate="struck",
            fate_text="Struck by Ana Example, 2 March, 10:17:",
            words="Burned an inch and forgot it.",
        ),
        reading(
            3, left, "36 5/16", "out", fate="replaced", fate_text="Measured again at 11:40: 36 3/16"
        ),
        reading(
            4,
            left,
            "36 1/4",
            fate="stale",
            fate_text="To be taken again: the sill was ground after it.",
        ),
        reading(
            5,
            left,
            "36,2 mm",
            "info",
            fate="moved",
            fate_text="Moved to opening B by Ana Example, 2 March",
        ),
        reading(
            6,
            "Over the stack",
            "",
            "unreachable",
            value="no reading",
            words="The scaffold stands there.",
        ),
    ]


def reading_context(error: str = "") -> Json:
    """One reading with all that can be done to it."""
    return {
        "page": page("36 3/16 at 8 ft", "Sill, room-side line"),
        "step": link("B1 Substrate and opening", "step.html"),
        "point": link("Sill, room-side line", "point.html"),
        "reading": reading(1, fates()[0]["place"], "36 3/16"),
        "facts": [fact("Note", "laser stood at the stack end")],
        "photos": photos()[0]["taken"],
        "again": "point.html",
        "strike": form("strike", error, words=""),
        "move": {
            "form": form("move", opening="", words=""),
            "openings": [
                choice("b", "B Primary bedroom, 12 Example Lane"),
                choice("c", "C Pool house, 12 Example Lane"),
            ],
        },
    }


def debrief() -> Json:
    """What came of two planted faults, and a reading that was read wrong."""
    found = ["Found: Left jamb plumb OUT.", "Put right in 1 round."]
    missed = ["Not found: no check that was read came out.", "Not put right.",
              "Step D Frame was signed while it stood."]  # fmt: skip
    return {
        "sum": "2 faults were planted: 1 found, 1 put right.",
        "faults": [
            {"number": "1", "title": 'The LEFT jamb leans out 3/16" at the top', "lines": found},
            {"number": "2", "title": 'The head sags 1/4" in the middle', "lines": missed},
        ],
        "misreads": [{"title": "Frame width, low", "text": 'entered 191", the instrument showed '
                      '191 1/16"', "off": '1/16" too little'}],
        "simulated": True,
    }  # fmt: skip


def parts_context() -> Json:
    """The parts list."""

    def part(n: int, what: str, state: str, text: str, **more: Any) -> Json:
        found = {
            "id": f"p{n}",
            "form": form(f"part-{n}", state=state, words="", count=""),
            "mark": f"P-{n}",
            "what": what,
            "count": "1",
            "step": "bars E",
            "state": state,
            "state_text": text,
            "by": "Ana Example, 1 March" if state else "",
            "words": "",
            "choices": [choice(s, s, s == state) for s in ("here", "short", "damaged", "wrong")],
        }
        found.update(more)
        return found

    return {
        "page": page("Parts", "Steps"),
        "sum": "1 of 4 here and right, 2 not",
        "all": at_once("All here: 2", "1 part here, said at once by Dee Sample, 2 March"),
        "parts": [
            part(1, "panel A", "here", "here"),
            part(
                2,
                "panel B",
                "damaged",
                "damaged",
                words="Chip at the lower corner, tape in the photo.",
            ),
            part(3, 'sill, 191"', "short", "short: 0 of 1"),
            part(
                4,
                'shims, 1/16"',
                "",
                "",
                step="",
                count="40",
                form=form(
                    "part-4",
                    "Say how many are here: a whole number such as 38.",
                    state="short",
                    words="",
                    count="some",
                ),
            ),
        ],
    }


KEPT = [{"label": "Reading", "words": "36 3/16"}, {"label": "Note", "words": "called by Ben"}]


def refusals() -> dict[str, tuple[str, Json]]:
    """Pages that say no."""
    on = [link("Back to step B1", "step.html"), link("All openings", "list.html")]
    reasons = [
        link("22 readings are still to be taken", "point.html"),
        link("Step A is not signed"),
    ]
    return {
        "refused": (
            "field/refused.html",
            {
                "kind": "field",
                "page": page("Not signed", "Steps"),
                "title": "This step was not signed off",
                "reasons": reasons,
                "on": on,
                "kept": KEPT,
            },
        ),
        "bug": (
            "field/bug.html",
            {
                "page": page("Something went wrong", where=False),
                "code": "7f3a-19c2",
                "entered": True,
                "on": on,
                "kept": KEPT,
            },
        ),
        "bug-page": (
            "field/bug.html",
            {
                "page": page("Something went wrong", where=False),
                "code": "7f3a-19c2",
                "entered": False,
                "on": on,
                "kept": [],
            },
        ),
        "missing": (
            "field/missing.html",
            {"kind": "office", "page": page("No such page", where=False), "on": on[1:]},
        ),
    }
