"""A step on two screens of a phone: what is out first, what is left, one line for all the rest.

`?show=all` of the same path has everything. Nothing is listed twice: what is listed as left bars
the sign-off as well, and is not said there again.
"""

from app.core.kinds import Json
from app.core.pages import common, results
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.judge import Result
from app.core.record.state import State, Step
from app.core.trade.verdicts import MISSING, WITHIN

MOST_OUT = 1  # checks that say what to do; more are named, one line each
MOST_NAMED = 2
MOST_REMEDIES = 2
MOST_LEFT = 6  # things left, in the order of the work; fewer where something is out
MOST_LEFT_OUT = 2
MOST_BARS = 2
# bars that the lists of what is out and of what is left say already
UNDONE = ("task-open", "photo-open", "not-measured")
LISTED = (
    "task-open",
    "photo-open",
    "decision-open",
    "not-measured",
    "check-out",
    "check-close",
    "check-conflict",
    "check-unreachable",
)


def short_part(request: Request, id: str, state: State, step: Step, whole: Json) -> Json:
    """Return what the short page shows beyond what it has in common with the whole one.

    whole: the context so far; its "points" are those that are still to be read.
    """
    judged = judge.results_of(state, step)
    bad = [result for result in judged if result.verdict not in (WITHIN, MISSING)]
    let_stand = [one for one in bad if one.conceded is not None or one.spoken is not None]
    out = [result for result in bad if result not in let_stand]
    left = _things_left(whole)
    undecided = [one for one in whole["decisions"] if not one["made"]]
    bars_now = gate.bars_of(state, step)
    early = any([bar.code in UNDONE for bar in bars_now])  # what is for information bars nothing
    if early:
        left.extend([_row("decision", one["text"], whole["whole"] + "#decision-" + one["id"])
                     for one in undecided])  # fmt: skip
    most = MOST_LEFT_OUT if out else MOST_LEFT
    bars = [
        shown
        for shown, bar in zip(whole["bars"], bars_now)
        if bar.code not in LISTED and (bar.code != "check-missing" or not early)
    ]
    return {
        "out": [
            _out_shown(request, id, state, step, whole["whole"], one) for one in out[:MOST_OUT]
        ],
        "out_text": request.say(Msg("To be put right: {count}", count=len(out))),
        "out_named": [_way_to(request, whole["whole"], one) for one in out[MOST_OUT:][:MOST_NAMED]],
        "conceded": [
            _conceded_shown(request, state, step, whole["whole"], one) for one in let_stand
        ],
        "out_more": _more_words(request, len(out) - MOST_OUT - MOST_NAMED),
        "form": request.make_form("ticks", "tick", state),
        "left": left[:most],
        "left_more": len(left) > most,
        "decisions": [] if early else undecided,
        "bars": bars[:MOST_BARS],
        "bars_more": _more_words(request, len(bars) - MOST_BARS),
        "done": _done_words(
            request,
            len([task for task in whole["tasks"] if task["done"]]),
            len(asked_here(state, step)) - len(whole["points"]),
            len([result for result in judged if result.verdict == WITHIN]),
        ),
        "moved": "" if out or not step.data["adjustments"] else whole["whole"] + "#moved-title",
    }


def _things_left(whole: Json) -> "list[Json]":
    """Return a row for each thing that is left but for decisions, in the order of the work."""
    out = []
    for task in whole["tasks"]:
        if not task["done"]:
            row = _row("task", task["text"])
            row["with"] = _said_by_button(task["form"])
            row["id"] = task["id"]
            out.append(row)
    out.extend(
        [
            _row("photo", task["text"], whole["whole"] + "#photos-" + task["id"])
            for task in whole["photos"]
            if task["more"] and not task["taken"] and not task["said"]
        ]
    )
    for point in whole["points"]:
        if not point["info"]:
            row = _row("point", point["title"], point["href"])
            row["note"] = point["opened"]
            row["stale"] = point["stale"]
            row["far"] = point["progress"]
            out.append(row)
    return out


def _row(kind: str, text: str, href: str = "") -> Json:
    return {"kind": kind, "text": text, "href": href, "note": "", "stale": False, "far": ""}


def _said_by_button(form: Json) -> str:
    """Return what is a task's own in its form, for a button of the one form of all: see Request."""
    own = ("id", "form", "task", "done")
    pairs = [one["name"] + "=" + one["value"] for one in form["hidden"] if one["name"] in own]
    return "&".join(pairs)


def _out_shown(
    request: Request, id: str, state: State, step: Step, whole: str, result: Result
) -> Json:
    """Return a check that is out: the first thing it says, what to do, and the way to all of it."""
    words = results.check_words(request, id, state, step, result)
    shown = _way_to(request, whole, result)
    shown["says"] = words["says"][:1]
    shown["remedies"] = words["remedies"][:MOST_REMEDIES]
    shown["more"] = _more_words(request, len(words["remedies"]) - MOST_REMEDIES)
    return shown


def _way_to(request: Request, whole: str, result: Result) -> Json:
    return {
        "id": result.check["id"],
        "title": request.say(Msg(result.check["title"])),
        "badge": common.verdict_badge(request, result.verdict),
        "href": whole + "#check-" + result.check["id"],
    }


def _conceded_shown(request: Request, state: State, step: Step, whole: str, result: Result) -> Json:
    """Return a check that is out and stays so, with who let it stand: it bars nothing any more."""
    shown = _way_to(request, whole, result)
    shown["done"] = results.done_about(request, state, step, result)[-1:]
    return shown


def _more_words(request: Request, count: int) -> str:
    """Return that so many more are not listed; "" for none."""
    return request.say(Msg("and {count} more", count=count)) if count > 0 else ""


def asked_here(state: State, step: Step) -> "list[Json]":
    """Return the points of a step that are asked and that this door has places for."""
    return [
        point
        for point in judge.asked_points(state, step)
        if state.places(point["id"], state.panel_for(point["id"], step.panel))
    ]


def _done_words(request: Request, ticked: int, read: int, within: int) -> str:
    """Return the one line for all that is done and within."""
    words = Msg(
        "Tasks done: {ticked}. Lists read: {read}. Checks within: {within}.",
        ticked=ticked,
        read=read,
        within=within,
    )
    return request.say(words)
