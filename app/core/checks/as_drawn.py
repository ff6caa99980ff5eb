"""What a check would find at a place of a door that stands just as drawn: practice shows it.

No verdict and no sign-off rests on it. A Spec names the function that knows (`as_drawn`), or leaves
it out where nothing tells.
"""

from app.core.kinds import Json
from app.core.quantity.units import INCH, half_up
from app.core.trade.drawing import Drawing
from app.core.trade.instruments import root_up
from app.core.where.place import Place

LINE = 13 * INCH  # how far a level line or a plumb line stands off
GAP = INCH // 4  # of a panel to a jamb, of two panels to each other
TURN = INCH // 16  # what one turn of a roller's screw lifts
ROOM = INCH // 4  # inside a limit that has one side
DEEP = 3 * INCH // 8  # a stile over the sill, or a joint, where the drawing is silent


class DrawnPlace:
    """A place of a point, and a check that looks at it in an input.

    limits: base units by name, None where the drawing is silent. plain: whether it is read as it
    is, not off a level or plumb line. down: whether it is read down from a beam.
    """

    def __init__(
        self,
        drawing: Drawing,
        point: Json,
        settings: Json,
        limits: "dict[str, int | None]",
        input: str,
        place: Place,
        down: bool,
    ) -> None:
        self.drawing = drawing
        self.quantity: str = point["quantity"]
        self.plain: bool = point["how"] == "plain"
        self.settings = settings
        self.limits = limits
        self.input = input
        self.place = place
        self.down = down


def of_field(asked: DrawnPlace) -> "int | None":
    """Return the drawing's own value of the field that the check names."""
    return field_at(asked.drawing, str(asked.settings["field"]), asked.place)


def field_at(drawing: Drawing, field: str, place: Place) -> "int | None":
    """Return a field of the drawing at a place: a panel's size is that of its panel."""
    if field == "panel_width":
        return drawing.panel(place.panel).width
    if field == "panel_height":
        return drawing.panel(place.panel).height
    return drawing.value(field)


def counted(asked: DrawnPlace) -> "int | None":
    """Return how many there are to count."""
    given = asked.settings.get("count")
    return int(given) if given else asked.drawing.count(str(asked.settings["field"]))


def side_or_diagonal(asked: DrawnPlace) -> "int | None":
    """Return a width, a height or a diagonal of a panel, the frame or the opening."""
    of = str(asked.settings["of"])
    if of == "panel":
        panel = asked.drawing.panel(asked.place.panel)
        width: int | None = panel.width
        height: int | None = panel.height
    else:
        width = asked.drawing.length(of + "_width")
        height = asked.drawing.length(of + "_height")
    if asked.input != "diagonals":
        return width if asked.input == "widths" else height
    if width is None or height is None:
        return None
    return root_up(width * width + height * height)


def opening_height(asked: DrawnPlace) -> "int | None":
    """Return the clear height that a survey of the sill looks up; nothing in its other inputs."""
    return asked.drawing.length("opening_height") if asked.input == "heights" else None


def opening_width(asked: DrawnPlace) -> "int | None":
    """Return the width of the opening; nothing of a jamb's own plumb."""
    return asked.drawing.length("opening_width") if asked.input == "widths" else None


def frame_height(asked: DrawnPlace) -> "int | None":
    """Return the height inside the frame."""
    return asked.drawing.length("frame_height")


def even_gap(asked: DrawnPlace) -> int:
    """Return a gap of a door that closes evenly, what a stile clears, what a trial turn lifts."""
    if asked.input == "stiles":
        return asked.drawing.length("stile_clearance") or DEEP
    return TURN if asked.input == "trial" else GAP


def lifted_stile(asked: DrawnPlace) -> "int | None":
    """Return what a stile clears lowered, or lifted by the least that is drawn."""
    if asked.input != "lifted":
        return asked.drawing.length("stile_clearance")
    lift = asked.drawing.length("panel_lift_least") or 0
    return (asked.drawing.length("stile_clearance") or 0) + lift


def joint_deep(asked: DrawnPlace) -> "int | None":
    """Return how deep a sealed joint is; nothing of its width."""
    return DEEP if asked.input == "depth" else None


def nothing(_: DrawnPlace) -> int:
    """Return 0: no gap at a string, no lean."""
    return 0


def fallen_line(asked: DrawnPlace) -> "int | None":
    """Return how far the weather-side line stands off: lower by the fall. None of the room side."""
    if asked.input != "weather":
        return None
    fall = inside_limits(asked) or 0
    return LINE + (fall if asked.down else -fall)


def inside_limits(asked: DrawnPlace) -> "int | None":
    """Return a value that is well inside the limits; None where the drawing is silent on all."""
    least, most = asked.limits.get("least"), asked.limits.get("most")
    target = asked.limits.get("target")
    if target is not None:
        return target
    if least is not None and most is not None:
        return half_up(least + most, 2)
    if least is not None:
        return least + (ROOM if asked.quantity == "length" else 0)
    if most is None:
        return None
    return 0 if asked.quantity == "length" else most // 2
