"""Checks of each reading by itself: between limits, as drawn, counted, answered.

All of them take their readings in the input "readings" and may be told in the
procedure's settings: quantity (of the readings, "length" unless said) and remedy
(a sentence that may hold {place} and {over}).
"""

from app.core.checks.as_drawn import counted, inside_limits, of_field
from app.core.checks.base import EACH, Ask, Outcome, Silent, Spec, not_measured
from app.core.checks.compare import verdict_reached
from app.core.checks.rows import (
    ANY,
    INPUT,
    FigureRow,
    amount_part,
    difference_part,
    drawn_at,
    drawn_value,
    error_of,
    given_limits,
    judge_rows,
    no_figure,
    quantity_of,
)
from app.core.quantity.messages import Msg, Qty
from app.core.trade.verdicts import WITHIN

EACH_WITHIN_SPEC = Spec(
    {INPUT: ANY},
    {"least": ANY, "most": ANY},
    {"quantity": "text", "remedy": "text"},
    optional=("least", "most", "quantity", "remedy"),
    tells=EACH,
    readings=1,
    gauged=True,
    as_drawn=inside_limits,
)
AGAINST_DRAWING_SPEC = Spec(
    {INPUT: ANY},
    {"most": ANY},
    {"field": "text", "quantity": "text", "remedy": "text"},
    optional=("quantity", "remedy"),
    tells=EACH,
    readings=1,  # the drawing's length has no error of an instrument
    drawn=True,
    limit_words={"most": "plus_minus"},
    as_drawn=of_field,
)
ALL_COUNTED_SPEC = Spec(
    {INPUT: "count"},
    {},
    {"field": "text", "count": "count", "remedy": "text"},
    optional=("field", "count", "remedy"),
    drawn=True,
    as_drawn=counted,
)
ANSWERED_YES_SPEC = Spec(
    {INPUT: "yes-no"}, {}, {"remedy": "text"}, optional=("remedy",), tells=EACH, readings=1
)
NOTED_SPEC = Spec({INPUT: ANY}, {}, {"quantity": "text"}, optional=("quantity",), notes=True)


def each_within(ask: Ask) -> Outcome:
    """Judge that every reading lies between "least" and "most", either of them optional.

    Errors:  Silent where a limit is the drawing's and it gives none.
    Example: 3/8 against least 1/4: within; 3/16: out, 1/16 under the least.
    """
    least, most = given_limits(ask)
    rows = [FigureRow(place, value, least, most) for place, value in ask.series(INPUT)]
    return not_measured(ask, INPUT) or judge_rows(
        ask,
        rows,
        lambda row: _beyond_words(ask, row),
        lambda row: _between_words(ask, row),
        Msg("Put it right and measure again."),
        error_of(ask),
    )


def _beyond_words(ask: Ask, row: FigureRow) -> Msg:
    over = difference_part(ask, row.over())
    if row.most is not None and row.value > row.most:
        return Msg(
            "{place}: {over} too much; at most {most}.",
            place=row.place.title,
            over=over,
            most=amount_part(ask, row.most),
        )
    return Msg(
        "{place}: {over} too little; at least {least}.",
        place=row.place.title,
        over=over,
        least=amount_part(ask, row.least or 0),
    )


def _between_words(ask: Ask, row: FigureRow) -> Msg:
    count = len(ask.series(INPUT))
    if row.least is None:
        return Msg(
            "{count} read, none over {most}.", most=amount_part(ask, row.most or 0), count=count
        )
    if row.most is None:
        return Msg(
            "{count} read, none under {least}.", least=amount_part(ask, row.least), count=count
        )
    return Msg(
        "{count} read, all from {least} to {most}.",
        least=amount_part(ask, row.least),
        most=amount_part(ask, row.most),
        count=count,
    )


def against_drawing(ask: Ask) -> Outcome:
    """Judge that every reading differs from what is drawn by "most" at the most.

    settings "field": a field of the drawing, or panel_width or panel_height of the
    panel that the place belongs to.
    Errors:  Silent where the drawing is open there.
    """
    most = ask.limit("most")
    rows = []
    for place, value in ask.series(INPUT):
        drawn = drawn_at(ask, place.panel)
        rows.append(FigureRow(place, value, drawn - most, drawn + most, drawn=drawn, allowed=most))
    return not_measured(ask, INPUT) or judge_rows(
        ask,
        rows,
        lambda row: _off_words(ask, row),
        lambda row: _as_drawn(ask, row),
        Msg("Not as drawn: ask the office before anything is cut or set."),
        error_of(ask),
    )


def _off_words(ask: Ask, row: FigureRow) -> Msg:
    drawn = row.about["drawn"]
    params = {
        "place": row.place.title,
        "drawn": amount_part(ask, drawn),
        "difference": difference_part(ask, abs(row.value - drawn)),
        "most": difference_part(ask, row.about["allowed"]),
    }
    if row.value > drawn:
        return Msg("{place}: {difference} more than the {drawn} drawn, {most} allowed.", **params)
    return Msg("{place}: {difference} less than the {drawn} drawn, {most} allowed.", **params)


def _as_drawn(ask: Ask, row: FigureRow) -> Msg:
    return Msg(
        "As drawn, {drawn}, to {most}.",
        drawn=amount_part(ask, row.about["drawn"]),
        most=difference_part(ask, row.about["allowed"]),
    )


def all_counted(ask: Ask) -> Outcome:
    """Judge that every count equals the drawing's ("field") or the procedure's ("count").

    Errors:  Silent where the drawing is open there. The weeps, where their number is
             not given, are counted on the drawing.
    """
    wanted = _wanted_count(ask)
    rows = [FigureRow(place, value, wanted, wanted) for place, value in ask.series(INPUT)]
    return not_measured(ask, INPUT) or judge_rows(
        ask, rows, _count_words, _count_words, _count_remedy, quantity="count"
    )


def _wanted_count(ask: Ask) -> int:
    if "field" in ask.settings:
        return drawn_value(ask, str(ask.settings["field"]))
    if "count" in ask.settings:
        return int(ask.settings["count"])
    raise Silent("count")


def _count_words(row: FigureRow) -> Msg:
    return Msg(
        "{place}: {value} of {wanted}.",
        place=row.place.title,
        value=Qty("count", row.value),
        wanted=Qty("count", row.least or 0),
    )


def _count_remedy(row: FigureRow) -> Msg:
    if row.value > (row.most or 0):
        return Msg("More than there should be: count again, else ask the office.")
    return Msg("Still to do: {count}.", count=Qty("count", row.over()))


def answered_yes(ask: Ask) -> Outcome:
    """Judge that every yes-no reading (1 yes, 0 no) is a yes."""
    series = ask.series(INPUT)
    rows = [FigureRow(place, value, 1, None) for place, value in series]
    return not_measured(ask, INPUT) or judge_rows(
        ask,
        rows,
        lambda row: Msg("{place}: no.", place=row.place.title),
        Msg("Yes at every place, {count} asked.", count=len(series)),
        Msg("Put it right and answer again."),
        quantity="yes-no",
    )


def noted(ask: Ask) -> Outcome:
    """Judge that something is written at every place; what it says is not judged."""
    left = not_measured(ask, INPUT)
    if left:
        return left
    if not ask.series(INPUT):
        return no_figure(ask)
    return Outcome(verdict_reached(WITHIN, ask, INPUT), [Msg("Noted.")], quantity=quantity_of(ask))
