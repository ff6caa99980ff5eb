"""Is the closing gap of a panel alike low, middle and high; if not, which roller to turn."""

from app.core.checks import turn
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import at_most, bubble_offset, deciding_figure, joined_outcome
from app.core.checks.stiles import both_stiles
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import rollers
from app.core.trade.drawing import Panel
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place

# gap: places with side "low", "middle", "high" (closing-gap; per panel, or place.panel). stiles:
# bottom of the stile over the sill, side "left" and "right" (stiles). plumb: `how: plumb` on the
# closing stile of each lead, side "low" and "high" (lead-stiles, only: meeting), the line hanging
# in the gap. trial: how much one trial turn raised the panel.
# most: gap alike. middle: middle off the mean of low and high. alike: stiles alike (with stiles).
# The drawing gives lock, axle_distance, gap_distance.
ROLLER_GAP_SPEC = Spec(
    {"gap": "length", "stiles": "length", "plumb": "length", "trial": "length"},
    {"most": "length", "middle": "length", "alike": "length"},
    {},
    ("stiles", "plumb", "trial", "alike"),
)
LEVELS = ("low", "middle", "high")


class _Gap:
    """One closing gap: low, middle and high, and the panel that closes there."""

    def __init__(self, series: "list[tuple[Place, int]]") -> None:
        by_side = {place.side: (place, value) for place, value in series}
        self.places = [by_side[side][0] for side in LEVELS]
        self.low, self.middle, self.high = [by_side[side][1] for side in LEVELS]
        self.letter = self.places[0].panel
        self.taper = self.high - self.low
        self.bow_twice = rollers.bow_twice(self.low, self.middle, self.high)

    @property
    def spread(self) -> int:
        """Return greatest less least."""
        three = (self.low, self.middle, self.high)
        return max(three) - min(three)


def roller_gap(ask: Ask) -> Outcome:
    """Return whether each closing gap is alike, and which roller to turn, which way, how far.

    A bow is sent back to the shims; stiles that stand alike under a tapering gap are
    sent back to jamb and panel; two leads that meet are each judged by their own plumb.
    Turns are said only by a measured trial turn.
    Errors: Silent where the drawing leaves a limit open.
    Source: core/trade/rollers.py.
    """
    left_over = not_measured(ask, "gap")
    if left_over:
        return left_over
    found = [_Gap(series) for series in _gap_readings(ask.series("gap")) if _is_complete(series)]
    if not found:
        words = Msg("A closing gap is measured low, in the middle and high.")
        return Outcome(MISSING, [words], [words], missing=ask.places["gap"])
    outcomes = [_gap_outcome(ask, gap) for gap in found]
    return joined_outcome(outcomes, ask, "gap")


def _gap_readings(series: "list[tuple[Place, int]]") -> "list[list[tuple[Place, int]]]":
    """Return the readings of each gap: their ids are alike up to the level."""
    names: list[str] = []
    groups: list[list[tuple[Place, int]]] = []
    for place, value in series:
        name = place.id.rpartition("-")[0]
        if name not in names:
            names.append(name)
            groups.append([])
        groups[names.index(name)].append((place, value))
    return groups


def _is_complete(series: "list[tuple[Place, int]]") -> bool:
    sides = [place.side for place, _ in series]
    return all(side in sides for side in LEVELS)


def _gap_outcome(ask: Ask, gap: _Gap) -> Outcome:
    most, middle = ask.limit("most"), ask.limit("middle")
    error = 2 * ask.errors.get("gap", 0)
    bow = abs(gap.bow_twice)
    found = deciding_figure([at_most(gap.spread, 1, most, error), at_most(bow, 2, middle, error)])
    return Outcome(
        found.verdict,
        [_gap_words(gap)],
        _gap_remedies(ask, gap) if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
        tilt=_high_side(ask, gap),
    )


def _high_side(ask: Ask, gap: _Gap) -> "int | None":
    """Return which side of the panel is high: the leading one where the gap is wide at the top."""
    if not gap.letter:
        return None
    leading = turn.leading_side(ask, gap.letter, gap.places[0].x)
    return bubble_offset(gap.taper if leading == "right" else -gap.taper, 1, ask.limit("most"))


def _gap_words(gap: _Gap) -> Msg:
    low, middle, high = size_len(gap.low), size_len(gap.middle), size_len(gap.high)
    if gap.letter:
        return Msg(
            "Panel {letter}: gap low {low}, middle {middle}, high {high}.",
            letter=gap.letter,
            low=low,
            middle=middle,
            high=high,
        )
    return Msg("Gap low {low}, middle {middle}, high {high}.", low=low, middle=middle, high=high)


def _gap_remedies(ask: Ask, gap: _Gap) -> "list[Msg]":
    """Return what mends a gap that is out: shims for a bow, rollers for a straight lean."""
    if abs(gap.bow_twice) > 2 * min(ask.limit("middle"), ask.limit("most")):
        return [_bowed_words(gap)]
    if not gap.letter:
        return [Msg("See first which of the two panels leans: plumb each stile.")]
    if _meeting_pair(ask, gap):
        return _meeting_moves(ask, gap)
    if "stiles" in ask.places:
        at = both_stiles(ask, gap.letter)
        if at is None:
            return [Msg("Measure first how both stiles stand over the sill.")]
        if not _by_rollers(ask, gap, at):
            return [_leave_rollers(gap)]
    first = [] if "stiles" in ask.places else [_square_first()]
    return first + turn.turn_moves(
        ask, gap.letter, gap.taper, _height_between(ask, gap.places), gap.places[0].x
    )


def _square_first() -> Msg:
    """Return what comes before rollers where nobody measured how the stiles stand."""
    return Msg(
        "First measure how both stiles stand over the sill. Where they stand the same, leave the"
        " rollers; check the jamb for plumb, the panel for square."
    )


def _bowed_words(gap: _Gap) -> Msg:
    bow = size_len(half_up(abs(gap.bow_twice), 2))
    if gap.bow_twice > 0:
        return Msg(
            "The gap is {bow} wider in the middle: jamb or stile is bowed. Leave the rollers;"
            " straighten it by the shims at {place}.",
            bow=bow,
            place=gap.places[1].title,
        )
    return Msg(
        "The gap is {bow} narrower in the middle: jamb or stile is bowed. Leave the rollers;"
        " straighten it by the shims at {place}.",
        bow=bow,
        place=gap.places[1].title,
    )


def _by_rollers(ask: Ask, gap: _Gap, at: "dict[str, tuple[Place, int]]") -> bool:
    """Return whether the stiles say that the panel stands off level the way the gap says."""
    leading = turn.leading_side(ask, gap.letter, gap.places[0].x)
    trailing = rollers.OTHER[leading]
    return rollers.rollers_can(
        gap.taper, at[leading][1], at[trailing][1], ask.limits.get("alike") or 0
    )


def _leave_rollers(gap: _Gap) -> Msg:
    return Msg(
        "Panel {letter}: its stiles stand the same over the sill, or lean the other way, and the"
        " gap still tapers. Leave the rollers: check the jamb for plumb and the panel for square.",
        letter=gap.letter,
    )


def _height_between(ask: Ask, places: "list[Place]") -> "int | None":
    """Return the distance between the lowest and the highest place: drawn, else by the places."""
    drawn = ask.drawing.length("gap_distance")
    if drawn is not None:
        return drawn
    low, high = places[0].y, places[-1].y
    return None if low is None or high is None else high - low


def _meeting_pair(ask: Ask, gap: _Gap) -> "list[Panel]":
    """Return the two leads that meet at this gap, left one first, or nothing."""
    x = gap.places[0].x
    for left, right in zip(ask.drawing.panels, ask.drawing.panels[1:]):
        mine = gap.letter in (left.letter, right.letter)
        here = x is None or x in (left.right, right.left)
        if left.lead and right.lead and mine and here:
            return [left, right]
    return []


def _meeting_moves(ask: Ask, gap: _Gap) -> "list[Msg]":
    """Return a move for each of two leads that meet, by its own plumb."""
    left, right = _meeting_pair(ask, gap)
    first, second = _own_lean(ask, left.letter), _own_lean(ask, right.letter)
    if first is None or second is None:
        return [
            Msg(
                "Two leads meet here and there is no jamb between them: plumb each leading stile"
                " first."
            )
        ]
    if not rollers.leans_agree(gap.taper, first[0], second[0], ask.limit("most")):
        return [
            Msg(
                "The two leans from plumb do not add up to the taper of the gap: measure all again."
            )
        ]
    out = []
    for panel, (taper, apart), x in ((left, first, left.right), (right, second, right.left)):
        if taper:
            out.extend(turn.turn_moves(ask, panel.letter, taper, apart, x))
    return out


def _own_lean(ask: Ask, letter: str) -> "tuple[int, int | None] | None":
    """Return how far the top of a lead stands off its plumb line against the low place."""
    if "plumb" not in ask.places:
        return None
    at = {p.side: (p, value) for p, value in ask.series("plumb") if p.panel == letter}
    if "low" not in at or "high" not in at:
        return None
    apart = _height_between(ask, [at["low"][0], at["high"][0]])
    return at["high"][1] - at["low"][1], apart
