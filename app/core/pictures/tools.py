"""The two small pictures of a verdict: a level vial, and a bar with its mark."""

from app.core.kinds import Any, Json
from app.core.pictures.canvas import Canvas
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

WIDE, HIGH = 160, 36
MIDDLE = WIDE // 2
LINES = 27  # from the middle of the tube to each line
BUBBLE = 15  # half the bubble's length
FREE = LINES - BUBBLE  # how far it may move before its end passes a line
END = 52  # the farthest that the bubble's middle goes


def draw_vial(tilt: int, speaker: Speaker, sides: "tuple[Msg, Msg] | None" = None) -> Json:
    """Return a level vial: the bubble on the side that is high, past a line when out.

    tilt: thousandths of the limit, below zero when the left (or room) side is high; the
    limit itself (1000) touches the line from inside, anything more is past it.
    sides: words for the two ends, as "the left", "the right" unless said.
    """
    canvas = Canvas(speaker, WIDE)
    style = "p-bubble" if abs(tilt) <= 1000 else "p-bubble-out"
    canvas.rect(2, 4, WIDE - 4, 28, "p-tube", 14)
    canvas.rect(MIDDLE + bubble_at(tilt) - BUBBLE, 9, 2 * BUBBLE, 18, style, 9)
    for x in (MIDDLE - LINES, MIDDLE + LINES):
        canvas.line(x, 4, x, 32, "p-mark")
    return canvas.picture(HIGH, Msg("Level vial"), _vial_in_words(tilt, sides))


def bubble_at(tilt: int) -> int:
    """Return how far the bubble's middle stands from the tube's, user units."""
    size = abs(tilt)
    # a hair past the limit must be seen at arm's length, so it starts well past the line
    past = min(FREE + 7 + (size - 1000) * 8 // 1000, END)
    off = size * FREE // 1000 if size <= 1000 else past
    return off if tilt > 0 else -off


def draw_bar(
    value: int,
    low: "int | None",
    high: "int | None",
    speaker: Speaker,
    words: "Any" = None,
) -> Json:
    """Return a bar with the value's mark and a line at each limit.

    value, low, high: whole, in one unit, whatever the quantity; a limit that is None does
    not bind. words: the value as text for the description (a Msg, Len or Qty).
    Between the limits, ends included, is within; the mark never stands on the wrong side.
    """
    canvas = Canvas(speaker, WIDE)
    first, last = (8, WIDE - 8)
    lines = bar_lines(low, high)
    canvas.rect(first, 15, last - first, 10, "p-beam", 3)
    start, end = lines[0] if low is not None else first, lines[1] if high is not None else last
    canvas.rect(start, 15, end - start, 10, "p-good")
    for bound, x in ((low, lines[0]), (high, lines[1])):
        if bound is not None:
            canvas.line(x, 8, x, 32, "p-mark")
    within = (low is None or value >= low) and (high is None or value <= high)
    x = bar_mark(value, low, high)
    canvas.path([(x - 6, 2), (x + 6, 2), (x, 14)], "p-pointer" if within else "p-pointer-out")
    return canvas.picture(HIGH, Msg("Value and limit"), _bar_in_words(value, low, high, words))


def bar_lines(low: "int | None", high: "int | None") -> "tuple[int, int]":
    """Return where the lines of the two limits stand, user units."""
    if low is not None and high is not None:
        return 48, 112
    return 60, 108


def bar_mark(value: int, low: "int | None", high: "int | None") -> int:
    """Return where the value's mark stands: on its own side of every limit line."""
    left, right = bar_lines(low, high)
    if high is not None and value > high:
        span = max(high - (low if low is not None else 0), 1)
        return min(right + 6 + (value - high) * 48 // span, WIDE - 10)
    if low is not None and value < low:
        span = max(high - low if high is not None else low, 1)
        return max(left - 6 - (low - value) * 48 // span, 10)
    if low is not None and high is not None:
        return left + (value - low) * (right - left) // max(high - low, 1)
    if high is not None:
        return max(right - (high - value) * (right - 12) // max(high, 1), 12)
    if low is not None:
        return min(left + (value - low) * 48 // max(low, 1), WIDE - 12)
    return MIDDLE


def _vial_in_words(tilt: int, sides: "tuple[Msg, Msg] | None") -> Msg:
    left, right = sides or (Msg("the left"), Msg("the right"))
    side = left if tilt < 0 else right
    if tilt == 0:
        return Msg("The bubble is in the middle: level.")
    if abs(tilt) <= 1000:
        return Msg("The bubble is toward {side}, between the lines: within.", side=side)
    return Msg("The bubble is past the line toward {side}: {side} is too high.", side=side)


def _bar_in_words(value: int, low: "int | None", high: "int | None", words: Any) -> Msg:
    if high is not None and value > high:
        says = Msg("More than the limit allows.")
    elif low is not None and value < low:
        says = Msg("Less than the limit asks for.")
    else:
        says = Msg("Within the limit.")
    return says if words is None else Msg("{value}. {says}", value=words, says=says)
