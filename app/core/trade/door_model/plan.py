"""How every roller should stand so that the door closes: proposed, rounded, judged.

Of all that reaches every limit with half of it to spare (or else takes the least share), the
plan that turns least from how the rollers stand now; rounded to what a hand can do; then
judged again in whole numbers.
"""

import math

from app.core.kinds import Any
from app.core.quantity.units import INCH, half_up
from app.core.trade.door_model.bounds import (
    LEFT,
    RIGHT,
    Allowed,
    base_of,
    corner_at,
    corner_lever,
)
from app.core.trade.door_model.chain import (
    GRAIN,
    IMPOSSIBLE,
    Bound,
    Node,
    Shares,
    Tie,
    cheapest_leans,
    least_shares,
    share_of,
)
from app.core.trade.door_model.door import Door, RigidPanel, must_be_whole

SPARE = 0.5  # half of each limit is left for what the hand and the eye miss
FINEST = INCH // 64  # what is turned where no trial turn was measured
TOO_FAR = 1.0e7  # nm: no lean is looked for beyond a centimetre of a jamb's readings


class RollerTurn:
    """What is turned at one roller.

    start, end: extensions; rise: end less start. turns: (steps, steps a turn) of the screw by
    the measured trial turn, None without one. side: "left" or "right". fixed: of a fixed panel,
    whose shims it is then.
    """

    def __init__(
        self, panel: RigidPanel, side: str, end: int, turns: "tuple[int, int] | None"
    ) -> None:
        self.letter = panel.letter
        self.fixed = panel.fixed
        self.side = side
        self.start = panel.extensions[0 if side == LEFT else 1]
        self.end = end
        self.rise = end - self.start
        self.turns = turns


class Taper:
    """A gap's taper, upper less lower, as (num, den) exactly, with its limit."""

    def __init__(self, number: int, kind: str, num: int, den: int, limit: int) -> None:
        self.number = number
        self.kind = kind
        self.num = num
        self.den = den
        self.limit = limit

    @property
    def within(self) -> bool:
        """Return whether the taper is within its limit; on the line is in."""
        return abs(self.num) <= self.limit * self.den

    @property
    def share(self) -> float:
        """Return which share of its limit it takes, to compare with, never to judge by."""
        return abs(self.num) / self.den / self.limit


class RollerPlan:
    """What the rollers should be and what comes of it.

    extensions: (left, right) of each panel. moves: those that turn. tapers: of the judged gaps;
    plumbs: [(letter, num, den, limit)] of meeting leads. kept: whether every hard bound is kept.
    shares: see chain.Shares, of the whole door; within: nothing is out.
    """

    def __init__(self, door: Door, extensions: "list[tuple[int, int]]") -> None:
        self.extensions = extensions
        self.tapers = [taper for taper in exact_tapers(door, extensions)]
        self.plumbs = exact_plumbs(door, extensions)
        self.moves: list[RollerTurn] = []
        self.shares = Shares()
        self.kept = True

    @property
    def within(self) -> bool:
        """Return whether every taper, plumb and hard bound is within."""
        plumb = all([abs(num) <= limit * den for _, num, den, limit in self.plumbs])
        return self.kept and plumb and all([taper.within for taper in self.tapers])

    @property
    def worst(self) -> "Taper | None":
        """Return the taper that takes most of its limit."""
        worst = None
        for taper in self.tapers:
            if worst is None or taper.share > worst.share:
                worst = taper
        return worst


class Model:
    """The door as a chain: nodes of jambs and panels, ties of gaps, cut at what is fixed."""

    def __init__(self, door: Door) -> None:
        must_be_whole(door)
        self.door = door
        self.allowed = [Allowed(door, panel) for panel in door.panels]
        self.nodes = self._nodes()
        self.ties = [self._tie(k, gap) for k, gap in enumerate(door.gaps)]
        self.pieces = self._pieces()

    def lean(self, k: int, f: float) -> float:
        """Return the lean of panel k at f, over the height between the gap's places."""
        panel = self.door.panels[k]
        return (panel.rise() + f) * (float(self.door.apart) / panel.apart)

    def difference(self, k: int, lean: float) -> float:
        """Return f of panel k at a lean."""
        panel = self.door.panels[k]
        return lean * (float(panel.apart) / self.door.apart) - panel.rise()

    def _nodes(self) -> "list[Node]":
        panels = [self._panel(k, allowed) for k, allowed in enumerate(self.allowed)]
        return [self._jamb(0)] + panels + [self._jamb(1)]

    def _jamb(self, side: int) -> Node:
        gap = self.door.gaps[0 if side == 0 else -1]
        n, d = self.door.jamb_lean(side)
        lean = float(n) / d
        jamb = self.door.jambs[side]
        spread = 2.0 * jamb.error if jamb is not None and gap.measured is None else 0.0
        bound = [Bound(lean, 0.0, spread)] if gap.judged else []
        curve = [(lean, 0.0)] if gap.judged else [(-TOO_FAR, 0.0), (TOO_FAR, 0.0)]
        return Node(LEFT if side == 0 else RIGHT, bound, bound, curve)

    def _panel(self, k: int, allowed: Allowed) -> Node:
        panel = self.door.panels[k]
        now = panel.extensions[1] - panel.extensions[0]
        if panel.held:
            lean = self.lean(k, now)
            bound = [Bound(lean)]
            return Node(panel.letter, bound, bound, [(lean, 0.0)])
        first, last = allowed.first, allowed.last
        empty = first > last
        if empty:
            first = last = (first + last) / 2
        surer = allowed.room(1.0)
        scale = float(self.door.apart) / panel.apart
        doubts = [IMPOSSIBLE, IMPOSSIBLE]
        if surer[0] <= surer[1]:
            doubts = [(surer[0] - first) * scale, (last - surer[1]) * scale]
        elif not empty:
            doubts = [(last - first) * scale + GRAIN, (last - first) * scale + GRAIN]
        lows = [Bound(self.lean(k, first), 0.0, doubts[0])]
        highs = [Bound(self.lean(k, last), 0.0, doubts[1])]
        centre = self.plumb_centre(k)
        if centre is not None:
            lows.append(Bound(centre, float(self.door.drawn.plumb or 0)))
            highs.append(Bound(centre, float(self.door.drawn.plumb or 0)))
        curve = [(self.lean(k, f), cost) for f, cost in turning(panel, allowed, first, last)]
        return Node(panel.letter, lows, highs, curve)

    def plumb_centre(self, k: int) -> "float | None":
        """Return the lean at which a meeting lead's own stile is plumb, None where unasked."""
        panel = self.door.panels[k]
        if not panel.meets or self.door.drawn.plumb is None:
            return None
        if panel.plumbed is not None:
            return self._now(k + 1) - panel.plumbed
        return float(panel.right_part if panel.meets == RIGHT else -panel.left_part)

    def _tie(self, k: int, gap: Any) -> Tie:
        door = self.door
        if gap.measured is not None:
            shift = self._now(k) - self._now(k + 1) - gap.measured
            return Tie(shift, float(gap.most), float(gap.error))
        parts = shift_of(door, k)
        # half of a panel's error squared at each of its sides: all of it over the panel
        beside = door.panels[max(k - 1, 0) : k + 1]
        spread = math.sqrt(sum([float(p.width_error) * p.width_error for p in beside]) / 2)
        return Tie(float(parts), float(gap.most), spread)

    def _now(self, node: int) -> float:
        """Return how a node leans now."""
        if node in (0, len(self.door.panels) + 1):
            n, d = self.door.jamb_lean(0 if node == 0 else 1)
            return float(n) / d
        panel = self.door.panels[node - 1]
        return self.lean(node - 1, float(panel.extensions[1] - panel.extensions[0]))

    def _pieces(self) -> "list[tuple[int, int]]":
        """Return the chain's pieces (first node, last node) between things that are given."""
        last = len(self.nodes) - 1
        start = 0 if self.door.gaps[0].judged else 1
        end = last if self.door.gaps[-1].judged else last - 1
        out = []
        for k in range(start + 1, end + 1):
            if k == end or self.door.panels[k - 1].held:
                out.append((start, k))
                start = k
        return out or [(start, end)]

    def shares(self) -> "list[Shares]":
        """Return the least shares of each piece."""
        out = []
        for a, b in self.pieces:
            found = least_shares(self.nodes[a : b + 1], self.ties[a:b])
            found.first += a
            found.last += a
            out.append(found)
        return out


def shift_of(door: Door, k: int) -> int:
    """Return what the widths of its two panels take from the taper of gap k."""
    left = door.panels[k - 1].right_part if k else 0
    right = door.panels[k].left_part if k < len(door.panels) else 0
    return left + right


def turning(
    panel: RigidPanel, allowed: Allowed, first: float, last: float
) -> "list[tuple[float, float]]":
    """Return [(f, least turning of both rollers)] from first to last, straight between.

    Turning is |f - f now|, and twice what the left roller has to move besides.
    """
    left, right = panel.extensions
    now = float(right - left)
    points = [first, last]
    if first < now < last:
        points.append(now)
    if excess(panel, allowed, first) > 0 or excess(panel, allowed, last) > 0:
        points.extend([f for f in _corners(panel, allowed) if first < f < last])
    points.sort()
    return [(f, abs(f - now) + 2 * excess(panel, allowed, f)) for f in points]


def excess(panel: RigidPanel, allowed: Allowed, f: float) -> float:
    """Return how far both rollers must go together besides, so that f keeps the bounds."""
    left, right = panel.extensions
    low, high = allowed.span(f)
    return max(0.0, low - max(left, right - f), min(left, right - f) - high)


def _corners(panel: RigidPanel, allowed: Allowed) -> "list[float]":
    """Return every f at which the excess may have a corner."""
    left, right = panel.extensions
    out = allowed.crossings()
    for strip in allowed.low + allowed.high:
        if strip.slope:
            out.append((left - strip.value) / strip.slope)
        if strip.slope != -1:
            out.append((right - strip.value) / (strip.slope + 1))
    return out


def best_plan(door: Door, spare: float = SPARE) -> RollerPlan:
    """Return the plan for every roller, rounded and judged.

    spare: the share of each limit that is good enough to turn least for; 0 before panels are
    hung, when turning costs nothing.
    Errors: those of must_be_whole().
    """
    return plan_of(Model(door), spare)


def plan_of(model: Model, spare: float = SPARE) -> RollerPlan:
    """Return the plan of a model that was made already.

    Quarter turns, but no step under 1/64 in (64ths where no turn was measured); where those are
    too coarse for a door that can be finished, eighths and then sixteenths of a turn.
    """
    shares = model.shares()
    leans = wanted_leans(model, shares, spare)
    worst = worst_of(shares)
    plan = _plan_in_steps(model, leans, 1, spare)
    for finer in (2, 4):
        if not plan.within and worst.share <= 1:
            plan = _plan_in_steps(model, leans, finer, spare)
    plan.shares = worst
    return plan


def _plan_in_steps(model: Model, leans: "list[float]", finer: int, spare: float) -> RollerPlan:
    chosen = _rounded(model, leans, finer, spare)
    plan = RollerPlan(model.door, [one[1] for one in chosen])
    plan.moves = [move for one in chosen for move in one[2] if move.rise]
    plan.kept = all(
        [
            allowed.panel.held or allowed.keeps(*ends)
            for allowed, ends in zip(model.allowed, plan.extensions)
        ]
    )
    return plan


def worst_of(shares: "list[Shares]") -> Shares:
    """Return the shares of the piece that may turn out worst."""
    worst = Shares()
    for one in shares:
        if one.highest > worst.highest:
            worst.highest, worst.first, worst.last = one.highest, one.first, one.last
        worst.share = max(worst.share, one.share)
        worst.lowest = max(worst.lowest, one.lowest)
    return worst


def wanted_leans(model: Model, shares: "list[Shares]", spare: float = SPARE) -> "list[float]":
    """Return the lean of every panel: enough to spare, or the least share, turning least."""
    leans = [0.0] * len(model.nodes)
    for (a, b), found in zip(model.pieces, shares):
        share = max(spare, found.share)
        piece = cheapest_leans(model.nodes[a : b + 1], model.ties[a:b], share)
        leans[a : b + 1] = piece
    return leans[1:-1]


def wanted_extensions(model: Model, k: int, lean: float) -> "tuple[float, float]":
    """Return the extensions of panel k at a lean that turn least; one roller, where one does."""
    panel, allowed = model.door.panels[k], model.allowed[k]
    left, right = panel.extensions
    f = model.difference(k, lean)
    low, high = allowed.span(f)
    if low > high:
        low = high = (low + high) / 2
    ends = []
    for still in (left, right - f):
        e = min(max(still, low), high)
        turned = abs(e - left) + abs(e + f - right)
        # of two ways that turn as little: the one that leaves room, then the one that raises
        ends.append((int(turned / FINEST + 0.5), -min(e - low, high - e, float(FINEST)), -e))
    e = -min(ends)[2]
    return e, e + f


def _rounded(model: Model, leans: "list[float]", finer: int, spare: float) -> "list[Any]":
    """Return (lean, extensions, moves) of each panel, near the leans, as a hand can set them.

    Of what can be set near them the least worst share; of what leaves enough to spare, or that
    share, the least turning: dynamic programming over a few choices a panel.
    """
    choices = [_choices(model, k, lean, finer) for k, lean in enumerate(leans)]
    steps = [[(_jamb_choice(model, 0))]] + choices + [[(_jamb_choice(model, 1))]]
    worst = _passed(model, steps, IMPOSSIBLE)[0]
    return _passed(model, steps, max(worst, spare))[2][1:-1]


def _jamb_choice(model: Model, side: int) -> "list[Any]":
    return [model.nodes[0 if side == 0 else -1].curve[0][0], (0, 0), [], 0.0, 0.0]


def _passed(model: Model, steps: "list[Any]", most: float) -> "tuple[float, float, list[Any]]":
    """Return (worst share, turning, choices) of the best way along the chain.

    Under IMPOSSIBLE the worst share counts, else the turning of ways that stay within most.
    """
    before = [(0.0, 0.0, [one]) for one in steps[0]]
    for k, step in enumerate(steps[1:]):
        shift = model.ties[k].shift
        limit = model.ties[k].limit if model.door.gaps[k].judged else 0.0
        after = []
        for one in step:
            best: Any = None
            for share, turned, way in before:
                worst = max(share, one[4])
                if limit:
                    worst = max(worst, abs(way[-1][0] - one[0] - shift) / limit)
                total = turned + one[3]
                rank = (worst, total) if most >= IMPOSSIBLE else (max(worst, most), total)
                if best is None or rank < best[0]:
                    best = (rank, worst, total, way)
            after.append((best[1], best[2], best[3] + [one]))
        before = after
    return before[0]  # the right end is one choice


def _choices(model: Model, k: int, lean: float, finer: int) -> "list[Any]":
    """Return [lean, extensions, moves, turning, own share] that a hand can set near a lean."""
    panel, allowed = model.door.panels[k], model.allowed[k]
    now = panel.extensions
    if panel.held:
        return [_choice(model, k, [(now[0], 0), (now[1], 0)], finer)]
    wanted = wanted_extensions(model, k, lean)
    near = [_near(panel, side, wanted[side], finer) for side in (0, 1)]
    found: dict[int, Any] = {}
    for left in near[0]:
        for right in near[1]:
            f = right[0] - left[0]
            turned = abs(left[0] - now[0]) + abs(right[0] - now[1])
            rank = (turned, abs(left[0] - wanted[0]) + abs(right[0] - wanted[1]))
            better = f not in found or rank < found[f][0]
            if better and allowed.keeps(left[0], right[0]):
                found[f] = (rank, [left, right])
    out = [_choice(model, k, found[f][1], finer) for f in found]
    if not out:
        # nothing that a hand can set keeps the bounds: the nearest is said, and judged out
        out = [_choice(model, k, [near[0][1], near[1][1]], finer)]
    return out


def _choice(model: Model, k: int, ends: "list[tuple[int, int]]", finer: int) -> "list[Any]":
    panel = model.door.panels[k]
    left, right = ends[0][0], ends[1][0]
    lean = model.lean(k, float(right - left))
    centre = model.plumb_centre(k)
    own = 0.0
    if centre is not None and not panel.held:
        own = share_of(abs(lean - centre), float(model.door.drawn.plumb or 0))
    turned = abs(left - panel.extensions[0]) + abs(right - panel.extensions[1])
    moves = []
    for side, (end, steps) in zip((LEFT, RIGHT), ends):
        turns = None if panel.trial is None else (steps, _parts(panel, finer))
        moves.append(RollerTurn(panel, side, end, turns))
    return [lean, (left, right), moves, float(turned), own]


def _near(panel: RigidPanel, side: int, wanted: float, finer: int) -> "list[tuple[int, int]]":
    """Return four extensions near the wanted one that a hand can set, with their steps."""
    now = panel.extensions[side]
    grain, parts = FINEST, finer
    if panel.trial is not None:
        grain, parts = panel.trial[0 if wanted >= now else 1], _parts(panel, finer)
    steps = int((wanted - now) * parts // grain)
    return [(_set_at(panel, now, k, finer), k) for k in range(steps - 1, steps + 3)]


def _set_at(panel: RigidPanel, now: int, steps: int, finer: int) -> int:
    """Return the extension after so many steps, below zero down."""
    if panel.trial is None:
        return now + half_up(steps * FINEST, finer)
    return now + half_up(steps * panel.trial[0 if steps >= 0 else 1], _parts(panel, finer))


def _parts(panel: RigidPanel, finer: int) -> int:
    """Return the steps of one turn: quarters, or halves or wholes where those are under 1/64 in.

    Nobody sees less than that; where the door needs it, finer steps are tried.
    """
    parts = 4 * finer
    while finer == 1 and parts > 1 and panel.trial and min(panel.trial) < FINEST * parts:
        parts //= 2
    return parts


def exact_lean(door: Door, k: int, ends: "tuple[int, int]") -> "tuple[int, int]":
    """Return how far panel k leans to the left at these extensions, exactly."""
    panel = door.panels[k]
    n, d = panel.exact_rise()
    return (n + (ends[1] - ends[0]) * d) * door.apart, d * panel.apart


def exact_tapers(door: Door, extensions: "list[tuple[int, int]]") -> "list[Taper]":
    """Return the taper of every judged gap at these extensions."""
    out = []
    for k, gap in enumerate(door.gaps):
        if gap.judged:
            n, d = _exact_taper(door, k, extensions)
            out.append(Taper(k, gap.kind, n, d, gap.most))
    return out


def _exact_taper(door: Door, k: int, extensions: "list[tuple[int, int]]") -> "tuple[int, int]":
    measured = door.gaps[k].measured
    if measured is not None:
        n1, d1 = _turned_lean(door, k - 1, extensions)
        n2, d2 = _turned_lean(door, k, extensions)
        return measured * d1 * d2 + n1 * d2 - n2 * d1, d1 * d2
    n1, d1 = door.jamb_lean(0) if k == 0 else exact_lean(door, k - 1, extensions[k - 1])
    last = k == len(door.panels)
    n2, d2 = door.jamb_lean(1) if last else exact_lean(door, k, extensions[k])
    return n1 * d2 - n2 * d1 - shift_of(door, k) * d1 * d2, d1 * d2


def _turned_lean(door: Door, k: int, extensions: "list[tuple[int, int]]") -> "tuple[int, int]":
    """Return by how much panel k leans more to the left than now; a jamb stays."""
    if not 0 <= k < len(door.panels):
        return 0, 1
    panel = door.panels[k]
    before, after = panel.extensions, extensions[k]
    return (after[1] - after[0] - before[1] + before[0]) * door.apart, panel.apart


def exact_plumbs(
    door: Door, extensions: "list[tuple[int, int]]"
) -> "list[tuple[str, int, int, int]]":
    """Return [(letter, num, den, limit)]: how far each meeting lead's own stile leans left."""
    out = []
    limit = door.drawn.plumb
    for k, panel in enumerate(door.panels):
        if not panel.meets or limit is None:
            continue
        if panel.plumbed is not None:
            n, d = _turned_lean(door, k, extensions)
            own = -panel.plumbed
        else:
            n, d = exact_lean(door, k, extensions[k])
            own = panel.right_part if panel.meets == RIGHT else -panel.left_part
        out.append((panel.letter, n - own * d, d, limit))
    return out


def exact_clearance(
    panel: RigidPanel, corner: str, ends: "tuple[int, int]", shift: int = 0
) -> "tuple[int, int]":
    """Return how high a bottom corner stands over the sill, exactly.

    corner: "left" or "right"; shift: how far the panel was moved.
    """
    return _over(panel, corner, ends, shift, panel.sill)


def exact_engagement(
    panel: RigidPanel, corner: str, ends: "tuple[int, int]", shift: int = 0
) -> "tuple[int, int]":
    """Return how far a stile stands up into the head, exactly; the panel needs its lip read."""
    n, d = _over(panel, corner, ends, shift, panel.lip)
    return n + panel.height * d, d


def _over(
    panel: RigidPanel, corner: str, ends: "tuple[int, int]", shift: int, line: Any
) -> "tuple[int, int]":
    n, d = base_of(panel, corner, shift)
    lever, apart = corner_lever(panel, corner)
    up = ends[0] * apart + lever * (ends[1] - ends[0])
    sn, sd = line.exact_height(corner_at(panel, corner, shift))
    return (n * apart + up * d) * sd - sn * d * apart, d * apart * sd
