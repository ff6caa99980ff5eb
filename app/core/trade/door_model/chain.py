"""A chain of things that lean (jamb, panels, jamb), tied by the gaps between neighbours.

The lean of a thing is how far it goes to the left over the height between the low and the
high place of a gap. The taper of the gap on its right is its lean less its neighbour's lean
less the tie's shift. No solver is needed: the ties are differences of neighbours, so what
two things far apart demand of each other adds up along the chain.
"""

import math

from app.core.kinds import Any

IMPOSSIBLE = 10.0**9  # a share that nothing reaches
GRAIN = 0.001  # nm: smaller differences come from floats


class Bound:
    """A bound on a lean: the value, widened by share x slack; spread is how unsure it is."""

    def __init__(self, value: float, slack: float = 0.0, spread: float = 0.0) -> None:
        self.value = value
        self.slack = slack
        self.spread = spread


class Node:
    """One thing of the chain.

    lows, highs: Bounds of its lean. curve: [(lean, cost)] ascending, convex, straight between:
    what a lean costs; beyond its ends is no lean. name: words or a letter, for whoever asks.
    """

    def __init__(
        self,
        name: Any,
        lows: "list[Bound]",
        highs: "list[Bound]",
        curve: "list[tuple[float, float]]",
    ) -> None:
        self.name = name
        self.lows = lows
        self.highs = highs
        self.curve = curve


class Tie:
    """What ties two neighbours: the gap's taper is lean less next lean less shift.

    limit: how far the taper may go either way. spread: how unsure the shift is.
    """

    def __init__(self, shift: float, limit: float, spread: float = 0.0) -> None:
        self.shift = shift
        self.limit = limit
        self.spread = spread


class Shares:
    """The least share of its limit that the worst taper must take, and how sure that is.

    share: as read; lowest, highest: what it may be within the spread. first, last: numbers
    of the two nodes that demand `highest` of each other (the same where one node does).
    """

    def __init__(self) -> None:
        self.share = 0.0
        self.lowest = 0.0
        self.highest = 0.0
        self.first = 0
        self.last = 0


def least_shares(nodes: "list[Node]", ties: "list[Tie]") -> Shares:
    """Return the least T with every taper within T x its limit, bounds kept.

    Source:  tapers are differences along a chain; of a system of differences nothing but
             the demands of one bound on another can bind (Farkas), and between node i and
             node j the limits add up. With jambs alone it is |sum of shifts| / sum of limits.
             Spreads of different readings add up as roots of squares (JCGM 100, 5.1.2).
    """
    found = Shares()
    along = [(0.0, 0.0, 0.0)]
    for tie in ties:
        shift, limit, spread = along[-1]
        along.append((shift + tie.shift, limit + tie.limit, spread + tie.spread * tie.spread))
    for i, low_node in enumerate(nodes):
        for low in low_node.lows:
            for j, high_node in enumerate(nodes):
                for high in high_node.highs:
                    _demand(found, along, (i, low), (j, high))
    return found


def _demand(
    found: Shares, along: "list[Any]", lower: "tuple[int, Bound]", upper: "tuple[int, Bound]"
) -> None:
    """Raise the shares by what a lower bound of one node asks of an upper bound of another."""
    i, low = lower
    j, high = upper
    apart = low.value + along[i][0] - high.value - along[j][0]
    reach = low.slack + high.slack + abs(along[i][1] - along[j][1])
    # one reading held against itself is sure; different ones err apart from each other
    own = 0.0 if low is high else low.spread * low.spread + high.spread * high.spread
    spread = math.sqrt(own + abs(along[i][2] - along[j][2]))
    if apart + spread <= GRAIN:
        return
    highest = share_of(apart + spread, reach)
    if highest > found.highest:
        found.highest = highest
        found.first = min(i, j)
        found.last = max(i, j)
    found.share = max(found.share, share_of(apart, reach))
    found.lowest = max(found.lowest, share_of(apart - spread, reach))


def share_of(size: float, limit: float) -> float:
    """Return which share of a limit a size takes; IMPOSSIBLE where the limit leaves no room.

    Example: share_of(1.0, 4.0) -> 0.25
    """
    if size <= GRAIN:
        return 0.0
    return size / limit if limit > 0 else IMPOSSIBLE


def cheapest_leans(nodes: "list[Node]", ties: "list[Tie]", share: float) -> "list[float]":
    """Return the leans that cost least with every taper within share x its limit.

    share:   at least what least_shares() gives, or the leans miss by what it is short of.
    Source:  dynamic programming along the chain; costs are convex and straight between
             corners, and a tie lets the cost of all before it spread by its room.
    """
    sums = [_within(nodes[0], share)]
    for tie, node in zip(ties, nodes[1:]):
        before = _widened(sums[-1], tie.limit * share, tie.shift)
        sums.append(_summed(before, _within(node, share)))
    leans = [_lowest(sums[-1])[0]]
    k = len(nodes) - 2
    while k >= 0:
        room = ties[k].limit * share
        start, end = _lowest(sums[k])
        near = leans[-1] + ties[k].shift
        leans.append(min(max(_nearest(near, start, end), near - room), near + room))
        k -= 1
    leans.reverse()
    return leans


def _nearest(value: float, start: float, end: float) -> float:
    return min(max(value, start), end)


def _lowest(curve: "list[tuple[float, float]]") -> "tuple[float, float]":
    """Return from where to where a curve is at its lowest."""
    least = min([cost for _, cost in curve]) + GRAIN
    flat = [lean for lean, cost in curve if cost <= least]
    return flat[0], flat[-1]


def _within(node: Node, share: float) -> "list[tuple[float, float]]":
    """Return the node's curve between its bounds at a share."""
    low = max([bound.value - share * bound.slack for bound in node.lows] + [node.curve[0][0]])
    high = min([bound.value + share * bound.slack for bound in node.highs] + [node.curve[-1][0]])
    return _between(node.curve, low, high)


def _between(
    curve: "list[tuple[float, float]]", low: float, high: float
) -> "list[tuple[float, float]]":
    """Return a curve cut to low … high; one point in the middle where nothing is left."""
    low = max(low, curve[0][0])
    high = min(high, curve[-1][0])
    if low >= high:
        middle = (low + high) / 2
        return [(middle, cost_at(curve, middle))]
    inner = [point for point in curve if low < point[0] < high]
    return [(low, cost_at(curve, low))] + inner + [(high, cost_at(curve, high))]


def cost_at(curve: "list[tuple[float, float]]", lean: float) -> float:
    """Return the cost of a lean; beyond the ends of the curve that of the end.

    Example: cost_at([(0.0, 0.0), (2.0, 4.0)], 1.0) -> 2.0
    """
    if lean <= curve[0][0]:
        return curve[0][1]
    for (x1, y1), (x2, y2) in zip(curve, curve[1:]):
        if lean <= x2:
            return y1 + (y2 - y1) * (lean - x1) / (x2 - x1)
    return curve[-1][1]


def _widened(
    curve: "list[tuple[float, float]]", room: float, shift: float
) -> "list[tuple[float, float]]":
    """Return the least cost of all before, as a curve of the next thing's lean."""
    start, end = _lowest(curve)
    out = [(lean - shift - room, cost) for lean, cost in curve if lean <= start]
    out.extend([(lean - shift + room, cost) for lean, cost in curve if lean >= end])
    return out


def _summed(
    first: "list[tuple[float, float]]", second: "list[tuple[float, float]]"
) -> "list[tuple[float, float]]":
    """Return the sum of two curves where both are."""
    low = max(first[0][0], second[0][0])
    high = min(first[-1][0], second[-1][0])
    first = _between(first, low, high)
    second = _between(second, low, high)
    leans = [lean for lean, _ in first + second]
    leans.sort()
    out: list[tuple[float, float]] = []
    for lean in leans:
        if not out or lean > out[-1][0] + GRAIN:
            out.append((lean, cost_at(first, lean) + cost_at(second, lean)))
    return out
