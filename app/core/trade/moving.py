"""How the panels of a door move: leads, room on the track, where they stack.

As seen from OUTSIDE, for a drawing that panels.panel_questions() has nothing against.
"""

from app.core.order import sort_by
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


def stacks_inside(drawing: Drawing) -> bool:
    """Return whether both halves stack over a fixed panel between them (XOX, XXOXX).

    Example: stacks_inside(DOOR) -> False
    """
    fixed = first_fixed(drawing.panels) < len(drawing.panels)
    return fixed and len(leading_panels(drawing)) == 2 and not leads_meet(drawing)


def stacked_panels(drawing: Drawing) -> "dict[str, list[Panel]]":
    """Return what stands where when the door is open: panels that stack, and fixed ones.

    "left", "right": at that end; a fixed panel counts at the end that it is nearer to. "middle":
    all of a door that stacks over a fixed panel between its leads. Each list is left to right.

    Example: len(stacked_panels(DOOR)["right"]) -> 4
    """
    out: dict[str, list[Panel]] = {"left": [], "middle": [], "right": []}
    if stacks_inside(drawing):
        out["middle"] = list(drawing.panels)
        return out
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


def open_lefts(drawing: Drawing) -> "dict[str, int]":
    """Return letter -> where the left edge of each panel stands with everything open, nanometres.

    Each goes as far to its end as its track lets it; over a fixed panel between two leads, as far
    over it as it goes, the panels of the active lead first: of two that share a track one takes
    the place, and the other stays beside it. A panel in a pocket is beyond the row's end.

    Example: open_lefts(DOOR)["A"] -> 140 * INCH (as D, at the right jamb)
    """
    panels = drawing.panels
    at = {panel.letter: panel.left for panel in panels}
    fixed = [panel for panel in panels if not panel.slides]
    ways = opens_to(drawing)
    halves = ["right", "left"]
    if drawing.data.get("lock") == "right":
        halves = ["left", "right"]
    for way in halves:
        group = [panel for panel, to in zip(panels, ways) if to == way]
        for panel in reversed(group) if way == "right" else group:
            low, high = panels[0].left, panels[-1].right
            if stacks_inside(drawing):
                low, high = fixed[0].left, fixed[-1].right
            if panel.pocketed:
                low, high = low - panel.width, high + panel.width
            at[panel.letter] = _pushed(panel, way, low, high, panels, at)
    return at


def _pushed(
    panel: Panel, way: str, low: int, high: int, panels: "list[Panel]", at: "dict[str, int]"
) -> int:
    """Return how far a panel goes towards one end before something on its track stops it."""
    for other in panels:
        if other is panel or other.track != panel.track:
            continue
        if other.left < panel.left:
            low = max(low, at[other.letter] + other.width)
        else:
            high = min(high, at[other.letter])
    return max(panel.left, high - panel.width) if way == "right" else min(panel.left, low)


def open_spans(drawing: Drawing) -> "list[tuple[int, int]]":
    """Return what stands in the row with everything open: (left, right), apart, left to right.

    Example: open_spans(DOOR) -> [(140 * INCH, 188 * INCH)]
    """
    at = open_lefts(drawing)
    standing = [
        (at[panel.letter], at[panel.letter] + panel.width)
        for panel in drawing.panels
        if not panel.pocketed
    ]
    out: list[tuple[int, int]] = []
    for low, high in sort_by(standing, lambda span: span[0]):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def stack_edges(drawing: Drawing) -> "list[int]":
    """Return where the stacks end with the door open, but for what stands at a jamb.

    Example: stack_edges(DOOR) -> [140 * INCH]
    """
    if not drawing.panels:
        return []
    ends = (drawing.panels[0].left, drawing.panels[-1].right)
    return [edge for span in open_spans(drawing) for edge in span if edge not in ends]


def clear_way(drawing: Drawing) -> int:
    """Return the way through with everything open: what the stacks leave.

    Pocketed panels are out of the way. Handles and stops take more.

    Example: clear_way(DOOR) -> 138 * INCH (186 in between the jambs, less a stack of 48)
    """
    taken = sum([high - low for low, high in open_spans(drawing)])
    return drawing.panels[-1].right - drawing.panels[0].left - taken


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
