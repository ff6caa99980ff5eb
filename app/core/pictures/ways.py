"""Two small pictures of how a level line is read, to choose between."""

from app.core.kinds import Json
from app.core.pictures.canvas import Canvas
from app.core.words import Msg, Speaker

WIDE, HIGH = 150, 110
BEAM, STRING = 16, 84


def reading_way(how: str, speaker: Speaker) -> Json:
    """Return the picture for "down" (from a beam over the floor) or "up" (from a line under it)."""
    canvas = Canvas(speaker, WIDE)
    floor = [(8, 84), (52, 84), (98, 94), (142, 94)]
    if how == "up":
        floor = [(8, 36), (52, 36), (98, 26), (142, 26)]
    line = BEAM if how == "down" else STRING
    canvas.polyline(floor, "p-floor")
    canvas.line(4, line, WIDE - 4, line, "p-datum")
    for x, y in (floor[0], floor[2]):
        _rule(canvas, x + 22, line, y)
    return canvas.picture(HIGH, _TITLES[how], _SAYS[how])


def _rule(canvas: Canvas, x: int, start: int, end: int) -> None:
    """Add an arrow along a rule, from the line to the surface."""
    canvas.line(x, start, x, end, "p-arrow")
    back = -6 if end > start else 6
    canvas.polyline([(x - 4, end + back), (x, end), (x + 4, end + back)], "p-arrow")


_TITLES = {"down": Msg("Read down from the beam"), "up": Msg("Read up from the line")}
_SAYS = {
    "down": Msg("A level beam runs over the floor; the rule reads from the beam down to the floor."),
    "up": Msg("A level line runs under the surface; the rule reads from the line up to it."),
}
