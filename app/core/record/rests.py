"""What of drawing and procedure a step rests on: a change beside it leaves its sign-off alone.

A step rests on all that the drawing gives, but for:

* what only names the drawing (NAMES);
* a field that nothing but a limit ever asks for (ONLY_LIMITS), unless the step names it;
* the drawing's own limits for other steps' checks;
* the parts that other steps wait for, unless the step goes through the parts list.

Of the procedure it rests on the step itself, but for the words about it (WORDS), and on the points
of other steps that its checks look at.

In doubt a field counts: a sign-off that breaks for nothing costs a look, one that stands for
nothing costs a door.
"""

import json

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes
from app.core.record.events import has_seen
from app.core.record.state import State, Step, procedure_key

WORDS = ("title", "about", "cautions", "reminders")
NAMES = ("number", "revision", "author", "date")
# Nothing in the core reads these by name; a procedure's checks name them as their limits.
ONLY_LIMITS = (
    "sill_fall_least",
    "sill_fall_most",
    "side_gap_least",
    "side_gap_most",
    "stile_clearance",
    "stile_clearance_least",
    "stile_clearance_most",
    "head_engagement",
    "head_pocket",
    "lift_play_least",
    "lift_play",
    "panel_lift_least",
    "panel_lift_most",
    "foot_gasket",
    "handle_force",
    "hook_depth",
    "joint_width_least",
    "joint_width_most",
    "force_start",
    "force_move",
    "skin_time",
    "primer_time",
    "mortar_time",
)
_GROUPS = ("lengths", "counts", "amounts")


def drawing_of(state: State, step: Step) -> str:
    """Return the event since which nothing has changed of the drawing that a step rests on.

    The issue, or the last revision that touched the step: goes back from the drawing in force
    over those that its revision had seen. A function of the set of events alone.
    """
    found: Json = state.drawing_event
    drawn = [e for e in state.ledger.filed("drawing") if has_seen(found, e)]
    earlier = [e for e in drawn if e["id"] != found["id"]]
    if not earlier:
        return str(found["id"])
    own = rests_on(found["body"]["drawing"], step.data)
    for event in reversed(earlier):
        if rests_on(event["body"]["drawing"], step.data) != own:
            break
        found = event
    return str(found["id"])


def rests_on(drawing: Json, step: Json) -> Json:
    """Return the part of a drawing's JSON that a step (of the procedure) rests on."""
    named = json.dumps(step)
    out: Json = {name: drawing[name] for name in drawing if name not in NAMES}
    for group in _GROUPS:
        out[group] = _fields_that_count(drawing.get(group, {}), named)
    checks = [check["id"] for check in step["checks"]]
    limits = drawing.get("limits", {})
    out["limits"] = {name: limits[name] for name in limits if name.split(".")[0] in checks}
    parts = drawing.get("parts", [])
    out["parts"] = [p for p in parts if step.get("parts") or p["step"] in ("", step["id"])]
    return out


def _fields_that_count(values: Json, named: str) -> Json:
    """Return what of a group counts: no limit that the step does not name, nothing left open."""
    return {
        name: values[name]
        for name in values
        if values[name] and (name not in ONLY_LIMITS or '"' + name + '"' in named)
    }


def procedure_of(state: State, step: Step) -> str:
    """Return the procedure (id@version) since which nothing of a step has changed.

    Goes back from the one in force over those that the move to it had seen, as drawing_of does.
    """
    found: Json = state.procedure_event
    moves = [e for e in state.ledger.filed("procedure") if has_seen(found, e)]
    earlier = [state.issue] + [e for e in moves if e["id"] != found["id"]]
    if found["id"] == state.issue["id"]:
        return state.procedure_key
    own = step_of(state.procedure, step.id)
    key = state.procedure_key
    for event in reversed(earlier):
        before = state.procedures.get(procedure_key(event))
        if before is None or step_of(before, step.id) != own:
            break
        key = procedure_key(event)
    return key


def step_of(procedure: Json, id: str) -> bytes:
    """Return what a step of a procedure amounts to, as canonical bytes; b"" where it has none."""
    points = {point["id"]: point for step in procedure["steps"] for point in step["points"]}
    for step in procedure["steps"]:
        if step["id"] == id:
            own = {name: step[name] for name in step if name not in WORDS}
            looked = [
                check["points"][input] for check in step["checks"] for input in check["points"]
            ]
            return canonical_bytes([own, {point: points[point] for point in looked}])
    return b""
