"""Picture of the door as it will close: reveals larger than life, turns at their rollers."""

from app.core.kinds import Any, Json
from app.core.pictures.canvas import Canvas, scaled_to
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import half_up
from app.core.trade.door_model.door import Door
from app.core.trade.door_model.plan import RollerPlan, RollerTurn, exact_lean
from app.core.trade.door_model.words import fine, plan_words, taper_words, turns_in_figures

LEFT, RIGHT = 34, 306  # the faces of the jambs at the foot
TALL = 130
LOW = 56  # on a card, where the words beside it say how far each roller goes
GAP = 10  # a gap that does not taper
LIMIT = 7  # what the tightest limit is drawn as
FARTHEST = 24  # what the greatest lean is drawn as at most


def closing(door: Door, plan: RollerPlan, speaker: Speaker) -> Json:
    """Return the door as it stands after a plan, with every gap's taper and what is turned."""
    canvas = Canvas(speaker)
    drawn = _Closing(door, plan)
    canvas.text(170, 14, Msg("SEEN FROM OUTSIDE"), "p-strong")
    labels = [(drawn.gap_middle(t.number), _taper_label(t)) for t in plan.tapers]
    drawn.top = canvas.row(20, labels, "p-strong", True) + 6
    _jambs(canvas, drawn)
    _panels(canvas, drawn)
    y = drawn.top + TALL + 5
    labels = [(x, _turn_label(move)) for x, move in _draw_rollers(canvas, drawn, y)]
    y = canvas.row(y + 9, labels, "p-strong")
    y = canvas.legend(y + 4, _signs(plan))
    y = canvas.lines(y, Msg("Gaps and leans are drawn larger than life."), "p-dim")
    return canvas.picture(y + 5, Msg("Door as it will close"), _in_words(door, plan))


def closing_on_card(door: Door, plan: RollerPlan, speaker: Speaker) -> Json:
    """Return the same door so low that it is read on a card, whatever its panels are: the letters
    of the panels, and under each roller that is turned an arrow, up or down."""
    canvas = Canvas(speaker)
    drawn = _Closing(door, plan, LOW)
    drawn.top = 4
    _jambs(canvas, drawn)
    _panels(canvas, drawn)
    y = drawn.top + LOW + 5
    for x, move in _draw_rollers(canvas, drawn, y):
        tip, tail = (y + 10, y + 24) if move.rise > 0 else (y + 24, y + 10)
        back = 5 if move.rise > 0 else -5
        canvas.line(x, tail, x, tip, "p-arrow")
        canvas.polyline([(x - 4, tip + back), (x, tip), (x + 4, tip + back)], "p-arrow")
    return canvas.picture(y + 28, Msg("Door as it will close"), _in_words(door, plan))


class _Closing:
    """A plan with its scale: leans and tapers grow alike, so that each gap is drawn true."""

    def __init__(self, door: Door, plan: RollerPlan, tall: int = TALL) -> None:
        self.door = door
        self.plan = plan
        self.tall = tall
        self.top = 0
        count = len(door.panels)
        self.wide = (RIGHT - LEFT - GAP * (count + 1)) // count
        self.leans = [door.jamb_lean(0)]
        self.leans.extend([exact_lean(door, k, ends) for k, ends in enumerate(plan.extensions)])
        self.leans.append(door.jamb_lean(1))
        limits = [taper.limit for taper in plan.tapers]
        greatest = max([abs(n) // d for n, d in self.leans] + [1])
        self.unit = max(min(limits + [greatest]), greatest * LIMIT // FARTHEST, 1)

    def shift(self, node: int, part: int = 0) -> int:
        """Return how far the top of a jamb (0, last) or a panel is drawn to the left."""
        n, d = self.leans[node]
        return half_up((n + part * d) * LIMIT, d * self.unit)

    def foot(self, k: int) -> "tuple[int, int]":
        """Return where the foot of panel k begins and ends."""
        left = LEFT + GAP + k * (self.wide + GAP)
        return left, left + self.wide

    def outline(self, k: int) -> "list[tuple[int, int]]":
        """Return the corners of panel k."""
        left, right = self.foot(k)
        panel = self.door.panels[k]
        left_top = left - self.shift(k + 1, panel.left_part)
        right_top = right - self.shift(k + 1, -panel.right_part)
        foot = self.top + self.tall
        return [(left, foot), (left_top, self.top), (right_top, self.top), (right, foot)]

    def faces(self, number: int) -> "tuple[int, int, int, int]":
        """Return the left and right side of a gap at its foot, then at its top."""
        count = len(self.door.panels)
        left, left_top = LEFT, LEFT - self.shift(0)
        if number:
            outline = self.outline(number - 1)
            left, left_top = outline[3][0], outline[2][0]
        right = self.foot(count - 1)[1] + GAP
        right_top = right - self.shift(count + 1)
        if number < count:
            outline = self.outline(number)
            right, right_top = outline[0][0], outline[1][0]
        return left, right, left_top, right_top

    def gap_outline(self, number: int) -> "list[tuple[int, int]]":
        """Return the corners of a gap."""
        left, right, left_top, right_top = self.faces(number)
        foot = self.top + self.tall
        return [(left, foot), (left_top, self.top), (right_top, self.top), (right, foot)]

    def gap_middle(self, number: int) -> int:
        """Return where the middle of a gap's top is drawn."""
        faces = self.faces(number)
        return (faces[2] + faces[3]) // 2

    def axle(self, k: int, side: str) -> int:
        """Return where a roller of panel k is drawn."""
        panel = self.door.panels[k]
        at = panel.first if side == "left" else panel.axles[-1]
        return self.foot(k)[0] + scaled_to(at, self.wide, max(panel.width, 1))


def _taper_label(taper: Any) -> Any:
    size = half_up(abs(taper.num), taper.den)
    return fine(size) if size else "0"


def _jambs(canvas: Canvas, drawn: _Closing) -> None:
    top, foot = drawn.top, drawn.top + drawn.tall
    count = len(drawn.door.panels)
    for number, edge in ((0, 2), (count, canvas.width - 2)):
        if not drawn.door.gaps[number].judged:
            continue
        left, right, left_top, right_top = drawn.faces(number)
        face, face_top = (left, left_top) if number == 0 else (right, right_top)
        canvas.path([(edge, foot), (edge, top), (face_top, top), (face, foot)], "p-wall")
    canvas.line(2, foot + 10, canvas.width - 2, foot + 10, "p-floor")


def _panels(canvas: Canvas, drawn: _Closing) -> None:
    """Add the panels with their letters, and the gaps beyond their limits."""
    for taper in drawn.plan.tapers:
        if not taper.within:
            canvas.path(drawn.gap_outline(taper.number), "p-out")
    for k, panel in enumerate(drawn.door.panels):
        canvas.path(drawn.outline(k), "p-fixed" if panel.fixed else "p-leaf")
        middle = sum([corner[0] for corner in drawn.outline(k)]) // 4
        canvas.text(middle, drawn.top + drawn.tall // 2 + 6, panel.letter, "p-big")


def _draw_rollers(canvas: Canvas, drawn: _Closing, y: int) -> "list[tuple[int, RollerTurn]]":
    """Add the rollers at a height; return where each stands that is turned, from the left."""
    moves = {(move.letter, move.side): move for move in drawn.plan.moves}
    turned = []
    for k, panel in enumerate(drawn.door.panels):
        for side in ("left", "right"):
            x = drawn.axle(k, side)
            move = moves.get((panel.letter, side))
            if panel.fixed:
                canvas.rect(x - 4, y - 3, 8, 7, "p-now" if move else "p-support")
            else:
                canvas.circle(x, y, 4, "p-now" if move else "p-number")
            if move:
                turned.append((x, move))
    return turned


def _turn_label(move: RollerTurn) -> Msg:
    rise = fine(abs(move.rise))
    if move.turns is None:
        return Msg("{rise} up", rise=rise) if move.rise > 0 else Msg("{rise} down", rise=rise)
    turns = turns_in_figures(move.turns)
    if abs(move.turns[0]) > move.turns[1]:  # more than one
        if move.rise > 0:
            return Msg("{rise} up: {turns} turns", rise=rise, turns=turns)
        return Msg("{rise} down: {turns} turns", rise=rise, turns=turns)
    if move.rise > 0:
        return Msg("{rise} up: {turns} turn", rise=rise, turns=turns)
    return Msg("{rise} down: {turns} turn", rise=rise, turns=turns)


def _signs(plan: RollerPlan) -> "list[tuple[str, Msg]]":
    out = []
    if plan.moves:
        out.append(("p-now", Msg("turn this roller as written")))
    if any([not taper.within for taper in plan.tapers]):
        out.append(("p-out", Msg("gap tapers beyond its limit")))
    return out


def _in_words(door: Door, plan: RollerPlan) -> Msg:
    gaps = [taper_words(taper, door) for taper in plan.tapers]
    if not plan.moves:
        return Msg("The door as it will close, seen from outside: {gaps}.", gaps=gaps)
    return Msg(
        "The door as it will close, seen from outside: {gaps}. Rollers: {moves}",
        gaps=gaps,
        moves=plan_words(plan),
    )
