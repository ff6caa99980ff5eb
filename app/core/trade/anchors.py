"""Where anchors go along one member: sill, head or jamb.

Rule (trade practice): the first fastener at the end distance from each corner,
none farther from the next than the greatest spacing, at least two in a member,
none inside a zone that is kept clear (weeps, interlocks, mullions, locks). A
place exactly at the edge of a zone is allowed. What cannot be kept is said as
a conflict, never hidden: the pattern of a product's approval or of the drawing
wins over all of this, and the edge of the substrate has a rule of its own.

What is drawn (end distances, places beside a mullion) stays as drawn. What is spread between
stands where a tape has a line: at 1/8 in, counted from the start; in members whose length, end
distance and spacing are all whole millimetres and not all eighths, at 1 mm. Where that would
take one more anchor, or a gap wider than the spacing, the exact places are kept.

Sources of the rule's numbers are the drawing's. NHBC Standards 6.7.11 (150 to
250 mm from the corner, at least 2 to a member, centres 600 mm at most) is one
published set that the tests use.
"""

from app.core.errors import InputError
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import INCH

EIGHTH = INCH // 8
MILLIMETRE = 1000000
MOST = 1000  # more than this in one member is a slip of the pen, not a plan


class Zone:
    """A place to keep clear of: nothing nearer to ``at`` than ``clear``, nanometres.

    what: words for it ("a weep"). beside: an anchor must stand at each edge of it
    (a mullion or a lock that needs one on each side).
    """

    def __init__(self, at: int, clear: int, what: Msg, beside: bool = False) -> None:
        self.at = at
        self.clear = clear
        self.what = what
        self.beside = beside


class Conflict:
    """A rule that cannot be kept here: a code, a position, and the words."""

    def __init__(self, code: str, at: int, says: Msg) -> None:
        self.code = code
        self.at = at
        self.says = says


class AnchorPlan:
    """Positions as running dimensions from the start of the member, and what is not kept."""

    def __init__(self, points: "list[int]", conflicts: "list[Conflict]") -> None:
        self.points = points
        self.conflicts = conflicts


def anchor_plan(length: int, end: int, spacing: int, zones: "list[Zone]") -> AnchorPlan:
    """Return where the anchors of one member go.

    Units:   nanometres, positions from the member's start (left end, or bottom).
    Errors:  InputError 'anchor-length', 'anchor-end', 'anchor-spacing', 'anchor-zone'
             for a value that makes no sense.
    Result:  conflicts have the codes 'end-blocked', 'too-few', 'gap-wide', 'beside-blocked'.
    Source:  n = max(1, ceil((L - 2e)/s)), evenly spread; NHBC Standards 6.7.11 for the form.
    Example: len(anchor_plan(96 * INCH, 6 * INCH, 16 * INCH, []).points) -> 7 (14 in apart)
    """
    _check_sensible(length, end, spacing, zones)
    blocked = merged_zones(zones)
    conflicts: list[Conflict] = []
    if 2 * end > length:
        return AnchorPlan([], [_too_few(length, end)])
    first = _free_end(end, 1, blocked, conflicts, length)
    last = _free_end(length - end, -1, blocked, conflicts, length)
    if first > last:
        return AnchorPlan([], conflicts + [_too_few(length, end)])
    if first == last:
        return AnchorPlan([first], conflicts + [_too_few(length, end)])
    fixed = [first] + _beside_zones(zones, blocked, first, last, conflicts) + [last]
    exact = AnchorPlan(fill_all(fixed, spacing, blocked, conflicts), conflicts)
    return _on_tape(exact, fixed, spacing, blocked, tape_step(length, end, spacing))


def tape_step(length: int, end: int, spacing: int) -> int:
    """Return the step of the tape that a member is set out with: 1/8 in, or 1 mm.

    Example: tape_step(2400000000, 150000000, 600000000) -> MILLIMETRE
    """
    metric = all([size % MILLIMETRE == 0 for size in (length, end, spacing)])
    eighths = all([size % EIGHTH == 0 for size in (length, end, spacing)])
    return MILLIMETRE if metric and not eighths else EIGHTH


def _on_tape(
    exact: AnchorPlan, fixed: "list[int]", spacing: int, blocked: "list[tuple[int, int]]", step: int
) -> AnchorPlan:
    """Return the plan with what is not fixed at whole steps; the exact one where that is worse."""
    if spacing < step:
        return exact
    wider = [(low // step * step, ceil_div(high, step) * step) for low, high in blocked]
    conflicts: list[Conflict] = []
    points = fill_all(fixed, spacing, _joined(wider), conflicts, 1, step)
    wide = [conflict for conflict in exact.conflicts if conflict.code == "gap-wide"]
    if len(points) > len(exact.points) or len(conflicts) > len(wide):
        return exact
    kept = [conflict for conflict in exact.conflicts if conflict.code != "gap-wide"]
    return AnchorPlan(points, kept + conflicts)


def _joined(intervals: "list[tuple[int, int]]") -> "list[tuple[int, int]]":
    """Return ascending intervals with those that overlap put together."""
    out: list[tuple[int, int]] = []
    for low, high in intervals:
        if out and low < out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def merged_zones(zones: "list[Zone]") -> "list[tuple[int, int]]":
    """Return the open intervals in which nothing may stand, in order, none overlapping.

    Example: merged_zones([Zone(10, 2, Msg("")), Zone(11, 2, Msg(""))]) -> [(8, 13)]
    """
    found = [(zone.at - zone.clear, zone.at + zone.clear) for zone in zones if zone.clear]
    return _joined(sort_by(found, lambda interval: interval[0]))


def zone_at(at: int, blocked: "list[tuple[int, int]]") -> "tuple[int, int] | None":
    """Return the interval that a position lies inside of; its edges are free.

    Example: zone_at(10, [(8, 13)]) -> (8, 13)
    """
    for low, high in blocked:
        if low < at < high:
            return (low, high)
    return None


def fill_all(
    fixed: "list[int]",
    spacing: int,
    blocked: "list[tuple[int, int]]",
    conflicts: "list[Conflict]",
    least: int = 1,
    step: int = 1,
) -> "list[int]":
    """Return the fixed positions with as many between them as the greatest spacing asks for.

    fixed: ascending, at least one, all free. least: what is put between stands no nearer to
    its neighbours, and at whole steps; the edges of what is blocked must be whole steps too.
    Gaps that come out wider than the spacing, for a zone's, least's or a step's sake, are
    added to conflicts ('gap-wide').

    Example: fill_all([0, 10], 5, [], []) -> [0, 5, 10]
    """
    points = [fixed[0]]
    for at in fixed[1:]:
        points.extend(_fill_between(points[-1], at, spacing, blocked, conflicts, least, step))
        points.append(at)
    return points


def running_dimensions(points: "list[int]") -> "list[Len]":
    """Return positions as running dimensions for a person: all from the same end.

    Example: running_dimensions([INCH])[0].nm -> INCH
    """
    return [Len(point, "place") for point in points]


def _fill_between(
    start: int,
    end: int,
    spacing: int,
    blocked: "list[tuple[int, int]]",
    conflicts: "list[Conflict]",
    least: int,
    step: int,
) -> "list[int]":
    """Return the positions strictly between two fixed ones.

    Where a zone forces a gap that is too wide, both its edges are taken and what lies
    before and after is filled for itself.
    """
    steps = [start] + _longest_steps(start, end, spacing, blocked, least, step) + [end]
    wide = [(low, high) for low, high in zip(steps, steps[1:]) if high - low > spacing]
    out: list[int] = []
    at = start
    for low, high in wide:
        conflicts.append(_gap_wide(low, high, spacing))
        out.extend(_even_positions(at, low, spacing, blocked, least, step))
        out.extend([edge for edge in (low, high) if start < edge < end and edge not in out])
        at = high
    return out + _even_positions(at, end, spacing, blocked, least, step)


def _even_positions(
    start: int, end: int, spacing: int, blocked: "list[tuple[int, int]]", least: int, step: int
) -> "list[int]":
    """Return as few positions between as will do, as even as the zones allow.

    Steps as long as allowed, taken from either end, bound where each may stand; it stands at
    the free place nearest to the even one that both bounds and its neighbour let it have.
    """
    farthest = _longest_steps(start, end, spacing, blocked, least, step)
    mirrored = [(-high, -low) for low, high in reversed(blocked)]
    back = list(reversed(_longest_steps(-end, -start, spacing, mirrored, least, step)))
    if len(back) != len(farthest):
        return farthest
    points = [start]
    for k in range(len(farthest)):
        low = -back[k]
        high = min(_free_below((points[-1] + spacing) // step * step, blocked), farthest[k])
        even = start + (end - start) * (k + 1) // (len(farthest) + 1)
        even = (even + step // 2) // step * step
        points.append(_nearest_free(min(max(even, low), high), blocked))
    return points[1:] if _keeps_spacing(points + [end], spacing, least) else farthest


def _free_below(at: int, blocked: "list[tuple[int, int]]") -> int:
    zone = zone_at(at, blocked)
    return zone[0] if zone else at


def _longest_steps(
    start: int, end: int, spacing: int, blocked: "list[tuple[int, int]]", least: int, step: int
) -> "list[int]":
    """Return the positions got by steps as long as allowed; over a zone, one too long."""
    points: list[int] = []
    at = start
    while end - at > spacing:
        to = (at + spacing) // step * step
        zone = zone_at(to, blocked)
        if zone:
            to = zone[0] if zone[0] - at >= least else zone[1]
        if end - to < least:
            break
        points.append(to)
        at = to
    return points


def _nearest_free(at: int, blocked: "list[tuple[int, int]]") -> int:
    zone = zone_at(at, blocked)
    if not zone:
        return at
    return zone[0] if at - zone[0] <= zone[1] - at else zone[1]


def _keeps_spacing(points: "list[int]", spacing: int, least: int) -> bool:
    gaps = [high - low for low, high in zip(points, points[1:])]
    return max(gaps) <= spacing and (len(gaps) == 1 or min(gaps) >= least)


def _free_end(
    at: int,
    way: int,
    blocked: "list[tuple[int, int]]",
    conflicts: "list[Conflict]",
    length: int,
) -> int:
    """Return the end position, moved inward where it is blocked, which is then said."""
    zone = zone_at(at, blocked)
    if not zone:
        return at
    moved = zone[1] if way > 0 else zone[0]
    conflicts.append(Conflict("end-blocked", at, _end_blocked(at, moved, length)))
    return moved


def _end_blocked(at: int, moved: int, length: int) -> Msg:
    if not 0 <= moved <= length:
        return Msg(
            "The end anchor at {at} would stand in a place that is kept clear, and all of the "
            "member is. Ask the office.",
            at=Len(at, "place"),
        )
    return Msg(
        "The end anchor at {at} would stand in a place that is kept clear; "
        "the nearest free place is {moved}. Ask the office.",
        at=Len(at, "place"),
        moved=Len(moved, "place"),
    )


def _beside_zones(
    zones: "list[Zone]",
    blocked: "list[tuple[int, int]]",
    first: int,
    last: int,
    conflicts: "list[Conflict]",
) -> "list[int]":
    """Return the places at both edges of the zones that ask for it, ascending, each once."""
    out: list[int] = []
    for zone in zones:
        for at in (zone.at - zone.clear, zone.at + zone.clear) if zone.beside else ():
            if zone_at(at, blocked) or not first <= at <= last:
                conflicts.append(_beside_blocked(at, zone))
            elif at not in out and at not in (first, last):
                out.append(at)
    return sort_by(out, lambda at: at)


def _beside_blocked(at: int, zone: Zone) -> Conflict:
    return Conflict(
        "beside-blocked",
        at,
        Msg(
            "An anchor belongs at {at}, beside {what}, but that place is kept clear "
            "or too near the end. Ask the office.",
            at=Len(at, "place"),
            what=zone.what,
        ),
    )


def _gap_wide(low: int, high: int, spacing: int) -> Conflict:
    return Conflict(
        "gap-wide",
        low,
        Msg(
            "From {low} to {high} no free place is left: {gap} apart, more than {spacing}. "
            "Ask the office.",
            low=Len(low, "place"),
            high=Len(high, "place"),
            gap=Len(high - low),
            spacing=Len(spacing),
        ),
    )


def _too_few(length: int, end: int) -> Conflict:
    return Conflict(
        "too-few",
        end,
        Msg(
            "A member {length} long needs two anchors, and {end} from each corner does not "
            "leave two free places. Ask the office.",
            length=Len(length, "place"),
            end=Len(end),
        ),
    )


def _check_sensible(length: int, end: int, spacing: int, zones: "list[Zone]") -> None:
    if length <= 0:
        raise _bad_input("anchor-length", Msg("The member's length must be more than nothing."))
    if end < 0:
        raise _bad_input("anchor-end", Msg("The end distance cannot be less than nothing."))
    if spacing <= 0 or length > spacing * MOST:
        raise _bad_input(
            "anchor-spacing",
            Msg("The greatest spacing {spacing} makes no sense here.", spacing=Len(spacing)),
            spacing=spacing,
        )
    for zone in zones:
        if zone.clear < 0:
            raise _bad_input(
                "anchor-zone", Msg("A distance to keep clear cannot be less than nothing.")
            )


def _bad_input(code: str, message: Msg, **details: Any) -> InputError:
    return InputError(code, message, **details)


def ceil_div(n: int, d: int) -> int:
    """Return n/d rounded up, for d > 0.

    Example: ceil_div(7, 2) -> 4
    """
    return -(-n // d)
