"""A procedure as the crew will see it on a given door, and the sheet to write on by hand.

A state is made of nothing but an issue: the core's own pieces then show steps, places and limits.
"""

from pathlib import Path

import yaml
from sqlmodel import Session, col, select

from app.core.errors import MissingError
from app.core.kinds import Json
from app.core.pages import common, results
from app.core.pages.request import Request as Asked
from app.core.quantity.messages import Msg, Plural
from app.core.record import clocks, judge
from app.core.record.events import VERSION
from app.core.record.state import State, Step
from app.office.procedures.limit_changes import RANK_WORDS
from app.procedures.drawings import drawing_json
from app.store import log
from app.store.procedures import key_of
from app.store.tables import Job, Opening

EXAMPLES = Path(__file__).resolve().parents[3] / "seed_data" / "demo" / "drawings"
SHOWN = "shown"  # the opening that is only looked at


def example_drawing(door: str) -> Json | None:
    """Return a drawing of ours of a kind of door, or None where there is none."""
    for path in sorted(EXAMPLES.glob("*.yaml")):
        drawing: Json = drawing_json(yaml.safe_load(path.read_text(encoding="utf-8")))
        if drawing["door"] == door:
            return drawing
    return None


def drawing_for(session: Session, procedure: Json, opening: str, known: dict[str, Json]) -> Json:
    """Return the drawing to show a procedure on: an opening's, or an example.

    Errors: MissingError 'opening-unknown', 'no-example'.
    """
    if opening:
        events = log.events_of(session, [opening])[opening]
        return dict(State(events, known).drawing.data)
    for door in procedure["doors"]:
        found = example_drawing(door)
        if found is not None:
            return found
    raise MissingError("no-example", Msg("There is no example of that kind of door."))


def openings_to_show(session: Session, chosen: str, most: int = 20) -> list[Json]:
    """Return choices of openings whose drawing a procedure can be shown on, newest first."""
    wanted = select(Opening, Job.title).join(Job, col(Job.id) == Opening.job)
    rows = session.exec(wanted.order_by(col(Opening.id).desc()).limit(most))
    return [
        common.form_choice(one.id, f"{job} {one.letter} {one.room}", one.id == chosen)
        for one, job in rows
    ]


def state_of(procedure: Json, drawing: Json) -> State:
    """Return an opening that has just been issued with a procedure and a drawing."""
    body = {"procedure": procedure["id"], "version": procedure["version"], "drawing": drawing}
    issue = {
        "id": "shown", "device": "office-shown", "opening": SHOWN, "n": 1, "prev": "", "seen": {},
        "turn": 1, "at": "1970-01-01", "person": "", "kind": "opening.issued", "body": body,
        "v": VERSION,
    }  # fmt: skip
    return State([issue], {key_of(procedure): procedure})


def steps_shown(asked: Asked, state: State) -> list[Json]:
    """Return every step for a template; one that is done panel by panel for its first panel."""
    first: dict[str, Step] = {}
    for step in state.steps:
        first.setdefault(step.id, step)
    return [_step_sheet(asked, state, step) for step in first.values()]


def _step_sheet(asked: Asked, state: State, step: Step) -> Json:
    say = asked.say
    panels = [one.panel for one in state.steps if one.id == step.id and one.panel]
    data = step.data
    return {
        "id": step.id,
        "title": say(Msg(data["title"])),
        "about": say(Msg(data["about"])) if data.get("about") else "",
        "hold": step.hold,
        "panels": ", ".join(panels),
        "panel": step.panel,
        "cautions": [say(Msg(text)) for text in data["cautions"]],
        "tasks": [
            {"text": say(Msg(task["text"])), "photo": task["kind"] == "photo"}
            for task in state.tasks(step)
        ],
        "decisions": [
            {
                "text": say(Msg(one["text"])),
                "choices": [say(Msg(c["text"])) for c in one["choices"]],
            }
            for one in data["decisions"]
        ],
        "points": [_point_sheet(asked, state, step, point) for point in data["points"]],
        "checks": [
            _check_sheet(asked, state, step, result) for result in _all_results(state, step)
        ],
        "adjustments": [say(Msg(one["text"])) for one in data["adjustments"]],
    }


def _all_results(state: State, step: Step) -> list[judge.Result]:
    """Return the checks of a step on this door, and the clocks that may come to run."""
    return [
        judge.result_of(state, check, step.panel)
        for check in step.data["checks"]
        if clocks.is_clock(check) or check in judge.checks_of(state, step)
    ]


def _point_sheet(asked: Asked, state: State, step: Step, point: Json) -> Json:
    places = state.places(point["id"], state.panel_for(point["id"], step.panel))
    return {
        "title": asked.say(Msg(point["title"])),
        "tool": asked.say(Msg(point["tool"])),
        "hint": asked.say(Msg(point["hint"])) if point.get("hint") else "",
        "info": bool(point.get("info")),
        "count": asked.say(Plural("{count} place", "{count} places").of(len(places))),
        "places": [asked.say(place.title) for place in places],
    }


def _check_sheet(asked: Asked, state: State, step: Step, result: judge.Result) -> Json:
    shown = results.result_shown(asked, SHOWN, state, step, result)
    limit = shown["limit"]
    silent = [one for one in result.limits if one["value"] is None]
    acts = result.check.get("clock") or {}
    titles = {input: clocks.act_title(state.procedure, acts[input]) for input in acts}
    return {
        "title": shown["title"],
        "limit": limit,
        "acts": asked.say(Msg("from “{start}” to “{end}”", **titles)) if acts else "",
        "silent": asked.say(Msg("the drawing is silent")) if silent and not limit else "",
        "basis": shown["basis"],
        "reason": shown["reason"],
        "rank": asked.say(RANK_WORDS[result.check["rank"]]),
    }


def survey_sheet(asked: Asked, state: State, wanted: str) -> list[Json]:
    """Return the blank survey sheet: every place of every point with its limits and room to write.

    wanted: a step's key, or "" for all steps. Errors: MissingError 'step-unknown'.
    """
    steps = [state.step(wanted)] if wanted else state.steps
    return [
        {
            "id": step.id,
            "title": asked.say(step.title),
            "points": [_sheet_lines(asked, state, step, p) for p in step.data["points"]],
        }
        for step in steps
        if _has_places(state, step)
    ]


def _has_places(state: State, step: Step) -> bool:
    return any(
        state.places(p["id"], state.panel_for(p["id"], step.panel)) for p in step.data["points"]
    )


def _sheet_lines(asked: Asked, state: State, step: Step, point: Json) -> Json:
    panel = state.panel_for(point["id"], step.panel)
    return {
        "title": asked.say(Msg(point["title"])),
        "tool": asked.say(Msg(point["tool"])),
        "hint": asked.say(Msg(point["hint"])) if point.get("hint") else "",
        "limits": limits_at(asked, state, step, point["id"]),
        "how": asked.say(HOW[point["how"]]),
        "level": point["how"] == "level",
        "places": [asked.say(place.title) for place in state.places(point["id"], panel)],
    }


HOW = {
    "plain": Msg("As read"),
    "level": Msg("From the level line. Tick one: down from the beam, up from the line"),
    "plumb": Msg("From the plumb line to the jamb"),
}


def limits_at(asked: Asked, state: State, step: Step, point: str) -> list[str]:
    """Return what is asked of a point: the limits of the checks that look at it."""
    out = []
    for result in judge.results_of(state, step):
        if judge.is_about(result.check, point):
            text = results.limit_text(asked, result)
            words = Msg("{check}: {limit}", check=Msg(result.check["title"]), limit=text)
            out.append(asked.say(words if text else Msg(result.check["title"])))
    return out
