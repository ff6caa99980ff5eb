"""Verdicts: a value against its limits, and whether an instrument can serve a limit.

Simple acceptance: on the line is within. Guard bands, where the drawing or the
contract asks for them (ISO 14253-1, ILAC-G8, JCGM 106): within only what the
expanded uncertainty U cannot turn round, out likewise, "close" between. All whole
base units: no float decides.
"""

from app.core.checks.base import shim_len
from app.core.errors import InputError
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import INCH
from app.core.trade.instruments import (
    INSTRUMENTS,
    MeasuringInstrument,
    instrument_of,
    reading_uncertainty,
    uncertainty_of_difference,
)
from app.core.trade.verdicts import CLOSE, OUT, WITHIN

GAP = 2 * INCH  # what a gauge can be tried in


def verdict_of(value: int, least: "int | None", most: "int | None", error: int = 0) -> str:
    """Return WITHIN, OUT or CLOSE for a value between two limits, either of them None.

    error: U of the value; 0 under simple acceptance. On a limit (or on the edge of
    the guard band) is within; beyond the limit by more than U is out.
    Source:  ISO 14253-1:2017; ILAC-G8:09/2019 section 4.2 (w = U).
    Example: verdict_of(3, None, 3) -> "within"; verdict_of(3, None, 3, 1) -> "close"
    """
    over = amount_beyond(value, least, most)
    if over > error:
        return OUT
    inside = (least is None or value - error >= least) and (most is None or value + error <= most)
    return WITHIN if inside else CLOSE


def amount_beyond(value: int, least: "int | None", most: "int | None") -> int:
    """Return by how much a value is beyond the nearer limit, 0 where it is not."""
    if least is not None and value < least:
        return least - value
    if most is not None and value > most:
        return value - most
    return 0


def per_length(rise: int, run: int, length: int, cap: "int | None" = None) -> int:
    """Return the limit min(rise / run x length, cap), exact for whole readings.

    A whole value is at most n/d when it is at most n // d: nothing is lost by the floor.
    Example: per_length(INCH // 16, 12 * INCH, 36 * INCH, INCH // 4) -> 3 * INCH // 16
    """
    limit = rise * length // run
    return limit if cap is None else min(limit, cap)


def gauge_verdict(enters: bool, side: str) -> str:
    """Return the verdict of a go or no-go gauge that is as thick as the limit.

    side "most": a gap that must not be wider is out when the gauge enters;
    side "least": a gap that must not be narrower is within when it enters.
    """
    return WITHIN if enters == (side == "least") else OUT


def middle_of(values: "list[int]") -> int:
    """Return the middle one of three values; raises InputError 'three-readings'.

    Example: middle_of([5, 9, 6]) -> 6
    """
    if len(values) != 3:
        raise InputError("three-readings", Msg("Read it three times: the middle one counts."))
    return sort_by(values, lambda value: value)[1]  # type: ignore[no-any-return]


def closer_look(quantity: str = "length") -> "list[Msg]":
    """Return the ways out, on the spot, of a reading that is too close to call."""
    again = Msg("Read it three times: the middle one counts.")
    if quantity != "length":
        return [again]
    return [Msg("Try a gauge as thick as the limit: does it enter, yes or no?"), again]


def can_prove(
    limit: int, tool: str, length: int = 0, of_two: bool = False, apart: int = 0
) -> "Msg | None":
    """Return None where the instrument serves the limit, else what to use: said before measuring.

    It serves when U is at most half of the limit, so that half of what is allowed is
    left to the work. (Common practice, no source; 4 u of a tolerance zone of 2 limits.)
    limit, length, apart: nanometres. of_two: the figure is the difference of two
    readings as long as `length`, `apart` from each other.
    Errors:  InputError 'instrument-unknown'.
    """
    chosen = instrument_of(tool)
    if _tool_serves(limit, chosen, length, of_two, apart):
        return None
    for known in _tools_instead(chosen):
        if _tool_serves(limit, known, length, of_two, apart):
            return _better_words(shim_len(limit), chosen, known, length)
    return _last_resort(shim_len(limit), chosen, length)


class Demand:
    """What a limit asks of the instrument: as can_prove() takes it, nanometres."""

    def __init__(self, limit: int, length: int = 0, of_two: bool = False, apart: int = 0) -> None:
        self.limit = limit
        self.length = length
        self.of_two = of_two
        self.apart = apart


def better_tool(
    demands: "list[Demand]", chosen: MeasuringInstrument, others: "list[MeasuringInstrument]"
) -> "tuple[Msg, MeasuringInstrument] | None":
    """Return one line on what to use in place of an instrument, and that; None: go on with it.

    None too where no other one serves every demand: what does not serve is never advised.
    others: what can be used here, the first that serves is taken.
    """
    unmet = [one for one in demands if not _meets(chosen, one)]
    if not unmet:
        return None
    finest = sort_by(unmet, lambda one: one.limit)[0]
    for known in others:
        if all([_meets(known, one) for one in demands]):
            words = _better_words(shim_len(finest.limit), chosen, known, finest.length)
            return words, known
    return None


def _meets(tool: MeasuringInstrument, demand: Demand) -> bool:
    return _tool_serves(demand.limit, tool, demand.length, demand.of_two, demand.apart)


def _better_words(
    limit: Len, chosen: MeasuringInstrument, known: MeasuringInstrument, length: int
) -> Msg:
    if _beyond_reach(chosen, length):
        return Msg(
            "{length} is more than {tool} measures. Use {better}.",
            length=Len(length),
            tool=chosen.title,
            better=known.title,
        )
    return Msg(
        "A limit of {limit} is too fine for {tool}. Use {better}.",
        limit=limit,
        tool=chosen.title,
        better=known.title,
    )


def _tools_instead(chosen: MeasuringInstrument) -> "list[MeasuringInstrument]":
    """Return what a crew can reach for; what carries a height gives way only to such another."""
    names: tuple[str, ...] = ("rule", "gauge", "tape-32", "tape-mm-i")
    if chosen.slope or chosen.id == "water-level":
        names = ("laser", "level", "laser-rotating", "water-level")
    return [instrument_of(name) for name in names]


def _last_resort(limit: Len, chosen: MeasuringInstrument, length: int) -> Msg:
    if _beyond_reach(chosen, length):
        return Msg(
            "{length} is more than {tool} measures, and a limit of {limit} is too fine for what "
            "does. Ask the office what to use.",
            length=Len(length),
            tool=chosen.title,
            limit=limit,
        )
    if length <= GAP and not chosen.slope and chosen.id != "water-level":
        return Msg(
            "A limit of {limit} is too fine for {tool}. Use a go or no-go gauge of that size.",
            limit=limit,
            tool=chosen.title,
        )
    return Msg(
        "A limit of {limit} is too fine for {tool} over that length. Ask the office what to use.",
        limit=limit,
        tool=chosen.title,
    )


def _beyond_reach(tool: MeasuringInstrument, length: int) -> bool:
    return 0 < tool.reach < length


def _tool_serves(
    limit: int, tool: MeasuringInstrument, length: int, of_two: bool, apart: int
) -> bool:
    if _beyond_reach(tool, length):
        return False
    if of_two:
        return 2 * uncertainty_of_difference(tool, length, length, apart) <= limit
    return 2 * reading_uncertainty(tool, length) <= limit


def known_as(tool: str) -> "list[MeasuringInstrument]":
    """Return the instrument of this id in a list; [] for an eye, a thermometer."""
    return [known for known in INSTRUMENTS if known.id == tool]


def errors_of(
    input: str, tools: "list[MeasuringInstrument]", length: int, apart: int = 0
) -> "dict[str, int]":
    """Return U of one reading and of a difference of two, as Ask.errors takes them.

    For a drawing whose rule is "guarded"; under simple acceptance there are none.
    tools: what the input was read with, the worst counts; with none nothing is known.
    length: the greatest reading of the input; apart: how far level or laser is carried.
    Example: len(errors_of("readings", known_as("rule"), 0)) -> 2 ("readings",
             "readings.difference")
    """
    if not tools:
        return {}
    return {
        input: max([reading_uncertainty(tool, apart if tool.slope else length) for tool in tools]),
        input + ".difference": max(
            [uncertainty_of_difference(tool, length, length, apart) for tool in tools]
        ),
    }
