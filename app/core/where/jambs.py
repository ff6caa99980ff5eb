"""Places at the jambs, the head and the corners of the frame."""

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.trade import anchored
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.core.where.words import jamb_word, level_heights, level_word, place_mark, standpoint_words


def jamb_heights(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return low, middle and high: of one jamb, of both, or (no jamb) across the opening."""
    jamb = where.get("jamb", "")
    spots = level_heights(where, drawing.need("frame_height"))
    if jamb != "both":
        return [_height_place(jamb, name, y, drawing) for name, y in spots]
    out = []
    for side in ("left", "right"):
        for name, y in spots:
            place = _height_place(side, name, y, drawing)
            out.append(Place(side + "-" + name, place.title, place.x, y, side=side))
    return out


def _height_place(jamb: str, name: str, y: int, drawing: Drawing) -> Place:
    if not jamb:
        title = Msg("{level}, {y} up", level=level_word(name), y=Len(y, "place"))
        return Place(name, title, y=y, side=name)
    title = Msg(
        "{jamb}: {level}, {y} up",
        jamb=jamb_word(jamb, drawing),
        level=level_word(name),
        y=Len(y, "place"),
    )
    return Place(name, title, _jamb_edge(jamb, drawing), y, side=name)


def _jamb_edge(jamb: str, drawing: Drawing) -> int:
    return 0 if jamb == "left" else drawing.need("frame_width")


def jamb_anchors(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return low, every anchor, and high of one jamb, from the bottom; close ones merged."""
    jamb = where["jamb"]
    merge = int(where["merge"])
    height = drawing.need("frame_height")
    spots = [spot for spot in level_heights(where, height) if spot[0] != "middle"]
    for y in anchored.jamb_anchors(drawing, jamb).points:
        if all(abs(y - other[1]) >= merge for other in spots):
            spots.append((place_mark("y", y), y))
    return [_anchor_height(jamb, name, y, drawing) for name, y in sort_by(spots, lambda s: s[1])]


def _anchor_height(jamb: str, name: str, y: int, drawing: Drawing) -> Place:
    if name in ("low", "high"):
        return _height_place(jamb, name, y, drawing)
    title = Msg("{jamb}: anchor, {y} up", jamb=jamb_word(jamb, drawing), y=Len(y, "place"))
    return Place(name, title, _jamb_edge(jamb, drawing), y)


def anchor_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return every anchor, up the left jamb, along the head, up the right jamb; or one member's.

    They stand where the set-out puts them, clear of locks and interlocks.
    """
    member = where.get("member", "")
    out = []
    if member != "head":
        out.extend([_at_jamb("left", y, drawing) for y in _up_jamb(drawing, "left")])
    if member != "jambs":
        out.extend([_at_head(x, drawing) for x in anchored.head_anchors(drawing).points])
    if member != "head":
        out.extend([_at_jamb("right", y, drawing) for y in _up_jamb(drawing, "right")])
    return out


def _up_jamb(drawing: Drawing, jamb: str) -> "list[int]":
    return anchored.jamb_anchors(drawing, jamb).points


def _at_jamb(jamb: str, y: int, drawing: Drawing) -> Place:
    title = Msg("{jamb}: {y} up", jamb=jamb_word(jamb, drawing), y=Len(y, "place"))
    return Place(jamb + "-" + place_mark("y", y), title, _jamb_edge(jamb, drawing), y, side=jamb)


def _at_head(x: int, drawing: Drawing) -> Place:
    title = Msg(
        "head: {x} from LEFT jamb, {stand}", x=Len(x, "place"), stand=standpoint_words(drawing)
    )
    return Place("head-" + place_mark("x", x), title, x, drawing.need("frame_height"), side="top")


def joint_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return stations every `spacing` or less around jambs and head, from the left foot.

    Without a spacing: the middle of each of the three.
    """
    height, width = drawing.need("frame_height"), drawing.need("frame_width")
    if "spacing" not in where:
        sides = [_at_jamb(side, height // 2, drawing) for side in ("left", "right")]
        return [sides[0], _at_head(width // 2, drawing), sides[1]]
    up = _even_marks(height, int(where["spacing"]))
    over = _even_marks(width, int(where["spacing"]))
    out = [_at_jamb("left", y, drawing) for y in up]
    out.extend([_at_head(x, drawing) for x in over[1:-1]])
    out.extend([_at_jamb("right", y, drawing) for y in reversed(up)])
    return out


def _even_marks(length: int, spacing: int) -> "list[int]":
    spaces = max(1, -(-length // spacing))
    return [length * k // spaces for k in range(spaces + 1)]


def diagonal_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return both diagonals by what they join."""
    return [
        Place(
            "low-left-high-right",
            Msg("LOW LEFT to HIGH RIGHT, {stand}", stand=standpoint_words(drawing)),
        ),
        Place(
            "low-right-high-left",
            Msg("LOW RIGHT to HIGH LEFT, {stand}", stand=standpoint_words(drawing)),
        ),
    ]


def corner_places(where: Json, drawing: Drawing, step_panel: str) -> "list[Place]":
    """Return the four corners, in order around: the twist check needs that order."""
    width = drawing.need("frame_width")
    height = drawing.need("frame_height")
    how = standpoint_words(drawing)
    return [
        Place("low-left", Msg("LOW LEFT corner, {stand}", stand=how), 0, 0, side="left"),
        Place("low-right", Msg("LOW RIGHT corner, {stand}", stand=how), width, 0, side="right"),
        Place(
            "high-right", Msg("HIGH RIGHT corner, {stand}", stand=how), width, height, side="right"
        ),
        Place("high-left", Msg("HIGH LEFT corner, {stand}", stand=how), 0, height, side="left"),
    ]
