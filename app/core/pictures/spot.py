"""Where a reading is taken, drawn on the door as it is seen from outside."""

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.pictures.canvas import WIDTH, Canvas, scaled_to
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing, Panel
from app.core.where.place import Place

WIDE, HIGH, TOP = 316, 116, 12  # the room for the frame
RADIUS, APART = 10, 22  # of a number's circle; from the middle of one to the next
LEVELS = {"low": 1, "middle": 5, "high": 9}  # tenths of the height
RISING, FALLING = "low-left-high-right", "low-right-high-left"


def draw_spot(drawing: Drawing, place: Place, speaker: Speaker) -> "Json | None":
    """Return the door with one place marked; None where the place is nowhere on it."""
    if not drawing.panels:
        return None
    sheet = _SpotPicture(drawing, Canvas(speaker))
    canvas = sheet.canvas
    canvas.rect(sheet.left - 5, TOP - 5, sheet.wide + 10, sheet.high + 10, "p-frame")
    for panel in sort_by(drawing.panels, lambda panel: panel.track):
        _draw_leaf(sheet, panel, panel.letter == place.panel, letters=False)
    if not _mark_place(sheet, place):
        return None
    words = Msg("The door from outside; marked: {place}", place=place.title)
    return canvas.picture(TOP + sheet.high + 12, Msg("Place"), words)


def draw_marked(
    drawing: Drawing,
    marked: "list[tuple[int, Place]]",
    speaker: Speaker,
    remarks: "list[Msg] | None" = None,
) -> "Json | None":
    """Return the door with places by number; None where none of them is on it.

    remarks: see drawings.marked_places.
    """
    here = [(number, place) for number, place in marked if place.x is not None]
    if not drawing.panels or not here:
        return None
    sheet = _SpotPicture(drawing, Canvas(speaker))
    canvas = sheet.canvas
    canvas.rect(sheet.left - 5, TOP - 5, sheet.wide + 10, sheet.high + 10, "p-frame")
    for panel in sort_by(drawing.panels, lambda panel: panel.track):
        _draw_leaf(sheet, panel, False, letters=True)
    put: list[tuple[int, int]] = []
    for number, place in here:
        x = sheet.x(place.x or 0)
        y = sheet.y(place.y) if place.y is not None else _level_of(sheet, place)
        x = _free_beside(put, x, y)
        put.append((x, y))
        canvas.circle(x, y, RADIUS, "p-spot")
        canvas.text(x, y + 5, str(number), "p-strong")
    if remarks is not None:
        words = Msg("The door from outside, marked: {places}", places=remarks)
        return canvas.picture(TOP + sheet.high + 16, Msg("What to look at"), words)
    words = Msg(
        "The door from outside; moved: {places}",
        places=[
            Msg("{number} {place}", number=number, place=place.title) for number, place in here
        ],
    )
    return canvas.picture(TOP + sheet.high + 16, Msg("What has moved"), words)


def _free_beside(put: "list[tuple[int, int]]", x: int, y: int) -> int:
    """Return the nearest x at this height where a number hides no other and is on the sheet."""
    for step in range(WIDTH):
        for at in (x + step, x - step):
            hidden = [one for one in put if abs(one[0] - at) < APART and abs(one[1] - y) < APART]
            if not hidden and RADIUS < at < WIDTH - RADIUS:
                return at
    return x


class _SpotPicture:
    """A canvas with the scale of one door: positions in nanometres become units of the picture."""

    def __init__(self, drawing: Drawing, canvas: Canvas) -> None:
        self.canvas = canvas
        self.drawing = drawing
        end = max([panel.right for panel in drawing.panels])
        self.frame = max(drawing.length("frame_width") or 0, end, 1)
        self.tall = max(drawing.length("frame_height") or 0, drawing.panels[0].height, 1)
        self.wide = WIDE
        self.high = scaled_to(self.tall, WIDE, self.frame)
        if self.high > HIGH:
            self.wide, self.high = scaled_to(self.frame, HIGH, self.tall), HIGH
        self.left = (WIDTH - self.wide) // 2

    def x(self, at: int) -> int:
        return self.left + scaled_to(at, self.wide, self.frame)

    def y(self, above: int) -> int:
        return TOP + self.high - scaled_to(above, self.high, self.tall)


def _draw_leaf(sheet: _SpotPicture, panel: Panel, marked: bool, letters: bool) -> None:
    """Draw a panel. Where one place is marked its words name the panel: no letter says it again."""
    x, wide = sheet.x(panel.left), sheet.x(panel.right) - sheet.x(panel.left)
    sheet.canvas.rect(x, TOP, wide, sheet.high, "p-spot-leaf" if marked else "p-leaf")
    if letters:
        sheet.canvas.text(x + wide // 2, TOP + sheet.high // 2 + 10, panel.letter, "p-spot-letter")


def _mark_place(sheet: _SpotPicture, place: Place) -> bool:
    """Mark a place; return whether it is anywhere on the door."""
    box = _box_of(sheet, place.panel)
    diagonal = RISING if RISING in place.id else FALLING if FALLING in place.id else ""
    if diagonal:
        _mark_diagonal(sheet, box, diagonal == RISING)
    elif place.x is None and place.y is not None:
        y = sheet.y(place.y)
        sheet.canvas.line(sheet.left, y, sheet.left + sheet.wide, y, "p-spot-line")
    elif place.x is not None and (place.y is not None or place.side or not place.panel):
        y = sheet.y(place.y) if place.y is not None else _level_of(sheet, place)
        sheet.canvas.circle(sheet.x(place.x), y, 9, "p-spot")
    elif place.panel and place.side in ("left", "right", "top", "bottom"):
        _mark_edge(sheet, box, place.side)
    return place.x is not None or place.y is not None or bool(diagonal or place.panel)


def _level_of(sheet: _SpotPicture, place: Place) -> int:
    """Return how high a place is drawn that has no height of its own: a panel's, or the sill's."""
    if place.side in LEVELS and place.panel:
        return TOP + sheet.high - sheet.high * LEVELS[place.side] // 10
    if place.side in ("top", "bottom"):
        return TOP if place.side == "top" else TOP + sheet.high
    return TOP + sheet.high // 2 if place.panel else TOP + sheet.high


def _box_of(sheet: _SpotPicture, letter: str) -> "tuple[int, int]":
    """Return where a panel begins and ends; the frame where there is no such panel."""
    for panel in sheet.drawing.panels:
        if panel.letter == letter:
            return sheet.x(panel.left), sheet.x(panel.right)
    return sheet.left, sheet.left + sheet.wide


def _mark_diagonal(sheet: _SpotPicture, box: "tuple[int, int]", rising: bool) -> None:
    low, high = TOP + sheet.high, TOP
    start, end = (low, high) if rising else (high, low)
    sheet.canvas.line(box[0], start, box[1], end, "p-spot-line")


def _mark_edge(sheet: _SpotPicture, box: "tuple[int, int]", side: str) -> None:
    top, foot = TOP + 3, TOP + sheet.high - 3
    x = box[0] + 3 if side == "left" else box[1] - 3
    if side in ("left", "right"):
        sheet.canvas.line(x, top, x, foot, "p-spot-line")
    else:
        y = top if side == "top" else foot
        sheet.canvas.line(box[0], y, box[1], y, "p-spot-line")
