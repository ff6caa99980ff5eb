"""A door of eight panels as a crew read it, its points with purposes; both interpreters."""

from app.core.kinds import Json
from app.core.record.events import new_event
from app.core.record.state import State
from tests.core import doors

INCH = 25400000
STATIONS = {"kind": "stations", "spacing": str(24 * INCH), "merge": str(3 * INCH)}
UP = {"margin": str(6 * INCH)}


def _point(purpose: str, where: Json, how: str = "plain") -> Json:
    return {
        "id": "p-" + purpose, "title": purpose, "quantity": "length", "how": how, "tool": "laser",
        "where": where, "hint": "", "info": False, "closing": False, "purpose": purpose,
    }  # fmt: skip


POINTS = (
    _point("panel-width", {"kind": "panel-sides", "at": ["top", "bottom"]}),
    _point("panel-height", {"kind": "panel-sides", "at": ["left", "right"]}),
    _point("track-inner", STATIONS, "level"),
    _point("track-outer", STATIONS, "level"),
    _point("clear-height", {"kind": "across"}),
    _point("left-jamb", dict(UP, kind="heights", jamb="left")),
    _point("right-jamb", dict(UP, kind="heights", jamb="right")),
    _point("gap-at-jamb", dict(UP, kind="closing-gap")),
    _point("interlock-gap", dict(UP, kind="interlock-heights")),
)
LIMITS = {"reveal": INCH // 16, "middle": INCH // 16, "interlock": INCH // 8}
CHECK = {
    "id": "closes", "title": "closes", "calc": "door-closes",
    "points": {"gaps": "p-gap-at-jamb", "interlocks": "p-interlock-gap"},
    "limits": {name: {"value": str(LIMITS[name])} for name in LIMITS},
    "settings": {}, "basis": {"kind": "practice", "text": ""}, "reason": "", "rank": "author",
}  # fmt: skip


def point_again(purpose: str, where: Json) -> Json:
    """Return another point of a purpose, read after all others."""
    return dict(_point(purpose, where, "level"), id="p-again")


PROCEDURE = {
    "id": "purposes", "version": 1, "title": "Purposes", "doors": ["stacking"], "digest": "0" * 64,
    "steps": [{
        "id": "A", "title": "All", "about": "", "per": "", "hold": True, "cautions": [],
        "tasks": [], "decisions": [], "points": list(POINTS), "checks": [CHECK], "adjustments": [],
    }],
}  # fmt: skip


def drawing() -> Json:
    """Return eight panels that stack to the right."""
    made = doors.data([1, 2, 3, 4, 5, 6, 7, 8], "XXXXXXXX", "A")
    more = {
        "axle_distance": 36 * INCH, "stile_clearance": 3 * INCH // 8,
        "head_engagement": INCH // 4, "head_pocket": 5 * INCH // 4, "lift_play": INCH,
    }  # fmt: skip
    made["lengths"].update({name: str(nm) for name, nm in more.items()})
    return made


def value_at(purpose: str, place: Json, count: int) -> int:
    """Return a reading a little off what is drawn."""
    sixtyfourth = INCH // 64
    if purpose.startswith("track"):
        return 13 * INCH + (count * 7919 % 5) * sixtyfourth
    sizes = {"panel-width": 48 * INCH, "panel-height": 92 * INCH}
    sizes["clear-height"] = 92 * INCH + 7 * INCH // 8
    sizes["gap-at-jamb"] = sizes["interlock-gap"] = INCH // 4
    if purpose.endswith("jamb") and purpose in ("left-jamb", "right-jamb"):
        return 6 * INCH + (place.side == "high") * 2 * sixtyfourth
    if purpose in ("gap-at-jamb", "interlock-gap"):
        return sizes[purpose] + (place.side == "high") * (1 + count % 3) * 6 * sixtyfourth
    return sizes[purpose]


def _procedures(more: "Json | None") -> Json:
    if more is None:
        return {"purposes@1": PROCEDURE}
    step = dict(PROCEDURE["steps"][0], points=list(POINTS) + [more])
    return {"purposes@1": dict(PROCEDURE, steps=[step])}


def events(more: "Json | None" = None) -> "list[Json]":
    """Return the issue and every reading; more: a point besides, read two inches higher."""
    out: list[Json] = []
    last: dict[str, Json] = {}

    def add(device: str, kind: str, body: Json) -> None:
        draft = {
            "id": "e" + str(len(out)), "device": device, "opening": "o1",
            "seen": {name: last[name]["n"] for name in last}, "at": "2026-03-02T08:00:00+00:00",
            "person": "p1", "kind": kind, "body": body,
        }  # fmt: skip
        made = new_event([last[name] for name in last], draft)
        last[device] = made
        out.append(made)

    add("office-1", "opening.issued", {"procedure": "purposes", "version": 1, "drawing": drawing()})
    state = State(out, _procedures(more))
    for point in list(POINTS) + ([] if more is None else [more]):
        higher = 2 * INCH if point is more else 0
        for place in state.places(point["id"], ""):
            body = {
                "point": point["id"], "panel": "", "place": place.id, "quantity": "length",
                "text": "x", "units": "in", "how": "down" if point["how"] == "level" else "plain",
                "value": str(value_at(point["purpose"], place, len(out)) + higher),
            }  # fmt: skip
            add("web-1", "reading.taken", body)
    return out


def state_of(all_events: "list[Json]", more: "Json | None" = None) -> State:
    """Return the state of the events."""
    return State(all_events, _procedures(more))
