"""Charts of figures, as shapes of a picture: rows of bars with their words. A table stands beside
each, so a chart says nothing that cannot be read."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.core.kinds import Json
from app.core.pictures.canvas import WIDTH, Canvas, clean_text, label_width, wrapped_lines
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker

FEW = 5  # of fewer than this no chart is made: it would look like more than it is
BAR = 12
GAP = 10
MOST_BARS = 14


@dataclass(frozen=True)
class ChartBar:
    """One bar: label, text at its end, its ends and a mark in thousandths of the whole width."""

    label: str
    text: str
    end: int
    start: int = 0
    mark: int | None = None


def bar_chart(speaker: Speaker, about: Msg, bars: Sequence[ChartBar]) -> Json | None:
    """Return a picture with a bar a row; None where there is nothing to draw."""
    if not bars:
        return None
    canvas = Canvas(speaker)
    y = 4
    for bar in bars[:MOST_BARS]:
        y = _add_bar(canvas, y, bar) + GAP
    return {
        "width": WIDTH,
        "height": y,
        "shapes": canvas.shapes,
        "description": clean_text(speaker.say(about)),
    }


def _add_bar(canvas: Canvas, y: int, bar: ChartBar) -> int:
    room = max(80, WIDTH - label_width(bar.text) - 12)
    lines = wrapped_lines(clean_text(bar.label), room * 10 // 84) or [""]
    canvas.text(WIDTH, y + 12, bar.text, "p-strong", "end")
    for line in lines:
        canvas.text(0, y + 12, line, "p-text", "start")
        y += 16
    start, end = (_across(part) for part in (bar.start, bar.end))
    canvas.rect(0, y, WIDTH, BAR, "p-chart-whole")
    canvas.rect(start, y, end - start, BAR, "p-chart-bar")
    if bar.mark is not None:
        canvas.rect(max(0, _across(bar.mark) - 2), y - 2, 4, BAR + 4, "p-chart-mark")
    return y + BAR


def _across(thousandths: int) -> int:
    return WIDTH * max(0, min(1000, thousandths)) // 1000
