"""Names in a procedure: each once, and each that is used is known."""

import re

from yaml.nodes import Node

from app.core.kinds import Json
from app.procedures.source import Fields, Source

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_STEP = re.compile(r"[A-Z][1-9]?")


class Seen:
    """A point that was read: where, its quantity, the step it belongs to, places with a name."""

    def __init__(self, node: Node, quantity: str, step: str, per: str) -> None:
        self.places: list[str] = []
        self.node = node
        self.quantity = quantity
        self.step = step
        self.per = per


class Ids:
    """All the names of one procedure while it is compiled."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.points: dict[str, Seen] = {}
        self.step_id = ""
        self.per = ""
        self._lines: dict[tuple[str, str], int] = {}
        self.checks: dict[str, tuple[int, list[str]]] = {}  # its step, by number; what it needs
        self._later: list[tuple[Node, str]] = []
        self._clocks: list[tuple[Node, str]] = []
        self.loose_tasks: list[str] = []  # photos, and what is not on every door: no clock's acts
        self._steps: dict[tuple[str, str], str] = {}
        self._opened: dict[str, list[tuple[Node, str, int]]] = {}  # point -> where, check, step
        self._after: list[tuple[Node, str, str]] = []  # where, point, step
        self._awaited: list[tuple[Node, str, int]] = []  # where, check, step of a task that waits
        self._finer: dict[str, tuple[Node, str, int]] = {}  # rough check -> where, finer, step
        self._step_number = 0

    def named(self, fields: Fields) -> str:
        """Return the id of a procedure, choice or place: small letters, digits, hyphens."""
        found = fields.text("id")
        if found and not _NAME.fullmatch(found):
            self.source.wrong(
                fields.at("id"), f"id “{found}” must be small letters and digits with hyphens"
            )
        return found

    def unique(self, fields: Fields, what: str) -> str:
        """Return the id of a task, decision, point, check or adjustment; each kind's only once."""
        found = self.named(fields)
        self._once(fields.at("id"), what, found)
        self._steps.setdefault((what, found), self.step_id)
        return found

    def step_of(self, what: str, id_: str) -> str:
        """Return the step of a task or adjustment that was read already; "" where there is none."""
        return self._steps.get((what, id_), "")

    def add_clock(self, node: Node, id_: str) -> None:
        """Keep a clock, so that adjustments can name it: what they undo starts it again."""
        self._clocks.append((node, id_))

    def step(self, fields: Fields) -> str:
        """Return the id of a step: a capital letter, perhaps with a digit."""
        found = fields.text("id")
        if found and not _STEP.fullmatch(found):
            self.source.wrong(fields.at("id"), f"step “{found}” must be a letter such as A or B1")
        self._once(fields.at("id"), "step", found)
        return found

    def enter(self, step: str, per: str) -> None:
        """Say which step the points that follow belong to."""
        self.step_id = step
        self.per = per
        self._step_number += 1

    def add_point(self, id_: str, node: Node, quantity: str) -> None:
        """Keep a point, so that checks can name it."""
        self.points.setdefault(id_, Seen(node, quantity, self.step_id, self.per))

    def add_places(self, id_: str, point: Json) -> None:
        """Note which places of a point are read on every door, at every depth, by their names."""
        if point.get("asked", "always") == "always":
            short = _names_in(point.get("short") or point["where"])
            self.points[id_].places = [one for one in _names_in(point["where"]) if one in short]

    def use_point(self, node: Node, id_: str) -> Seen | None:
        """Return the point that a check names: of this step or an earlier one."""
        seen = self.points.get(id_)
        if seen is None:
            self.source.wrong(node, f"unknown point “{id_}” (of this step or an earlier one)")
            return None
        if seen.per and seen.step != self.step_id:
            self.source.wrong(
                node, f"point “{id_}” is measured panel by panel in step {seen.step}, not here"
            )
        return seen

    def add_check(self, id_: str, needed: list[str]) -> None:
        """Keep a check, with the points that it is not made without."""
        self.checks.setdefault(id_, (self._step_number, needed))

    def opens_point(self, node: Node, check: str, point: str) -> None:
        """Note that a point is asked when a check is out; the check may stand further down."""
        if check:
            self._opened.setdefault(point, []).append((node, check, self._step_number))

    def stands_for(self, node: Node, finer: str, rough: str) -> None:
        """Note that a finer check of the same step stands for a rough one; it may come later."""
        self._finer[rough] = (node, finer, self._step_number)

    def waits_for(self, node: Node, check: str) -> None:
        """Note that a task waits for a check of its step, which stands further down."""
        self._awaited.append((node, check, self._step_number))

    def use_later(self, node: Node, id_: str) -> None:
        """Note that a point is named which may come later in the file."""
        self._later.append((node, id_))

    def comes_after(self, node: Node, point: str) -> None:
        """Note that something of this step comes after a point of it, which stands further down."""
        self._after.append((node, point, self.step_id))

    def finish(self) -> None:
        """Report names that were used and never defined."""
        self._finish_after()
        self._finish_finer()
        clocks = [id_ for _, id_ in self._clocks]
        for node, id_ in self._clocks:
            if id_ in self.points:
                self.source.wrong(node, f"“{id_}” is the name of a point already")
        for node, id_ in self._later:
            if id_ not in self.points and id_ not in clocks:
                self.source.wrong(node, f"unknown point or clock “{id_}”")
        opened = [(point, *one) for point, every in self._opened.items() for one in every]
        for point, node, check, step in opened:
            if check not in self.checks:
                self.source.wrong(node, f"unknown check “{check}”")
            elif self.checks[check][0] > step:
                self.source.wrong(
                    node, f"check “{check}” comes in a later step than the point that it opens"
                )
            elif self._leads_back(point):
                self.source.wrong(
                    node, f"point “{point}” opens when “{check}” is out, and that needs the point"
                )

    def _finish_after(self) -> None:
        for node, id_, step in self._after:
            if id_ not in self.points or self.points[id_].step != step:
                self.source.wrong(node, f"there is no point “{id_}” in step {step}")

    def _finish_finer(self) -> None:
        for node, finer, step in self._finer.values():
            if self.checks.get(finer, (0, []))[0] != step:
                self.source.wrong(node, f"there is no check “{finer}” in this step")
            elif finer in self._finer:
                self.source.wrong(node, f"check “{finer}” has a finer one itself")
        for node, check, step in self._awaited:
            if self.checks.get(check, (0, []))[0] != step:
                self.source.wrong(node, f"there is no check “{check}” in this step")

    def _leads_back(self, point: str) -> bool:
        """Return whether the check that opens a point is made of the point itself, in the end."""
        reached: set[str] = set()
        waiting = [point]
        while waiting:
            opened = self._opened.get(waiting.pop(), [])
            needed = [of for _, check, _ in opened for of in self.checks.get(check, (0, []))[1]]
            waiting += [one for one in needed if one not in reached]
            reached.update(needed)
        return point in reached

    def _once(self, node: Node, what: str, id_: str) -> None:
        if not id_:
            return
        line = self._lines.setdefault((what, id_), node.start_mark.line + 1)
        if line != node.start_mark.line + 1:
            self.source.wrong(node, f"{what} “{id_}” is already on line {line}")


def _names_in(where: Json) -> list[str]:
    if where["kind"] == "one":
        return ["1"]
    return [item["id"] for item in where.get("items", [])]
