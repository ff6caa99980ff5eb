"""Whether an event speaks of what its opening has, or had before it was moved to another procedure.

The state of an opening looks these up; one event that names none would bar its pages
for everybody.
"""

from collections.abc import Callable, Iterable

from app.core.kinds import Any, Json
from app.core.where.places import FRAME_PARTS, LOCK

VERDICT_FIELDS = {"check", "verdict"}


class NamesOfOpening:
    """What may be named in an opening: of every procedure and every drawing that it ever had."""

    def __init__(self, procedures: Iterable[Json], drawings: Iterable[Json]) -> None:
        steps = [step for procedure in procedures for step in procedure["steps"]]
        self.steps = {step["id"] for step in steps}
        self.points = {p["id"]: (p, step) for step in steps for p in step["points"]}
        self.checks = {check["id"] for step in steps for check in step["checks"]}
        self.adjustments = {a["id"] for step in steps for a in step["adjustments"]}
        self.tasks = {task["id"] for step in steps for task in step["tasks"]}
        self.choices = {
            (d["id"], choice["id"])
            for step in steps
            for d in step["decisions"]
            for choice in d["choices"]
        }
        drawings = list(drawings)
        self.marks = {part["mark"] for drawing in drawings for part in drawing.get("parts", [])}
        self.letters = {panel["letter"] for drawing in drawings for panel in drawing["panels"]}

    def has(self, event: Json) -> bool:
        """Return whether everything that an event names is there."""
        body = event["body"]
        named = all(look(self, body[name], body) for name, look in LOOKS.items() if name in body)
        return named and _OWN.get(event["kind"], _nothing)(self, body)

    def has_step(self, key: str, _: Json) -> bool:
        """Return whether a step's key ("B1", "E:A") names a step, and a panel if it names one."""
        step, colon, letter = key.partition(":")
        return step in self.steps and (letter in self.letters if colon else True)

    def has_point(self, id: str, body: Json) -> bool:
        """Return whether there is a point, measured on this panel (or on none)."""
        if id not in self.points:
            return False
        by_panel = bool(self.points[id][1]["per"])
        return (body.get("panel") in self.letters) if by_panel else body.get("panel") == ""

    def has_panel(self, letter: str, body: Json) -> bool:
        """Return whether a letter names a panel, or is empty; what moved may be frame or lock."""
        moved = letter in FRAME_PARTS or letter.startswith(LOCK)
        return letter == "" or letter in self.letters or ("adjustment" in body and moved)


LOOKS: dict[str, Callable[[NamesOfOpening, Any, Json], bool]] = {
    "step": NamesOfOpening.has_step,
    "point": NamesOfOpening.has_point,
    "panel": NamesOfOpening.has_panel,
    "check": lambda door, id, _: id in door.checks,
    "adjustment": lambda door, id, _: id in door.adjustments,
}


def _nothing(_: NamesOfOpening, __: Json) -> bool:
    return True


def _decision(door: NamesOfOpening, body: Json) -> bool:
    return (body["decision"], body["choice"]) in door.choices


def _reading(door: NamesOfOpening, body: Json) -> bool:
    return bool(body["quantity"] == door.points[body["point"]][0]["quantity"])


def _judged(_: NamesOfOpening, body: Json) -> bool:
    verdicts = body["verdicts"]
    return isinstance(verdicts, list) and all(_is_verdict(one) for one in verdicts)


def _is_verdict(one: Any) -> bool:
    if not isinstance(one, dict) or set(one) != VERDICT_FIELDS:
        return False
    return all(isinstance(value, str) for value in one.values())


_OWN: dict[str, Callable[[NamesOfOpening, Json], bool]] = {
    "reading.taken": _reading,
    "task.ticked": lambda door, body: body["task"] in door.tasks,
    "tasks.ticked": lambda door, body: door.tasks.issuperset(body["tasks"]),
    "decision.made": _decision,
    "sheet.signed": _decision,
    "part.stated": lambda door, body: body["mark"] in door.marks,
    "parts.stated": lambda door, body: door.marks.issuperset(body["marks"]),
    "query.raised": lambda door, body: door.steps.issuperset(body["bars"]),
    "step.signed": _judged,
    "concession.spoken": _judged,
}
