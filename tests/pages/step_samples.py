"""Invented contexts of a step, in every state it can be in."""

from typing import Any

from tests.pages.shapes import (
    badge,
    checks,
    choice,
    clock,
    form,
    link,
    note,
    page,
    step_row,
    waiting,
)

Json = dict[str, Any]


def step_context() -> Json:
    """A step in the middle of the work."""
    return {
        "page": page(
            "B1 Substrate and opening",
            "Steps",
            notices=[
                {
                    "kind": "good",
                    "text": "Kept: the slab was scanned.",
                    "words": "",
                    "href": "",
                    "link": "",
                }
            ],
        ),
        "step": step_row("B1", "Substrate and opening", "open", "12 of 34 readings, 1 of 4 tasks"),
        "clocks": [clock(), clock("over")],
        "go_on": link("Go on: 14 left", "next.html"),
        "short": "step.html",
        "whole": "step.html?show=all",
        "about": "What the door will stand on, and the hole it goes in.",
        "panel_title": "",
        "panels": [],
        "caution": {
            "texts": ["The open wall is a fall edge: guard it before you measure."],
            "reminders": ["Fall edge until the door stands: guard it or tie off."],
            "line": "",
            "card": "next.html",
        },
        "notes": [
            note(
                "Sent back by Dee Sample, 2 March, 16:05",
                "Measure the weather side again, it was wet.",
            )
        ],
        "decisions": [
            decision(),
            decision(id="go", name=False, form=form("decide-go", choice="", words="")),
        ],
        "all": at_once("All yes: 3", "4 tasks ticked at once by Dee Sample, 2 March, 9:15"),
        "tasks": tasks(),
        "points": points(),
        "checks": checks(),
        "many_bars": True,
        "out_text": "To be put right: 2",
        "done_text": "Done: 5. Checks within: 12.",
        "waiting": waiting(),
        "stood_for": [
            {
                "title": "LEFT jamb plumb, side to side",
                "see": {"href": "#check-jamb", "text": "see: LEFT jamb, off a plumb line"},
            }
        ],
        "outlook": outlook(),
        "adjustments": [
            {
                "id": "ground",
                "form": form("moved-ground"),
                "asks": True,
                "panels": [choice("", "every panel", True), choice("A", "panel A")],
                "text": "The sill was ground or packed",
                "stale": ["Sill, room-side line", "Sill, weather-side line"],
            }
        ],
        "bars": [
            link('Sill, room-side line: 3/16" over its limit at 8 ft', "#check-sill-room"),
            link("22 readings are still to be taken", "point.html"),
            link("The builder has not answered yet", "#decision-builder"),
            link("Step A is not signed"),
        ],
        "signoff": None,
        "signed": None,
        "owner": owner(),
        "photos": photos(),
        "shop": "shop.html",
    }


def short_context(**more: Any) -> Json:
    """The short page of a step: what is out, what is left."""
    out = {
        "id": "sill-room", "title": "Room-side line, any 1 ft", "badge": badge("out"),
        "href": "step.html?show=all#check-sill-room",
    }  # fmt: skip
    row = {"href": "point.html", "note": "", "stale": False, "far": ""}
    left = [
        {**row, "kind": "task", "id": "scan", "with": "id=1&task=scan&done=yes",
         "text": "Slab scanned for tendons"},
        {**row, "kind": "photo", "text": "Photo: highest, lowest spot"},
        {**row, "kind": "point", "text": "Sill, room-side line", "far": "3 of 9", "stale": True,
         "note": "because Room-side line is out"},
    ]  # fmt: skip
    brief = {
        "out": [{**out, "says": ['1/16" too much.'], "more": "and 12 more",
                 "remedies": ['2 ft from LEFT: Shim 1/8".']}],
        "out_text": "To be put right: 1",
        "out_named": [{**out, "id": "sill-sweep", "title": "Straightedge between stations"}],
        "out_more": "and 2 more",
        "conceded": [{**out, "id": "sill-drains", "title": "Sill drains", "done": [
            {"text": "Conceded by the office: Nadia Ferrow", "words": "It serves."}]}],
        "form": form("ticks"),
        "left": left,
        "left_more": True,
        "decisions": [],
        "bars": [link("Sign off first: A Delivery check.", "step.html")],
        "bars_more": "and 4 more",
        "done": "Done: 2 tasks, 5 lists of readings. Checks within: 7.",
        "moved": "step.html?show=all#moved-title",
    }  # fmt: skip
    brief.update(more)
    return {**step_context(), "page": page("B1 Substrate, short", "Steps"), "brief": brief}


def short_ready() -> Json:
    """The short page of a step that can be signed: nothing is out, nothing is left."""
    nothing: Json = {
        "out": [], "out_text": "", "out_named": [], "out_more": "", "conceded": [],
        "left": [], "left_more": False,
        "decisions": [decision()], "bars": [], "bars_more": "", "moved": "",
    }  # fmt: skip
    here = page("E Panel setting, panel B, short", "Steps")
    return {**ready_context(), "page": here, "brief": {**short_context()["brief"], **nothing}}


def outlook() -> Json:
    """What the door model says at the end of squaring."""
    return {
        "title": "The door in this frame",
        "kind": "close",
        "answer": "Too close to say whether the door can be finished.",
        "do": ['Start panel B with its RIGHT roller 3/64" up.'],
        "why": ["Read the LEFT jamb again, low and high."],
        "picture": None,
        "waits": ["Read the track along the sill."],
    }


def at_once(words: str, said: str) -> Json:
    """The button for all that nobody spoke of, and an act that can be taken back."""
    ready = {**form("all"), "text": words}
    return {"form": ready, "acts": [{"text": said, "undo": form("undo-1")}]}


def photos() -> list[Json]:
    """A task with a photo and the form for another; and one where the server answers."""
    shown = {
        "src": "/static/img/level.svg",
        "width": 56,
        "height": 24,
        "by": "Dee Sample, 2 Mar 2026, 14:05",
        "where": "",
        "here": True,
    }
    there = {
        **shown,
        "where": "Photo still on the phone: it has not reached the office",
        "here": False,
    }
    return [
        {
            "id": "pan",
            "text": "Photo of the pan before it is hidden",
            "taken": [shown, there],
            "form": form("photo-pan"),
            "none": None,
            "nothing": "",
            "said": None,
            "more": True,
        },
        {
            "id": "weeps",
            "text": "Photo of the weeps, open",
            "taken": [],
            "form": None,
            "none": form("no-photo-weeps", words="Too dark"),
            "nothing": "No damage found",
            "said": {"text": "No photo: Dee Sample, 2 Mar 2026, 14:05", "words": "Too dark"},
            "more": True,
        },
        {
            "id": "reach-1",
            "text": "8 ft could not be reached: behind the post",
            "taken": [shown],
            "form": None,
            "none": None,
            "nothing": "",
            "said": None,
            "more": False,
        },
    ]


def owner() -> Json:
    """The owner's part of the handover, signed once by drawing."""
    return {
        "href": "owner.html",
        "signed": {
            "text": "Signed by Cal Owner (drawn on the screen), written down by Ana Example",
            "words": "The lower lock is stiff.",
            "picture": {
                "title": "Signature",
                "description": "Signature drawn by Cal Owner",
                "width": 600,
                "height": 200,
                "shapes": [{"kind": "polyline", "class": "p-ink", "points": "10,20 200,150"}],
            },
        },
    }


def sheet_context() -> Json:
    """The sheet of an opening that is not ready, answered once before."""
    fields = {"choice": "", "name": "", "consent": "", "strokes": "", "words": ""}
    answer = dict(owner()["signed"], choice="Corrected by others", later="Readings changed.")
    return {
        "page": page("Is the opening ready?", "B1"),
        "title": "Substrate and opening",
        "result": "Of 5 checks, within: 1; out or too close to call: 2; "
        "not measured or not reached: 2.",
        "drawing": "S-101, revision B",
        "picture_of": None,
        "checks": [dict(check, surveyed=check["id"] == "sill-room") for check in checks()[:3]],
        "unmeasured": checks()[2:3],
        "within": checks()[1:2],
        "photos": photos(),
        "answer": answer,
        "form": {
            "form": form("sheet", error="Choose one.", **fields),
            "text": "What the builder answers",
            "statement": "I have seen these figures.",
            "choices": [choice("others", "Corrected by others"), choice("no", "Declined")],
        },
    }


def decision(**more: Any) -> Json:
    """A decision of the builder's."""
    found = {
        "id": "builder",
        "form": form("decide-builder", choice="", name="", words=""),
        "text": "What did the builder decide about the opening?",
        "choices": [
            choice("others", "Corrected by others"),
            choice("extra", "Corrected by us, as extra"),
            choice("direction", "Builder's written direction: go on"),
        ],
        "name": True,
        "words": True,
        "made": "",
        "made_words": "",
        "sheet": "sheet.html",
    }
    found.update(more)
    return found


def tasks() -> list[Json]:
    """Tasks, ticked and not."""
    texts = [
        "Make safe: the open wall is guarded",
        "Slab scanned for tendons, tubes, wiring",
        "Laser checked: turned end for end, same mark",
        "Sound and dry where the door will stand",
    ]
    return [
        {
            "id": f"t{n}",
            "form": form(f"tick-t{n}"),
            "earlier": form(f"earlier-t{n}", at="") if n == 2 else None,
            "text": text,
            "done": n == 1,
            "by": "Ana Example, 2 March, 9:50" if n == 1 else "",
        }
        for n, text in enumerate(texts)
    ]


def points() -> list[Json]:
    """Points of a step."""
    return [
        point_row(
            "room",
            "Sill, room-side line",
            "12 of 17",
            "out",
            worst='8 ft from LEFT jamb: 3/16" LOW',
        ),
        point_row("weather", "Sill, weather-side line", "17 of 17", "within", done=True),
        point_row("diagonals", "Diagonals of the opening", "0 of 2", "missing", tool="tape"),
        point_row(
            "moisture",
            "Moisture of the timber",
            "3 of 3",
            "info",
            info=True,
            done=True,
            tool="meter",
        ),
        point_row("head", "Head, level", "5 of 5", "none", stale=True),
    ]


def point_row(name: str, title: str, progress: str, kind: str, **more: Any) -> Json:
    """One point of the list."""
    row = {
        "id": name,
        "href": "point.html",
        "title": title,
        "tool": "laser and rule",
        "progress": progress,
        "done": False,
        "open": True,
        "badge": badge(kind),
        "worst": "",
        "info": False,
        "opened": "",
        "stale": False,
    }
    row.update(more)
    return row


def ready_context() -> Json:
    """A step for each panel, ready to be signed."""
    context = step_context()
    context.update(
        {
            "page": page("E Panel setting, panel B", "Steps"),
            "step": step_row("E", "Panel setting", "ready", "ready to be signed"),
            "panel_title": "Panel B",
            "panels": [
                {
                    "href": "",
                    "letter": "A",
                    "state": "signed",
                    "state_text": "signed",
                    "here": False,
                },
                {"href": "", "letter": "B", "state": "ready", "state_text": "ready", "here": True},
                {
                    "href": "",
                    "letter": "C",
                    "state": "open",
                    "state_text": "2 of 6 readings",
                    "here": False,
                },
                {
                    "href": "",
                    "letter": "D",
                    "state": "barred",
                    "state_text": "barred",
                    "here": False,
                },
            ],
            "caution": {
                "texts": ["Slabs may hide tendons, heating tubes and wiring: scan first."],
                "reminders": [],
                "line": "Cautions: read today, 2 Mar 2026, 7:42",
                "card": "next.html",
            },
            "notes": [],
            "decisions": [
                decision(
                    made="Corrected by others: said by Cal Builder, 2 March, 10:02",
                    made_words="Slab contractor comes back on Tuesday.",
                )
            ],
            "checks": [checks()[1]],
            "bars": [],
            "signoff": {
                "shared": True,
                "pin": True,
                "form": form("sign", confirm=""),
                "name": "Ana Example",
                "statement": "Panel B stands on its rollers, its anti-lift is "
                "in, and what was measured is within its limits.",
            },
        }
    )
    return context


def signed_context(good: bool) -> Json:
    """A step that was signed; good says whether the signature still holds."""
    context = ready_context()
    text = "Signed by Ana Example, 2 March, 15:10"
    why = [] if good else ["Since then the overlap was measured again and is out."]
    context.update(
        {"signoff": None, "bars": [] if good else [link('Overlap, low: 1/16" over its limit')]}
    )
    context["signed"] = {
        "text": text,
        "good": good,
        "why": why,
        "verdicts": "As signed: 4 within, 1 conceded.",
    }
    return context
