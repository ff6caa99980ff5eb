"""How the panels of a door move: leads, room on the track, where they stack.

As seen from OUTSIDE, for a drawing that panels.panel_questions() has nothing against.
"""

from app.core.trade.drawing import Drawing, Panel


def leading_panels(drawing: Drawing) -> "list[Panel]":
    """Return the leading panels, left to right.

    Example: len(leading_panels(DOOR)) -> 1
    """
    return [panel for panel in drawing.panels if panel.lead]


def leads_meet(drawing: Drawing) -> bool:
    """Return whether two leading panels meet on one track.

    Example: leads_meet(DOOR) -> False
    """
    found = leading_panels(drawing)
    return len(found) == 2 and found[0].track == found[1].track and _next_to(drawing, found)


def active_lead(drawing: Drawing) -> "Panel | None":
    """Return the lead that carries the lock: the only one, or the one on the lock's side."""
    found = leading_panels(drawing)
    if len(found) == 1:
        return found[0]
    side = drawing.data.get("lock")
    if len(found) == 2 and side in ("left", "right"):
        return found[0] if side == "left" else found[1]
    return None


def lock_jambs(drawing: Drawing) -> "list[str]":
    """Return the jambs that a lead locks at: "left", "right", both, or none where two meet.

    Example: lock_jambs(DOOR) -> ["left"]
    """
    if leads_meet(drawing):
        return []
    ends = (("left", drawing.panels[:1]), ("right", drawing.panels[-1:]))
    return [side for side, found in ends if found and found[0].lead]


def opens_to(drawing: Drawing) -> "list[str]":
    """Return for each panel, left to right, which end it stacks at: "left", "right" or "".

    A fixed panel stays ("" for none). Two leads that meet send their own half to their own
    end; a single lead sends all away from its jamb; two leads at both jambs send the panels
    up to the first fixed one.

    Example: opens_to(DOOR) -> ["right", "right", "right", ""]
    """
    panels = drawing.panels
    found = [k for k, panel in enumerate(panels) if panel.lead]
    if leads_meet(drawing):
        ways = ["left" if k <= found[0] else "right" for k in range(len(panels))]
    elif len(found) == 2:
        middle = first_fixed(panels)
        ways = ["right" if k < middle else "left" for k in range(len(panels))]
    else:
        ways = ["right" if found and found[0] == 0 else "left"] * len(panels)
    return [way if panel.slides else "" for way, panel in zip(ways, panels)]


def room_on_track(drawing: Drawing, panel: Panel) -> "tuple[int, int]":
    """Return how far a panel can move to the left and to the right, alone, nanometres.

    Up to the next panel on its track, or to the jambs' end of the row; a pocketed one on into
    its pocket (as far as it is wide, where the pocket's depth is not drawn).

    Example: room_on_track(DOOR, DOOR.panels[0])[0] -> 0
    """
    low, high = drawing.panels[0].left, drawing.panels[-1].right
    if panel.pocketed:
        reach = drawing.length("pocket_depth") or panel.width
        left = end_of(drawing, panel) == "left"
        low, high = (low - reach, high) if left else (low, high + reach)
    for other in drawing.panels:
        if other is panel or other.track != panel.track:
            continue
        if other.left < panel.left:
            low = max(low, other.right)
        else:
            high = min(high, other.left)
    return panel.left - low, high - panel.right


def stacked_panels(drawing: Drawing) -> "dict[str, list[Panel]]":
    """Return what stands at each end when the door is open: panels that stack, and fixed ones.

    A fixed panel counts at the end that it is nearer to; each list is left to right.

    Example: len(stacked_panels(DOOR)["right"]) -> 4
    """
    out: dict[str, list[Panel]] = {"left": [], "right": []}
    middle = (drawing.panels[0].left + drawing.panels[-1].right) // 2
    for panel, way in zip(drawing.panels, opens_to(drawing)):
        near = "left" if (panel.left + panel.right) // 2 < middle else "right"
        out[way or near].append(panel)
    return out


def end_of(drawing: Drawing, panel: Panel) -> str:
    """Return the end that a panel opens to: "left", "right", or "" for a fixed one.

    Example: end_of(DOOR, DOOR.panels[0]) -> "right"
    """
    for other, way in zip(drawing.panels, opens_to(drawing)):
        if other is panel:
            return way
    return ""


def pocketed_panels(drawing: Drawing, side: str) -> "list[Panel]":
    """Return the panels that slide into the pocket at one end, left to right.

    Example: pocketed_panels(DOOR, "left") -> []
    """
    return [panel for panel in drawing.panels if panel.pocketed and end_of(drawing, panel) == side]


def stack_depth(panels: "list[Panel]") -> int:
    """Return how deep panels stand when they are pushed together: the track that holds most.

    Units:   nanometres along the sill. Panels on one track stand one behind the other, those on
             different tracks beside each other. Handles and stops take more.
    Source:  geometry.
    Example: stack_depth([]) -> 0
    """
    tracks: dict[int, int] = {}
    for panel in panels:
        tracks[panel.track] = tracks.get(panel.track, 0) + panel.width
    return max([0] + [tracks[track] for track in tracks])


def clear_way(drawing: Drawing) -> int:
    """Return the way through with everything open: what the stacks at both ends leave.

    Pocketed panels are out of the way. Handles and stops take more.

    Example: clear_way(DOOR) -> 138 * INCH (186 in between the jambs, less a stack of 48)
    """
    taken = [
        stack_depth([panel for panel in stacked_panels(drawing)[side] if not panel.pocketed])
        for side in ("left", "right")
    ]
    return drawing.panels[-1].right - drawing.panels[0].left - sum(taken)


def first_fixed(panels: "list[Panel]") -> int:
    """Return the index of the first fixed panel, or how many there are if none is fixed.

    Example: first_fixed(DOOR.panels) -> 3
    """
    for k, panel in enumerate(panels):
        if not panel.slides:
            return k
    return len(panels)


def _next_to(drawing: Drawing, pair: "list[Panel]") -> bool:
    panels = drawing.panels
    return any(a is pair[0] and b is pair[1] for a, b in zip(panels, panels[1:]))
