"""Small procedures by chance, cut out of a shipped one, so that a story ends in seconds.

Every check keeps its points, every adjustment something that it spoils. What the shipped file says
is not changed, but a step may be a hold point or not.
"""

from random import Random
from typing import Any

import yaml

from app.core.kinds import Json
from app.core.trade.drawing import Drawing
from app.core.where.places import places_of
from app.settings import SEED_DATA


def _plain(node: Any) -> Any:
    """Return what a file holds with true and whole numbers as such; every other word stays text."""
    if isinstance(node, dict):
        return {name: _plain(held) for name, held in node.items()}
    if isinstance(node, list):
        return [_plain(held) for held in node]
    if node in ("true", "false"):
        return node == "true"
    return int(str(node)) if str(node).isdigit() else node


def _shipped(name: str) -> Json:
    """Return a shipped procedure. The usual loader would take the limit `off` for a false."""
    text = (SEED_DATA / "procedures" / name).read_text(encoding="utf-8")
    made: Json = _plain(yaml.load(text, yaml.BaseLoader))  # noqa: S506  (it makes texts alone)
    return made


SHIPPED = _shipped("stacking-door.yaml")
LIFTING = _shipped("lift-and-slide-door.yaml")
BY_ID = {one["id"]: one for one in (SHIPPED, LIFTING)}


def small_procedure(
    chance: Random, version: int = 1, checks: int = 2, steps: int = 3, whole: Json = SHIPPED
) -> Json:
    """Return a procedure of some steps with some checks each, as its YAML holds it.

    whole: the shipped one that it is cut out of.
    """
    count = chance.randint(1, steps)
    chosen = sorted(chance.sample(range(len(whole["steps"])), count))
    return cut_procedure(chosen, chance, version, checks, whole)


def cut_procedure(
    chosen: list[int], chance: Random, version: int, checks: int, whole: Json = SHIPPED
) -> Json:
    """Return a shipped procedure with these steps alone, and chance's choice of their checks."""
    raw = [whole["steps"][at] for at in chosen]
    here = {point["id"] for step in raw for point in step.get("points", ())}
    kept_checks: dict[str, list[Json]] = {}
    needed: set[str] = set()
    for step in raw:
        fit = [c for c in step.get("checks", ()) if set(c["points"].values()) <= here]
        some = chance.sample(fit, min(len(fit), chance.randint(0, checks)))
        kept_checks[step["id"]] = [c for c in fit if c in some]
        needed |= {point for c in some for point in c["points"].values()}
    made = [_cut_step(step, kept_checks[step["id"]], needed, chance) for step in raw]
    left = {point["id"] for step in made for point in step["points"]}
    for step in made:
        moves = [
            {**move, "stale": [one for one in move["stale"] if one in left]}
            for move in step.get("adjustments", ())
        ]
        step["adjustments"] = [move for move in moves if move["stale"]]
    _keep_clocks(made)
    _keep_what_opens(made, left)
    steps = [{name: held for name, held in step.items() if held != []} for step in made]
    nights = [night for night in whole["nights"] if night["point"] in left]
    return {**whole, "version": version, "steps": steps, "nights": nights}


def _keep_clocks(steps: list[Json]) -> None:
    """Leave the clocks whose acts are all there, in their step or an earlier one."""
    known: set[str] = set()
    for step in steps:
        for name in ("tasks", "points", "adjustments"):
            known |= {one["id"] for one in step[name]}
        step["clocks"] = [clock for clock in step.get("clocks", []) if _acts_named(clock) <= known]


def _keep_what_opens(steps: list[Json], left: set[str]) -> None:
    """Leave of each point the checks that open it and are still there; without one it is asked."""
    known: set[str] = set()
    for step in steps:
        known |= {check["id"] for check in step["checks"]}
        step["points"] = [_opened_by(point, known, left) for point in step["points"]]
        step["checks"] = [
            {name: held for name, held in check.items() if name != "finer" or held in known}
            for check in step["checks"]
        ]
        step["tasks"] = [_settled_by(task, known) for task in step["tasks"]]


def _settled_by(task: Json, known: set[str]) -> Json:
    """Let a task wait only for checks that are still there."""
    still = [check for check in task.get("settled", []) if check in known]
    out = {name: held for name, held in task.items() if name != "settled"}
    return {**out, "settled": still} if still else out


def _opened_by(point: Json, known: set[str], left: set[str]) -> Json:
    out = {name: held for name, held in point.items() if name != "instead" or held in left}
    if isinstance(point.get("asked"), dict):
        ((how, named),) = point["asked"].items()  # "when" a check is out, or "until" it is
        still = [one for one in (named if isinstance(named, list) else [named]) if one in known]
        out["asked"] = {how: still} if still else "always"
    if out.get("asked", "always") == "always":
        out.pop("instead", None)
    return out


def _acts_named(clock: Json) -> set[str]:
    """Return the tasks, points and adjustments that a clock needs."""
    limit = clock.get("least", clock.get("most"))
    parts = [clock["start"], clock["end"], limit if isinstance(limit, dict) else {}]
    kinds = ("task", "point", "adjustment")
    return {part[kind] for part in parts for kind in kinds if kind in part}


def _cut_step(step: Json, checks: list[Json], needed: set[str], chance: Random) -> Json:
    points = [p for p in step.get("points", ()) if p["id"] in needed or _is_extra(p, chance)]
    out = {**step, "checks": checks, "points": points}
    for name, most in (("tasks", 2), ("decisions", 1), ("cautions", 1)):
        held = step.get(name, [])
        out[name] = chance.sample(held, min(len(held), chance.randint(0, most)))
    if "hold" in step:
        out["hold"] = chance.random() < 0.6
    if not (points or out["tasks"] or out["decisions"]):
        out["tasks"] = step.get("tasks", [])[:1]
    left = {point["id"] for point in points}
    for name in ("tasks", "decisions"):
        out[name] = [_after_what_is_left(one, left) for one in out[name]]
    return out


def _after_what_is_left(task: Json, left: set[str]) -> Json:
    """Let a task or a decision wait only for a point that is still in its step."""
    return {name: held for name, held in task.items() if name != "after" or held in left}


def _is_extra(point: Json, chance: Random) -> bool:
    return chance.random() < 0.04


def size_on(compiled: Json, drawing: Drawing) -> int:
    """Return how many readings a procedure asks for on a door."""
    count = 0
    for step in compiled["steps"]:
        panels = _letters(step, drawing)
        for letter in panels:
            count += sum(len(places_of(point, drawing, letter)) for point in step["points"])
    return count


def _letters(step: Json, drawing: Drawing) -> list[str]:
    if not step["per"]:
        return [""]
    fixed = step["per"] == "fixed-panel"
    return [panel.letter for panel in drawing.panels if not (fixed and panel.slides)]


def text_of(procedure: Json) -> str:
    """Return a procedure as the text of its file."""
    return yaml.safe_dump(procedure, allow_unicode=True, sort_keys=False)
