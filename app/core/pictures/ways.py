"""The pictures by which a person says how a survey is read: down from a beam, or up from a line."""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pictures.canvas import Canvas
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WIDE = 220
HIGH_SPOT, LOW_SPOT = (62, 66), (168, 92)  # two places on the floor
BEAM, MARK = 22, 116


def reading_way(how: str, speaker: Speaker) -> Json:
    """Return the picture of reading "down" from the beam or "up" from a line to the surface.

    Errors: InputError 'way-unknown' for anything else.
    """
    if how not in ("down", "up"):
        raise InputError("way-unknown", Msg("A survey is read down from a beam or up from a line."))
    canvas = Canvas(speaker, WIDE)
    floor = [(8, 66), HIGH_SPOT, (100, 68), (134, 90), LOW_SPOT, (212, 92)]
    canvas.path([(8, 128)] + floor + [(212, 128)], "p-ground")
    canvas.polyline(floor, "p-floor")
    line = BEAM if how == "down" else MARK
    canvas.line(8, line, 212, line, "p-laser")
    for x, y in (HIGH_SPOT, LOW_SPOT):
        _draw_measure(canvas, x, line, y)
    if how == "down":
        canvas.text(110, 14, Msg("beam"), "p-text")
        canvas.text(162, 62, Msg("bigger"), "p-strong", "end")
        return canvas.picture(132, Msg("Down from the beam"), _down_words())
    canvas.text(116, 110, Msg("line"), "p-text")
    canvas.text(68, 90, Msg("bigger"), "p-strong", "start")
    return canvas.picture(132, Msg("Up from a line"), _up_words())


def _draw_measure(canvas: Canvas, x: int, start: int, end: int) -> None:
    """Add a reading: from the line to the surface, an arrow at the surface."""
    back = -6 if end > start else 6
    canvas.line(x, start, x, end, "p-arrow")
    canvas.polyline([(x - 4, end + back), (x, end), (x + 4, end + back)], "p-arrow")


def _down_words() -> Msg:
    return Msg("Read down from the beam to the surface: a bigger reading is lower.")


def _up_words() -> Msg:
    return Msg("Read up from a line to the surface: a bigger reading is higher.")
