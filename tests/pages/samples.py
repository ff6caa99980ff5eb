"""Invented contexts for the templates: what the pages are given, in every state they can show.

SAMPLES maps a name to (template, context). The words are invented; nothing here is measured.
"""

from typing import Any

from tests.pages import sample_pictures as drawn

Json = dict[str, Any]

RULE = "Simple acceptance: a reading on its limit is within."
PRACTICE = "company limit, no published standard"
LOW = "8 ft from the LEFT jamb, you outside"


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
    }


def link(text: str, href: str = "") -> Json:
    """A link."""
    return {"href": href, "text": text}


def choice(value: str, text: str, chosen: bool = False) -> Json:
    """One of several."""
    return {"value": value, "text": text, "chosen": chosen}


def mark(kind: str = "none") -> Json:
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
        "mark": mark(kind),
        "fate": "",
        "fate_text": "",
        "words": "",
    }
    row.update(more)
    return row


def check(name: str, title: str, kind: str, **more: Any) -> Json:
    """One check."""
    found = {
        "id": name,
        "title": title,
        "mark": mark(kind),
        "picture": drawn.vial({"out": 1600, "within": -400}[kind]) if kind in ("out", "within") else None,
        "says": [],
        "remedies": [],
        "limit": 'at most 1/8" from end to end',
        "basis": PRACTICE,
        "reason": "beyond this the rollers bind and the lock misses",
        "rule": RULE,
        "asks": [],
        "done": [],
        "correct": None,
        "query": "",
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
    step_row("B2", "Pan and flashing", "disputed", "sign-off disputed",
             why=["It was signed before the flood had stood for 15 minutes."]),
    step_row("C", "Sill bedding", "open", "12 of 34 readings, 3 of 9 tasks", next=True,
             notes=[note("Sent back by Dee Sample, 2 March", "Board the sill over before anyone walks on it.")]),
    step_row("D", "Frame squaring", "ready", "ready to be signed"),
    step_row("E", "Panel setting", "barred", "barred by C and D"),
    step_row("F", "Roller height", "barred", "barred by E"),
    step_row("G", "Locks and fixed panels", "barred", "barred by F"),
    step_row("H", "Sealing", "conceded", "signed, with a concession by Dee Sample"),
    step_row("I", "Proof", "barred", "barred by H", hold=True),
    step_row("J", "Handover", "barred", "barred by I", hold=False),
]


def out_check() -> Json:
    """A check that is out, with its remedies."""
    return check(
        "sill-room",
        "Sill, room-side line: level",
        "out",
        says=['From end to end it is 5/16" out of level: 3/16" over the limit.',
              'Height: 96" opening, less 3/16" packing, 1/8" pan, 1/8" bed: 95 9/16" is left for the frame.'],
        remedies=[LOW + ': 3/16" LOW. Pack 3/16".', 'At the LEFT jamb, you outside: 1/16" LOW. Pack 1/16".'],
        done=[note("Corrected by Ana Example, 2 March, 11:20", "Ground 1/16 off the hump at the meeting stile.")],
        correct=form("correct-sill-room", words=""),
        query="queries.html",
    )


def checks() -> list[Json]:
    """A check in every state."""
    return [
        out_check(),
        check("sill-weather", "Sill, weather-side line: level", "within",
              says=['From end to end it is 1/16" out of level, within 1/8".']),
        check("squareness", "Squareness by diagonals", "missing", says=["Still to measure: low left to high right."],
              asks=[link("Diagonal, low left to high right", "point.html")]),
        check("gap", "Side gap", "close", says=["The tape cannot tell this apart from its limit: use a gauge."],
              limit='from 1/4" to 1/2"', basis="the drawing, S-101 revision B", reason=""),
        check("head", "Head over sill", "unreachable", says=["One place could not be reached; the rest is within."]),
    ]


def step_context() -> Json:
    """A step in the middle of the work."""
    return {
        "page": page("B1 Substrate and opening", "Steps", notices=[
            {"kind": "good", "text": "Kept: the slab was scanned.", "words": "", "href": "", "link": ""}]),
        "step": step_row("B1", "Substrate and opening", "open", "12 of 34 readings, 1 of 4 tasks"),
        "about": "What the door will stand on, and the hole it goes in.",
        "unit": "",
        "units": [],
        "cautions": [
            "The open wall is a fall edge: guard it before you measure.",
            "Grinding concrete makes dust that harms the lungs: water or a shroud, and a mask that fits.",
            "Slabs may hide tendons, heating tubes and wiring: scan first. Never cut a header or a post.",
        ],
        "cautions_full": True,
        "notes": [note("Sent back by Dee Sample, 2 March, 16:05", "Measure the weather side again, it was wet.")],
        "decisions": [decision()],
        "tasks": tasks(),
        "points": points(),
        "checks": checks(),
        "adjustments": [{"id": "ground", "form": form("moved-ground"), "text": "The sill was ground or packed",
                         "stale": ["Sill, room-side line", "Sill, weather-side line"]}],
        "bars": [link("Sill, room-side line: 3/16\" over its limit at 8 ft", "#check-sill-room"),
                 link("22 readings are still to be taken", "point.html"),
                 link("The builder has not answered yet", "#decision-builder"), link("Step A is not signed")],
        "signoff": None,
        "signed": None,
    }


def decision(**more: Any) -> Json:
    """A decision of the builder's."""
    found = {
        "id": "builder",
        "form": form("decide-builder", choice="", name="", words=""),
        "text": "What did the builder decide about the opening?",
        "choices": [choice("others", "Corrected by others"), choice("extra", "Corrected by us, as extra"),
                    choice("direction", "Go on at the builder's written direction")],
        "name": True,
        "words": True,
        "made": "",
        "made_words": "",
    }
    found.update(more)
    return found


def tasks() -> list[Json]:
    """Tasks, ticked and not."""
    texts = ["Make safe: the open wall is guarded", "Slab scanned for tendons, heating tubes and wiring",
             "Laser checked: turned end for end, same mark", "Sound and dry where the door will stand"]
    return [{"id": f"t{n}", "form": form(f"tick-t{n}"), "text": text, "done": n == 1,
             "by": "Ana Example, 2 March, 9:50" if n == 1 else "", "photo": n == 3} for n, text in enumerate(texts)]


def points() -> list[Json]:
    """Points of a step."""
    return [
        point_row("room", "Sill, room-side line", "12 of 17", "out", worst='8 ft from the LEFT jamb: 3/16" LOW'),
        point_row("weather", "Sill, weather-side line", "17 of 17", "within", done=True),
        point_row("diagonals", "Diagonals of the opening", "0 of 2", "missing", tool="tape"),
        point_row("moisture", "Moisture of the timber", "3 of 3", "info", info=True, done=True, tool="meter"),
        point_row("head", "Head, level", "5 of 5", "none", stale=True),
    ]


def point_row(name: str, title: str, progress: str, kind: str, **more: Any) -> Json:
    """One point of the list."""
    row = {"id": name, "href": "point.html", "title": title, "tool": "laser and rule", "progress": progress,
           "done": False, "mark": mark(kind), "worst": "", "info": False, "stale": False}
    row.update(more)
    return row


def ready_context() -> Json:
    """A step for each panel, ready to be signed."""
    context = step_context()
    context.update({
        "page": page("E Panel setting, panel B", "Steps"),
        "step": step_row("E", "Panel setting", "ready", "ready to be signed"),
        "unit": "Panel B",
        "units": [
            {"href": "", "letter": "A", "state": "signed", "state_text": "signed", "here": False},
            {"href": "", "letter": "B", "state": "ready", "state_text": "ready", "here": True},
            {"href": "", "letter": "C", "state": "open", "state_text": "2 of 6 readings", "here": False},
            {"href": "", "letter": "D", "state": "barred", "state_text": "barred", "here": False},
        ],
        "cautions_full": False,
        "notes": [],
        "decisions": [decision(made="Corrected by others: said by Cal Builder, 2 March, 10:02",
                               made_words="Slab contractor comes back on Tuesday.")],
        "checks": [checks()[1]],
        "bars": [],
        "signoff": {"form": form("sign", confirm=""), "name": "Ana Example", "statement":
                    "Panel B stands on its rollers, its anti-lift is in, and what was measured is within its limits."},
    })
    return context


def signed_context(good: bool) -> Json:
    """A step that was signed; good says whether the signature still holds."""
    context = ready_context()
    text = "Signed by Ana Example, 2 March, 15:10"
    why = [] if good else ["Since then the overlap was measured again and is out."]
    context.update({"signoff": None, "bars": [] if good else [link("Overlap, low: 1/16\" over its limit")]})
    context["signed"] = {"text": text, "good": good, "why": why, "verdicts": "As signed: 4 within, 1 conceded."}
    return context


def entry(**more: Any) -> Json:
    """The place to be measured now."""
    found = {
        "form": form("entry", value="", by="", tool="", at="", info="", words=""),
        "place": LOW + ", room-side line",
        "nth": "13 of 17",
        "again": "",
        "picture": drawn.floor(),
        "label": "Down from the beam",
        "unit": "inches",
        "example": "3/16, 1-3/8, 9.5 mm",
        "is_number": True,
        "is_choice": False,
        "is_words": False,
        "mode": "text",
        "fractions": True,
        "focus": True,
        "choices": [],
        "people": [choice("p1", "Ana Example", True), choice("p2", "Ben Sample")],
        "tools": [choice("l2", "laser L2 and rule R1", True), choice("t1", "tape T1")],
        "gauge": {"form": form("gauge"), "text": 'Does the 1/16" gauge go in here?',
                  "choices": [choice("yes", "It goes in"), choice("no", "It does not")]},
    }
    found.update(more)
    return found


def way(must: bool) -> Json:
    """How a level reading is read."""
    return {"form": form("way-form"), "chosen": "down from the beam", "must": must, "choices": [
        {"value": "down", "text": "Down from the beam: a bigger number is LOWER", "picture": None, "chosen": not must},
        {"value": "up", "text": "Up from a mark: a bigger number is HIGHER", "picture": None, "chosen": False}]}


def places() -> list[Json]:
    """The places of a survey."""
    rows = []
    for n in range(17):
        value = "" if n in (8, 15, 16) else '36 3/16"'
        kind = "out" if n == 7 else "unreachable" if n == 15 else "within" if value else "none"
        rows.append({"id": f"s{n}", "place": f"{n} ft from the LEFT jamb, you outside", "value": value,
                     "mark": mark(kind), "here": n == 8, "measure": "point.html", "reading": value and "reading.html"})
    return rows


def point_context(**more: Any) -> Json:
    """A survey half done."""
    context = {
        "page": page("Sill, room-side line", "B1 Substrate and opening"),
        "step": link("B1 Substrate and opening", "step.html"),
        "title": "Sill, room-side line",
        "unit": "",
        "tool": "laser and rule",
        "progress": "12 of 17",
        "info": False,
        "hint": "Hold the rule on the substrate, not on dirt.",
        "stale": "",
        "way": way(False),
        "saved": {"text": 'Kept: 36 3/16" at 7 ft from the LEFT jamb', "mark": mark("within"), "says": [],
                  "remedies": [], "undo": form("undo"), "undo_text": 'Undo: strike 36 3/16" at 7 ft'},
        "compare": None,
        "ask": None,
        "entry": entry(),
        "unreachable": form("reach", words=""),
        "places": places(),
        "checks": [out_check()],
        "next": None,
    }
    context.update(more)
    return context


SAMPLES: dict[str, tuple[str, Json]] = {
    "step": ("field/step.html", step_context()),
    "step-ready": ("field/step.html", ready_context()),
    "step-signed": ("field/step.html", signed_context(True)),
    "step-broken": ("field/step.html", signed_context(False)),
    "point": ("field/point.html", point_context()),
    "point-way": ("field/point.html", point_context(way=way(True), entry=None, saved=None, unreachable=None)),
    "point-compare": ("field/point.html", point_context(compare={
        "form": form("compare"), "text": 'Station 2 is 3/16" LOWER than station 1: right?'})),
    "point-ask": ("field/point.html", point_context(saved=None, ask={
        "form": form("ask"), "typed": "37 3/16", "no": "point.html",
        "text": 'is almost exactly 1" off its neighbours. Was an inch burned?'})),
    "point-error": ("field/point.html", point_context(saved=None, entry=entry(form=form(
        "entry", error="“3//16” is not a length. Type it like 3/16 or 9.5 mm.",
        value="3//16", by="", tool="", at="", info="", words="")))),
    "point-choice": ("field/point.html", point_context(title="Every weep runs", checks=[], way=None, entry=entry(
        is_number=False, is_choice=True, label="Does water run out of this weep?", place="Weep 3, 6 ft from the LEFT jamb",
        choices=[choice("yes", "Yes"), choice("no", "No")], gauge=None))),
    "point-words": ("field/point.html", point_context(title="Sealant lot", saved=None, checks=[], way=None, entry=entry(
        is_number=False, is_words=True, label="Lot and date on the tubes", place="Sealant", nth="", gauge=None))),
    "point-done": ("field/point.html", point_context(entry=None, unreachable=None,
                                                    next=link("On: Sill, weather-side line", "point.html"))),
}
