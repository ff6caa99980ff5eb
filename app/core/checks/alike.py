"""Checks of readings against each other: alike, unchanged.

Inputs and settings as in plain.py. Differences are said as sizes, never signed.
"""

from app.core.checks.base import SOME, Ask, Outcome, Spec, not_measured, position_len
from app.core.checks.rows import (
    ANY,
    INPUT,
    FigureRow,
    amount_part,
    drawn_value,
    error_of_difference,
    grouped_readings,
    judge_rows,
)
from app.core.checks.sill_survey import place_x
from app.core.kinds import Any
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import round_up
from app.core.trade.sill import worst_window
from app.core.where.place import Place
from app.core.where.words import standpoint_words


def _idle_limits(ask: Ask) -> "list[str]":
    return ["most" if _is_large(ask) else "most_large"] if "most_large" in ask.limits else []


_TOLD = {"quantity": "text", "remedy": "text"}
ALIKE_SPEC = Spec(
    {INPUT: ANY},
    {"most": ANY, "most_large": ANY},
    {
        "by": "text",
        "over": "length",
        "large": "length",
        "of": "text",
        "quantity": "text",
        "remedy": "text",
    },
    optional=("most_large", "large", "by", "over", "of", "quantity", "remedy"),
    tells=SOME,
    limit_words={"most": "alike", "most_large": "alike_large"},
    idle=_idle_limits,
)
UNCHANGED_SPEC = Spec(
    {INPUT: ANY, "after": ANY},
    {"most": ANY},
    _TOLD,
    optional=("after", "quantity", "remedy"),
    judged=("after",),
    limit_words={"most": "changed"},
)


def alike(ask: Ask) -> Outcome:
    """Judge that greatest less least is at most "most", over all places or within groups.

    settings "by": "panel", "track", "side" or "position" (one upright line) judges each one's
    readings apart. Limit "most_large" counts where the drawing's length "of" is over
    the length "large". "over": only within any stretch of that length along the sill, straight
    from place to place.
    """
    most = _most_allowed(ask)
    by = str(ask.settings.get("by", ""))
    groups = grouped_readings(ask.series(INPUT), lambda place: _group_name(place, by))
    over = int(ask.settings.get("over", 0))
    rows = [
        _stretch_row(group, most, over) if over else _spread_row(group, most)
        for group in groups
        if len(group) > 1
    ]
    return not_measured(ask, INPUT) or judge_rows(
        ask,
        rows,
        lambda row: _apart_words(ask, row),
        lambda row: _nearly_words(ask, row),
        lambda row: Msg(
            "Find which of the two is wrong, bring them together by {over}, and measure again.",
            over=amount_part(ask, row.over()),
        ),
        error_of_difference(ask),
    )


def _most_allowed(ask: Ask) -> int:
    if "most_large" not in ask.limits:
        return ask.limit("most")
    return ask.limit("most_large" if _is_large(ask) else "most")


def _is_large(ask: Ask) -> bool:
    return drawn_value(ask, str(ask.settings["of"])) > int(ask.settings["large"])


def _group_name(place: Place, by: str) -> Any:
    if by == "panel":
        return place.panel
    if by == "track":
        return place.track
    if by == "position":
        return (place.panel, place.x)
    return place.side if by == "side" else ""


def _spread_row(group: "list[tuple[Place, int]]", most: int) -> FigureRow:
    small = group[0]
    great = group[0]
    for pair in group:
        small = pair if pair[1] < small[1] else small
        great = pair if pair[1] > great[1] else great
    return FigureRow(great[0], great[1] - small[1], None, most, small=small[0])


def _stretch_row(group: "list[tuple[Place, int]]", most: int, over: int) -> FigureRow:
    """Return the worst stretch of one line; its place is the lower one's, where shims go."""
    line = sort_by(group, lambda pair: place_x(pair[0]))
    xs = [place_x(place) for place, _ in line]
    worst = worst_window(xs, [value for _, value in line], over)
    low = worst.left if worst.num >= 0 else worst.right
    near = sort_by(line, lambda pair: abs(place_x(pair[0]) - low))[0][0]
    return FigureRow(near, round_up(abs(worst.num), worst.den), None, most, window=worst, over=over)


def _apart_words(ask: Ask, row: FigureRow) -> Msg:
    worst = row.about.get("window")
    if worst is not None:
        return Msg(
            "{place}: {difference} between {left} and {right} from LEFT jamb, {stand};"
            " at most {most} in any {over}.",
            over=position_len(row.about["over"]),
            place=row.place.title,
            difference=amount_part(ask, row.value),
            left=position_len(worst.left),
            right=position_len(worst.right),
            stand=standpoint_words(ask.drawing),
            most=amount_part(ask, row.most or 0),
        )
    return Msg(
        "Greatest: {great}. Least: {small}. They differ by {difference}; at most {most}.",
        great=row.place.title,
        small=row.about["small"].title,
        difference=amount_part(ask, row.value),
        most=amount_part(ask, row.most or 0),
    )


def _nearly_words(ask: Ask, row: FigureRow) -> Msg:
    if row.value == 0:
        return Msg("All the same.")
    return _apart_words(ask, row)


def unchanged(ask: Ask) -> Outcome:
    """Judge that the end differs from the start by "most" at the most.

    The first and the last place of "readings"; or, where there is an input "after",
    each place of it against the place of "readings" with the same id.
    """
    most = ask.limit("most")
    inputs = [INPUT, "after"] if "after" in ask.places else [INPUT]
    rows = [
        FigureRow(place, abs(end - start), None, most, more=end > start)
        for place, start, end in _start_end_pairs(ask)
    ]
    return not_measured(ask, *inputs) or judge_rows(
        ask,
        rows,
        lambda row: _moved_words(ask, row),
        lambda row: _stayed_words(ask, row),
        Msg("It moved: find out why, put it right, and measure both again."),
        error_of_difference(ask),
    )


def _start_end_pairs(ask: Ask) -> "list[tuple[Place, int, int]]":
    series = ask.series(INPUT)
    if "after" not in ask.places:
        return [(series[-1][0], series[0][1], series[-1][1])] if len(series) > 1 else []
    after = ask.readings.get("after", {})
    return [(place, value, after[place.id]) for place, value in series if place.id in after]


def _moved_words(ask: Ask, row: FigureRow) -> Msg:
    params = {
        "place": row.place.title,
        "difference": amount_part(ask, row.value),
        "most": amount_part(ask, row.most or 0),
    }
    if row.about["more"]:
        return Msg("{place}: {difference} more than before; at most {most}.", **params)
    return Msg("{place}: {difference} less than before; at most {most}.", **params)


def _stayed_words(ask: Ask, row: FigureRow) -> Msg:
    return _moved_words(ask, row) if row.value else Msg("Unchanged.")
