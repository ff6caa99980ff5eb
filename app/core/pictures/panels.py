"""The elevation of a door from outside; the plan is in plan.py."""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.order import sort_by
from app.core.pictures.canvas import Canvas, clean_text, scaled_to
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import Speaker
from app.core.trade import moving
from app.core.trade.drawing import Drawing, Panel

LEFT, ROOM = 28, 304  # where the frame may stand: from x = LEFT, ROOM units wide


def draw_elevation(drawing: Drawing, speaker: Speaker) -> Json:
    """Return the door as seen from outside: letters, X and O, ways to slide, lock, widths."""
    sheet = DoorCanvas(drawing, Canvas(speaker))
    canvas = sheet.canvas
    canvas.text(170, 14, Msg("SEEN FROM OUTSIDE"), "p-strong")
    _draw_frame(sheet, 24)
    for panel in sort_by(drawing.panels, lambda panel: panel.track):
        _draw_panel(sheet, panel, 24)
    _draw_lock(sheet, 24)
    y = 24 + sheet.high + 4
    edges = [(sheet.middle(panel), Len(panel.width, "place")) for panel in drawing.panels]
    for panel in drawing.panels:
        canvas.line(sheet.x(panel.left), y, sheet.x(panel.left), y + 6, "p-rule")
    canvas.line(sheet.x(sheet.end), y, sheet.x(sheet.end), y + 6, "p-rule")
    y = canvas.row(y + 6, edges)
    y = _whole_size(sheet, y)
    pocketed = any([panel.pocketed for panel in drawing.panels])
    kinds = Msg("X slides, O is fixed, P slides into a pocket in the wall.")
    y = canvas.lines(y, kinds if pocketed else Msg("X slides, O is fixed."))
    return canvas.picture(y + 5, Msg("Elevation"), _elevation_in_words(drawing))


class DoorCanvas:
    """A canvas with the scale of one door on it."""

    def __init__(self, drawing: Drawing, canvas: Canvas) -> None:
        if not drawing.panels:
            raise InputError("panels-none", Msg("The drawing has no panels. Ask the office."))
        self.drawing = drawing
        self.canvas = canvas
        jamb = drawing.panels[0].left
        self.end = max([panel.right for panel in drawing.panels])
        self.frame = max(drawing.length("frame_width") or 0, self.end + jamb)
        tall = drawing.length("frame_height") or max([panel.height for panel in drawing.panels])
        self.tall = max(tall, 1)
        self.high = max(scaled_to(self.tall, ROOM, self.frame), 96)
        self.wide = ROOM
        if self.high > 250:
            self.wide = scaled_to(self.frame, 250, self.tall)
            self.high = 250
        self.left = LEFT + (ROOM - self.wide) // 2

    def x(self, at: int) -> int:
        """Return where a position along the frame is drawn."""
        return self.left + scaled_to(at, self.wide, self.frame)

    def middle(self, panel: Panel) -> int:
        """Return where the middle of a panel is drawn."""
        return self.x((panel.left + panel.right) // 2)


def _draw_frame(sheet: DoorCanvas, top: int) -> None:
    sheet.canvas.rect(sheet.left - 4, top - 4, sheet.wide + 8, sheet.high + 8, "p-frame")
    height = sheet.drawing.length("frame_height")
    if height is not None:
        x = sheet.left - 10
        sheet.canvas.line(x, top - 4, x, top + sheet.high + 4, "p-rule")
        sheet.canvas.upright(x - 9, top + 8, Len(height, "place"), "p-dim")


def _draw_panel(sheet: DoorCanvas, panel: Panel, top: int) -> None:
    canvas = sheet.canvas
    x, wide = sheet.x(panel.left), sheet.x(panel.right) - sheet.x(panel.left)
    canvas.rect(x, top, wide, sheet.high, "p-stile")
    canvas.rect(x + 4, top + 5, wide - 8, sheet.high - 10, "p-glass")
    middle = sheet.middle(panel)
    third = sheet.high // 4
    canvas.text(middle, top + third + 6, panel.letter, "p-big")
    canvas.text(middle, top + 3 * third + 8, panel.kind, "p-text")
    way = _slide_sign(sheet.drawing, panel)
    reach = max(min(wide // 2 - 8, 22), 4)
    if way:
        step = reach if way == "right" else -reach
        canvas.arrow(middle - step, middle + step, top + 2 * third + 2)


def _slide_sign(drawing: Drawing, panel: Panel) -> str:
    for other, way in zip(drawing.panels, moving.opens_to(drawing)):
        if other is panel:
            return way
    return ""


def _draw_lock(sheet: DoorCanvas, top: int) -> None:
    lead = moving.active_lead(sheet.drawing)
    if lead is None:
        return
    edge = sheet.x(lead.left) + 2
    if _slide_sign(sheet.drawing, lead) == "left":
        edge = sheet.x(lead.right) - 2
    y = top + sheet.high // 2
    sheet.canvas.rect(edge - 4, y - 11, 8, 22, "p-lock", 3)


def _whole_size(sheet: DoorCanvas, y: int) -> int:
    """Add the frame's width and where the lock is; return the y below."""
    canvas = sheet.canvas
    width = sheet.drawing.length("frame_width")
    if width is not None:
        canvas.line(sheet.left - 4, y + 4, sheet.left + sheet.wide + 4, y + 4, "p-rule")
        words = Msg("Frame {width} wide", width=Len(width, "place"))
        y = canvas.lines(y + 6, words, "p-dim")
    lead = moving.active_lead(sheet.drawing)
    if lead is not None:
        y = canvas.lines(y + 1, _lock_words(sheet.drawing, lead))
    return y


def _lock_words(drawing: Drawing, lead: Panel) -> Msg:
    if moving.leads_meet(drawing):
        return Msg("Lock in panel {letter}, where the leading panels meet", letter=lead.letter)
    if _slide_sign(drawing, lead) == "right":
        return Msg("Lock at the LEFT jamb, panel {letter}", letter=lead.letter)
    return Msg("Lock at the RIGHT jamb, panel {letter}", letter=lead.letter)


def _elevation_in_words(drawing: Drawing) -> Msg:
    return Msg(
        "The door seen from outside, from the left: {panels}.",
        panels=[_in_words(drawing, panel) for panel in drawing.panels],
    )


def _in_words(drawing: Drawing, panel: Panel) -> Msg:
    way = _slide_sign(drawing, panel)
    if panel.pocketed and way:
        end = Msg("LEFT") if way == "left" else Msg("RIGHT")
        return Msg("{letter} slides into the pocket at the {end}", letter=panel.letter, end=end)
    if way == "left":
        return Msg("{letter} slides to the left", letter=clean_text(panel.letter))
    if way == "right":
        return Msg("{letter} slides to the right", letter=clean_text(panel.letter))
    return Msg("{letter} is fixed", letter=clean_text(panel.letter))
