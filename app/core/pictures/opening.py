"""Picture of the frame in its opening, the gaps drawn much larger than life."""

from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.pictures.canvas import Canvas, scaled_to
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import Speaker

FRAME_LEFT, FRAME_RIGHT = 120, 220
TALL = 170
WIDEST = 26  # what the widest gap is drawn as
IN_FRAME, BESIDE = 13, 9  # characters that stand in the frame, and beside the wall


def draw_opening(fit: Json, speaker: Speaker) -> Json:
    """Return the opening around its frame, with the gap and the shim at every measured place.

    fit: {"frame_width", "frame_height": nanometres, "least", "most": limits of a side gap or
    None, "places": [{"side": "left" | "right" | "head", "at", "gap"}]}: at is the height
    above the sill for a jamb, the distance from the frame's LEFT end for the head; a gap
    below zero is a frame that does not go in.
    """
    canvas = Canvas(speaker)
    canvas.text(170, 14, Msg("SEEN FROM OUTSIDE"), "p-strong")
    drawn = _Fit(fit)
    over = [(drawn.point(place)[0], drawn.words(place)) for place in drawn.on("head")]
    drawn.top = canvas.row(20, over, "p-strong", True) + 40
    top, foot = drawn.top, drawn.foot
    canvas.path(_wall_outline(drawn), "p-wall")
    canvas.polyline(_opening_edge(drawn), "p-floor")
    canvas.rect(FRAME_LEFT, top, FRAME_RIGHT - FRAME_LEFT, TALL, "p-frame")
    canvas.rect(FRAME_LEFT + 7, top + 7, FRAME_RIGHT - FRAME_LEFT - 14, TALL - 14, "p-glass")
    canvas.text(170, (top + foot) // 2 - 4, Msg("Frame"), "p-text")
    width = canvas.broken(Len(drawn.frame_width, "place"), IN_FRAME)
    canvas.beside(170, (top + foot) // 2 + 13, foot, width, "p-dim")
    for side in ("left", "right"):
        for place in drawn.on(side):
            _draw_shim(canvas, drawn, place)
    for place in drawn.on("head"):
        x, y = drawn.point(place)
        canvas.rect(x - 5, min(y, top), 10, abs(top - y), drawn.style(place))
    y = canvas.legend(foot + 10, _legend_signs(drawn))
    y = canvas.lines(y, Msg("Gaps are drawn larger than life."), "p-dim")
    return canvas.picture(y + 5, Msg("Frame in the opening"), _in_words(drawn))


class _Fit:
    """The places with their scale."""

    def __init__(self, fit: Json) -> None:
        self.frame_width: int = fit["frame_width"]
        self.frame_height: int = fit["frame_height"]
        self.least: int | None = fit.get("least")
        self.most: int | None = fit.get("most")
        self.places: list[Json] = fit["places"]
        self.top = 0
        self.widest = max([abs(place["gap"]) for place in self.places] + [1])

    @property
    def foot(self) -> int:
        """Return where the frame's foot is drawn."""
        return self.top + TALL

    def on(self, side: str) -> "list[Json]":
        """Return the places of one side in order: from the foot up, or from the left."""
        found = [place for place in self.places if place["side"] == side]
        return sort_by(found, lambda place: place["at"])

    def point(self, place: Json) -> "tuple[int, int]":
        """Return where the opening's edge is drawn at a place."""
        gap = scaled_to(place["gap"], WIDEST, self.widest)
        if place["side"] == "head":
            across = scaled_to(place["at"], FRAME_RIGHT - FRAME_LEFT, self.frame_width)
            return FRAME_LEFT + across, self.top - gap
        y = self.foot - scaled_to(place["at"], TALL, self.frame_height)
        return (FRAME_LEFT - gap if place["side"] == "left" else FRAME_RIGHT + gap), y

    def off(self, place: Json) -> str:
        """Return "tight" or "wide" for a gap out of its limits, else ""."""
        if place["gap"] < 0:
            return "tight"
        if place["side"] == "head":
            return ""
        if self.least is not None and place["gap"] < self.least:
            return "tight"
        if self.most is not None and place["gap"] > self.most:
            return "wide"
        return ""

    def style(self, place: Json) -> str:
        """Return the class of a shim."""
        return "p-out" if self.off(place) else "p-pack"

    def words(self, place: Json) -> Any:
        """Return what stands over a gap at the head: its size, and whether it is too tight."""
        size = Len(place["gap"])
        return Msg("{size} tight", size=size) if self.off(place) else size


def _opening_edge(drawn: _Fit) -> "list[tuple[int, int]]":
    """Return the opening's edge: up the left jamb, along the head, down the right one."""
    left = [drawn.point(place) for place in drawn.on("left")] or [(FRAME_LEFT - 8, drawn.top)]
    right = [drawn.point(place) for place in drawn.on("right")] or [(FRAME_RIGHT + 8, drawn.top)]
    head = [drawn.point(place) for place in drawn.on("head")] or [(170, drawn.top - 8)]
    return (
        [(left[0][0], drawn.foot)]
        + left
        + [(left[-1][0], head[0][1])]
        + head
        + [(right[-1][0], head[-1][1])]
        + list(reversed(right))
        + [(right[0][0], drawn.foot)]
    )


def _wall_outline(drawn: _Fit) -> "list[tuple[int, int]]":
    outer = [(FRAME_RIGHT + 38, drawn.foot), (FRAME_RIGHT + 38, drawn.top - 34)]
    return (
        _opening_edge(drawn)
        + outer
        + [(FRAME_LEFT - 38, drawn.top - 34), (FRAME_LEFT - 38, drawn.foot)]
    )


def _draw_shim(canvas: Canvas, drawn: _Fit, place: Json) -> None:
    x, y = drawn.point(place)
    frame = FRAME_LEFT if place["side"] == "left" else FRAME_RIGHT
    y = min(max(y, drawn.top + 5), drawn.foot - 5)
    canvas.rect(min(x, frame), y - 5, abs(frame - x), 10, drawn.style(place))
    at, anchor = FRAME_LEFT - 42, "end"
    if place["side"] == "right":
        at, anchor = FRAME_RIGHT + 42, "start"
    texts = canvas.broken(Len(place["gap"]), BESIDE)
    off = drawn.off(place)
    if off:
        texts += canvas.broken(Msg("tight") if off == "tight" else Msg("wide"), BESIDE)
    canvas.beside(at, y + 5, drawn.foot, texts, "p-strong", anchor)


def _legend_signs(drawn: _Fit) -> "list[tuple[str, Msg]]":
    out = [("p-pack", Msg("gap to shim"))]
    if drawn.least is not None and drawn.most is not None:
        words = Msg(
            "gap to shim, {least} to {most} at the sides",
            least=Len(drawn.least),
            most=Len(drawn.most),
        )
        out = [("p-pack", words)]
    if any(drawn.off(place) for place in drawn.places):
        out.append(("p-out", Msg("outside these limits")))
    return out


def _in_words(drawn: _Fit) -> Msg:
    sides = [place for place in drawn.places if place["side"] != "head"]
    if not sides:
        return Msg("The frame in its opening.")
    gaps = [place["gap"] for place in sides]
    return Msg(
        "The frame in its opening, seen from outside: gaps at the sides from {least} to {most}.",
        least=Len(min(gaps)),
        most=Len(max(gaps)),
    )
