"""The tracks from above: the whole door, or one stage of setting it."""

from app.core.kinds import Json
from app.core.pictures.canvas import Canvas, clean_text, scaled_to
from app.core.pictures.panels import LEFT, ROOM, DoorCanvas
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade import moving, setting
from app.core.trade.drawing import Drawing, Panel

TRACK = 25  # from one track to the next, user units
WALL = 7  # how wide a wall at an end is: its stroke ends within the picture


def draw_plan(drawing: Drawing, speaker: Speaker, order: "list[str] | None" = None) -> Json:
    """Return the tracks seen from above, the panels closed, and when each is set.

    order: letters in the order of setting; its numbers stand on the crew's side.
    """
    sheet = _plan_sheet(drawing, speaker)
    canvas = sheet.canvas
    crew = drawing.data.get("set_from") if order else ""
    y = canvas.lines(1, _side_words(Msg("ROOM"), crew == "room"), "p-strong") + 6
    if order and crew == "room":
        y = _draw_numbers(sheet, order, y)
    top, y = y, _draw_tracks(sheet, y)
    for panel in drawing.panels:
        _draw_leaf(sheet, panel, top, "p-leaf" if panel.slides else "p-fixed")
    if order and crew != "room":
        y = _draw_numbers(sheet, order, y + 4)
    outside = _side_words(Msg("OUTSIDE"), bool(order) and crew != "room")
    y = canvas.lines(y + 1, outside, "p-strong")
    y = canvas.lines(y, Msg("Track 1 is nearest the room. A dashed panel is fixed."))
    return canvas.picture(y + 5, Msg("Plan"), _in_words(drawing, order))


def draw_stage(drawing: Drawing, speaker: Speaker, turns: "list[setting.Turn]", at: int) -> Json:
    """Return the tracks at one turn of setting: what stands, what goes in, what is to come.

    turns: of setting.setting_order(); at: index of the turn that is shown.
    """
    sheet = _plan_sheet(drawing, speaker)
    canvas = sheet.canvas
    room = drawing.data.get("set_from") == "room"
    y = canvas.lines(1, Msg("ROOM"), "p-strong") + 4
    top = y + 26 if room else y
    y = _draw_tracks(sheet, top)
    for k, turn in enumerate(turns):
        _draw_leaf(sheet, turn.panel, top, _panel_style(turn.panel, k - at))
    now = turns[at].panel
    y = _way_in(sheet, turns[at], top, y, room)
    canvas.lines(y, Msg("OUTSIDE"), "p-strong")
    title = Msg(
        "Stage {number}: panel {letter} goes in", number=at + 1, letter=clean_text(now.letter)
    )
    return canvas.picture(y + 21, title, _stage_in_words(turns, at, room))


def _plan_sheet(drawing: Drawing, speaker: Speaker) -> DoorCanvas:
    """Return a sheet as wide as there is room, with the pockets beside the frame."""
    sheet = DoorCanvas(drawing, Canvas(speaker))
    sheet.wide = scaled_to(sheet.frame, ROOM, sheet.frame + sum(_pocket_depths(sheet)))
    sheet.left = LEFT
    sheet.left += scaled_to(_pocket_depths(sheet)[0], sheet.wide, sheet.frame)
    return sheet


def _pocket_depths(sheet: DoorCanvas) -> "tuple[int, int]":
    """Return how deep the pockets at the left and at the right are; 0 for none."""
    found = [
        moving.stack_depth(moving.pocketed_panels(sheet.drawing, side))
        for side in ("left", "right")
    ]
    drawn = sheet.drawing.length("pocket_depth")
    deep = [max(drawn or 0, depth) if depth else 0 for depth in found]
    return deep[0], deep[1]


def _draw_tracks(sheet: DoorCanvas, top: int) -> int:
    """Draw the tracks, the walls beside them and the pockets; return the y below."""
    canvas = sheet.canvas
    tracks = max([panel.track for panel in sheet.drawing.panels])
    low = top + TRACK * tracks
    for track in range(1, tracks + 1):
        y = top + TRACK * (track - 1)
        canvas.text(12, y + 17, track, "p-dim")
        canvas.line(LEFT, y + 12, LEFT + ROOM, y + 12, "p-track")
    left, right = _pocket_depths(sheet)
    _draw_wall(sheet, LEFT - WALL, LEFT, sheet.left if left else LEFT, (top, low))
    end = LEFT + ROOM
    _draw_wall(sheet, end, sheet.left + sheet.wide if right else end, end, (top, low))
    return low


def _draw_wall(sheet: DoorCanvas, end: int, x1: int, x2: int, rows: "tuple[int, int]") -> None:
    """Draw the wall at one end, and from x1 to x2 both its leaves where there is a pocket."""
    top, low = rows
    sheet.canvas.rect(end, top - 2, WALL, low - top + 2, "p-wall")
    if x2 > x1:
        for y in (top - 5, low):
            sheet.canvas.rect(x1, y, x2 - x1, 5, "p-wall")


def _draw_leaf(sheet: DoorCanvas, panel: Panel, top: int, style: str) -> None:
    x, end = sheet.x(panel.left), sheet.x(panel.right)
    y = top + TRACK * (panel.track - 1)
    sheet.canvas.rect(x, y + 2, end - x, 20, style)
    words = "p-dim" if style == "p-ghost" else "p-strong"
    sheet.canvas.text(sheet.middle(panel), y + 17, panel.letter, words)


def _panel_style(panel: Panel, when: int) -> str:
    """Return how a panel is drawn whose turn is past (below 0), now (0) or to come."""
    if when == 0:
        return "p-now"
    if when > 0:
        return "p-ghost"
    return "p-leaf" if panel.slides else "p-fixed"


def _way_in(sheet: DoorCanvas, turn: "setting.Turn", top: int, low: int, room: bool) -> int:
    """Draw the number of the turn on the crew's side and the arrow in; return the y below."""
    canvas = sheet.canvas
    x = sheet.middle(turn.panel)
    track = top + TRACK * (turn.panel.track - 1)
    y = top - 14 if room else low + 15
    near, tip, back = (top - 20, track, -5) if room else (low + 22, track + 24, 5)
    canvas.line(x + 18, near, x + 18, tip, "p-arrow")
    canvas.polyline([(x + 14, tip + back), (x + 18, tip), (x + 22, tip + back)], "p-arrow")
    canvas.circle(x, y, 10, "p-number")
    canvas.text(x, y + 5, turn.number, "p-strong")
    return low + (4 if room else 30)


def _stage_in_words(turns: "list[setting.Turn]", at: int, room: bool) -> Msg:
    now = turns[at].panel
    return Msg(
        "{standing} Going in now, from {side}: {letter} on track {track}. {coming}",
        standing=_stage_words(Msg("Nothing stands yet."), Msg("Standing:"), turns[:at]),
        side=Msg("the room side") if room else Msg("outside"),
        letter=clean_text(now.letter),
        track=now.track,
        coming=_stage_words(Msg("Nothing is left to set."), Msg("To come:"), turns[at + 1 :]),
    )


def _stage_words(none: Msg, some: Msg, turns: "list[setting.Turn]") -> Msg:
    if not turns:
        return none
    letters = [clean_text(turn.panel.letter) for turn in turns]
    return Msg("{what} {letters}.", what=some, letters=letters)


def _draw_numbers(sheet: DoorCanvas, order: "list[str]", y: int) -> int:
    for number, letter in enumerate(order):
        x = sheet.middle(sheet.drawing.panel(letter))
        sheet.canvas.circle(x, y + 11, 10, "p-number")
        sheet.canvas.text(x, y + 16, number + 1, "p-strong")
    return y + 26


def _side_words(side: Msg, crew: bool) -> Msg:
    if crew:
        return Msg("{side}: the crew sets from here, in this order", side=side)
    return side


def _in_words(drawing: Drawing, order: "list[str] | None") -> Msg:
    places = [
        Msg("{letter} on track {track}", letter=clean_text(panel.letter), track=panel.track)
        for panel in drawing.panels
    ]
    if not order:
        return Msg("The tracks from above, from the left: {places}.", places=places)
    return Msg(
        "The tracks from above, from the left: {places}. Set in the order {order}.",
        places=places,
        order=order,
    )
