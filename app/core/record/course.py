"""The course of a step: what is left to do in it, in order, and what comes next."""

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.judge import asked_points, results_of
from app.core.record.state import State, Step
from app.core.where.place import Place


class Thing:
    """One thing to do: a reading at a place, a task, a photo among them, or a decision.

    kind: "reading", "task", "tasks" (all that one tap may tick), "decision" or "parts" (the list).
    id: of the point, the task or the decision; of "tasks" the point after which they come.
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

    The parts list, the tasks, the readings that are asked, then the decisions, which rest on both.
    A task or a decision that names a point (`after`) comes when that point was read. A service
    visit asks readings alone.
    """
    work = _find_things if state.visit is None else _things_of_visit
    found: list[Thing] = state.memory.answer("=things|" + step.key, work, state, step)
    return found


def _find_things(state: State, step: Step) -> "list[Thing]":
    out = [Thing("parts", "")] if step.data.get("parts") else []
    out.extend(_tasks_after(state, step, ""))
    asked = [point["id"] for point in asked_points(state, step)]
    for point in step.data["points"]:
        if point["id"] in asked and not point.get("info"):
            panel = state.panel_for(point["id"], step.panel)
            places = state.places(point["id"], panel)
            out.extend([Thing("reading", point["id"], panel, place) for place in places])
        out.extend(_tasks_after(state, step, point["id"]))
        out.extend(_decisions_after(step, point["id"]))
    return out + _decisions_after(step, "")


def _things_of_visit(state: State, step: Step) -> "list[Thing]":
    """Return the places that a visit asks: of the as-left set, of the door model, or spoiled."""
    out: list[Thing] = []
    for point in asked_points(state, step):
        panel = state.panel_for(point["id"], step.panel)
        again = point["id"] in state.asked_again
        out.extend(
            [
                Thing("reading", point["id"], panel, place)
                for place in state.places(point["id"], panel)
                if not point.get("info")
                and (again or not state.readings(point["id"], panel, place.id))
            ]
        )
    return out


def _tasks_after(state: State, step: Step, point: str) -> "list[Thing]":
    """Return the tasks of one time of a step, in the procedure's order.

    Those that go together are one thing, where the first of them stands: a guard or a question of
    rank never that the procedure has before them is answered before them.
    """
    together = tasks_together(state, step, point)
    out = []
    for task in state.tasks(step):
        if task.get("after", "") != point:
            continue
        if task["id"] not in together:
            out.append(Thing("task", task["id"], step.panel))
        elif task["id"] == together[0]:
            out.append(Thing("tasks", point, step.panel))
    return out


def tasks_together(state: State, step: Step, point: str) -> "list[str]":
    """Return the tasks that come after a point ("": at the start) and may be ticked by one tap.

    [] where there is only one: that one has a card of its own.
    """
    timed = timed_tasks(state)
    found = [
        task["id"]
        for task in state.tasks(step)
        if task.get("after", "") == point and goes_together(task, timed)
    ]
    return found if len(found) > 1 else []


def goes_together(task: Json, timed: "list[str]") -> bool:
    """Return whether a task may be ticked with others: no photo, not of rank never, no clock's."""
    return task["kind"] != "photo" and task.get("rank") != "never" and task["id"] not in timed


def timed_tasks(state: State) -> "list[str]":
    """Return the tasks that start or end a clock: when each was done counts."""
    found: list[str] = state.memory.answer("=timed", _find_timed, state)
    return found


def _find_timed(state: State) -> "list[str]":
    clocks = [check["clock"] for one in state.steps for check in one.data["checks"]
              if check.get("clock")]  # fmt: skip
    return [clock[input]["task"] for clock in clocks for input in clock if "task" in clock[input]]


def _decisions_after(step: Step, point: str) -> "list[Thing]":
    return [
        Thing("decision", one["id"], step.panel)
        for one in step.data["decisions"]
        if one.get("after", "") == point
    ]


def things_left(state: State, step: Step) -> "list[Thing]":
    """Return what is left to do in a step, in the order of things_of."""
    open_ones: dict[str, bool] = {}
    for one in step.data["decisions"]:
        open_ones["decision~" + one["id"]] = state.decided(step.key, one["id"]) is None
    for point in step.data["points"]:
        for place in gate.places_unmeasured(state, point["id"], step.panel):
            open_ones["reading~" + point["id"] + "~" + place.id] = True
    return [thing for thing in things_of(state, step) if _is_left(state, step, thing, open_ones)]


def things_ready(state: State, step: Step, left: "list[Thing]") -> "list[Thing]":
    """Return those of what is left that can be done now: up to the first task that waits.

    A task waits while a check that it names (`settled`) bars the step: no bead is gunned over
    supports that are out. What the procedure has after it waits as well.
    """
    waiting = [task for task in state.tasks(step) if task.get("settled")]
    if not waiting:
        return left
    barring = [result.check["id"] for result in results_of(state, step) if not result.settled]
    held = [task["id"] for task in waiting if any([id in barring for id in task["settled"]])]
    out = []
    for thing in left:
        ids = [thing.id] if thing.kind == "task" else []
        if thing.kind == "tasks":
            ids = tasks_together(state, step, thing.id)
        if any([id in held for id in ids]):
            break
        out.append(thing)
    return out


def _is_left(state: State, step: Step, thing: Thing, open_ones: "dict[str, bool]") -> bool:
    if thing.kind == "parts":
        return any([stated is None for _, stated in state.parts()])
    if thing.kind == "task":
        return not _is_ticked(state, step, thing.id)
    if thing.kind == "tasks":
        return any(
            [not _is_ticked(state, step, id) for id in tasks_together(state, step, thing.id)]
        )
    return open_ones.get(_short_key(thing), False)


def _is_ticked(state: State, step: Step, id: str) -> bool:
    return any(
        [
            task["id"] == id and state.task_done(step.key, task) is not None
            for task in step.data["tasks"]
        ]
    )


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
