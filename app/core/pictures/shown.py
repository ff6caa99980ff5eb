"""What an instrument shows, to be read off it: a piece of its scale with the edge that is read."""

from app.core.kinds import Json
from app.core.pictures.canvas import Canvas
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import INCH

WIDE, HIGH = 340, 92
MIDDLE = WIDE // 2
TOP, FOOT = 22, 74
MM = 1_000_000
# an inch by its parts: the fewer parts, the longer the line
_INCH_LINES = ((1, 40), (2, 32), (4, 25), (8, 19), (16, 13), (32, 9), (64, 6))
_QUARTERS = ("", " 1/4", " 1/2", " 3/4")


def draw_scale(value: int, division: int, speaker: Speaker) -> Json:
    """Return a piece of a tape or rule around a length, with the edge at which it is read.

    value: nanometres, a whole number of divisions. The words say the size for who cannot see it.
    """
    part, wide = _scale_of(speaker.units, division)
    canvas = Canvas(speaker, WIDE)
    canvas.rect(2, TOP, WIDE - 4, FOOT - TOP, "p-leaf", 2)
    steps = MIDDLE * part // wide // division
    for n in range(-steps, steps + 1):
        tick = value + n * division
        x = MIDDLE + (2 * n * division * wide + part) // (2 * part)
        if tick < 0 or not 6 <= x <= WIDE - 6:
            continue
        canvas.line(x, TOP, x, TOP + _line_length(tick, part), "p-mark")
        if tick % part == 0:
            canvas.text(x, FOOT - 4, _number_of(tick, part), "p-strong")
    canvas.polyline([(MIDDLE - 6, 6), (MIDDLE, TOP - 1), (MIDDLE + 6, 6)], "p-arrow")
    canvas.polyline(
        [(MIDDLE - 6, FOOT + 16), (MIDDLE, FOOT + 1), (MIDDLE + 6, FOOT + 16)], "p-arrow"
    )
    words = Msg("The scale shows {size}.", size=Len(value))
    return canvas.picture(HIGH, Msg("What the instrument shows"), words)


def _scale_of(units: str, division: int) -> "tuple[int, int]":
    """Return what is numbered on a scale, and how wide that is drawn."""
    if units == "in":
        return (INCH // 4, 75) if division <= INCH // 64 else (INCH, 150)
    return (MM, 75) if division < MM // 2 else (10 * MM, 56)


def _line_length(tick: int, part: int) -> int:
    if part % MM == 0:
        return 40 if tick % part == 0 else 28 if tick % (part // 2) == 0 else 16
    for parts, length in _INCH_LINES:
        if tick * parts % INCH == 0:
            return length
    return 6


def _number_of(tick: int, part: int) -> str:
    if part % MM == 0:
        return str(tick // MM)
    whole, quarter = tick // INCH, _QUARTERS[tick % INCH * 4 // INCH]
    return (str(whole) if whole or not quarter else "") + quarter
