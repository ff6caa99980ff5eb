"""Checks of a middle reading: between two ends, and of three.

Inputs and settings as in plain.py. Differences are said as sizes, never signed.
"""

from app.core.checks.as_drawn import inside_limits
from app.core.checks.base import Ask, Outcome, Spec, not_measured
from app.core.checks.decide import middle_of
from app.core.checks.rows import (
    ANY,
    INPUT,
    FigureRow,
    amount_part,
    error_of,
    error_of_difference,
    grouped_readings,
    judge_rows,
)
from app.core.quantity.measure import half_up
from app.core.quantity.messages import Msg
from app.core.trade.verdicts import MISSING
from app.core.where.place import Place

_TOLD = {"quantity": "text", "remedy": "text"}
MIDDLE_OF_ENDS_SPEC = Spec({INPUT: ANY}, {"most": ANY}, _TOLD, optional=("quantity", "remedy"))
MIDDLE_OF_THREE_SPEC = Spec(
    {INPUT: ANY},
    {"most": ANY},
    _TOLD,
    optional=("quantity", "remedy"),
    as_drawn=inside_limits,
)


def middle_of_ends(ask: Ask) -> Outcome:
    """Judge that each middle reading is within "most" of the mean of its two ends.

    A middle and its ends belong together by panel, and by position (low, middle,
    high) or height (left, middle, right). Compared doubled, so that the mean is exact.
    """
    most = ask.limit("most")
    left = not_measured(ask, INPUT) or _not_a_line(ask)
    if left:
        return left
    rows = [
        _bow_row(line, most) for line in _reading_lines(ask, ask.series(INPUT)) if len(line) == 3
    ]
    outcome = judge_rows(
        ask,
        rows,
        lambda row: _bowed_words(ask, row),
        lambda row: _straight_words(ask, row),
        Msg("The ends cannot fix the middle: straighten it and measure again."),
        2 * error_of_difference(ask),
    )
    return _halved_outcome(outcome, most)


_LINE = ("low", "middle", "high", "left", "right")


def _reading_lines(ask: Ask, pairs: "list[tuple[Place, int]]") -> "list[list[tuple[Place, int]]]":
    """Return the readings by line: upright ones share an x, level ones a y."""
    upright = any(place.side in ("low", "high") for place in ask.places[INPUT])
    known = [pair for pair in pairs if pair[0].side in _LINE]
    return grouped_readings(known, lambda place: (place.panel, place.x if upright else place.y))


def _not_a_line(ask: Ask) -> "Outcome | None":
    """Return 'missing' where the procedure asks for a middle without its two ends, or more."""
    for line in _reading_lines(ask, [(place, 0) for place in ask.places[INPUT]]):
        middles = [place for place, _ in line if place.side == "middle"]
        if len(line) != 3 or len(middles) != 1:
            titles = [place.title for place, _ in line]
            return Outcome(
                MISSING, [Msg("A middle and two ends are needed: {places}.", places=titles)]
            )
    return None


def _bow_row(line: "list[tuple[Place, int]]", most: int) -> FigureRow:
    """Return how far the middle is from the mean of the ends, doubled."""
    doubled = 0
    middle = line[0][0]
    for place, value in line:
        if place.side == "middle":
            middle = place
            doubled += 2 * value
        else:
            doubled -= value
    return FigureRow(middle, abs(doubled), None, 2 * most, more=doubled > 0, allowed=most)


def _bowed_words(ask: Ask, row: FigureRow) -> Msg:
    params = {
        "place": row.place.title,
        "difference": amount_part(ask, half_up(row.value, 2)),
        "most": amount_part(ask, row.about["allowed"]),
    }
    if row.about["more"]:
        return Msg(
            "{place}: {difference} more than the mean of its ends; at most {most}.", **params
        )
    return Msg("{place}: {difference} less than the mean of its ends; at most {most}.", **params)


def _straight_words(ask: Ask, row: FigureRow) -> Msg:
    return _bowed_words(ask, row) if row.value else Msg("The middle is the mean of its ends.")


def _halved_outcome(outcome: Outcome, most: int) -> Outcome:
    """Bring the doubled figures of an outcome back to what they were, rounded up."""
    if outcome.value is not None:
        outcome.value = -(-outcome.value // 2)
        outcome.high = most
        outcome.over = -(-outcome.over // 2)
    return outcome


def middle_of_three(ask: Ask) -> Outcome:
    """Judge that the middle one of each three readings is at most "most"; an only one likewise.

    Readings belong together by panel and side (for strokes: which way).
    """
    most = ask.limit("most")
    left = not_measured(ask, INPUT) or _not_three(ask)
    if left:
        return left
    groups = grouped_readings(ask.series(INPUT), lambda place: (place.panel, place.side))
    rows = [_middle_row(group, most) for group in groups if len(group) in (1, 3)]
    return judge_rows(
        ask,
        rows,
        lambda row: _too_much(ask, row, most),
        lambda row: _light_enough(ask, row, most),
        Msg("Look for what binds: track, rollers, seals, height; then try again."),
        error_of(ask),
    )


def _too_much(ask: Ask, row: FigureRow, most: int) -> Msg:
    params = {
        "place": row.place.title,
        "over": amount_part(ask, row.over()),
        "most": amount_part(ask, most),
    }
    if row.about["alone"]:
        return Msg("{place}: {over} too much; at most {most}.", **params)
    return Msg("{place}, the middle one of three: {over} too much; at most {most}.", **params)


def _light_enough(ask: Ask, row: FigureRow, most: int) -> Msg:
    params = {"value": amount_part(ask, row.value), "most": amount_part(ask, most)}
    if row.about["alone"]:
        return Msg("At the most {value}; allowed: {most}.", **params)
    return Msg("The middle one of three is {value} at the most; allowed: {most}.", **params)


def _not_three(ask: Ask) -> "Outcome | None":
    """Return 'missing' where the procedure asks for two of a kind, or more than three."""
    places = [(place, 0) for place in ask.places[INPUT]]
    for group in grouped_readings(places, lambda place: (place.panel, place.side)):
        if len(group) not in (1, 3):
            titles = [place.title for place, _ in group]
            return Outcome(MISSING, [Msg("Three readings are needed: {places}.", places=titles)])
    return None


def _middle_row(group: "list[tuple[Place, int]]", most: int) -> FigureRow:
    value = group[0][1] if len(group) == 1 else middle_of([value for _, value in group])
    place = next(place for place, read in group if read == value)
    return FigureRow(place, value, None, most, alone=len(group) == 1)
