"""Is the sealant of a joint as deep as its width asks for."""

from app.core.checks.as_drawn import joint_deep
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.rows import FigureRow, judge_rows
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up, round_up
from app.core.trade.joint import depth_range
from app.core.where.place import Place

# depth, width: places of jambs and head; a depth is held against the widths of its own side, or
# all of them where none was read there. least, most: never outside these, whatever the width.
# off: how far from half of the width.
JOINT_DEPTH_SPEC = Spec(
    {"depth": "length", "width": "length"},
    {"least": "length", "most": "length", "off": "length"},
    limit_words={"off": "off_half"},
    as_drawn=joint_deep,
)


def joint_depth(ask: Ask) -> Outcome:
    """Return whether the sealant is half as deep as the joint is wide, between least and most.

    The width is the mean of what was read on that side, to the nearest nanometre.
    Errors: Silent where the drawing leaves a limit open.
    Source: core/trade/joint.py: depth_range().
    """
    left_over = not_measured(ask, "width", "depth")
    if left_over:
        return left_over
    rows = [] if not ask.series("width") else [_row(ask, *pair) for pair in ask.series("depth")]
    error = ask.errors.get("depth", 0) + round_up(ask.errors.get("width", 0), 2)
    redo = Msg("Cut it out, reset the backer rod, fill it again. Measure again.")
    return judge_rows(ask, rows, _wrong_words, _right_words, redo, error)


def _row(ask: Ask, place: Place, depth: int) -> FigureRow:
    widths = [value for other, value in ask.series("width") if other.side == place.side]
    widths = widths or [value for _, value in ask.series("width")]
    width = half_up(sum(widths), len(widths))
    least, most = depth_range(width, ask.limit("off"), ask.limit("least"), ask.limit("most"))
    return FigureRow(place, depth, least, most, width=width)


def _wrong_words(row: FigureRow) -> Msg:
    params = {
        "place": row.place.title,
        "depth": size_len(row.value),
        "width": size_len(row.about["width"]),
        "least": size_len(row.least or 0),
        "most": size_len(row.most or 0),
    }
    if row.most is not None and row.value > row.most:
        return Msg("{place}: {depth} deep is too deep for {width} wide; at most {most}.", **params)
    return Msg("{place}: {depth} deep is too thin for {width} wide; at least {least}.", **params)


def _right_words(row: FigureRow) -> Msg:
    return Msg(
        "{place}: {depth} deep for {width} wide.",
        place=row.place.title,
        depth=size_len(row.value),
        width=size_len(row.about["width"]),
    )
