"""A clock of a step: the act that starts it, the act that ends it, and how long it lasts.

It is compiled into a check of the step (CLOCK of checks/index.py) with a field `clock`; see
app/core/record/clocks.py.
"""

from yaml.nodes import MappingNode, Node

from app.core.checks.index import CLOCK
from app.core.kinds import Json
from app.procedures.ids import Ids
from app.procedures.limits import read_basis, read_limit, remedy_text
from app.procedures.parts import RANKS
from app.procedures.source import Fields, Source

_FIELDS = (
    "id",
    "title",
    "start",
    "end",
    "typed",
    "least",
    "most",
    "remedy",
    "basis",
    "reason",
    "rank",
)
_ACTS = ("task", "point", "adjustment")


def read_clock(source: Source, node: Node, ids: Ids) -> Json:
    """Return a clock as a check of its step."""
    fields = Fields(source, node, _FIELDS, "a clock")
    id_ = ids.unique(fields, "check")
    ids.add_clock(fields.at("id"), id_)
    start, end = (_act(source, fields, name, ids) for name in ("start", "end"))
    acts = {"start": start, "end": end}
    if fields.has("typed"):
        acts["typed"] = _duration(source, fields, ids)
    points = {input: act["point"] for input, act in acts.items() if "point" in act}
    sort, limit = _limit(source, fields, ids)
    if "point" in limit:
        points["time"] = limit["point"]
    if ids.per:
        source.wrong(node, "a clock runs for the opening: no clock in a step signed panel by panel")
    if "adjustment" in start and sort == "most":
        source.wrong(fields.at("start"), "what is “most” after an adjustment cannot be counted")
    if end and end.get("step") not in (None, ids.step_id):
        source.wrong(fields.at("end"), "a clock stands in the step of the act that ends it")
    return {
        "id": id_,
        "title": fields.text("title"),
        "calc": CLOCK,
        "points": points,
        "limits": {sort: limit},
        "settings": {"remedy": remedy_text(source, fields.at("remedy"))}
        if fields.has("remedy")
        else {},
        "basis": read_basis(source, fields),
        "reason": fields.text("reason", needed=False),
        "rank": fields.one_of("rank", RANKS),
        "clock": acts,
    }


def _act(source: Source, clock: Fields, name: str, ids: Ids) -> Json:
    """Return an act: a task that is ticked, a place that is read, or an adjustment that is made."""
    if not clock.has(name):
        clock.missing(name)
        return {}
    fields = Fields(source, clock.at(name), (*_ACTS, "place"), f"“{name}”")
    named = [kind for kind in _ACTS if fields.has(kind)]
    if len(named) != 1:
        source.wrong(fields.node, f"“{name}” needs one of: {', '.join(_ACTS)}")
        return {}
    if name == "end" and named == ["adjustment"]:
        source.wrong(fields.node, "an adjustment ends no clock")
    return _ACT[named[0]](source, fields, ids)


def _ticked(source: Source, fields: Fields, ids: Ids) -> Json:
    task = fields.text("task")
    step = ids.step_of("task", task)
    if not step:
        source.wrong(fields.at("task"), f"unknown task “{task}” (of this step or an earlier one)")
    if task in ids.loose_tasks:
        why = "a clock needs a task that is ticked on every door"
        source.wrong(fields.at("task"), f"“{task}” is a photo, or has “on”: {why}")
    return {"task": task, "step": step}


def _read(source: Source, fields: Fields, ids: Ids) -> Json:
    point = fields.text("point")
    seen = ids.use_point(fields.at("point"), point)
    place = fields.text("place", needed=False) or "1"
    if seen is not None and place not in seen.places:
        words = ", ".join(seen.places) or "none by name on every door at every depth"
        source.wrong(fields.at("place"), f"point “{point}” has no place “{place}”; it has {words}")
    return {"point": point, "place": place, **({"step": seen.step} if seen else {})}


def _moved(source: Source, fields: Fields, ids: Ids) -> Json:
    moved = fields.text("adjustment")
    step = ids.step_of("adjustment", moved)
    if not step:
        words = f"unknown adjustment “{moved}” (of this step or an earlier one)"
        source.wrong(fields.at("adjustment"), words)
    return {"adjustment": moved, "step": step}


_ACT = {"task": _ticked, "point": _read, "adjustment": _moved}


def _duration(source: Source, clock: Fields, ids: Ids) -> Json:
    """Return the point at which a crew types how long it took; its entries may contradict that."""
    point = clock.text("typed")
    seen = ids.use_point(clock.at("typed"), point)
    if seen is not None and (seen.quantity != "duration" or seen.places != ["1"]):
        source.wrong(clock.at("typed"), f"point “{point}” must be one duration, typed at one place")
    return {"point": point, "place": "1"}


def _limit(source: Source, clock: Fields, ids: Ids) -> tuple[str, Json]:
    """Return "least" or "most" with how long: a time, {drawing: field}, or {point: id}."""
    named = [name for name in ("least", "most") if clock.has(name)]
    if len(named) != 1:
        source.wrong(clock.node, "a clock needs “least” or “most”: one of them")
        return "least", {"value": "0"}
    node = clock.at(named[0])
    if isinstance(node, MappingNode) and any(key.value == "point" for key, _ in node.value):
        fields = Fields(source, node, ("point",), f"“{named[0]}”")
        point = fields.text("point")
        seen = ids.use_point(fields.at("point"), point)
        if seen is not None and (seen.quantity != "duration" or seen.places != ["1"]):
            source.wrong(
                fields.at("point"), f"point “{point}” must be one duration, typed at one place"
            )
        return named[0], {"point": point}
    return named[0], read_limit(source, node, named[0], "duration")
