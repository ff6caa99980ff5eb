"""The pictures of the field book, as plain data.

Each function returns {"title": text, "description": a sentence that says what the
picture shows, "width", "height": user units, "shapes": [shape, …]}; the macro
`picture` of templates/field/picture.html prints it as SVG, static/css/pictures.css
gives the classes their look. A shape is a dict with "kind" and "class" and

    line      x1 y1 x2 y2            rect  x y width height round
    circle    x y radius             text  x y text anchor turn ("" or a rotation)
    polyline  points ("x,y x,y")     path  d (a closed area)

All numbers are whole. Lengths come in nanometres and are said in the speaker's
units. Everything is SEEN FROM OUTSIDE: left is left for somebody standing there.
"""

from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.core.where.place import Place


def elevation_picture(drawing: Drawing, speaker: Speaker) -> Json:
    """Return the door from outside: letters, X and O, ways to slide, lock, widths.

    Errors: InputError 'panels-none'.
    """
    from app.core.pictures import panels

    return panels.draw_elevation(drawing, speaker)


def plan_picture(drawing: Drawing, speaker: Speaker, order: "list[str] | None" = None) -> Json:
    """Return the tracks from above; order (letters, see trade/setting.py) numbers the panels.

    Errors: InputError 'panels-none', 'panel-unknown'.
    """
    from app.core.pictures import plan as above

    return above.draw_plan(drawing, speaker, order)


def stage_pictures(drawing: Drawing, speaker: Speaker) -> "list[Json]":
    """Return a plan for each turn of setting: what stands, what goes in now, what is to come.

    Errors: those of trade/setting.setting_order(); whoever sets from the room sees it from there.
    """
    from app.core.pictures import plan as above
    from app.core.trade.setting import setting_order

    turns = setting_order(drawing)
    return [above.draw_stage(drawing, speaker, turns, at) for at in range(len(turns))]


def sill_layout(
    bed: Any,
    speaker: Speaker,
    anchors: "list[int] | None" = None,
    supports: "list[int] | None" = None,
) -> Json:
    """Return the sill from above with beads (a trade/bed.py Bed), weeps, supports, anchors."""
    from app.core.pictures import sill

    return sill.sill_layout(bed, speaker, anchors, supports)


def floor_profile(floor: Json, speaker: Speaker) -> Json:
    """Return the floor with heights exaggerated, limit band, packing and grinding.

    floor: {"stations": [{"x", "h", "pack", "grind", "title"}], "datum", "limit"}, see
    pictures/sill.py.
    """
    from app.core.pictures import sill

    return sill.floor_profile(floor, speaker)


def opening_picture(fit: Json, speaker: Speaker) -> Json:
    """Return the frame in its opening with gaps exaggerated, and shims.

    fit: {"frame_width", "frame_height", "least", "most", "places": [{"side", "at", "gap"}]},
    see pictures/opening.py.
    """
    from app.core.pictures import opening as room

    return room.draw_opening(fit, speaker)


def closing(door: Any, plan: Any, speaker: Speaker) -> Json:
    """Return the door as it will close: tapers drawn larger than life, turns at their rollers.

    door, plan: a Door and a Plan of trade/door_model.
    """
    from app.core.pictures import closing as closed

    return closed.closing(door, plan, speaker)


def vial_picture(tilt: int, speaker: Speaker, sides: "tuple[Msg, Msg] | None" = None) -> Json:
    """Return a level vial, 160 x 36: the bubble toward the high side, past the line when out.

    tilt: thousandths of the limit; below zero the left (or room) side is high.
    sides: words for the two ends, Msg("the left") and Msg("the right") unless said.
    """
    from app.core.pictures import tools

    return tools.draw_vial(tilt, speaker, sides)


def bar_picture(
    value: int, low: "int | None", high: "int | None", speaker: Speaker, words: Any = None
) -> Json:
    """Return a bar, 160 x 36, with a line at each limit and the value's mark.

    value, low, high: whole numbers of one unit; None does not bind. words: the value as a
    Len, Qty or Msg, for the description.
    """
    from app.core.pictures import tools

    return tools.draw_bar(value, low, high, speaker, words)


def reading_way(how: str, speaker: Speaker) -> Json:
    """Return the picture, 220 wide, of reading "down" from a beam or "up" from a line.

    Errors: InputError 'way-unknown'.
    """
    from app.core.pictures import ways

    return ways.reading_way(how, speaker)


def place_picture(drawing: Drawing, place: Place, speaker: Speaker) -> "Json | None":
    """Return the door from outside with one place marked; None where it is nowhere on the door."""
    from app.core.pictures import spot

    return spot.draw_spot(drawing, place, speaker)


def marked_places(
    drawing: Drawing,
    marked: "list[tuple[int, Place]]",
    speaker: Speaker,
    remarks: "list[Msg] | None" = None,
) -> "Json | None":
    """Return the door from outside with places by number; None where none is on the door.

    remarks: what is so of each place, in words; else that it has moved.
    """
    from app.core.pictures import spot

    return spot.draw_marked(drawing, marked, speaker, remarks)


def progress_picture(
    steps: "list[Json]", words: str, speaker: Speaker, letters: bool = True
) -> Json:
    """Return the small door, 160 wide, in which each step is lit as it is signed.

    steps: {"key", "state"} of standing.opening_standing, or "out"; words: the same in words.
    letters: whether the panels have theirs.
    """
    from app.core.pictures import progress

    return progress.draw_progress(steps, words, speaker, letters)
