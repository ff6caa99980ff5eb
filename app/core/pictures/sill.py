"""Pictures of the sill: its layout from above, and the profile of the floor under it."""

from app.core.kinds import Any, Json
from app.core.pictures.canvas import Canvas, scaled_to
from app.core.quantity.messages import Len, Msg, Plural
from app.core.quantity.speaker import Speaker
from app.core.trade.bed import Bed

LEFT, ROOM = 14, 312
FLOOR_LEFT, FLOOR_ROOM = 22, 302
TALL = 84  # what the range of heights is drawn as


def sill_layout(
    bed: Bed,
    speaker: Speaker,
    anchors: "list[int] | None" = None,
    supports: "list[int] | None" = None,
) -> Json:
    """Return the sill from above: beads, weeps, supports, anchors; the depth is exaggerated.

    anchors, supports: positions from the left end of the frame, nanometres.
    """
    canvas = Canvas(speaker)
    canvas.text(170, 14, Msg("ROOM"), "p-strong")
    y = 20
    if anchors:
        y = canvas.row(y, [(_x_of(bed, at), Len(at, "place")) for at in anchors], above=True)
    top = y + 6
    _draw_beads(canvas, bed, top)
    half = 1 if len(supports or []) > 24 else 3
    for at in supports or []:
        canvas.rect(_x_of(bed, at) - half, top + 40, 2 * half, 12, "p-support")
    for at in anchors or []:
        canvas.line(_x_of(bed, at), y, _x_of(bed, at), top + 20, "p-rule")
        canvas.anchor(_x_of(bed, at), top + 25, 3 if len(anchors or []) > 20 else 5)
    y = top + 84
    for at in bed.weeps:
        canvas.weep(_x_of(bed, at), top + 73)
        canvas.line(_x_of(bed, at), y, _x_of(bed, at), y + 6, "p-rule")
    y = canvas.row(y + 4, [(_x_of(bed, at), Len(at, "place")) for at in bed.weeps])
    y = canvas.lines(y + 2, Msg("OUTSIDE: no bead along this edge"), "p-strong")
    y = canvas.legend(y + 5, _legend_signs(bed, anchors, supports))
    y = canvas.lines(y, Msg("Positions from the LEFT end of the frame, you outside"), "p-dim")
    return canvas.picture(y + 5, Msg("Sill layout"), _layout_in_words(bed, anchors))


def _x_of(bed: Bed, at: int) -> int:
    return LEFT + scaled_to(at, ROOM, bed.width)


def _draw_beads(canvas: Canvas, bed: Bed, top: int) -> None:
    canvas.rect(LEFT, top, ROOM, 78, "p-sill")
    clear = bed.sizes["bead_weep_clear"]
    for at in bed.weeps:
        left, right = _x_of(bed, max(at - clear, 0)), _x_of(bed, min(at + clear, bed.width))
        canvas.rect(left, top + 7, right - left, 71, "p-clear")
    canvas.line(LEFT, top + 4, LEFT + ROOM, top + 4, "p-bead")
    style = "p-bead" if len(bed.cross) <= 40 else "p-bead p-fine"
    for at in [bed.half] + bed.cross + [bed.width - bed.half]:
        canvas.line(_x_of(bed, at), top + 4, _x_of(bed, at), top + 78, style)


def _legend_signs(
    bed: Bed, anchors: "list[int] | None", supports: "list[int] | None"
) -> "list[tuple[str, Msg]]":
    out = [("p-bead", Msg("sealant, turned up {size} at each jamb", size=Len(bed.turn_up)))]
    if bed.weeps:
        out.append(("p-weep", Msg("weep; the pale band stays clear")))
    if supports:
        out.append(("p-support", Msg("rigid support")))
    if anchors:
        out.append(("p-anchor", Msg("anchor")))
    return out


def _layout_in_words(bed: Bed, anchors: "list[int] | None") -> Msg:
    return Msg(
        "The sill from above: a run of sealant along the room side, a return at each end, "
        "{lines}, {weeps}, {anchors}, and no bead along the outer edge.",
        lines=Plural("{count} cross line", "{count} cross lines").of(len(bed.cross)),
        weeps=Plural("{count} weep kept clear", "{count} weeps kept clear").of(len(bed.weeps)),
        anchors=Plural("{count} anchor", "{count} anchors").of(len(anchors or [])),
    )


def floor_profile(floor: Json, speaker: Speaker) -> Json:
    """Return the floor along the sill with heights exaggerated, what to pack and to grind.

    floor: {"stations": [{"x", "h", "pack", "grind", "title"}], "datum", "limit"}: whole
    nanometres; x from the left end of the frame, h above any one level line, pack and grind
    0 where nothing is done, title words for the place (or ""); datum: the level that it is
    packed to; limit: how far below the datum is still good, None where nothing says.
    """
    canvas = Canvas(speaker)
    profile = _Profile(floor)
    canvas.text(FLOOR_LEFT, 14, Msg("LEFT, you outside"), "p-strong", "start")
    top = 32
    _draw_band(canvas, profile, top)
    ground = top + TALL + 24
    points = [(profile.x(s), profile.y(s["h"], top)) for s in profile.stations]
    under = [(points[0][0], ground)] + points + [(points[-1][0], ground)]
    canvas.path(under, "p-ground")
    canvas.polyline(points, "p-floor")
    for station in profile.stations:
        _draw_mend(canvas, profile, station, top)
    y = _draw_amounts(canvas, profile, ground)
    words = _floor_signs(profile)
    y = canvas.legend(y + 2, words)
    y = canvas.lines(y, Msg("Heights are drawn larger than life."), "p-dim")
    return canvas.picture(y + 5, Msg("Floor profile"), _floor_in_words(profile))


class _Profile:
    """A floor with its scale."""

    def __init__(self, floor: Json) -> None:
        self.stations: list[Json] = floor["stations"]
        self.datum: int = floor["datum"]
        self.limit: int | None = floor.get("limit")
        xs = [s["x"] for s in self.stations]
        self.start, self.run = min(xs), max(max(xs) - min(xs), 1)
        levels = [s["h"] for s in self.stations] + [self.datum]
        levels.extend([s["h"] + s["pack"] for s in self.stations])
        if self.limit is not None:
            levels.append(self.datum - self.limit)
        self.high, self.low = max(levels), min(levels)
        self.range = max(self.high - self.low, 1)
        self.works = any([s["pack"] or s["grind"] for s in self.stations])

    def x(self, station: Json) -> int:
        return FLOOR_LEFT + scaled_to(station["x"] - self.start, FLOOR_ROOM, self.run)

    def y(self, height: int, top: int) -> int:
        return top + scaled_to(self.high - height, TALL, self.range)

    def depth(self, station: Json) -> Any:
        """Return how far a station lies below the line, where nothing is to be done."""
        return Len(self.datum - station["h"]) if station["h"] != self.datum else "0"


def _draw_band(canvas: Canvas, profile: _Profile, top: int) -> None:
    y = profile.y(profile.datum, top)
    if profile.limit is not None:
        down = profile.y(profile.datum - profile.limit, top)
        canvas.rect(FLOOR_LEFT - 8, y, FLOOR_ROOM + 16, down - y, "p-band")
        canvas.line(FLOOR_LEFT - 8, down, FLOOR_LEFT + FLOOR_ROOM + 8, down, "p-limit")
    canvas.line(FLOOR_LEFT - 8, y, FLOOR_LEFT + FLOOR_ROOM + 8, y, "p-datum")


def _draw_mend(canvas: Canvas, profile: _Profile, station: Json, top: int) -> None:
    """Add the shims put on a station, or the part ground off it."""
    x, y = profile.x(station), profile.y(station["h"], top)
    if station["grind"]:
        down = profile.y(station["h"] - station["grind"], top)
        canvas.rect(x - 4, y, 8, max(down - y, 2), "p-grind")
    elif station["pack"]:
        up = profile.y(station["h"] + station["pack"], top)
        canvas.rect(x - 4, up, 8, max(y - up, 2), "p-pack")
    canvas.circle(x, y, 2, "p-point")


def _draw_amounts(canvas: Canvas, profile: _Profile, y: int) -> int:
    """Add a figure at each station, then where the stations are; return the y below."""
    amount = _amount_of if profile.works else profile.depth
    doing = [(profile.x(s), amount(s)) for s in profile.stations]
    y = canvas.row(y + 2, doing, "p-strong")
    for station in profile.stations:
        canvas.line(profile.x(station), y + 2, profile.x(station), y + 7, "p-rule")
    return canvas.row(y + 6, [(profile.x(s), Len(s["x"], "place")) for s in profile.stations])


def _amount_of(station: Json) -> Any:
    if station["grind"]:
        return Msg("grind {size}", size=Len(station["grind"]))
    if station["pack"]:
        return Len(station["pack"])
    return "0"


def _floor_signs(profile: _Profile) -> "list[tuple[str, Msg]]":
    line = Msg("level that the sill is set to")
    out = [("p-datum", line if profile.works else Msg("level; figures say how far below it"))]
    if profile.limit is not None:
        out.append(("p-band", Msg("within the limit, {size}", size=Len(profile.limit))))
    if any(s["pack"] for s in profile.stations):
        out.append(("p-pack", Msg("shim by the figure below")))
    if any(s["grind"] for s in profile.stations):
        out.append(("p-grind", Msg("grind off")))
    return out


def _floor_in_words(profile: _Profile) -> Msg:
    heights = [s["h"] for s in profile.stations]
    low = profile.stations[heights.index(min(heights))]
    high = profile.stations[heights.index(max(heights))]
    return Msg(
        "The floor along the sill, {count} stations: highest at {high}, lowest at {low}, "
        "{range} between them.",
        count=len(heights),
        high=Len(high["x"], "place"),
        low=Len(low["x"], "place"),
        range=Len(max(heights) - min(heights)),
    )
