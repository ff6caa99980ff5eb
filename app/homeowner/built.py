"""The door as built: what was drawn beside what was read, as a picture and as a table.

Places are the drawing's; what stands at them was read or counted there. What was not read is left
open, never taken from the drawing.

What was read is kept as facts:

    {"panels": [{"letter", "mark": as read or "", "width": nanometres or ""}],
     "anchors": [{"side": left, right or top, "x", "y": nanometres or "", "read": bool}],
     "counted": anchors, "weeps": those open after sealing; "" where nobody counted}
"""

from app.core.checks.base import Ask
from app.core.checks.index import spec_of
from app.core.checks.rows import drawn_at
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.pages.request import amount_of
from app.core.pictures.canvas import Canvas, scaled_to
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import Speaker
from app.core.record import judge, purposes
from app.core.record.state import Reading, State, Step
from app.core.trade.drawing import Drawing
from app.homeowner.wording import Teller, as_json

LEFT, WIDE, TOP, MOST = 40, 260, 38, 190  # where the frame stands on the sheet
LONGEST = 18  # signs of a mark that stand in a panel


def as_read(state: State) -> Json:
    """Return what was read of the built door, as facts."""
    return {
        "panels": [
            {
                "letter": panel.letter,
                "mark": _mark(state, panel.letter),
                "width": _value_text(
                    _of_panel(state, purposes.PANEL_WIDTH, panel.letter, "bottom")
                ),
            }
            for panel in state.drawing.panels
        ],
        "anchors": [
            {
                "side": place.side,
                "x": "" if place.x is None else str(place.x),
                "y": "" if place.y is None else str(place.y),
                "read": reading is not None,
            }
            for place, reading in purposes.readings_of_purpose(state, purposes.ANCHOR_GAP)
        ],
        "counted": _counted(state, purposes.ANCHOR_COUNT),
        "weeps": _counted(state, purposes.WEEP_COUNT),
    }


def _of_panel(state: State, purpose: str, letter: str, side: str) -> Reading | None:
    """Return the reading of a purpose at a panel; None where there is none."""
    for place, reading in purposes.readings_of_purpose(state, purpose):
        if (place.panel, place.side) == (letter, side):
            return reading
    return None


def _mark(state: State, letter: str) -> str:
    """Return the mark of a panel as read; "" where nobody wrote it down."""
    reading = _of_panel(state, purposes.PANEL_LABEL, letter, "")
    return reading.text if reading else ""


def _counted(state: State, purpose: str) -> str:
    """Return the last count of a purpose's points; "" where nobody counted."""
    counts = [reading for _, reading in purposes.readings_of_purpose(state, purpose) if reading]
    return _value_text(counts[-1]) if counts else ""


def _value_text(reading: Reading | None) -> str:
    return str(reading.value) if reading else ""


def picture(read: Json, drawing: Drawing, speaker: Speaker) -> Json | None:
    """Return the door as read; None where the drawing has not enough for a picture."""
    try:
        sheet = _BuiltPicture(read, drawing, speaker)
    except AppError:
        return None
    canvas = sheet.canvas
    canvas.text(170, 14, Msg("AS READ, SEEN FROM OUTSIDE"), "p-strong")
    canvas.rect(LEFT - 4, TOP - 4, sheet.wide + 8, sheet.high + 8, "p-frame")
    panels = list(zip(drawing.panels, read["panels"], strict=True))
    for panel, known in sort_by(panels, lambda pair: pair[0].track):
        _draw_panel(sheet, panel, known["mark"])
    for at in drawing.weeps:
        canvas.weep(sheet.x(at), TOP + sheet.high + 6)
    _draw_anchors(sheet)
    widths = [(sheet.x((panel.left + panel.right) // 2), _width(known)) for panel, known in panels]
    y = canvas.row(TOP + sheet.high + 18, widths)
    y = canvas.lines(y, Msg("Widths of the panels as read, low"), "p-dim")
    y = canvas.legend(y + 4, _signs(read))
    return canvas.picture(y + 5, Msg("The door as read"), _in_words(read))


class _BuiltPicture:
    """What was read of one door, with the scale of its picture."""

    def __init__(self, read: Json, drawing: Drawing, speaker: Speaker) -> None:
        self.read = read
        self.canvas = Canvas(speaker)
        self.frame = drawing.need("frame_width")
        self.tall = drawing.need("frame_height")
        self.wide = WIDE
        self.high = min(max(scaled_to(self.tall, WIDE, self.frame), 96), MOST)

    def x(self, at: int) -> int:
        """Return where a position along the frame is drawn."""
        return LEFT + scaled_to(at, self.wide, self.frame)


def _width(known: Json) -> Any:
    """Return a panel's width as read low; "–" where nobody read it."""
    return Len(int(known["width"]), "place") if known["width"] else "–"


def _draw_panel(sheet: _BuiltPicture, panel: Any, mark: str) -> None:
    canvas = sheet.canvas
    x, wide = sheet.x(panel.left), sheet.x(panel.right) - sheet.x(panel.left)
    canvas.rect(x, TOP, wide, sheet.high, "p-stile")
    canvas.rect(x + 4, TOP + 5, wide - 8, sheet.high - 10, "p-glass")
    canvas.text(x + wide // 2, TOP + 24, panel.letter, "p-big")
    short = mark if len(mark) <= LONGEST else mark[: LONGEST - 1] + "…"
    fits = max((sheet.high - 44) // 8, 4)
    canvas.upright(x + wide // 2, TOP + 32, short[:fits], "p-text")


def _draw_anchors(sheet: _BuiltPicture) -> None:
    """Draw every place of an anchor, the read ones with their sign."""
    for anchor in sheet.read["anchors"]:
        x, y = _beside(sheet, anchor)
        if anchor["read"]:
            sheet.canvas.anchor(x, y, 4)
        else:
            sheet.canvas.circle(x, y, 4, "p-point")


def _beside(sheet: _BuiltPicture, anchor: Json) -> tuple[int, int]:
    """Return where the sign of an anchor stands: beside its jamb, or over the head."""
    if anchor["side"] == "top":
        return sheet.x(int(anchor["x"] or 0)), TOP - 10
    y = TOP + sheet.high - scaled_to(int(anchor["y"] or 0), sheet.high, sheet.tall)
    return (LEFT - 14 if anchor["side"] == "left" else LEFT + sheet.wide + 14), y


def _signs(read: Json) -> list[tuple[str, Msg]]:
    unknown = Msg("not counted")
    return [
        (
            "p-anchor",
            Msg(
                "anchor, as drawn, where the gap was read: {read} of {places}; counted: {counted}",
                read=len([anchor for anchor in read["anchors"] if anchor["read"]]),
                places=len(read["anchors"]),
                counted=read["counted"] or unknown,
            ),
        ),
        (
            "p-weep",
            Msg(
                "weep, as drawn; counted open after sealing: {counted}",
                counted=read["weeps"] or unknown,
            ),
        ),
    ]


def _in_words(read: Json) -> Msg:
    panels = [
        Msg(
            "panel {letter}, mark {mark}, {width} wide",
            letter=known["letter"],
            mark=known["mark"] or "–",
            width=_width(known),
        )
        for known in read["panels"]
    ]
    return Msg("The door as read, seen from outside, from the left: {panels}.", panels=panels)


def compared(state: State) -> list[Json]:
    """Return what was drawn beside what was recorded, a fact a check and drawn value.

    {"title": words, "quantity", "drawn", "least", "most": in base units, as text}
    """
    return [fact for step in state.steps for fact in _compared_in(state, step)]


def _compared_in(state: State, step: Step) -> list[Json]:
    out = []
    for check in step.data["checks"]:
        if spec_of(check["calc"]).drawn and "field" in check["settings"]:
            ask = judge.ask_for_check(state, check, step.panel)
            quantity = state.point(check["points"]["readings"])["quantity"]
            out += [
                {
                    "title": as_json(Msg(check["title"])),
                    "quantity": quantity,
                    "drawn": str(drawn),
                    "least": str(min(values)),
                    "most": str(max(values)),
                }
                for drawn, values in _by_drawn_value(ask)
            ]
    return out


def _by_drawn_value(ask: Ask) -> list[tuple[int, list[int]]]:
    """Return the readings of each drawn value, in the order in which that first comes."""
    groups: list[tuple[int, list[int]]] = []
    try:
        for place, value in ask.series("readings"):
            drawn = drawn_at(ask, place.panel)
            here = next((values for known, values in groups if known == drawn), None)
            if here is None:
                here = []
                groups.append((drawn, here))
            here.append(value)
    except AppError:  # the drawing leaves it open
        return []
    return groups


def table(teller: Teller, facts: list[Json]) -> Json | None:
    """Return the table of what `compared` gives; None where there is nothing in it."""
    if not facts:
        return None
    heads = (Msg("What"), Msg("As drawn"), Msg("As recorded"))
    return {
        "title": teller.say(Msg("As drawn and as recorded")),
        "heads": [teller.say(words) for words in heads],
        "rows": [_row(teller, fact) for fact in facts],
    }


def _row(teller: Teller, fact: Json) -> list[str]:
    """Return what, as drawn, and as recorded: one value, or the least and the greatest."""
    drawn, least, most = (
        teller.say(amount_of(fact["quantity"], int(fact[name])))
        for name in ("drawn", "least", "most")
    )
    span = least if least == most else teller.say(Msg("{least} to {most}", least=least, most=most))
    return [teller.say(fact["title"]), drawn, span]
