"""Invented contexts of cards: one thing each."""

from typing import Any

from tests.pages import sample_pictures as drawn
from tests.pages.point_samples import entry, way
from tests.pages.shapes import LOW, badge, choice, clock, form, link, page
from tests.pages.step_samples import photos

Json = dict[str, Any]


def card(kind: str, **more: Any) -> Json:
    """A card of one kind."""
    found = {
        "page": page("B1 Opening, floor and pan", back="B1"),
        "step": link("B1 Opening, floor and pan", "step.html"),
        "shop": "shop.html" if kind == "reading" else "",
        "step_name": "B1",
        "dense": False,
        "progress": "12 of 40",
        "far": "12/40",
        "kind": kind,
        "clocks": [clock()],
        "short_parts": ["Part not here or not right: Panel B"],
        "band": None,
        "judged": None,
        "ask": None,
        "later": "next.html",
        "coming": {
            "key": "reading~sill~~12",
            "places": [{"key": "reading~sill~~13", "point": "Sill, weather side", "title": LOW}],
        },
    }
    found.update(more)
    return found


def reading(keypad: str = "inches", **more: Any) -> Json:
    """A card on which a reading is typed."""
    shown = {
        "title": "Sill, weather-side line",
        "hint": "Same laser set-up.",
        "stale": "",
        "spot": drawn.floor(),
        "wanted": ['at most 1/16" in any 1 ft', 'at most 1/32"'],
        "before": '7 ft from LEFT jamb, you outside: 13 1/16"',
        "tool": "laser",
        "how": "↓ beam",
        "other_way": "way.html",
        "whole": "13",
        "first": True,
        "notices": [],
        "limits": ['at most 1/16" in any 1 ft', 'at most 1/32"'],
        "all_places": "point.html",
        "stand": "you outside",
        "cannot": "cannot.html",
        "back": "reading.html",
        "entry": entry(keypad=keypad),
        "unreachable": None,
        "way": None,
    }
    shown.update(more)
    return card("reading", **shown)


def band(kind: str) -> Json:
    """How the last reading went."""
    return {
        "stays": False,
        "ticked": False,
        "key": "reading~sill~~11",
        "title": "Sill, weather-side line",
        "place": LOW,
        "value": '13 1/16"',
        "aloud": "13 1/16 inches, within",
        "badge": badge(kind),
        "says": "",
        "undo": form("undo"),
    }


def verdict(kind: str) -> Json:
    """What fills the card when a reading is out."""
    return {
        **band(kind),
        "stays": True,
        "says": 'Worst stretch: 3/16" within 1 ft, 7 ft to 8 ft from LEFT jamb.',
        "why": ['1 1/16" between the highest and the lowest.'],
        "remedies": ['Grind 1/16" off at 8 ft.', 'Or pack 1/8" at 7 ft and at 9 ft.'],
        "limit": 'at most 1/16" in any 1 ft',
        "basis": "company limit, no published standard",
        "spot": drawn.floor(),
        "again": "reading.html",
        "planned": None,
        "moves": [],
        "onward": "next.html",
        "check": "step.html#check-sill",
        "ask_office": "queries.html",
    }


def out(**more: Any) -> Json:
    """A check that is out once all is read, with its plan."""
    shown = {
        "title": "Door closes even",
        "badge": badge("out"),
        "says": ['Closing gap low: 1/4"; high 3/8".'],
        "remedies": [
            "Weight off each roller before you turn it.",
            "Panel A: raise the RIGHT roller.",
        ],
        "picture": drawn.floor(),
        "planned": {**form("planned"), "again": "Then 12 places again."},
        "undo": form("undo"),
        "moves": [],
        "check": "step.html#check-closes",
        "ask_office": "queries.html",
    }
    shown.update(more)
    return shown


def card_samples() -> dict[str, tuple[str, Json]]:
    """Return every kind of card by its name."""
    yes_no = entry(
        is_number=False,
        is_choice=True,
        label="Does water run out of this weep?",
        choices=[choice("yes", "Yes"), choice("no", "No")],
    )
    words = entry(is_number=False, is_words=True, label="In words")
    typed = {"value": "3//16", "words": "by hand", "info": "yes", "at": ""}
    refused = entry(form=form("entry", error="“3//16” is not a length.", **typed))
    asked = {
        "form": form("sure"),
        "typed": "37 3/16",
        "text": 'This is almost exactly 1" off its neighbours.',
        "no": "reading.html",
    }
    said = {"form": form("agree"), "text": 'The second is 3/16" LOWER: right?', "no": "point.html"}
    choices = [choice("go", "Go"), choice("no", "No-go: nothing cut")]
    decided = {
        "id": "go",
        "form": form("decide", choice="", name="", words=""),
        "text": "Go or no-go before the old door comes out?",
        "choices": choices,
        "name": True,
        "words": True,
        "made": "",
        "made_words": "",
        "sheet": "sheet.html",
    }
    photo = {
        "id": "labels",
        "text": "Photo: label of each panel, readable",
        "taken": [],
        "form": form("photo"),
        "none": form("no-photo", words=""),
        "nothing": "No damage found",
        "said": None,
        "more": True,
    }
    no_reason = form("no-photo", error="Say why there is none.", words="")
    end = {
        "bars": [link("Sill: out of tolerance.", "s.html"), link("Hold point.", "")],
        "signed": False,
        "owner": "",
        "here": "step.html",
        "onward": "",
        "onward_text": "",
        "opening": "o.html",
        "ask_office": "queries.html",
    }
    signoff = {
        "form": form("sign", confirm=""),
        "statement": "Seen, measured, complete.",
        "name": "Ana Example",
        "shared": True,
        "pin": True,
    }
    tasks = [{"text": "Lasers checked where they stand", "form": form("tick")}]
    parts = [{"mark": "F-SILL", "count": "1", "what": "sill"}]
    moves = [{"text": "Shims moved", "form": form("move")}]
    doubted = {**clock(), "doubt": "Clock in doubt: check the phone’s time."}
    waited = {"clocks": [], "now": "now.html", "now_text": "Read early", "again": "next.html"}
    sign = {
        "sign_title": "E Panel setting, panels B, C",
        "sums": ["4 of 4 readings"],
        "here": "step.html",
        "owner": "",
        "digits": list("1234567890"),
        "first_sign": True,
    }
    warning = "Glass: carry and store on edge, never flat. Gloves, sleeves, hard shoes."
    contexts = {
        "cautions": card("cautions", cautions=[warning], first_today=True, form=form("cautions")),
        "reading": reading(band=band("within")),
        "reading-mm": reading("mm", stale="Again: shimmed"),
        "reading-plain": reading("plain", band=band("none")),
        "reading-after-none": reading(band={**band("none"), "value": ""}),
        "reading-time": reading("time", hint="", wanted=[], before="", spot=None),
        "refused": reading(entry=refused),
        "late": reading(
            dense=True,
            entry=entry(
                form=form(
                    "entry", error="To come.", value="", words="", info="", at="2027-01-01T10:00"
                ),
            ),
            notices=[
                {"kind": "warn", "text": "A rule is too coarse here.", "href": "", "link": ""},
                {"kind": "warn", "text": "Not checked today.", "href": "t.html", "link": "Check"},
            ],
        ),
        "choice": reading("", entry=yes_no),
        "words": reading("", entry=words),
        "out": card("verdict", judged=verdict("out")),
        "close": card("verdict", judged=verdict("close")),
        "task": card("task", text="Lasers checked where they stand", form=form("tick")),
        "task-after-task": card(
            "task",
            text="Floors protected",
            form=form("tick"),
            band={**band("none"), "ticked": True, "value": "Done"},
        ),
        "photo": card("photo", photos=[photo]),
        "photo-taken": card("photo", photos=[{**photo, "taken": photos()[0]["taken"]}]),
        "photo-elsewhere": card("photo", photos=[{**photo, "form": None, "none": no_reason}]),
        "decision": card("decision", decision=decided),
        "decision-own": card("decision", decision={**decided, "name": False}),
        "decision-words": card(
            "decision", decision={**decided, "form": form("decide", words="Go on", name="Bo")}
        ),
        "ask": {**reading(ask=asked), "kind": "ask"},
        "compare": card("compare", compare=said),
        "way": {**reading(way=way(True)), "kind": "way"},
        "cannot": {
            **reading(unreachable={**form("unreachable", words=""), "photo": True}),
            "kind": "cannot",
        },
        "out-moved": card("verdict", judged={**verdict("out"), "moves": moves}),
        "plan": card("out", out=out()),
        "plan-none": card("out", out=out(planned=None, moves=moves, undo=None), later=""),
        "parts": card(
            "parts", form={**form("parts"), "text": "All here"}, parts=parts, by_line="p"
        ),
        "tasks": card("tasks", form={**form("tasks"), "text": "All yes"}, tasks=tasks),
        "clock": card("clock", **waited, clock=clock()),
        "clock-doubt": card("clock", **waited, clock=doubted),
        "sign": card("sign", **sign, signoff=signoff),
        "sign-alone": card("sign", **sign, signoff={**signoff, "shared": False}),
        "sign-last": card("sign", **{**sign, "owner": "owner.html"}, signoff=signoff),
        "sign-no-pin": card("sign", **sign, signoff={**signoff, "pin": False}),
        "end-open": card("end", **end),
        "end-measured": card("end", **{**end, "bars": []}),
        "end-waits": card("end", **{**end, "onward": "next.html", "onward_text": "B1 Opening"}),
        "end-signed": card("end", **{**end, "signed": True, "onward": "next.html"}),
        "end-last": card("end", **{**end, "signed": True, "owner": "owner.html"}),
    }
    return {"card-" + name: ("field/next.html", found) for name, found in contexts.items()}
