"""Invented pieces that the samples are made of: forms, links, verdicts, readings, checks, steps."""

from typing import Any

from tests.pages import sample_pictures as drawn

Json = dict[str, Any]


RULE = "Simple acceptance: a reading on its limit is within."


PRACTICE = "company limit, no published standard"


LOW = "8 ft from LEFT jamb, you outside"


def form(form_id: str, error: str = "", **typed: str) -> Json:
    """A form of the page; typed has every field that the template shows."""
    hidden = [{"name": "id", "value": "0195-" + form_id}, {"name": "seen", "value": '{"web-1":12}'}]
    return {"id": form_id, "action": "", "hidden": hidden, "error": error, "typed": typed}


def page(title: str, back: str = "", where: bool = True, notices: list[Json] | None = None) -> Json:
    """What every page is given."""
    opening = {
        "letter": "A",
        "room": "Great room, lake side",
        "address": "12 Example Lane, Sampleton",
        "href": "opening.html",
        "back": link(back, "list.html") if back else None,
    }
    return {
        "lang": "en",
        "title": title + (" · A Great room" if where else ""),
        "where": opening if where else None,
        "person": "Ana Example",
        "nav": [
            {"href": "list.html", "text": "Openings", "here": not where},
            {"href": "help.html", "text": "Help", "here": False},
        ],
        "sign_out": form("sign-out"),
        "notices": notices or [],
        "practice": "",
    }


def link(text: str, href: str = "") -> Json:
    """A link."""
    return {"href": href, "text": text}


def choice(value: str, text: str, chosen: bool = False) -> Json:
    """One of several."""
    return {"value": value, "text": text, "chosen": chosen}


def badge(kind: str = "none") -> Json:
    """A verdict: a word and its picture."""
    words = {"close": "too close to call", "missing": "not measured", "none": ""}
    words["unreachable"], words["info"] = "could not be reached", "for information"
    return {"kind": kind, "word": words.get(kind, kind)}


def note(text: str, words: str = "") -> Json:
    """A remark, with what somebody wrote."""
    return {"text": text, "words": words}


def fact(label: str, words: str = "", hint: str = "") -> Json:
    """One thing that the drawing gives, or does not."""
    return {"label": label, "words": words, "given": bool(words), "hint": hint}


def reading(number: int, place: str, typed: str, kind: str = "within", **more: Any) -> Json:
    """One reading."""
    row = {
        "id": f"r{number}",
        "href": "reading.html",
        "place": place,
        "typed": typed,
        "value": typed + '"',
        "at": "2 March, 10:15",
        "who": "Ana Example; typed by Ben Sample",
        "tool": "laser L2 and rule R1",
        "badge": badge(kind),
        "fate": "",
        "fate_text": "",
        "words": "",
        "received": "came in 3 days later",
    }
    row.update(more)
    return row


def check(name: str, title: str, kind: str, **more: Any) -> Json:
    """One check."""
    found = {
        "id": name,
        "title": title,
        "badge": badge(kind),
        "picture": drawn.vial({"out": 1600, "within": -400}[kind])
        if kind in ("out", "within")
        else None,
        "says": [],
        "remedies": [],
        "limit": 'at most 1/8" from end to end',
        "basis": PRACTICE,
        "reason": "beyond this the rollers bind and the lock misses",
        "rule": RULE,
        "asks": [],
        "done": [],
        "correct": None,
        "planned": None,
        "query": "",
        "begun": True,
        "many": False,
        "ways": [],
        "settle": None,
        "voice": None,
        "profile": None,
    }
    found.update(more)
    return found


def step_row(step_id: str, title: str, state: str, text: str, **more: Any) -> Json:
    """One step of the list."""
    row = {"id": step_id, "title": title, "href": "step.html", "state": state, "state_text": text}
    row.update({"hold": True, "next": False, "why": [], "notes": []})
    row.update(more)
    return row


STEPS = [
    step_row("A", "Delivery check", "signed", "signed by Ana Example, 1 March, 8:40"),
    step_row(
        "B1",
        "Substrate and opening",
        "broken",
        "sign-off broken",
        why=["The sill was measured again at 8 ft after it was signed, and is out."],
    ),
    step_row(
        "B2",
        "Pan and flashing",
        "disputed",
        "sign-off disputed",
        why=["It was signed before the flood had stood for 15 minutes."],
    ),
    step_row(
        "C",
        "Sill bedding",
        "open",
        "12 of 34 readings, 3 of 9 tasks",
        next=True,
        notes=[
            note(
                "Sent back by Dee Sample, 2 March", "Board the sill over before anyone walks on it."
            )
        ],
    ),
    step_row("D", "Frame squaring", "ready", "ready to be signed"),
    step_row("E", "Panel setting", "barred", "barred by C and D"),
    step_row("F", "Roller height", "barred", "barred by E"),
    step_row("G", "Locks and fixed panels", "barred", "barred by F"),
    step_row("H", "Sealing", "conceded", "signed, with a concession by Dee Sample"),
    step_row("I", "Proof", "barred", "barred by H", hold=True),
    step_row("J", "Handover", "barred", "", hold=False),
]


def out_check() -> Json:
    """A check that is out, with its remedies."""
    return check(
        "sill-room",
        "Sill, room-side line: level",
        "out",
        says=[
            'From end to end it is 5/16" out of level: 3/16" over the limit.',
            'Height: 96" opening, less 3/16" packing, 1/8" '
            'pan, 1/8" bed: 95 9/16" is left for the frame.',
        ],
        remedies=[
            LOW + ': 3/16" LOW. Shim 3/16".',
            'At the LEFT jamb, you outside: 1/16" LOW. Shim 1/16".',
        ],
        done=[
            note(
                "Corrected by Ana Example, 2 March, 11:20",
                "Ground 1/16 off the hump at the meeting stile.",
            )
        ],
        correct=form("correct-sill-room", words=""),
        query="queries.html",
    )


def waiting() -> list[Json]:
    """A check none of whose readings is in."""
    return [check("twist", "Opening flat", "missing", begun=False)]


def checks() -> list[Json]:
    """A check in every state."""
    return [
        out_check(),
        check(
            "sill-weather",
            "Sill, weather-side line: level",
            "within",
            says=['From end to end it is 1/16" out of level, within 1/8".'],
        ),
        check(
            "squareness",
            "Squareness by diagonals",
            "missing",
            says=["Still to measure: low left to high right."],
            asks=[link("Diagonal, low left to high right", "point.html")],
        ),
        check(
            "gap",
            "Side gap",
            "close",
            says=["The tape cannot tell this apart from its limit: use a gauge."],
            limit='from 1/4" to 1/2"',
            basis="the drawing, S-101 revision B",
            reason="",
            voice={
                "form": form("voice", code="0042 1094"),
                "number": "482 109 379",
                "closed": "",
                "misses": "Wrong codes so far: 1 of 5",
            },
        ),
        check(
            "head",
            "Head over sill",
            "unreachable",
            says=["One place could not be reached; the rest is within."],
        ),
    ]


def clock(sort: str = "waits") -> Json:
    """A clock that runs, or is over."""
    runs = sort != "over"
    return {
        "id": "flood" if runs else "skin",
        "title": "Flood test" if runs else "Skin time",
        "until": "2026-03-02T14:20:00-05:00",
        "sort": sort,
        "text": "waiting until 14:20" if runs else "TIME IS OVER since 14:20",
        "left": "12 min left" if runs else "",
        "counting": "# left",
        "over": "over since 14:20",
        "awake": runs,
        "hint": "Rings while this page is open, phone awake.",
        "doubt": "" if runs else "Clock in doubt: check the phone’s time.",
        "calendar": "BEGIN:VCALENDAR\nEND:VCALENDAR\n",
        "file": "flood.ics",
    }
