"""Invented contexts of what the office keeps: procedures, instruments, the survey sheet, a job."""

from typing import Any

from app.office.pages import form_field, summary_of
from tests.pages import sample_pictures as drawn
from tests.pages.desk_samples import desk
from tests.pages.shapes import badge, choice, fact, form, link, page
from tests.pages.sheet_samples import debrief

Json = dict[str, Any]
WAY_FIELDS = {"first": "", "second": "1/8", "third": "", "fourth": "", "length": "", "other": ""}


def checking() -> list[Json]:
    """Two ways to check a tape: one refused, with its class asked for."""
    rows = [{"name": "first", "text": "This tape", "typed": "96"},
            {"name": "second", "text": "The other tape", "typed": "ninety"}]  # fmt: skip
    classes = [choice("I", "class I"), choice("II", "class II", True)]
    compared = {"form": form("compared", "“ninety” is not a length.", **WAY_FIELDS),
                "title": "Against another tape", "todo": "Measure one length with both tapes.",
                "rows": rows, "classes": classes, "limit": "Good within both classes."}  # fmt: skip
    known = {**compared, "form": form("known", **WAY_FIELDS), "title": "Against a known size",
             "classes": []}  # fmt: skip
    return [compared, known]


def check_rows() -> list[Json]:
    """A failed check that can be struck, a good one that came from elsewhere, a struck one."""
    row = {"text": "2 Mar 2026, 07:05", "who": "Ana Example", "typed": "96; 96 1/8",
           "badge": badge("out"), "says": ['1/8" apart; at most 1/32".', "Put it aside."],
           "strike": form("strike-c1", why=""), "struck": False}  # fmt: skip
    good = {**row, "badge": badge("within"), "says": ["level"], "strike": None, "typed": ""}
    return [row, good, {**good, "struck": True}]


def instrument_context(**more: Any) -> Json:
    """One instrument on the phone."""
    found = {
        "page": page("Tape T1: daily check", "Instruments"),
        "name": "Tape T1",
        "facts": [fact("What it is", 'tape, read to 1/16"'), fact("Judged with", '1/32"')],
        "checking": checking(),
        "checks": check_rows(),
    }
    return {**found, **more}


def lines() -> list[Json]:
    """Two lines of a list of instruments."""
    line = {"href": "t1.html", "name": "Tape T1", "facts": "tape, class II", "retired": False,
            "check": "checked 2 Mar 2026", "badge": badge("within")}  # fmt: skip
    return [line, {**line, "href": "l2.html", "name": "Laser L2", "retired": True,
                   "check": "no daily check yet", "badge": badge("missing")}]  # fmt: skip


def step() -> Json:
    """A step of a procedure, as the crew will see it."""
    point = {"title": "Sill, room-side line", "tool": "laser", "hint": "along the edge",
             "info": False, "count": "2 places", "places": ["LEFT jamb", "1 ft"]}  # fmt: skip
    check = {"title": "Highest to lowest", "limit": 'at most 1/4"', "silent": "",
             "acts": "from “first” to “last”",
             "basis": "company", "reason": "rollers bind", "rank": "never conceded"}  # fmt: skip
    return {
        "id": "B1", "title": "Substrate", "about": "Before the pan.", "hold": True,
        "panels": "A, B", "panel": "A", "cautions": ["A fall edge."],
        "tasks": [{"text": "Make safe", "photo": True}, {"text": "Scan", "photo": False}],
        "decisions": [{"text": "Ready?", "choices": ["Go", "Wait"]}],
        "points": [point, {**point, "title": "String", "info": True, "hint": "", "places": []}],
        "checks": [check, {**check, "limit": "", "silent": "the drawing is silent", "reason": ""}],
        "adjustments": ["A roller was turned"],
    }  # fmt: skip


def procedure_context(**more: Any) -> Json:
    """A version of a procedure."""
    found = desk(
        "A procedure", heading="Stacking door, version 2", key="stacking-door@2",
        digest="0" * 64, in_force=False, force="force",
        acts=["2 Mar 2026: Oda put version 1 in force (no change of a limit)"],
        door="stacking door, 3 panels",
        picture_of=drawn.elevation(), openings=[choice("o1", "A Kitchen", True)],
        others=[link("What differs from version 1", "compare.html")], move="openings.html",
        edit="edit.html",
        blank="", steps=[step()], nights=["Set-back of the sill, first place, 1/16 in"],
    )  # fmt: skip
    return {**found, **more}


def practice_context() -> Json:
    """What a trainer sees of an opening to practise on."""
    opening = {"letter": "P", "room": "Training bay", "href": "review.html"}
    over = "The trainee does not see this until every step is signed."
    way = "At a table: the phone shows what each instrument reads."
    return desk("Practice", opening=opening, way=way, over=over, **debrief())


def draft_contexts() -> dict[str, tuple[str, Json]]:
    """A draft of a procedure: begun, its steps, a step, a form, what was typed for what is gone."""
    base = {**form_field("base", "Begin from", "1", error="Choose one."), "kind": "select",
            "choices": [choice("1", "version 1", True)]}  # fmt: skip
    begin = desk(
        "Change a procedure", heading="Stacking door", form=form("begin"), fields=[base],
        errors=summary_of([base]), back="p.html", kept=False, button="Begin a draft",
        about="A draft is a copy of a version's file.",
    )  # fmt: skip
    row = {"title": "B1 Substrate", "href": "step.html", "form": form("step-b1")}
    draft = desk(
        "Draft of a procedure", heading="Stacking door", base="It began from version 1.",
        by="Oda changed it last, 2 Mar 2026, 14:05", error="Something hangs on it.", rows=[row],
        add="new.html", whole="rest.html", force="force.html", file="file.html",
        drop=form("drop"), back="p.html",
    )  # fmt: skip
    limit = form_field("limit.most", "At most", "1/16", hint="with its unit",
                       error="“1/16” has no unit")  # fmt: skip
    beside = {"page": "Sill survey", "doors": [choice("o1", "A Kitchen", True)],
              "problems": ["B1 Substrate, “Gap”: unknown point “gap”"], "fields": []}  # fmt: skip
    part = {"title": "Gap", "links": [link("Words", "words.html")], "form": form("part-gap")}
    kinds = [{"title": "Checks", "parts": [part], "add": "new.html", "add_text": "Add a check"},
             {"title": "Clocks", "parts": [part], "add": "", "add_text": ""}]  # fmt: skip
    own = [link("Cautions", "cautions.html")]
    step_shown = desk("A step", heading="B1 Substrate", error="", own=own, kinds=kinds,
                      back="draft.html", beside={**beside, "problems": []})  # fmt: skip
    shown = desk(
        "Limits", form=form("form", "This was changed."), fields=[limit], part="Gap",
        errors=summary_of([limit]), step="B1 Substrate", back="step.html", try_at="try.html",
        beside=beside,
    )  # fmt: skip
    gone = desk("No longer there", why="It is gone.", back="draft.html",
                typed=[{"label": "text", "words": "Panels on wood"}])  # fmt: skip
    return {
        "draft-begin": ("office/draft_begin.html", begin),
        "draft": ("office/draft.html", draft),
        "draft-step": ("office/draft_step.html", step_shown),
        "draft-step-error": ("office/draft_step.html", {**step_shown, "error": "It hangs."}),
        "draft-form": ("office/draft_form.html", shown),
        "draft-new-step": ("office/draft_form.html", {**shown, "beside": None, "step": ""}),
        "draft-gone": ("office/draft_gone.html", gone),
    }


def blank_context() -> Json:
    """The survey sheet for paper."""
    point = {"title": "Sill, room-side line", "tool": "laser", "hint": "along the edge",
             "limits": ['Highest to lowest: at most 1/4"'], "how": "As read", "level": True,
             "places": ["LEFT jamb", "1 ft from LEFT jamb"]}  # fmt: skip
    steps = [{"id": "B1", "title": "Substrate",
              "points": [point, {**point, "level": False, "hint": "", "places": []}]}]  # fmt: skip
    return desk(
        "Blank survey sheet", letter="A", room="Kitchen", address="12 Example Lane",
        job="Example Lane", door="stacking door, 3 panels", drawing="S-101 B",
        procedure="Stacking door, version 2", picture_of=drawn.elevation(), here="blank.html",
        choices=[choice("B1", "B1 Substrate", True)], steps=steps,
    )  # fmt: skip


def moving_contexts() -> dict[str, tuple[str, Json]]:
    """The openings that could be moved, and one that is."""
    row = {"href": "move.html", "name": "A Kitchen", "under": "stacking-door@1",
           "state": "open", "state_text": "under way"}  # fmt: skip
    listed = desk("Openings to move", heading="Stacking door, version 2", back="p.html",
                  rows=[row], here="openings.html", next="x", many="many.html",
                  moved="Openings that were moved: 2.")  # fmt: skip
    why = {**form_field("why", "Why it is moved", error="Say why it is moved."), "kind": "area"}
    move = desk(
        "Move an opening", heading="Stacking door, version 2", opening="A Kitchen",
        back="openings.html", review="review.html", under="Stacking door, version 1",
        compare="compare.html", refused="", breaks=["A Delivery check"],
        errors=summary_of([why]), fields=[why], form=form("form", "It was moved since."),
        button="Move this opening", about="", kept=False,
    )  # fmt: skip
    line = {**row, "refused": "", "breaks": ["A Delivery check"]}
    more = {"id": "b", "breaks": []}
    stays = "This procedure is not for that kind of door."
    many = desk(
        "Move many openings", heading="Stacking door, version 2", back="openings.html",
        job={"title": "Example Lane", "href": "job.html"}, here="many.html",
        rows=[line, {**line, **more}, {**line, **more, "refused": stays}],
        next={"job": "j", "after": "x"}, sums=["Openings that would be moved: 2."],
        more="There are more.", errors=summary_of([why]), fields=[why],
        form=form("form", "It was."), button="Move openings: 2", about="", kept=False,
    )  # fmt: skip
    return {
        "procedure-many": ("office/procedure_many.html", many),
        "procedure-many-none": (
            "office/procedure_many.html",
            {**many, "rows": [], "button": "", "next": None, "job": None, "more": ""},
        ),
        "procedure-openings": ("office/procedure_openings.html", listed),
        "procedure-openings-none": (
            "office/procedure_openings.html",
            {**listed, "rows": [], "next": ""},
        ),
        "procedure-move": ("office/procedure_move.html", move),
        "procedure-move-none": ("office/procedure_move.html", {**move, "breaks": []}),
        "procedure-move-refused": (
            "office/procedure_move.html",
            {**move, "refused": "It is.", "button": ""},
        ),
    }


def procedure_contexts() -> dict[str, tuple[str, Json]]:
    """Procedures: the list, one taken in, one shown, two compared."""
    row = {"href": "p.html", "title": "Stacking door, version 2", "key": "stacking-door@2",
           "in_force": True, "openings": "2 open openings"}  # fmt: skip
    problem = {"line": "Line 3", "reason": "a step needs “title”", "words": "id: A"}
    new = desk("Import a procedure", form=form("form"), text="id: x", rows="8",
               problems=[problem, {**problem, "words": ""}], count="2 problems.")  # fmt: skip
    rows = [{"kind": "changed", "word": "changed", "text": "Check “Gap”, limit"},
            {"kind": "removed", "word": "removed", "text": "Task “Scan”"}]  # fmt: skip
    groups = [{"title": "", "rows": rows}, {"title": "B1 Substrate", "rows": rows}]
    limit = {"leaning": "laxer", "word": "laxer", "where": "B1 Substrate · Gap",
             "text": 'limit: at most 1/16" → at most 1/8"', "basis": "company limit",
             "reason": "It binds."}  # fmt: skip
    changes = {"limits": [limit, {**limit, "leaning": "other", "reason": ""}], "groups": groups,
               "all_new": "", "count": 2}  # fmt: skip
    compared = desk("Two versions compared", before="version 1", after="version 2",
                    back="p.html", **changes)  # fmt: skip
    why = {**form_field("why", "Why its limits change", error="Say why."), "kind": "area"}
    forced = desk(
        "Put a version in force", before="version 1", after="version 2", back="p.html", same=False,
        who="Limits change. An administrator may put it in force: Oda.", errors=summary_of([why]),
        fields=[why], form=form("form", "Look again."), button="Put it in force", about="",
        kept=False, is_draft=False, **changes,
    )  # fmt: skip
    first = {**forced, "before": "", "limits": [], "groups": [], "all_new": "It has 2 limits.",
             "button": "", "fields": [], "errors": [], "is_draft": True}  # fmt: skip
    return {
        "procedures": ("office/procedures.html", desk("Procedures", rows=[row], next="x")),
        "procedures-none": ("office/procedures.html", desk("Procedures", rows=[], next="")),
        "procedure-new": ("office/procedure_new.html", {**new, "problems": [], "text": ""}),
        "procedure-problems": ("office/procedure_new.html", new),
        "procedure": ("office/procedure.html", procedure_context()),
        "procedure-in-force": ("office/procedure.html", procedure_context(in_force=True)),
        "procedure-compare": ("office/procedure_compare.html", compared),
        "procedure-same": (
            "office/procedure_compare.html",
            {**compared, "groups": [], "limits": []},
        ),
        "procedure-force": ("office/procedure_force.html", forced),
        "procedure-force-first": ("office/procedure_force.html", {**first, "same": True}),
    }


def company() -> list[Json]:
    """The fields of the company."""
    return [
        form_field("name", "Name of the company", "Example Doors"),
        form_field("telephone", "Telephone that homeowners are to call", "555-0142"),
    ]


def keeping_samples() -> dict[str, tuple[str, Json]]:
    """Every page of what the office keeps, in the states that it can show."""
    one = {**instrument_context(), **desk("An instrument"), "retired": True, "badge": badge("out"),
           "change": "change.html", "here": "t1.html", "next": "x"}  # fmt: skip
    names = [form_field("name", "Name", error="Give the instrument a name.")]
    box = form_field("crew.ana", "Ana Example", "yes", kind="check")
    words = {"about": "", "button": "Keep the instrument", "kept": False}
    made = desk(
        "Add or change an instrument",
        form=form("form"),
        fields=names,
        errors=summary_of(names),
        **words,
    )
    ours = desk("Company details", form=form("form"), fields=company(), errors=[], **words)
    ours.update(about="Completion records say this.", button="Keep the company", kept=True)
    job = desk("Change a job", about="Phones take it.", button="Keep the job", kept=False,
               form=form("form"), back="job.html", fields=names, crew=[box],
               errors=summary_of(names))  # fmt: skip
    empty = {"page": page("Instruments", "Opening"), "lines": []}
    return {
        "instruments": ("field/instruments.html", {**empty, "lines": lines()}),
        "instruments-none": ("field/instruments.html", empty),
        "instrument": ("field/instrument.html", instrument_context()),
        "instrument-unchecked": ("field/instrument.html", instrument_context(checks=[])),
        "office-instruments": (
            "office/instruments.html",
            desk("Instruments", lines=lines(), next="x"),
        ),
        "office-instruments-none": (
            "office/instruments.html",
            desk("Instruments", lines=[], next=""),
        ),
        "office-instrument": ("office/instrument.html", one),
        "instrument-form": ("office/form.html", made),
        "company": ("office/form.html", ours),
        "job-change": ("office/job_change.html", job),
        "blank": ("office/blank.html", blank_context()),
        "office-practice": ("office/practice.html", practice_context()),
        **procedure_contexts(),
        **moving_contexts(),
        **draft_contexts(),
    }
