"""Is a frame or an opening free of twist: by strings, four corners, or the lean of both jambs."""

from app.core.checks.as_drawn import nothing
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import at_most, verdict_reached
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import frame
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place
from app.core.where.words import jamb_word

# strings from corner to corner; one of: one place (the gap where they cross); two places with the
# ids of the diagonals (the gap with that string in front, nearer the outside; 0 where they touch);
# the four corners in order around (each one's distance from one flat plane, toward the outside).
TWIST_SPEC = Spec({"strings": "length"}, {"most": "length"}, as_drawn=nothing)
RISING = "low-left-high-right"
# left, right: `how: plumb` with y, the line on the room side: bigger means nearer the outside.
# most: how far apart the two jambs lean, top against foot.
JAMBS_TWIST_SPEC = Spec({"left": "length", "right": "length"}, {"most": "length"})


def twist(ask: Ask) -> Outcome:
    """Return whether the corners lie in one plane, by two strings from corner to corner.

    The gap where they cross is half of what one corner is out of plane.
    Errors: Silent where the drawing leaves the limit open.
    Source: core/trade/frame.py.
    """
    left_over = not_measured(ask, "strings")
    if left_over:
        return left_over
    series = ask.series("strings")
    if len(series) != len(ask.places["strings"]) or len(series) not in (1, 2, 4):
        words = Msg("Twist cannot be judged without every corner.")
        return Outcome(MISSING, [words], [words], missing=ask.places["strings"])
    if len(series) == 4:
        corner = frame.corner_off(*[value for _, value in series])
        return _judge_twist(ask, corner, abs(corner))
    if len(series) == 2 and min([value for _, value in series]) > 0:
        return _both_in_front(ask)
    gap = max([abs(value) for _, value in series])
    return _judge_twist(ask, _string_in_front(series, gap), frame.corner_of_gap(gap))


def _both_in_front(ask: Ask) -> Outcome:
    words = Msg(
        "One string only can be in front. Where it presses on the other, the gap is 0: measure"
        " again with the strings changed round."
    )
    return Outcome(MISSING, [words], [words], missing=ask.places["strings"])


def _string_in_front(series: "list[tuple[Place, int]]", gap: int) -> int:
    """Return above zero for the rising string in front, below for the falling one, 0 unknown."""
    if len(series) == 1 or gap == 0:
        return 0
    for place, value in series:
        if value == gap:
            return 1 if place.id.endswith(RISING) else -1
    return 0


def _judge_twist(ask: Ask, front: int, corner: int) -> Outcome:
    """Return the verdict on a corner's distance; the gap of the strings is half of it."""
    most = ask.limit("most")
    count = len(ask.series("strings"))
    error = ask.errors.get("strings", 0) * (2 if count == 4 else 1)
    found = at_most(corner, 2, most, error)
    says = [
        Msg(
            "The strings are {gap} apart where they cross: one corner is {corner} out of plane.",
            gap=size_len(half_up(corner, 2)),
            corner=size_len(corner),
        )
    ]
    return Outcome(
        verdict_reached(found.verdict, ask, "strings"),
        says,
        [_untwist_words(front, corner)] if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
    )


def _untwist_words(front: int, corner: int) -> Msg:
    by = size_len(corner)
    if front > 0:
        return Msg(
            "LOW LEFT to HIGH RIGHT is in front, seen from outside. Plumb both jambs in"
            " and out first; then move one of its corners {by} toward the room.",
            by=by,
        )
    if front < 0:
        return Msg(
            "LOW RIGHT to HIGH LEFT is in front, seen from outside. Plumb both jambs in"
            " and out first; then move one of its corners {by} toward the room.",
            by=by,
        )
    return Msg(
        "Plumb both jambs in and out first. Then move one corner of the string in front"
        " {by} back; or one corner of the other {by} forward.",
        by=by,
    )


def jambs_twist(ask: Ask) -> Outcome:
    """Return whether both jambs lean alike in and out: where they do, the frame is flat.

    One corner is out of the plane of the others by as much as the two jambs lean apart.
    Errors: Silent where the drawing leaves the limit open.
    Source: definitions.
    """
    left_over = not_measured(ask, "left", "right")
    if left_over:
        return left_over
    shifts = [_top_against_foot(ask, input) for input in ("left", "right")]
    if shifts[0] is None or shifts[1] is None:
        words = Msg("A lean needs two heights or more.")
        return Outcome(MISSING, [words], [words], missing=ask.places["left"])
    apart = shifts[1] - shifts[0]
    error = 2 * (ask.errors.get("left", 0) + ask.errors.get("right", 0))
    found = at_most(abs(apart), 1, ask.limit("most"), error)
    return Outcome(
        verdict_reached(found.verdict, ask, "left", "right"),
        [Msg("The jambs lean {by} apart, in and out.", by=size_len(abs(apart)))],
        [_bring_together(ask, shifts, apart)] if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
    )


def _top_against_foot(ask: Ask, input: str) -> "int | None":
    """Return how much nearer the outside a jamb's highest reading is than its lowest one."""
    series = [(place.y, value) for place, value in ask.series(input) if place.y is not None]
    if len(series) < 2:
        return None
    series = sort_by(series, lambda pair: pair[0])
    return series[-1][1] - series[0][1]


def _bring_together(ask: Ask, shifts: "list[Any]", apart: int) -> Msg:
    """Return the move of the jamb that leans more, to where the other one leans."""
    side = "left" if abs(shifts[0]) > abs(shifts[1]) else "right"
    outward = (apart > 0) == (side == "left")
    jamb, by = jamb_word(side, ask.drawing), size_len(abs(apart))
    if outward:
        return Msg("{jamb}: move the top {by} toward the outside.", jamb=jamb, by=by)
    return Msg("{jamb}: move the top {by} toward the room.", jamb=jamb, by=by)
