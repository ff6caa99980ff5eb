"""Invented contexts: the opening and its sheets, refusals, the office, the completion record."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.samples import (
    PRACTICE,
    RULE,
    SAMPLES,
    STEPS,
    check,
    checks,
    choice,
    fact,
    form,
    link,
    mark,
    note,
    out_check,
    page,
    reading,
    step_row,
)

Json = dict[str, Any]
DOOR = "Stacking door, 5 panels, XXXXO seen from outside, leads at the LEFT"
SCALE = [{"id": row["id"], "state": row["state"], "text": f"{row['id']}: {row['state_text']}"} for row in STEPS]


def card(letter: str, room: str, state: str, text: str, following: str = "Next: C Sill bedding") -> Json:
    """An opening in a list."""
    return {"href": "opening.html", "letter": letter, "room": room, "address": "12 Example Lane, Sampleton", "door": DOOR,
            "progress": "3 of 11 steps signed", "next": following, "state": state, "state_text": text, "scale": SCALE}


def groups() -> list[Json]:
    """Openings by where they stand."""
    return [
        {"id": "now", "title": "Being set", "openings": [
            card("A", "Great room, lake side", "broken", "a sign-off is broken"),
            card("B", "Primary bedroom", "open", "12 of 34 readings in step B1")]},
        {"id": "new", "title": "Not begun", "openings": [card("C", "Pool house", "new", "not begun", "")]},
        {"id": "done", "title": "Done", "openings": [card("D", "Kitchen", "done", "accepted by Dee Sample", "")]},
    ]


def opening_context() -> Json:
    """The page of one opening."""
    links = {name: f"{name}.html" for name in ("drawing", "setout", "parts", "queries", "history", "record")}
    return {"page": page("Opening and steps", "All openings"), "door": DOOR, "progress": "3 of 11 steps signed",
            "next": link("Go on: C Sill bedding", "step.html"), "picture_of": drawn.elevation(),
            "notes": [note("Returned by Dee Sample, 3 March, 9:00", "See step C, please.")], "steps": STEPS,
            "links": links, "parts_text": "2 short", "queries_text": "1 open"}


def drawing_context() -> Json:
    """What the drawing gives and what it leaves open."""
    panels = [{"letter": letter, "kind": "O" if letter == "E" else "X", "lead": letter == "A", "track": n + 1,
               "kind_text": "fixed" if letter == "E" else "slides", "width": '40"', "height": '94"',
               "mass": "" if n else "212 lb"} for n, letter in enumerate("ABCDE")]
    return {"page": page("Drawing S-101", "Steps"), "number": "S-101, revision B", "date": "1 February 2026",
            "pictures": [{"title": "Seen from outside", "picture": drawn.elevation()},
                         {"title": "Tracks from above", "picture": drawn.plan()}],
            "groups": [{"id": "lengths", "title": "Lengths", "facts": [
                fact("Frame, outside width", '191"'), fact("Frame, outside height", '96"'),
                fact("Bottom of a stile over the sill, panels set", "", 'commonly 3/8"'),
                fact("Axle distance", "")]}],
            "panels": panels, "weeps": ['6"', "4 ft", "8 ft", "12 ft", '15 ft 6"'], "shims": ['1/16"', '1/8"', '1/4"'],
            "limits": [{"label": "Sill, room-side line, end to end", "words": 'at most 1/8"'}], "missing": 2,
            "query": "queries.html"}


def setout_context() -> Json:
    """The set-out."""
    def part(name: str, title: str, **more: Any) -> Json:
        found = {"id": name, "title": title, "says": [], "heads": [], "rows": [], "picture": None, "missing": [], "cautions": []}
        found.update(more)
        return found

    return {"page": page("Set-out", "Steps"), "sections": [
        part("order", "Order of the panels", says=["Set from outside: the farthest track first."], heads=["Turn", "Panel", "Why"],
             rows=[["1", "E", "Fixed, on the outermost track but hooked under D's interlock."],
                   ["2", "D", "Next track; its interlock hooks E."]], picture=drawn.plan(),
             cautions=["A 212 lb panel is four people or cups and a machine. Nobody stands on the glass side."]),
        part("anchors", "Anchors", missing=["Anchors kept clear of a weep, each side"]),
        part("bed", "Sealant under the sill", says=["9 tubes of 10 fl oz with 15 % to spare."], heads=["Bead", "Length"],
             rows=[["Room-side line", "15 ft 11\""], ["Cross lines", "31 of 4\""]]),
    ]}


def fates() -> list[Json]:
    """A reading of every fate."""
    left = "8 ft from the LEFT jamb, you outside"
    return [
        reading(1, left, "36 3/16"),
        reading(2, left, "37 3/16", "out", fate="struck", fate_text="Struck by Ana Example, 2 March, 10:17:",
                words="Burned an inch and forgot it."),
        reading(3, left, "36 5/16", "out", fate="replaced", fate_text="Measured again at 11:40: 36 3/16"),
        reading(4, left, "36 1/4", fate="stale", fate_text="To be taken again: the sill was ground after it."),
        reading(5, left, "36,2 mm", "info", fate="moved", fate_text="Moved to opening B by Ana Example, 2 March"),
        reading(6, "Over the stack", "", "unreachable", value="no reading", words="The scaffold stands there."),
    ]


def reading_context(error: str = "") -> Json:
    """One reading with all that can be done to it."""
    return {"page": page("36 3/16 at 8 ft", "Sill, room-side line"), "step": link("B1 Substrate and opening", "step.html"),
            "point": link("Sill, room-side line", "point.html"), "reading": reading(1, fates()[0]["place"], "36 3/16"),
            "facts": [fact("Note", "laser stood at the stack end")], "again": "point.html",
            "strike": form("strike", error, words=""), "move": {"form": form("move", opening="", words=""), "openings": [
                choice("b", "B Primary bedroom, 12 Example Lane"), choice("c", "C Pool house, 12 Example Lane")]}}


def parts_context() -> Json:
    """The parts list."""
    def part(n: int, what: str, state: str, text: str, **more: Any) -> Json:
        found = {"id": f"p{n}", "form": form(f"part-{n}", state=state, words="", count=""), "mark": f"P-{n}", "what": what,
                 "count": "1", "step": "bars E", "state": state, "state_text": text, "by": "Ana Example, 1 March" if state else "",
                 "words": "", "choices": [choice(s, s, s == state) for s in ("here", "short", "damaged", "wrong")]}
        found.update(more)
        return found

    return {"page": page("Parts", "Steps"), "sum": "1 of 4 here and right, 2 not", "parts": [
        part(1, "panel A", "here", "here"), part(2, "panel B", "damaged", "damaged", words="Chip at the lower corner, tape in the photo."),
        part(3, "sill, 191\"", "short", "short: 0 of 1"),
        part(4, "shims, 1/16\"", "", "", step="", count="40",
             form=form("part-4", "Say how many are here: a whole number such as 38.", state="short", words="", count="some"))]}


def query(state: str = "open", **more: Any) -> Json:
    """A query."""
    found = {"id": f"q-{state}", "open": state == "open", "state_text": "open since 2 March" if state == "open" else "answered",
             "what": "The header hangs lower than drawn at the stack end.", "measured": '95 5/8"', "drawn": '96 1/4"',
             "bars": "bars C, D", "by": "Ana Example, 2 March, 9:15", "answer": None, "form": None, "answers": []}
    found.update(more)
    return found


ANSWERED = query("answered", answer={"text": "Build as is: Dee Sample, 3 March", "words": "The frame is 95 1/4 high, it goes in."})
ASKED = query(form=form("answer", answer="", words=""), answers=[
    choice("revised", "Revised drawing"), choice("as-is", "Build as is"), choice("wait", "Wait")])


def queries_context() -> Json:
    """Queries, and the form for a new one."""
    steps = [choice(row["id"], f"{row['id']} {row['title']}", row["id"] == "C") for row in STEPS[:6]]
    return {"page": page("Queries", "Steps"), "queries": [query(), ANSWERED],
            "ask": {"form": form("query", what="", measured="", drawn=""), "steps": steps}}


KEPT = [{"label": "Reading", "words": "36 3/16"}, {"label": "Note", "words": "called by Ben"}]


def refusals() -> dict[str, tuple[str, Json]]:
    """Pages that say no."""
    on = [link("Back to step B1", "step.html"), link("All openings", "list.html")]
    reasons = [link("22 readings are still to be taken", "point.html"), link("Step A is not signed")]
    return {
        "refused": ("field/refused.html", {"page": page("Not signed", "Steps"), "title": "This step was not signed off",
                                           "reasons": reasons, "on": on, "kept": KEPT}),
        "bug": ("field/bug.html", {"page": page("Something went wrong", where=False), "code": "7f3a-19c2", "on": on, "kept": KEPT}),
        "missing": ("field/missing.html", {"page": page("No such page", where=False), "on": on[1:]}),
    }


def table(name: str, title: str) -> Json:
    """Readings of one point."""
    rows = [reading(n, f"{n} ft from the LEFT jamb, you outside", f"36 {n % 4}/16") for n in range(14)]
    return {"id": name, "title": title, "unit": "", "readings": rows}


def review_context() -> Json:
    """An opening that the office reviews."""
    def reviewed(row: Json, *found: Json, **more: Any) -> Json:
        step = {"row": row, "signed": "", "tasks": [], "decisions": [], "tables": [], "checks": list(found)}
        step.update(more)
        return step

    concede = {"form": form("concede", reason="", limit=""), "rank": "A supervisor may concede this."}
    return {"page": page("Review", "All openings"), "door": DOOR, "result": "2 of 14 checks are out; 1 conceded.",
            "picture_of": drawn.elevation(), "here": {"state": "returned", "state_text": "returned to the crew"},
            "notes": [], "record": "record.html", "field": "opening.html",
            "steps": [
                reviewed(STEPS[0], check("parts", "Panel diagonals", "within", concede=None), signed=STEPS[0]["state_text"],
                         tasks=[{"text": "Hand confirmed from outside", "done": True, "by": "Ana Example, 1 March"},
                                {"text": "Crew and lift plan agreed", "done": False, "by": ""}]),
                reviewed(STEPS[1], dict(out_check(), concede=concede, correct=None, query=""), tables=[table("room", "Sill, room-side line")],
                         decisions=[note("Corrected by others: said by Cal Builder, 2 March", "On Tuesday.")])],
            "queries": [ASKED], "struck": fates()[1:2], "disputes": [link("B1: sign-off broken", "#step-B1")],
            "accept": None, "bars": [link("Step B1: sign-off broken", "#step-B1")],
            "send_back": {"form": form("return", step="", words=""), "steps": [choice("B1", "B1 Substrate and opening")]}}


def accepting_context() -> Json:
    """An opening that can be accepted."""
    context = review_context()
    context.update({"bars": [], "disputes": [], "queries": [], "accept": {
        "form": form("accept", confirm=""), "name": "Dee Sample",
        "statement": "Every step is signed, what is out is conceded in writing, and the record may be made."}})
    return context


def record_context() -> Json:
    """A completion record."""
    facts = [fact("Address", "12 Example Lane, Sampleton"), fact("Opening", "A, Great room, lake side"),
             fact("Drawing", "S-101, revision B"), fact("Procedure", "Stacking door, version 3"),
             fact("Set", "1 March to 5 March 2026"), fact("Company", "Example Door Setters"), fact("Lead", "Ana Example"),
             fact("Safety marks", "")]
    steps = [{"id": row["id"], "title": row["title"], "state_text": row["state_text"], "good": row["state"] != "broken",
              "signed": ["Signed by Ana Example, 2 March, 15:10, signed in on the office's pages"],
              "tasks": [{"text": "Slab scanned for tendons", "done": True, "by": "Ana Example, 2 March"}],
              "decisions": [note("Corrected by others: said by Cal Builder, 2 March", "On Tuesday.")] if row["id"] == "B1" else [],
              "checks": [dict(c, correct=None, query="") for c in checks()[:3]] if row["id"] in ("B1", "C") else [],
              "tables": [table(row["id"] + "-room", "Sill, room-side line")] if row["id"] in ("B1", "C") else []}
             for row in STEPS]
    return {"page": page("Completion record SB-A-0007", "Steps"), "number": "SB-A-0007", "digest": "9f2c" * 16, "made": "5 March 2026, 10:05",
            "verify": "", "draft": "Not accepted yet: the office has not reviewed it.", "door": DOOR, "picture_of": drawn.elevation(),
            "facts": facts, "result": "13 of 14 checks are within their limits; 1 was left out of its limit by written concession.",
            "open": [note("Lock keys: one of three was short; ordered.")],
            "concessions": [note('Sill, weather-side line, 1/16" over its limit: conceded by Dee Sample, 4 March', "Rollers run free, weeps drain.")],
            "corrected": [note("Ana Example, 2 March, 11:20: sill, room-side line", "Ground 1/16 off the hump at the meeting stile.")],
            "accepted": "Accepted by Dee Sample, 5 March 2026, 10:00", "accepted_words": "", "steps": steps,
            "parts": [{"mark": "P-1", "what": "panel A", "count": "1", "state_text": "here"}], "queries": [ANSWERED],
            "left": {"says": ["Frame 68 °F, panels closed."], "heads": ["What", "Where", "Reading"],
                     "rows": [["Closing gap", "high", '1/4"'], ["Closing gap", "low", '1/4"'], ["Force to start", "panel A", "18 lbf"]]},
            "struck": fates()[1:4], "people": [{"name": "Ana Example", "what": "lead; signed A to F"}], "claims": [],
            "cautions": ["Glass, height and weight hurt people: have moving panels adjusted by trained hands only."]}


def signin_context(error: str = "") -> Json:
    """Signing in."""
    where = page("Sign in", where=False)
    where.update({"person": "", "nav": [], "sign_out": None})
    return {"page": where, "form": form("sign-in", error, name="ana" if error else ""), "demo": ["Installer: ana", "Supervisor: dee"]}


OPENINGS = {"page": page("Openings to be set", where=False), "groups": groups(), "empty": ""}
ALL: dict[str, tuple[str, Json]] = dict(SAMPLES)
ALL.update(refusals())
ALL.update({
    "list": ("field/list.html", OPENINGS),
    "list-empty": ("field/list.html", dict(OPENINGS, groups=[], empty="Nothing is waiting to be set.")),
    "opening": ("field/opening.html", opening_context()),
    "drawing": ("field/drawing.html", drawing_context()),
    "setout": ("field/setout.html", setout_context()),
    "reading": ("field/reading.html", reading_context()),
    "reading-error": ("field/reading.html", reading_context("Say why it is struck.")),
    "parts": ("field/parts.html", parts_context()),
    "queries": ("field/queries.html", queries_context()),
    "history": ("field/history.html", {"page": page("All readings", "Steps"), "sum": "6 readings, 1 struck", "groups": [
        {"id": "room", "title": "B1 · Sill, room-side line", "readings": fates()}]}),
    "signin": ("office/signin.html", signin_context()),
    "signin-error": ("office/signin.html", signin_context("This name and password do not belong together.")),
    "office-list": ("office/list.html", OPENINGS),
    "review": ("office/review.html", review_context()),
    "review-accept": ("office/review.html", accepting_context()),
    "record": ("record/record.html", record_context()),
})
