"""The daily check of the instruments: turned end for end, turned about, one against another.

Whole nanometres. An instrument that fails is put aside, and what was measured with it
since it last passed is measured again.
"""

from app.core.errors import InputError
from app.core.kinds import Callable
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import DEGREE_C, half_up, round_up
from app.core.trade.finding import Finding
from app.core.trade.instruments import METRE, MeasuringInstrument, greatest_error
from app.core.trade.verdicts import OUT, WITHIN

REFERENCE = 20 * DEGREE_C  # a tape is right at 20 °C (MI-008)
STEEL = 115  # expansion of steel in 1e-7 per °C: 11.5e-6


def true_length(reading: int, temperature: int) -> int:
    """Return the length behind a reading of a steel tape at a temperature, nm, half up.

    A tape that is warm has grown: it reads too little. temperature: of the tape, 1/9000 °C.
    Errors:  InputError 'reading-negative'.
    Source:  linear expansion, 11.5e-6 per °C off 20 °C.
    Example: true_length(5 * METRE, 35 * DEGREE_C) -> 5000862500 (0.8625 mm more than 5 m)
    """
    if reading < 0:
        raise InputError("reading-negative", Msg("A tape reads nothing below zero."))
    grown = reading * STEEL * (temperature - REFERENCE)
    return reading + half_up(grown, 10**7 * DEGREE_C)


def turned_level(first: int, second: int) -> int:
    """Return by how much a level is out over its own length, nanometres, rounded up.

    first, second: height of the same end of a surface over the other, read with the level one
    way round and then end for end. What the surface is out shows alike in both.
    Source:  the error is half the difference of the two readings (geometry).
    Example: turned_level(INCH // 8, INCH // 16) -> INCH // 32
    """
    return round_up(abs(first - second), 2)


def judge_level(first: int, second: int, length: int, tool: MeasuringInstrument) -> Finding:
    """Return whether a level that is turned end for end stays within its own accuracy.

    Errors:  InputError 'tool-not-level' for one without a slope, 'length-needed'.
    Source:  tool.slope, nm per metre: 0.5 mm/m for a level (common practice, no source).
    Example: judge_level(1200000, 0, 1200000000, instrument_of("level")).verdict -> "within" (on the
             line, 0.6 mm)
    """
    off = turned_level(first, second)
    return _judge_tool(off, _allowed_error(tool, length), tool, _out_words)


def closing_allowed(tool: MeasuringInstrument, distance: int) -> int:
    """Return how far two marks of a laser that is turned about may lie apart, nm, rounded down.

    distance: from the laser to the wall where both marks are made.
    Errors:  InputError 'tool-not-level', 'length-needed'.
    Source:  twice the distance x slope: seen as a method; 0.3 mm/m for line lasers from memory.
    Example: closing_allowed(instrument_of("laser"), 5 * METRE) -> 3000000 (3 mm)
    """
    return 2 * _allowed_error(tool, distance)


def judge_laser(first: int, second: int, distance: int, tool: MeasuringInstrument) -> Finding:
    """Return whether two marks on one wall agree, the laser turned half about between them.

    For a line or a rotating laser; a rotating one is turned by quarters as well, two marks at
    a time. Errors: those of closing_allowed().

    Example: judge_laser(0, 3000000, 5 * METRE, instrument_of("laser")).verdict -> "within"
    """
    return _judge_tool(abs(first - second), closing_allowed(tool, distance), tool)


def peg_error(near: "tuple[int, int]", middle: "tuple[int, int]") -> int:
    """Return what a line is out from one peg to the other, by the two-peg check, nanometres.

    middle: readings on both pegs from half way between them, where the line's error is alike on
    both; near: readings on the same pegs from beside the first one.
    Source:  the two-peg check of surveying (geometry): in the middle the error falls out.
    Example: peg_error((1000, 1350), (1500, 1800)) -> 50
    """
    return abs((near[1] - near[0]) - (middle[1] - middle[0]))


def judge_pegs(values: "list[int]", apart: int, tool: MeasuringInstrument) -> Finding:
    """Return whether a laser or level passes the two-peg check over pegs so far apart.

    values: middle on the first and second peg, then near on the first and second, nanometres.
    Errors:  those of closing_allowed().
    Source:  at most slope x distance; tool.slope for lasers from memory (see instruments.py).
    Example: judge_pegs([0, 0, 0, 9000000], 30 * METRE, instrument_of("laser")).verdict -> "within"
             (on the line, 9 mm over 30 m)
    """
    off = peg_error((values[2], values[3]), (values[0], values[1]))
    return _judge_tool(off, _allowed_error(tool, apart), tool, _out_words)


def judge_known(size: int, reading: int, tool: MeasuringInstrument) -> Finding:
    """Return whether an instrument reads a known size to within one of its own steps.

    size: of a gauge block or a sheet whose thickness is known; or, for a water level, what its
    one end reads with both ends side by side, and reading what the other does. Nanometres.
    Source:  one step of the instrument: common practice, no source.
    Example: judge_known(10000000, 10100000, instrument_of("gauge")).verdict -> "within" (one step)
    """
    return _judge_tool(abs(reading - size), tool.resolution, tool)


def judge_tapes(first: int, second: int, grades: "tuple[str, str]") -> Finding:
    """Return whether two tapes that measured one length agree within what both may err.

    first, second: their readings, nanometres. grades: their classes, "I", "II" or "III".
    Errors:  InputError 'tape-class'.
    Source:  the sum of both greatest errors (MI-008).
    Example: judge_tapes(5 * METRE, 4997400000, ("II", "II")).verdict -> "within" (2.6 mm apart)
    """
    for grade in grades:
        if grade not in ("I", "II", "III"):
            raise InputError("tape-class", Msg("A tape's class is I, II or III."), grade=grade)
    most = sum([greatest_error(grade, max(first, second)) for grade in grades])
    return _judge_tool(abs(first - second), most, None)


def _allowed_error(tool: MeasuringInstrument, length: int) -> int:
    if not tool.slope:
        raise InputError("tool-not-level", Msg("Only a level or a laser is turned about."))
    if length <= 0:
        raise InputError("length-needed", Msg("Give the length or the distance."))
    return tool.slope * length // METRE


def _apart_words(off: int, most: int) -> Msg:
    return Msg("{off} apart; at most {most}.", off=Len(off), most=Len(most))


def _out_words(off: int, most: int) -> Msg:
    """Return the words for what an instrument is out itself, not what its readings differ by."""
    return Msg("Out of level by {off} over that; at most {most}.", off=Len(off), most=Len(most))


def _judge_tool(
    off: int,
    most: int,
    tool: "MeasuringInstrument | None",
    words: "Callable[[int, int], Msg]" = _apart_words,
) -> Finding:
    says = [words(off, most)]
    if off <= most:
        return Finding(WITHIN, says)
    name = tool.title if tool is not None else Msg("these two tapes")
    return Finding(
        OUT,
        says,
        [
            Msg(
                "Put aside {tool}, and measure again what was measured since the last good check.",
                tool=name,
            )
        ],
    )
