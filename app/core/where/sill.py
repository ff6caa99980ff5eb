"""Places along the sill, from the left end of the frame to the right one."""

from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.trade import moving
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.core.where.words import along_words, place_mark


def survey_stations(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the stations of a survey: one every `spacing` or less, ends, and what bears there.

    Interlocks, meeting stiles and the edge of the stack are stations of their own,
    unless a regular one is nearer than `merge`: that one then says so.
    """
    width = drawing.need("frame_width")
    merge = int(where["merge"])
    regular = _station_marks(width, int(where["spacing"]), merge)
    return _walk_order(regular, _bearing_spots(drawing), merge, drawing)


def across_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return ends, quarters and middle."""
    width = drawing.need("frame_width")
    return _walk_order([0, width // 4, width // 2, width * 3 // 4, width], [], 0, drawing)


def across_and_stack(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return ends, quarters, middle, and the edges of the stacked panels, merged where close.

    Without the quarters where they stand nearer to each other than `apart`.
    """
    width = drawing.need("frame_width")
    regular = [0, width // 4, width // 2, width * 3 // 4, width]
    if width // 4 < int(where.get("apart", "0")):
        regular = [0, width // 2, width]
    edges = [(x, Msg("stack edge")) for x in moving.stack_edges(drawing)]
    return _walk_order(regular, edges, int(where["merge"]), drawing)


def both_ends(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return both ends."""
    return _walk_order([0, drawing.need("frame_width")], [], 0, drawing)


def sill_middle(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the middle."""
    return _walk_order([drawing.need("frame_width") // 2], [], 0, drawing)


def ends_middle(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return both ends and the middle."""
    width = drawing.need("frame_width")
    return _walk_order([0, width // 2, width], [], 0, drawing)


def stack_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return where the weight of the stacked panels bears: each edge of a stack, in the row.

    Where all goes into a pocket: the jamb that the pocket lies behind.
    """
    edges = [(x, Msg("stack edge")) for x in moving.stack_edges(drawing)]
    if edges:
        return _walk_order([edges[0][0]], edges, 0, drawing)
    width = drawing.need("frame_width")
    ends = [(0, "left"), (width, "right")]
    return _walk_order(
        [x for x, side in ends if moving.pocketed_panels(drawing, side)], [], 0, drawing
    )


def ends_middle_interlocks(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return both ends, the middle, interlocks and meeting stiles, merged where they are close."""
    width = drawing.need("frame_width")
    return _walk_order(
        [0, width // 2, width], _interlock_spots(drawing), int(where["merge"]), drawing
    )


def tracks_between(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the stations of a survey on each track between innermost and outermost."""
    count = drawing.count("tracks") or 1
    run = [panel.track for panel in drawing.panels]
    out = []
    for track in [n for n in range(2, count) if n in run]:
        for place in survey_stations(where, drawing, step_panel):
            title = Msg("track {number} from the room: {place}", number=track, place=place.title)
            name = "t" + str(track) + "-" + place.id
            out.append(Place(name, title, place.x, side=place.side, track=track))
    return out


def _station_marks(width: int, spacing: int, merge: int) -> "list[int]":
    """Return 0, spacing, 2 spacing … width.

    A last mark nearer than merge to the end goes halfway back, so that no two
    stations crowd and no gap is wider than the spacing.
    """
    out = []
    at = 0
    while at < width:
        out.append(at)
        at += spacing
    if len(out) > 1 and width - out[-1] < merge:
        out[-1] = (out[-2] + width) // 2
    out.append(width)
    return out


def _interlock_spots(drawing: Drawing) -> "list[tuple[int, Msg]]":
    out = [(x, Msg("interlock")) for x in drawing.interlocks]
    out.extend([(x, Msg("meeting stiles")) for x in drawing.meetings])
    return out


def _bearing_spots(drawing: Drawing) -> "list[tuple[int, Msg]]":
    """Return where panels bear: interlocks, meetings, and where the opened stack ends."""
    out = _interlock_spots(drawing)
    out.extend([(x, Msg("stack edge")) for x in moving.stack_edges(drawing)])
    return out


def _walk_order(
    regular: "list[int]", special: "list[tuple[int, Msg]]", merge: int, drawing: Drawing
) -> "list[Place]":
    # Each spot: where it is, what it also stands for, and where those things are.
    spots: list[tuple[int, list[Msg], list[int]]] = [(x, [], [x]) for x in regular]
    for x, what in special:
        spot = _nearest_spot(spots, x)
        if _distance_to(spot, x) < max(merge, 1):
            if what not in spot[1]:
                spot[1].append(what)
            spot[2].append(x)
        else:
            spots.append((x, [what], [x]))
    return [
        _station_place(x, notes, drawing) for x, notes, _ in sort_by(spots, lambda spot: spot[0])
    ]


def _nearest_spot(spots: "list[Any]", x: int) -> Any:
    return sort_by(spots, lambda spot: _distance_to(spot, x))[0]


def _distance_to(spot: Any, x: int) -> int:
    distances: list[int] = [abs(at - x) for at in spot[2]]
    return min(distances)


def _station_place(x: int, notes: "list[Msg]", drawing: Drawing) -> Place:
    width = drawing.need("frame_width")
    title = along_words(x, width, drawing)
    if notes:
        title = Msg("{place} ({what})", place=title, what=notes)
    return Place(place_mark("x", x), title, x=x, side=_side_of(x, width))


def _side_of(x: int, width: int) -> str:
    if x == 0:
        return "left"
    if x == width:
        return "right"
    return "middle" if x == width // 2 else ""
