"""Contexts of the desk: the board, jobs, a drawing, lists; the words are invented."""

from typing import Any

from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.office.issue import reading, shown
from app.office.issue.practising import fault_fields, way_field
from app.office.learn.charts import ChartBar, bar_chart
from app.office.pages import form_field, summary_of
from tests.pages import sample_pictures
from tests.pages.opening_samples import setout_parts
from tests.pages.shapes import choice, form, link, page

Json = dict[str, Any]
WAYS = [
    {"href": "board.html", "text": "Board", "here": True},
    {"href": "jobs.html", "text": "Jobs", "here": False},
]
TYPED = {
    "number": "S-101",
    "door": "stacking",
    "lock": "left",
    "rule": "simple",
    "panel_1_kind": "X",
    "panel_1_track": "1",
    "panel_1_width": '40"',
    "panel_1_height": '80"',
    "panel_1_lead": "yes",
    "panel_2_kind": "O",
    "panel_2_track": "2",
    "panel_2_width": '40"',
    "panel_2_height": '80"',
    "frame_width": '82"',
    "jamb_face": '1 1/2"',
    "interlock_overlap": '1"',
    "tracks": "2",
}


def desk(title: str, **more: Any) -> Json:
    """What every page of the desk is given."""
    return {"page": page(title, where=False), "ways": WAYS, **more}


def board_row(id: str, state: str = "open") -> Json:
    """One opening on the board."""
    return {
        "id": "o-" + id,
        "href": "review.html",
        "letter": "A",
        "room": "Great room",
        "title": "Example Lane",
        "address": "12 Example Lane, Sampleton",
        "state": state,
        "state_text": "under way",
        "practice": "Practice: not a door that is set" if state == "new" else "",
        "step": "Next: B1 Substrate",
        "progress": "1 of 13 signed",
        "flags": [
            {"text": "3 out", "href": "review.html#look-title"},
            {"text": "1 without an answer", "href": "review.html#queries-title"},
        ],
        "until": "waiting until 2 Mar 2026, 14:05: Water stands in the pan",
        "heard": "2 Mar 2026, 14:05",
        "crew": "Ana Example, Bo Sample",
        "picture": None if state == "broken" else sample_pictures.progress(),
    }


def board_context(**more: Any) -> Json:
    """The board."""
    filters = [
        {"href": "board.html", "text": "All", "count": "2", "here": True},
        {"href": "board.html", "text": "Out of tolerance", "count": "1", "here": False},
    ]
    context = desk(
        "Board",
        asked={"show": "", "find": "example", "sort": "urgent"},
        filters=filters,
        crews=[choice("ana", "Ana Example", True)],
        sorts=[choice("urgent", "Most urgent first", True), choice("job", "By job")],
        rows=[board_row("a"), board_row("b", "broken")],
        next="board.html",
        first="board.html",
        empty="",
    )
    context.update(more)
    return context


def drawing_form(texts: Json, refused: bool = False, **more: Any) -> Json:
    """The form of a drawing, with what was typed."""
    speaker = Speaker()
    terms = reading.terms_of("in", None)
    drawn = reading.read_drawing(texts, terms)
    sheet = shown.door_form(speaker, texts, terms, drawn if refused else None)
    place = [form_field("letter", "Letter of the opening", "", error="Give it." if refused else "")]
    context = desk(
        "New opening",
        form=form("form"),
        heading="New opening",
        job={"title": "Example Lane", "href": "job.html"},
        place=place,
        depth=form_field("depth", "How much is measured", "short", kind="select"),
        depth_is="How much is measured: Short",
        way=way_field(speaker.say, {}, ""),
        faults=fault_fields(speaker.say, {"fault_1_kind": "head-sags"}, {}),
        planted=True,
        sheet=sheet,
        errors=summary_of(place) + sheet["errors"],
        crew=[form_field("crew.ana", "Ana Example", "yes", kind="check")],
        revising=None,
        copies=[choice("t", "Template: Slim"), choice("a", "Example Lane A Great room")],
        begun="From the template Slim, kept 2 Mar 2026: the maker's sheet.",
        preview=shown.drawing_preview(speaker, drawn),
        preview_at="preview.html",
        rows="6",
        units="A number without a unit is in inches.",
        send="Issue this opening",
    )
    context.update(more)
    return context


def shop_upload_context(**more: Any) -> Json:
    """The form of a shop drawing, with a page of the one that is kept."""
    shown_page = {"src": "photo-1.jpg", "width": 2200, "height": 1700, "text": "Page 1 of 1"}
    context = desk(
        "Shop drawing",
        heading="Shop drawing of opening A",
        job={"title": "Example Lane", "href": "job.html"},
        pages=[shown_page],
        form=form("form"),
        remove=form("remove"),
    )
    context.update(more)
    return context


def revising() -> Json:
    """The form of a drawing that changes."""
    context = drawing_form(TYPED)
    why = form_field("why", "Why the drawing changes", "The header is lower.", kind="area")
    context.update(
        {
            "revising": {"fields": [why], "room": "Great room"},
            "place": [],
            "crew": [],
            "copies": [],
            "faults": [],
            "planted": False,
        }
    )
    context["begun"] = ""
    context["page"] = page("Drawing", where=False)
    context["preview"]["breaks"] = ["B1 Substrate and opening"]
    needed = {"text": "Sill member, length as cut", "href": "#f-sill-length", "after": ""}
    context["preview"]["stops"] = {
        "title": "It can be issued, but the crew is stopped at: A",
        "lines": [{"title": "A Delivery check", "fields": [needed]}],
    }
    return context


def job_context() -> Json:
    """A job with two openings."""

    def opening(id: str, state: str) -> Json:
        box = form_field("crew.ana", "Ana Example", "yes", kind="check")
        return {
            "letter": id.upper(),
            "room": "Great room",
            "href": "review.html",
            "drawing": "drawing.html",
            "blank": "blank.html",
            "copy": "new.html" if state else "",
            "plan": "plan.html" if state else "",
            "practice": "Practice: not a door that is set" if state else "",
            "state": state,
            "state_text": "under way" if state else "not issued",
            "form": form("crew-" + id),
            "crew": [{**box, "id": box["id"] + id}],
            "on": "Ana Example",
        }

    job = {"title": "Example Lane", "address": "12 Example Lane", "homeowner": "A. Sample"}
    job.update(
        builder="Example Frames", contact="555-0142", change="change.html", depth="Everything"
    )
    job.update(close="close.html", closed="The owner sold the house.")
    openings = [opening("a", "open"), opening("b", "")]
    ways = {"add": "new.html", "out": "out.html", "setout": "setout.html"}
    ways["newer"] = [link("Move this job to Stacking door, version 2", "move.html")]
    return desk("Job", job=job, openings=openings, **ways)


def today_context(**more: Any) -> Json:
    """What today needs, and the week: two crews, one opening that is moved."""

    def day(text: str, *cards: Json) -> Json:
        move = form("move-" + text, crew="c1")
        return {
            "day": text,
            "date": "2026-03-02",
            "today": text == "Mon 2 Mar",
            "cards": list(cards),
            "move": move,
        }

    card = {
        "id": "o-a",
        "opening": "a",
        "href": "plan.html",
        "move": "today.html",
        "movable": True,
        "text": "Example Lane A",
        "more": "at B1, late",
        "kind": "late",
    }
    crew = {
        "id": "c1",
        "name": "Heron",
        "href": "crew.html",
        "load": "load.html",
        "people": "Ana Example +1",
    }
    week = {
        "days": [{"text": "Mon 2 Mar", "today": True}, {"text": "Tue 3 Mar", "today": False}],
        "crews": [{**crew, "days": [day("Mon 2 Mar", card), day("Tue 3 Mar")]}],
        "earlier": "today.html",
        "later": "today.html",
        "moving": "Example Lane A",
        "plan": "plan.html",
        "unplanned": [link("Example Lane B Porch", "plan.html")],
        "lifting": ["2 Mar 2026: Example Lane A, panel C weighs 268 lb: a rated lifting aid"],
    }
    need = {"title": "Example Lane A: 3 checks out", "more": "step B1 Substrate", "href": "r.html"}
    needs = [{**need, "button": "See and decide", "urgent": True}]
    more_links = [link("9 questions in all", "items.html")]
    return desk("Today", **{"needs": needs, "more": more_links, "week": week, **more})


def plan_samples() -> dict[str, tuple[str, Json]]:
    """Today and the week, crews, what to load, the office's other pages."""
    rows = [{"href": "crew.html", "name": "Heron", "people": "Ana Example, Bo Sample",
             "later": ["From 9 Mar 2026: Bo Sample"]}]  # fmt: skip
    box = form_field("crew.ana", "Ana Example", "yes", kind="check")
    fields = [form_field("first", "From this day on", "2026-03-02", kind="date")]
    crew = {
        "form": form("form", id="x"),
        "fields": fields,
        "crew": [box],
        "ends": True,
        "calendar": "calendar.html",
    }
    empty = {"days": [], "crews": [], "earlier": "t.html", "later": "t.html", "moving": "",
             "plan": "", "unplanned": [], "lifting": []}  # fmt: skip
    load = {**job_setout_context(), "page": page("What to load", where=False)}
    load = {**load, "job": {"title": "Heron", "address": "Week of 2 Mar 2026"}}
    place = {**link("Procedures", "procedures.html"), "about": "Steps, points and limits."}
    return {
        "today": ("office/today.html", today_context()),
        "today-none": ("office/today.html", today_context(needs=[], more=[], week=empty)),
        "crews": (
            "office/crews.html",
            desk("Crews", crews=rows, ended=[link("Plover", "crew.html")]),
        ),
        "crews-none": ("office/crews.html", desk("Crews", crews=[], ended=[])),
        "crew": (
            "office/crew.html",
            desk("Crew", errors=[], about="", kept=False, button="Keep this crew", **crew),
        ),
        "load": ("office/load.html", load),
        "load-none": ("office/load.html", {**load, "parts": [], "sums": []}),
        "calendars": (
            "office/calendars.html",
            desk(
                "Calendar",
                fresh="a link",
                make=form("make"),
                links=[
                    {"text": "Made 2 Mar 2026 by Dee Sample", "end": form("end")},
                    {"text": "Made 1 Mar 2026 by Dee Sample, ended 2 Mar 2026", "end": None},
                ],
            )
            | {"title": "Heron"},
        ),
        "index": ("office/index.html", desk("Company", places=[place])),
        "learn": ("office/learn.html", learn_context()),
        "learn-none": (
            "office/learn.html",
            learn_context(first=[], last=[], crews=[], nothing="No accepted door is counted yet."),
        ),
    }


def learn_context(**more: Any) -> Json:
    """What doors teach: a table with its chart, a wide one, one without rows."""
    month = {"value": "2026-03", "text": "Mar 2026", "chosen": True}
    crew = {"value": "c1", "text": "Heron", "chosen": False}
    bar = ChartBar("Example", "90 %", 900, 100, 500)
    table = {
        "id": "months",
        "title": "Within at first, by month",
        "about": "Each door counts in its month.",
        "head": ["Month", "Within at first"],
        "named": False,
        "rows": [{"first": "Mar 2026", "cells": ["90 % (9 of 10)"]}],
        "more": "2 more rows are in the CSV.",
        "chart": bar_chart(Speaker(), Msg("By month"), [bar]),
        "wide": False,
        "csv": "months.csv",
    }
    wide = {**table, "id": "crews", "named": True, "wide": True, "more": ""}
    empty = {**table, "id": "returns", "rows": [], "chart": None, "more": ""}
    words = {"doors": "10 accepted doors", "waiting": "1 is not counted yet.", "few": "Few."}
    words["nothing"] = ""
    choices = {"first": [month], "last": [month], "crews": [crew]}
    context = desk("What doors teach", tables=[table, wide, empty], **words, **choices)
    return {**context, **more}


def items_context(**more: Any) -> Json:
    """A list across openings."""
    item = {
        "href": "review.html",
        "opening": "A Great room",
        "job": "Example Lane",
        "mark": "P-A",
        "what": "leading panel A",
        "state": "damaged",
        "said": "A corner is chipped.",
        "name": "",
        "step": "bars E",
        "by": "Ana Example, 2 Mar 2026, 14:05",
    }
    items = [item, {**item, "mark": "", "name": "Said by Cal Builder"}]
    context = desk("Parts to reorder", items=items, empty="", name="parts", next="x")
    context.update({"title": "Parts to reorder", **more})
    return context


def intake_context(state: str, **more: Any) -> Json:
    """A file on its way in."""
    line = {"row": "3", "column": "room", "letter": "E", "text": "This cell is empty."}
    row = {"job": "Example Lane", "letter": "A", "room": "Hall", "drawing": "S-1", "panels": "XO"}
    context = desk("Import a file", form=form("form"), piece="state.html", here="intake.html")
    context.update({"name": "doors.csv", "state": state, "busy": state in ("reading", "taking")})
    context.update({"done": "3", "total": "10", "progress": "3 of 10 rows read", "wrong": [line]})
    context.update({"wrong_count": "1 cell is wrong.", "more": "and 7 more", "rows": [row]})
    context.update({"ready": "3 openings in 1 job.", "made": "3 openings were issued.", **more})
    return context


def job_setout_context() -> Json:
    """The set-out of a whole job, to print."""
    job = {"title": "Example Lane", "address": "12 Example Lane, Sampleton"}
    return desk("Layout of the job", job=job, **setout_parts())


def desk_samples() -> dict[str, tuple[str, Json]]:
    """Every page of the desk in the states that it can show."""
    jobs = [{"href": "job.html", "title": "Example Lane", "address": "12 Example Lane"}]
    names = [form_field("title", "Name of the job", error="Give the job a name.")]
    make = desk("New job", form=form("form"), fields=names, errors=summary_of(names))
    make.update(about="", button="Make the job", kept=False)
    close = {**make, "page": page("Close this job", where=False)}
    more = {"find": "lane", "after": "x"}
    columns = [{"name": "room", "text": "the room"}]
    choose = desk("Take in", form=form("form", "Choose a file first."), columns=columns)
    links = {name: name + ".csv" for name in ("openings", "readings", "records", "all")}
    return {
        **plan_samples(),
        "take-in": ("office/take_in.html", choose),
        "intake-reading": ("office/intake.html", intake_context("reading")),
        "intake-wrong": ("office/intake.html", intake_context("wrong")),
        "intake-ready": ("office/intake.html", intake_context("ready")),
        "intake-done": ("office/intake.html", intake_context("done")),
        "take-out": ("office/take_out.html", desk("Take out", links=links, of="")),
        "take-out-job": ("office/take_out.html", desk("Take out", links=links, of="Example Lane")),
        "board": ("office/board.html", board_context()),
        "board-empty": ("office/board.html", board_context(rows=[], empty="No opening is so.")),
        "items": ("office/items.html", items_context()),
        "items-none": ("office/items.html", items_context(items=[], empty="None.", next="")),
        "jobs": ("office/jobs.html", desk("Jobs", find="lane", show="", jobs=jobs, next=more)),
        "jobs-none": ("office/jobs.html", desk("Jobs", find="", show="closed", jobs=[], next=None)),
        "job-new": ("office/form.html", make),
        "job-close": ("office/job_close.html", close),
        "job": ("office/job.html", job_context()),
        "job-setout": ("office/setout.html", job_setout_context()),
        "job-setout-none": ("office/setout.html", {**job_setout_context(), "parts": []}),
        "templates": (
            "office/templates.html",
            desk(
                "Door templates",
                templates=[
                    {
                        "name": "Slim",
                        "why": "The maker's sheet.",
                        "about": "XXO seen",
                        "end": form("end"),
                    },
                    {
                        "name": "Wide",
                        "why": "",
                        "about": "XO seen from outside",
                        "end": form("end"),
                    },
                ],
            ),
        ),
        "shop": ("office/shop.html", shop_upload_context()),
        "shop-none": ("office/shop.html", shop_upload_context(pages=[], remove=None)),
        "templates-none": ("office/templates.html", desk("Door templates", templates=[])),
        "drawing-new": ("office/opening_form.html", drawing_form({})),
        "drawing-typed": ("office/opening_form.html", drawing_form(TYPED)),
        "drawing-refused": (
            "office/opening_form.html",
            drawing_form({**TYPED, "panel_1_width": "4//0"}, refused=True),
        ),
        "drawing-revised": ("office/opening_form.html", revising()),
    }
