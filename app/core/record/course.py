"""The course of a step: what is left to do in it, in order, and what comes next."""

from app.core.record import gate
from app.core.record.judge import asked_points
from app.core.record.state import State, Step
from app.core.where.place import Place


class Thing:
    """One thing to do: a reading at a place, a task, a photo among them, or a decision.

    kind: "reading", "task" or "decision". id: of the point, the task or the decision.
    key: what names it in a path, unlike any other of the opening.
    """

    def __init__(self, kind: str, id: str, panel: str = "", place: "Place | None" = None) -> None:
        self.kind = kind
        self.id = id
        self.panel = panel
        self.place = place
        self.key = "~".join([kind, id, panel, place.id if place is not None else ""])


def things_of(state: State, step: Step) -> "list[Thing]":
    """Return all that a step asks, in the order in which it is done.

    The tasks, then the readings that are asked, then the decisions, which rest on both.
    """
    out = [Thing("task", task["id"], step.panel) for task in state.tasks(step)]
    for point in [one for one in asked_points(state, step) if not one.get("info")]:
        panel = state.panel_for(point["id"], step.panel)
        places = state.places(point["id"], panel)
        out.extend([Thing("reading", point["id"], panel, place) for place in places])
    out.extend([Thing("decision", one["id"], step.panel) for one in step.data["decisions"]])
    return out


def things_left(state: State, step: Step) -> "list[Thing]":
    """Return what is left to do in a step, in the order of things_of."""
    open_ones: dict[str, bool] = {}
    for task in state.tasks(step):
        open_ones["task~" + task["id"]] = state.task_done(step.key, task) is None
    for one in step.data["decisions"]:
        open_ones["decision~" + one["id"]] = state.decided(step.key, one["id"]) is None
    for point in step.data["points"]:
        for place in gate.places_unmeasured(state, point["id"], step.panel):
            open_ones["reading~" + point["id"] + "~" + place.id] = True
    return [thing for thing in things_of(state, step) if open_ones.get(_short_key(thing))]


def _short_key(thing: Thing) -> str:
    return thing.kind + "~" + thing.id + ("~" + thing.place.id if thing.place is not None else "")


def thing_after(every: "list[Thing]", left: "list[Thing]", key: str) -> "Thing | None":
    """Return what is left after the thing of this key, round to the first; None where nothing is.

    Example: of "a", "b" and "c", with "a" and "c" left, after "b" comes "c", and then "a".
    """
    if not left:
        return None
    keys = [thing.key for thing in every]
    at = keys.index(key) if key in keys else -1
    wanted = [thing.key for thing in left]
    for thing in every[at + 1 :] + every[: at + 1]:
        if thing.key in wanted:
            return left[wanted.index(thing.key)]
    return None
