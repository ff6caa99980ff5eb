"""Checks of a head: straight, level, and alike over the sill."""

from app.core.checks.as_drawn import frame_height
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import at_most, bubble_offset, deciding_figure, verdict_reached
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import line
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place

# head: `how: level`, ends, quarters, middle (place.x). most: any place off the straight line
# between the two ends (in the middle: off the mean of the ends). level: highest to lowest.
# of: "opening" | "frame".
HEAD_SAG_SPEC = Spec(
    {"head": "length"}, {"most": "length", "level": "length"}, {"of": "text"}, ("level",)
)
# head alone: clear heights by tape, place.x. head and sill: both `how: level` from one line, and
# every place of the head has a place of the sill with the same x. of: "opening" | "frame".
HEAD_OVER_SILL_SPEC = Spec(
    {"head": "length", "sill": "length"},
    {"most": "length"},
    {"of": "text"},
    ("sill",),
    as_drawn=frame_height,
)


def head_sag(ask: Ask) -> Outcome:
    """Return how far a head hangs below (or stands above) the line between its ends.

    Errors: Silent where the drawing leaves a limit open.
    Source: definitions; core/trade/line.py. The program never sizes a header.
    """
    left_over = not_measured(ask, "head")
    if left_over:
        return left_over
    series = sort_by(
        [pair for pair in ask.series("head") if pair[0].x is not None], lambda pair: pair[0].x
    )
    if len(series) < 3:
        words = Msg(
            "A head is measured at its ends, quarters and middle, never at the jambs alone."
        )
        return Outcome(MISSING, [words], [words], missing=ask.places["head"])
    return _judge_sag(ask, series)


def _judge_sag(ask: Ask, series: "list[tuple[Place, int]]") -> Outcome:
    bows, den = line.bows_off_line([(place.x or 0, height) for place, height in series])
    at = line.greatest_index(bows)
    heights = [height for _, height in series]
    spread = max(heights) - min(heights)
    error = 2 * ask.errors.get("head", 0)
    figures = [at_most(abs(bows[at]), den, ask.limit("most"), error)]
    says = [_hangs_words(series[at][0], half_up(bows[at], den))]
    if "level" in ask.limits:
        figures.append(at_most(spread, 1, ask.limit("level"), error))
        says.append(Msg("Highest to lowest: {spread}.", spread=size_len(spread)))
    found = deciding_figure(figures)
    return Outcome(
        verdict_reached(found.verdict, ask, "head"),
        says,
        _head_moves(ask, series, bows, den) if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
        tilt=bubble_offset(heights[-1] - heights[0], 1, ask.limit("level"))
        if "level" in ask.limits
        else None,
    )


def _hangs_words(place: Place, bow: int) -> Msg:
    if bow < 0:
        return Msg(
            "{place}: {by} below the line between the ends.", place=place.title, by=size_len(-bow)
        )
    if bow > 0:
        return Msg(
            "{place}: {by} above the line between the ends.", place=place.title, by=size_len(bow)
        )
    return Msg("The head is straight from end to end.")


def _head_moves(
    ask: Ask, series: "list[tuple[Place, int]]", bows: "list[int]", den: int
) -> "list[Msg]":
    out = []
    level = ask.limit("level") if "level" in ask.limits else None
    tilt = series[-1][1] - series[0][1]
    if level is not None and tilt and _spread_of(series) > level:
        low = series[0][0] if tilt > 0 else series[-1][0]
        out.append(_raise_end(ask, low, abs(tilt)))
    bowed = level is not None and max(bows) - min(bows) > level * den
    for (place, _), bow in zip(series, bows):
        if abs(bow) > ask.limit("most") * den or (bowed and bow):
            out.append(_straighten_words(ask, place, half_up(bow, den)))
    return out


def _spread_of(series: "list[tuple[Place, int]]") -> int:
    heights = [height for _, height in series]
    return max(heights) - min(heights)


def _raise_end(ask: Ask, place: Place, by: int) -> Msg:
    if ask.settings["of"] == "opening":
        return Msg(
            "{place}: this end is {by} low. Leave the header alone: never cut or jack it. Ask"
            " the builder or the office.",
            place=place.title,
            by=size_len(by),
        )
    return Msg("{place}: this end is {by} low. Raise it {by}.", place=place.title, by=size_len(by))


def _straighten_words(ask: Ask, place: Place, bow: int) -> Msg:
    title, by = place.title, size_len(abs(bow))
    if ask.settings["of"] == "opening":
        return Msg(
            "{place}: the header is {by} off straight. Leave it alone: never cut or jack it. Ask"
            " the builder or the office.",
            place=title,
            by=by,
        )
    if bow < 0:
        return Msg(
            "{place}: the head hangs {by} low. Raise it {by}; leave no shim carrying load.",
            place=title,
            by=by,
        )
    return Msg("{place}: the head stands {by} high. Lower it {by}.", place=title, by=by)


def head_over_sill(ask: Ask) -> Outcome:
    """Return whether the clear height is alike everywhere, and where to raise the head.

    Errors: Silent where the drawing leaves the limit open.
    Source: clear height = head - sill at the same place, both from one level line.
    """
    inputs = ("head", "sill") if "sill" in ask.places else ("head",)
    left_over = not_measured(ask, *inputs)
    if left_over:
        return left_over
    clear = _clear_heights(ask)
    if len(clear) < 2:
        words = Msg("Measure head and sill at the same places, two or more.")
        return Outcome(MISSING, [words], [words], missing=ask.places["head"])
    return _judge_alike(ask, clear, inputs)


def _clear_heights(ask: Ask) -> "list[tuple[Place, int]]":
    if "sill" not in ask.places:
        return ask.series("head")
    out = []
    for place, head in ask.series("head"):
        for other, sill in ask.series("sill"):
            if other.x == place.x and other.side != "closing":
                out.append((place, head - sill))
    return out


def _judge_alike(ask: Ask, clear: "list[tuple[Place, int]]", inputs: "tuple[str, ...]") -> Outcome:
    heights = [height for _, height in clear]
    most = ask.limit("most")
    error = 2 * sum([ask.errors.get(input, 0) for input in inputs])
    spread = at_most(max(heights) - min(heights), 1, most, error)
    low = clear[heights.index(min(heights))][0]
    high = clear[heights.index(max(heights))][0]
    says = (
        Msg("All the same: {size}.", size=size_len(heights[0]))
        if spread.value == 0
        else Msg(
            "Least {least} at {low}, greatest {greatest} at {high}: {spread} apart.",
            least=size_len(min(heights)),
            low=low.title,
            greatest=size_len(max(heights)),
            high=high.title,
            spread=size_len(spread.value),
        )
    )
    moves = [
        _short_words(ask, place, max(heights) - h) for place, h in clear if max(heights) - h > most
    ]
    return Outcome(
        verdict_reached(spread.verdict, ask, *inputs),
        [says],
        moves if spread.verdict == OUT else [],
        spread.value,
        spread.low,
        spread.high,
        spread.over,
    )


def _short_words(ask: Ask, place: Place, by: int) -> Msg:
    if ask.settings["of"] == "opening":
        return Msg(
            "{place}: {by} less height than at the highest place. Never cut or jack the header;"
            " correct the floor, or ask the builder.",
            place=place.title,
            by=size_len(by),
        )
    return Msg(
        "{place}: {by} less height than at the highest place. Raise the head {by} there.",
        place=place.title,
        by=size_len(by),
    )
