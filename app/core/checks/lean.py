"""Is a jamb plumb and straight: lean and bow from the offsets of a plumb line."""

from app.core.checks.as_drawn import nothing
from app.core.checks.base import Ask, Outcome, Spec, not_measured, position_len, size_len
from app.core.checks.compare import at_most, bubble_offset, deciding_figure, verdict_reached
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import line
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place
from app.core.where.words import jamb_word

# jamb: `how: plumb`, two places or more with y. most: over the whole jamb. most_over: within any
# length of setting `over`, straight from place to place; where a place between was not read, no
# two that were may stand farther apart than `over`.
# jamb: "left" | "right". way: "in the wall" (line inside the opening) | "through the wall" (line on
# the ROOM side of the jamb: bigger means nearer the outside).
LEAN_SPEC = Spec(
    {"jamb": "length"},
    {"most": "length", "most_over": "length"},
    {"jamb": "text", "way": "text", "over": "length"},
    ("most_over", "over"),
    as_drawn=nothing,
)
THROUGH = "through the wall"


def lean(ask: Ask) -> Outcome:
    """Return how far a jamb is off plumb, in all and within any `over`, and what to move.

    Errors: Silent where the drawing leaves a limit open.
    Source: definitions; core/trade/line.py. Limits: the procedure's or the drawing's.
    """
    left_over = not_measured(ask, "jamb")
    if left_over:
        return left_over
    series = sort_by(
        [pair for pair in ask.series("jamb") if pair[0].y is not None], lambda pair: pair[0].y
    )
    if len(series) < 2:
        words = Msg("A lean needs two heights or more.")
        return Outcome(MISSING, [words], [words], missing=ask.places["jamb"])
    return _judge_lean(ask, series)


def _judge_lean(ask: Ask, series: "list[tuple[Place, int]]") -> Outcome:
    points = [(place.y or 0, value) for place, value in series]
    values = [value for _, value in points]
    spread = max(values) - min(values)
    error = 2 * ask.errors.get("jamb", 0)
    figures = [at_most(spread, 1, ask.limit("most"), error)]
    says = [
        _whole_words(ask, values[-1] - values[0]),
        Msg("Most to least over the jamb: {spread}.", spread=size_len(spread)),
    ]
    if "most_over" in ask.limits:
        num, den = line.worst_change(points, ask.settings["over"])
        figures.append(at_most(num, den, ask.limit("most_over"), error))
        says.append(_within_words(ask, num, den, points))
    found = deciding_figure(figures)
    sparse = _too_sparse(ask, series, points)
    if found.verdict != OUT and sparse:
        return sparse
    return Outcome(
        verdict_reached(found.verdict, ask, "jamb"),
        says,
        _lean_remedies(ask, series, points) if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
        tilt=_tilt_of(ask, values[-1] - values[0]),
    )


def _too_sparse(
    ask: Ask, series: "list[tuple[Place, int]]", points: "list[tuple[int, int]]"
) -> "Outcome | None":
    """Return 'missing' where a place was not read, and no other near enough to judge `over`."""
    if "most_over" not in ask.limits:
        return None
    heights = [place.y for place in ask.places["jamb"] if place.y is not None]
    gaps = [
        i
        for i in line.too_far_apart(points, ask.settings["over"])
        if any([points[i][0] < y < points[i + 1][0] for y in heights])
    ]
    if not gaps:
        return None
    says = [
        Msg(
            "Measure between {low} and {high}: places may stand {over} apart at most.",
            low=series[i][0].title,
            high=series[i + 1][0].title,
            over=position_len(ask.settings["over"]),
        )
        for i in gaps
    ]
    return Outcome(MISSING, says, says)


def _whole_words(ask: Ask, shift: int) -> Msg:
    jamb = jamb_word(ask.settings["jamb"], ask.drawing)
    by = size_len(abs(shift))
    if shift == 0:
        return Msg("{jamb}: plumb from end to end.", jamb=jamb)
    if ask.settings["way"] == THROUGH:
        if shift > 0:
            return Msg("{jamb}: the top leans {by} toward the outside.", jamb=jamb, by=by)
        return Msg("{jamb}: the top leans {by} toward the room.", jamb=jamb, by=by)
    if shift > 0:
        return Msg("{jamb}: the top leans {by} away from the opening.", jamb=jamb, by=by)
    return Msg("{jamb}: the top leans {by} toward the opening.", jamb=jamb, by=by)


def _within_words(ask: Ask, num: int, den: int, points: "list[tuple[int, int]]") -> Msg:
    params = {"over": position_len(ask.settings["over"]), "by": size_len(half_up(num, den))}
    if line.too_far_apart(points, ask.settings["over"]):
        return Msg("Worst within any {over}, taken straight between readings: {by}.", **params)
    return Msg("Worst within any {over}: {by}.", **params)


def _lean_remedies(
    ask: Ask, series: "list[tuple[Place, int]]", points: "list[tuple[int, int]]"
) -> "list[Msg]":
    """Return the moves that bring it within: the top for a lean, each shim for a bow."""
    shift = points[-1][1] - points[0][1]
    out = []
    if shift:
        out.append(_move_top(ask, shift))
    bows, den = line.bows_off_line(points)
    straight = [(x, bow) for (x, _), bow in zip(points, bows)]
    if _still_out(ask, straight, den):
        for (place, _), bow in zip(series, bows):
            if bow:
                out.append(_straighten_words(ask, place, half_up(bow, den)))
    return out


def _still_out(ask: Ask, straight: "list[tuple[int, int]]", den: int) -> bool:
    """Return whether the jamb, turned plumb, would be out by its bow alone."""
    bows = [bow for _, bow in straight]
    if max(bows) - min(bows) > ask.limit("most") * den:
        return True
    if "most_over" not in ask.limits:
        return False
    num, by = line.worst_change(straight, ask.settings["over"])
    return num > ask.limit("most_over") * den * by


def _move_top(ask: Ask, shift: int) -> Msg:
    by = size_len(abs(shift))
    if ask.settings["way"] == THROUGH:
        if shift > 0:
            return Msg("Move the top of the jamb {by} toward the room.", by=by)
        return Msg("Move the top of the jamb {by} toward the outside.", by=by)
    if shift > 0:
        return Msg("Move the top of the jamb {by} toward the opening.", by=by)
    return Msg("Move the top of the jamb {by} away from the opening.", by=by)


def _straighten_words(ask: Ask, place: Place, bow: int) -> Msg:
    title, by = place.title, size_len(abs(bow))
    if ask.settings["way"] == THROUGH:
        if bow > 0:
            return Msg("{place}: bowed. Move it {by} toward the room there.", place=title, by=by)
        return Msg("{place}: bowed. Move it {by} toward the outside there.", place=title, by=by)
    if bow > 0:
        return Msg("{place}: bowed. Add {by} of shim there.", place=title, by=by)
    return Msg("{place}: bowed. Take {by} of shim out there.", place=title, by=by)


def _tilt_of(ask: Ask, shift: int) -> int:
    """Return which side the top leans to: left or room below zero, right or weather above."""
    left_jamb = ask.settings["jamb"] == "left" and ask.settings["way"] != THROUGH
    return bubble_offset(-shift if left_jamb else shift, 1, ask.limit("most"))
