"""Invented contexts of the office: queries, review, acceptance, signing in."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.opening_samples import DOOR
from tests.pages.shapes import STEPS, check, choice, form, link, note, out_check, page, reading
from tests.pages.sheet_samples import fates

Json = dict[str, Any]


def query(state: str = "open", **more: Any) -> Json:
    """A query."""
    found = {
        "id": f"q-{state}",
        "open": state == "open",
        "state_text": "open since 2 March" if state == "open" else "answered",
        "what": "The header hangs lower than drawn at the stack end.",
        "measured": '95 5/8"',
        "drawn": '96 1/4"',
        "bars": "bars C, D",
        "by": "Ana Example, 2 March, 9:15",
        "answer": None,
        "form": None,
        "answers": [],
    }
    found.update(more)
    return found


ANSWERED = query(
    "answered",
    answer={
        "text": "Build as is: Dee Sample, 3 March",
        "words": "The frame is 95 1/4 high, it goes in.",
    },
)


ASKED = query(
    revise="drawing.html",
    form=form("answer", answer="", words=""),
    answers=[
        choice("revised", "Revised drawing"),
        choice("as-is", "Build as is"),
        choice("wait", "Wait"),
    ],
)


def queries_context() -> Json:
    """Queries, and the form for a new one."""
    steps = [
        choice(row["id"], f"{row['id']} {row['title']}", row["id"] == "C") for row in STEPS[:6]
    ]
    return {
        "page": page("Queries", "Steps"),
        "queries": [query(), ANSWERED],
        "next": {"href": "card.html", "text": "Go on: D Frame squaring"},
        "ask": {"form": form("query", what="", measured="", drawn=""), "steps": steps},
    }


def table(name: str, title: str) -> Json:
    """Readings of one point."""
    rows = [reading(n, f"{n} ft from LEFT jamb, you outside", f"36 {n % 4}/16") for n in range(14)]
    return {"id": name, "title": title, "panel": "", "readings": rows}


DENY = {
    "form": form("deny", reason=""),
    "given": "The code was given by Dee Sample, 2 March, 14:05.",
}


def review_context() -> Json:
    """An opening that the office reviews."""

    def reviewed(row: Json, *found: Json, **more: Any) -> Json:
        step = {
            "id": row["id"],
            "row": row,
            "signed": "",
            "tasks": [],
            "decisions": [],
            "tables": [],
            "photos": [],
            "checks": list(found),
            "waiting": [],
            "within": "3 of 4 checks within",
        }
        step.update(more)
        return step

    concede = {
        "form": form("concede", reason="", answer=""),
        "needs_answer": True,
        "rank": "Only with the written answer of whoever made the drawing.",
    }
    return {
        "page": page("Review", "All openings"),
        "door": DOOR,
        "result": "2 of 14 checks are out; 1 conceded.",
        "picture_of": drawn.elevation(),
        "here": {"state": "returned", "state_text": "returned to the crew"},
        "notes": [],
        "record": "record.html",
        "field": "opening.html",
        "voice": "voice.html",
        "job": {"href": "job.html", "title": "Example Lane"},
        "closing": {
            "form": form("closing", reason=""),
            "job": "",
            "dangerous": True,
            "title": "Cancel this opening",
            "about": "The crew can enter nothing more and reads why.",
            "button": "Cancel it",
        },
        "drawing": "drawing.html",
        "template": "template.html",
        "shop": "shop.html",
        "history": "history.html",
        "entries": "entries.html",
        "practice": "practice.html",
        "steps": [
            reviewed(
                STEPS[0],
                check("parts", "Panel diagonals", "within"),
                signed=STEPS[0]["state_text"],
                tasks=[
                    {
                        "text": "Hand confirmed from outside",
                        "done": True,
                        "by": "Ana Example, 1 March",
                        "words": "",
                    },
                    {"text": "Crew and lift plan agreed", "done": False, "by": "", "words": ""},
                ],
            ),
            reviewed(
                STEPS[1],
                tables=[table("room", "Sill, room-side line")],
                photos=[
                    {
                        "sha256": "ab" * 32,
                        "width": 1600,
                        "height": 1200,
                        "href": "",
                        "where": "Photo still on the phone: it has not reached the office",
                        "text": "Photo of the pan before it is hidden",
                        "by": "Ana Example, 2 March",
                    }
                ],
                decisions=[
                    note("Corrected by others: said by Cal Builder, 2 March", "On Tuesday.")
                ],
            ),
        ],
        "queries": [ASKED],
        "struck": fates()[1:2],
        "count": "2 things to look at",
        "next": link("Next review: C Kitchen", "review.html"),
        "exceptions": [
            {
                "id": "sign-B1",
                "number": "",
                "kind": "sign",
                "step": "B1",
                "title": "Sign-off broken or disputed",
                "href": "step.html",
                "badge": None,
                "says": ["Entries came that it does not cover: 1."],
                "limit": "",
                "done": [],
                "concede": None,
                "more": None,
                "deny": None,
                "return_href": "?return=B1#return",
            },
            {
                **dict(out_check(), concede=concede, deny=DENY, href="step.html", step="B1"),
                "number": "1",
                "kind": "check",
                "more": {"text": "2 more photos", "done": [note("A, Photo: sill: none")]},
                "return_href": "?return=B1&again=sill-room#return",
            },
        ],
        "flags": [
            {
                "id": "A",
                "lines": ["A, Width: judged “within” by the rules of its day."],
                "would": "Judged anew, this sign-off is disputed.",
                "form": form("judge-A", reason=""),
            },
        ],
        "accept": None,
        "bars": [link("Step B1: sign-off broken", "#step-B1")],
        "send_back": {
            "form": form("return", step="", words=""),
            "open": False,
            "steps": [choice("B1", "B1 Substrate and opening")],
            "step": choice("B1", "B1 Substrate and opening"),
            "points": [
                choice("again.sill-room", "Sill, room-side line", True),
                choice("again.opening-widths", "Widths"),
            ],
        },
    }


def accepting_context() -> Json:
    """An opening that can be accepted."""
    context = review_context()
    context.update(
        {
            "bars": [],
            "exceptions": [],
            "count": "Nothing is out, conceded, missing or broken.",
            "flags": [],
            "queries": [],
            "accept": {
                "form": form("accept", confirm=""),
                "name": "Dee Sample",
                "statement": "Every step is signed, what is out is conceded in "
                "writing, and the record may be made.",
            },
        }
    )
    return context


def signin_context(error: str = "") -> Json:
    """Signing in."""
    where = page("Sign in", where=False)
    where.update({"person": "", "nav": [], "sign_out": None})
    return {
        "page": where,
        "form": form("sign-in", error, name="ana" if error else ""),
        "demo": ["Installer: ana", "Supervisor: dee"],
    }
