"""The door as built: what was drawn beside what was read, as a picture and as a table.

Places are the drawing's; what stands at them was read or counted there. What was not read is left
open, never taken from the drawing.
"""

from app.core.checks.base import Ask
from app.core.checks.index import spec_of
from app.core.checks.rows import drawn_at
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.pages.request import Request, amount_text
from app.core.pictures.canvas import Canvas, scaled_to
from app.core.quantity.messages import Len, Msg
from app.core.record import judge, roles
from app.core.record.state import State, Step
from app.core.trade.drawing import Drawing, Panel
from app.core.where.place import Place

LEFT, WIDE, TOP, MOST = 40, 260, 38, 190  # where the frame stands on the sheet
LONGEST = 18  # signs of a mark that stand in a panel


def picture(request: Request, state: State) -> Json | None:
    """Return the door as read; None where the drawing has not enough for a picture."""
    try:
        sheet = _Sheet(request, state)
    except AppError:
        return None
    canvas = sheet.canvas
    canvas.text(170, 14, Msg("AS READ, SEEN FROM OUTSIDE"), "p-strong")
    canvas.rect(LEFT - 4, TOP - 4, sheet.wide + 8, sheet.high + 8, "p-frame")
    for panel in sort_by(sheet.drawing.panels, lambda one: one.track):
        _panel(sheet, panel)
    for at in sheet.drawing.weeps:
        canvas.weep(sheet.x(at), TOP + sheet.high + 6)
    read = _anchors(sheet)
    y = canvas.row(TOP + sheet.high + 18, sheet.widths())
    y = canvas.lines(y, Msg("Widths of the panels as read, low"), "p-dim")
    y = canvas.legend(y + 4, _signs(sheet, read))
    return canvas.picture(y + 5, Msg("The door as read"), _in_words(sheet))


class _Sheet:
    """The readings of one door with the scale of its picture."""

    def __init__(self, request: Request, state: State) -> None:
        self.state = state
        self.drawing: Drawing = state.drawing
        self.canvas = Canvas(request.speaker)
        self.frame = self.drawing.need("frame_width")
        self.tall = self.drawing.need("frame_height")
        self.wide = WIDE
        self.high = min(max(scaled_to(self.tall, WIDE, self.frame), 96), MOST)

    def x(self, at: int) -> int:
        """Return where a position along the frame is drawn."""
        return LEFT + scaled_to(at, self.wide, self.frame)

    def counted(self, role: str) -> Any:
        """Return the last count of a role's points; None where nobody counted."""
        counts = [reading for _, reading in roles.readings_of_role(self.state, role) if reading]
        return counts[-1].value if counts else None

    def of_panel(self, role: str, panel: Panel, sides: tuple[str, ...]) -> Any:
        """Return the reading of a role at a panel; None where there is none."""
        for place, reading in roles.readings_of_role(self.state, role):
            if place.panel == panel.letter and place.side in sides:
                return reading
        return None

    def widths(self) -> list[tuple[int, Any]]:
        """Return what every panel measured low, at its middle; "–" where nobody read it."""
        return [
            (self.x((panel.left + panel.right) // 2), self.width(panel))
            for panel in self.drawing.panels
        ]

    def width(self, panel: Panel) -> Any:
        """Return a panel's width as read low."""
        reading = self.of_panel(roles.PANEL_WIDTH, panel, ("bottom",))
        return Len(reading.value, "place") if reading else "–"

    def mark(self, panel: Panel) -> str:
        """Return the mark of a panel as read; "" where nobody wrote it down."""
        reading = self.of_panel(roles.PANEL_LABEL, panel, ("",))
        return str(reading.text) if reading else ""


def _panel(sheet: _Sheet, panel: Panel) -> None:
    canvas = sheet.canvas
    x, wide = sheet.x(panel.left), sheet.x(panel.right) - sheet.x(panel.left)
    canvas.rect(x, TOP, wide, sheet.high, "p-stile")
    canvas.rect(x + 4, TOP + 5, wide - 8, sheet.high - 10, "p-glass")
    canvas.text(x + wide // 2, TOP + 24, panel.letter, "p-big")
    mark = sheet.mark(panel)
    short = mark if len(mark) <= LONGEST else mark[: LONGEST - 1] + "…"
    fits = max((sheet.high - 44) // 8, 4)
    canvas.upright(x + wide // 2, TOP + 32, short[:fits], "p-text")


def _anchors(sheet: _Sheet) -> tuple[int, int]:
    """Draw every place of an anchor, the read ones with their sign; how many read, and of what."""
    places = roles.readings_of_role(sheet.state, roles.ANCHOR_GAP)
    read = 0
    for place, reading in places:
        x, y = _beside(sheet, place)
        if reading is None:
            sheet.canvas.circle(x, y, 4, "p-point")
            continue
        read += 1
        sheet.canvas.anchor(x, y, 4)
    return read, len(places)


def _beside(sheet: _Sheet, place: Place) -> tuple[int, int]:
    """Return where the sign of an anchor stands: beside its jamb, or over the head."""
    if place.side == "top":
        return sheet.x(place.x or 0), TOP - 10
    y = TOP + sheet.high - scaled_to(place.y or 0, sheet.high, sheet.tall)
    return (LEFT - 14 if place.side == "left" else LEFT + sheet.wide + 14), y


def _signs(sheet: _Sheet, read: tuple[int, int]) -> list[tuple[str, Msg]]:
    counted, weeps = sheet.counted(roles.ANCHOR_COUNT), sheet.counted(roles.WEEP_COUNT)
    unknown = Msg("not counted")
    return [
        (
            "p-anchor",
            Msg(
                "anchor, as drawn, where the gap was read: {read} of {places}; counted: {counted}",
                read=read[0],
                places=read[1],
                counted=unknown if counted is None else counted,
            ),
        ),
        (
            "p-weep",
            Msg(
                "weep, as drawn; counted open after sealing: {counted}",
                counted=unknown if weeps is None else weeps,
            ),
        ),
    ]


def _in_words(sheet: _Sheet) -> Msg:
    panels = [
        Msg(
            "panel {letter}, mark {mark}, {width} wide",
            letter=panel.letter,
            mark=sheet.mark(panel) or "–",
            width=sheet.width(panel),
        )
        for panel in sheet.drawing.panels
    ]
    return Msg("The door as read, seen from outside, from the left: {panels}.", panels=panels)


def table(request: Request, state: State) -> Json | None:
    """Return what was drawn beside what was recorded, a row a check and drawn value."""
    rows = [row for step in state.steps for row in _rows(request, state, step)]
    if not rows:
        return None
    heads = (Msg("What"), Msg("As drawn"), Msg("As recorded"))
    return {
        "title": request.say(Msg("As drawn and as recorded")),
        "heads": [request.say(words) for words in heads],
        "rows": rows,
    }


def _rows(request: Request, state: State, step: Step) -> list[list[str]]:
    out = []
    for check in step.data["checks"]:
        if spec_of(check["calc"]).drawn and "field" in check["settings"]:
            ask = judge.ask_for_check(state, check, step.panel)
            quantity = state.point(check["points"]["readings"])["quantity"]
            title = request.say(Msg(check["title"]))
            out += [[title, *texts] for texts in _compared(request, ask, quantity)]
    return out


def _compared(request: Request, ask: Ask, quantity: str) -> list[list[str]]:
    """Return [drawn, recorded] of each drawn value, in the order in which it first comes."""
    groups: list[tuple[int, list[int]]] = []
    try:
        for place, value in ask.series("readings"):
            drawn = drawn_at(ask, place.panel)
            here = next((found for known, found in groups if known == drawn), None)
            if here is None:
                here = []
                groups.append((drawn, here))
            here.append(value)
    except AppError:  # the drawing leaves it open
        return []
    return [
        [amount_text(request, quantity, drawn), _span(request, quantity, found)]
        for drawn, found in groups
    ]


def _span(request: Request, quantity: str, values: list[int]) -> str:
    """Return one value, or the least and the greatest of several."""
    least, most = (amount_text(request, quantity, end(values)) for end in (min, max))
    return least if least == most else request.say(Msg("{least} to {most}", least=least, most=most))
