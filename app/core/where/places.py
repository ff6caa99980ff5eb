"""Where each reading of a point is taken: `where.kind` of a procedure, and the drawing.

    {"where": {"kind": "stations", "spacing": "304800000", "merge": "76200000"}, "closing": true}

KINDS says which module of core/where has a kind and which options it takes; the
procedure compiler checks a file against it. Every position is counted from the
LEFT end of the frame, SEEN FROM OUTSIDE, in whole nanometres.

No places at all means that the point does not exist for this opening or this panel (no
fixed panel, no meeting stile, no interlock yet at the first panel that is set): a
check that needs such a point is not made.
"""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.core.where.words import LEVELS

# How much of a procedure is asked on an opening.
SHORT = "short"
FULL = "full"
DEPTHS = (SHORT, FULL)

# kind -> module, function, {option: what it holds}; a name ending in "?" may be left out.
# What an option holds: "length", "words" (one of several, see CHOICES), "list" of them, "items".
KINDS = {
    "one": ("listed", "single_place", {}),
    "listed": ("listed", "listed_places", {"items": "items"}),
    "stations": ("sill", "survey_stations", {"spacing": "length", "merge": "length"}),
    "across": ("sill", "across_places", {}),
    "across-stack": ("sill", "across_and_stack", {"merge": "length", "apart?": "length"}),
    "ends": ("sill", "both_ends", {}),
    "middle": ("sill", "sill_middle", {}),
    "ends-middle": ("sill", "ends_middle", {}),
    "ends-middle-interlocks": ("sill", "ends_middle_interlocks", {"merge": "length"}),
    "tracks-between": ("sill", "tracks_between", {"spacing": "length", "merge": "length"}),
    "stack": ("sill", "stack_places", {}),
    "heights": (
        "jambs",
        "jamb_heights",
        {"margin": "length", "jamb?": "words", "levels?": "list"},
    ),
    "jamb-anchors": (
        "jambs",
        "jamb_anchors",
        {"margin": "length", "merge": "length", "jamb": "words"},
    ),
    "anchors": ("jambs", "anchor_places", {"member?": "words"}),
    "joint": ("jambs", "joint_places", {"spacing?": "length"}),
    "diagonals": ("jambs", "diagonal_places", {}),
    "corners": ("jambs", "corner_places", {}),
    "panels": ("panels", "panel_places", {"which?": "words"}),
    "panel-sides": ("panels", "panel_sides", {"which?": "words", "at": "list"}),
    "panel-diagonals": ("panels", "panel_diagonals", {"which?": "words"}),
    "stiles": ("panels", "stile_places", {"which?": "words"}),
    "strokes": ("panels", "stroke_places", {"which?": "words", "tries?": "words"}),
    "interlock-heights": (
        "panels",
        "interlock_heights",
        {"margin": "length", "levels?": "list"},
    ),
    "closing-gap": (
        "panels",
        "closing_gap",
        {"margin": "length", "only?": "words", "levels?": "list"},
    ),
    "lead-stiles": ("panels", "lead_stiles", {"margin": "length", "only?": "words"}),
    "locks": ("panels", "lock_places", {"only?": "words"}),
    "lock-points": ("panels", "lock_points", {"only?": "words"}),
}
CHOICES = {
    "jamb": ("left", "right", "both"),
    "which": ("each", "sliding", "fixed", "lead", "one-lead", "unweighed"),
    "only": ("jamb", "meeting"),
    "member": ("jambs", "head"),
    "tries": ("one", "three"),
    "levels": LEVELS,
    "at": ("top", "bottom", "left", "right"),
}

# kind -> lengths of the drawing without which its places cannot be told. A drawing is issued only
# with those that its procedure needs: a point without places would be a check that is not made.
NEEDS = {
    "stations": ("frame_width",),
    "across": ("frame_width",),
    "across-stack": ("frame_width",),
    "ends": ("frame_width",),
    "middle": ("frame_width",),
    "ends-middle": ("frame_width",),
    "stack": ("frame_width",),
    "ends-middle-interlocks": ("frame_width",),
    "tracks-between": ("frame_width",),
    "heights": ("frame_height", "frame_width"),
    "jamb-anchors": ("frame_height", "frame_width", "anchor_end", "anchor_spacing"),
    "anchors": ("frame_height", "frame_width", "anchor_end", "anchor_spacing"),
    "joint": ("frame_height", "frame_width"),
    "corners": ("frame_height", "frame_width"),
    "interlock-heights": ("frame_height",),
    "closing-gap": ("frame_height",),
    "lead-stiles": ("frame_height",),
}


def lengths_needed(procedure: Json) -> "list[str]":
    """Return the lengths of the drawing that the places of a procedure are counted from.

    Example: a procedure that measures at stations alone -> ["frame_width"]
    """
    out: list[str] = []
    for step in procedure["steps"]:
        for point in step["points"]:
            for where in (point["where"], point.get("short") or point["where"]):
                needs = NEEDS.get(where["kind"], ())
                out.extend([name for name in needs if name not in out])
        for task in step["tasks"]:
            needs = NEEDS.get(task["on"]["kind"], ()) if task.get("on") else ()
            out.extend([name for name in needs if name not in out])
    return out


def places_of(point: Json, drawing: Drawing, panel: str = "", depth: str = FULL) -> "list[Place]":
    """Return where a point is measured, in the order in which a person walks.

    point:  a point of a compiled procedure ("where", "short" or None, "closing").
    panel:  a panel's letter in a step that is done for each panel, else "".
    depth:  SHORT or FULL. One spot has one id at both, so that a reading stays where it was
            taken when the depth is raised: the full list holds the places of the short one too.
    Errors: InputError 'where-unknown'; 'drawing-silent' where the drawing leaves
            open what the places are counted from; 'panel-unknown'.
    Example: a 16 ft frame, stations every 12 in -> 17 places.
    """
    found = _listed_places(point, point["where"], drawing, panel)
    if point.get("short"):
        short = _places_as_in(found, _listed_places(point, point["short"], drawing, panel))
        found = short if depth == SHORT else _places_of_both(found, short)
    if point.get("closing") and found:
        found.append(_closing_place(found[0]))
    return found


LOCK = "lock:"  # and the id of a lock, or of a locking point
FRAME_PARTS = ("left-jamb", "right-jamb", "head")
UNDER_THE_HEAD = (
    "across", "ends-middle", "ends-middle-interlocks", "stiles", "panels", "interlock-heights",
)  # fmt: skip
AT_A_JAMB = ("closing-gap", "locks")


def can_alter(point: Json, place: Place, drawing: Drawing, letter: str) -> bool:
    """Return whether work at a panel, a part of the frame or a lock can alter a reading.

    A panel: its own readings, and those of a gap, interlock or lock at its edges: a neighbour's
    other ones stand. A force is that of the train. What has no panel can always be altered.
    A jamb: what is read at it, across the frame, and of the gap and the lock at its side; no
    height and no panel on its track. The head: no jamb's plumb, no width, no gap at a jamb.
    """
    if letter.startswith(LOCK):
        return _lock_alters(point["where"]["kind"], place, letter[len(LOCK) :])
    if letter in FRAME_PARTS and point["quantity"] != "force":
        return _part_alters(point["where"], place, drawing, letter)
    if letter not in [panel.letter for panel in drawing.panels] or point["quantity"] == "force":
        return True
    if point["where"]["kind"] in ("interlock-heights", "closing-gap", "locks"):
        panel = drawing.panel(letter)
        return place.x is None or panel.left <= place.x <= panel.right
    return place.panel in ("", letter)


def _lock_alters(kind: str, place: Place, lock: str) -> bool:
    """Return whether a strike or keep that was moved can alter a reading: its own lock's only.

    lock: a lock, with all its points, or one of them.
    """
    if kind not in ("locks", "lock-points") or lock == place.id:
        return True
    whole = kind == "lock-points" and place.id.startswith(lock + "-")
    return whole or (kind == "locks" and lock.startswith(place.id + "-"))


def _part_alters(where: Json, place: Place, drawing: Drawing, part: str) -> bool:
    jamb, width = where.get("jamb", ""), drawing.length("frame_width")
    if part == "head":
        return jamb not in ("left", "right") and where["kind"] not in ("heights",) + AT_A_JAMB
    side = part.partition("-")[0]
    if jamb in ("left", "right"):
        return bool(jamb == side)
    if where["kind"] in AT_A_JAMB and place.x is not None and width is not None:
        return (2 * place.x < width) == (side == "left")
    return where["kind"] not in UNDER_THE_HEAD and where.get("member", "") != "head"


def zero_places(point: Json, drawing: Drawing, panel: str = "") -> "list[Place]":
    """Return the place that a point's readings are taken from, [] for most: it counts as 0.

    Example: the top of a jamb off a plumb line through its low mark -> that low mark
    """
    return _listed_places(point, point["from"], drawing, panel) if point.get("from") else []


def _listed_places(point: Json, where: Json, drawing: Drawing, panel: str) -> "list[Place]":
    kind = where["kind"]
    if kind not in KINDS:
        raise InputError(
            "where-unknown", Msg("The procedure names an unknown place: {kind}.", kind=kind)
        )
    module_name, function, _ = KINDS[kind]
    module = __import__("app.core.where." + module_name, None, None, [function])
    found: list[Place] = getattr(module, function)(where, drawing, panel)
    if kind == "one" and point.get("title"):
        found[0].title = Msg(point["title"])
    return found


def _places_as_in(full: "list[Place]", short: "list[Place]") -> "list[Place]":
    """Return the short list with the ids of the full one: one spot one id, another spot another."""
    out = []
    for place in short:
        same = [other for other in full if _is_same_spot(place, other)]
        if not same and any([place.id == other.id for other in full]):
            place.id = "short-" + place.id
        out.append(same[0] if same else place)
    return out


def _is_same_spot(one: Place, other: Place) -> bool:
    if one.x is None and other.x is None:
        return one.id == other.id
    spots = [(place.x, place.y, place.panel, place.side) for place in (one, other)]
    return spots[0] == spots[1]


def _places_of_both(full: "list[Place]", short: "list[Place]") -> "list[Place]":
    """Return the full list, and what of the short one it lacks: before the next place along."""
    out = list(full)
    for place in short:
        if place.id in [other.id for other in out]:
            continue
        at = len(out)
        for n in range(len(out)):
            x = out[n].x
            if place.x is not None and x is not None and x > place.x:
                at = n
                break
        out.insert(at, place)
    return out


def _closing_place(first: Place) -> Place:
    return Place(
        "closing",
        Msg("First mark again: {place}", place=first.title),
        first.x,
        first.y,
        first.panel,
        "closing",
    )
