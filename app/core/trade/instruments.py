"""What tapes, rules, gauges, levels and lasers can do, in whole nanometres.

Error that two readings of one instrument share (scale, temperature, hook) goes out
of their difference; each reading's own (resolution, reading) does not. All of them
are taken as rectangular; U is twice the standard uncertainty (k = 2), rounded up.

Sources: tapes and rules: Directive 2014/32/EU annex X (MI-008), ±(a + bL), L in metres
rounded up, + c from the end hook; expansion of steel 11.5e-6 per °C. Levels 0.5 mm/m,
line lasers 0.3 mm/m, rotating ones 0.1 mm/m, reading the middle of a laser's line to
0.25 mm and a water level to 0.5 mm, feeler gauges in steps of 0.05 mm, and steel rules
as class I: common practice, no source.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import INCH, round_up

TENTH = 100000  # of a millimetre
METRE = 10**9
SWING = 15  # °C that the instrument may be off its reference, 20 °C

# class -> a, b, c of MI-008, nanometres
TAPE_CLASSES = {
    "I": (TENTH, TENTH, TENTH),
    "II": (3 * TENTH, 2 * TENTH, 2 * TENTH),
    "III": (6 * TENTH, 4 * TENTH, 3 * TENTH),
}


class MeasuringInstrument:
    """One kind of instrument.

    resolution: its step. grade: class of MI-008, or "". slope: error along a
    sight line or a level, nm per metre. reading: greatest error of the eye.
    steel: whether it grows and shrinks with heat. reach: the longest thing it
    measures, 0 for any. All nanometres.
    """

    def __init__(
        self,
        id: str,
        title: Msg,
        resolution: int,
        grade: str = "",
        slope: int = 0,
        reading: int = 0,
        steel: bool = False,
        reach: int = 0,
    ) -> None:
        self.id = id
        self.title = title
        self.resolution = resolution
        self.grade = grade
        self.slope = slope
        self.reading = reading
        self.steel = steel
        self.reach = reach


# coarsest first: the advice names the first one that will do
INSTRUMENTS = (
    MeasuringInstrument("tape", Msg("a tape read to 1/16 in"), INCH // 16, "II", steel=True),
    MeasuringInstrument("tape-32", Msg("a tape read to 1/32 in"), INCH // 32, "II", steel=True),
    MeasuringInstrument("tape-mm", Msg("a tape read to 1 mm"), 10 * TENTH, "II", steel=True),
    MeasuringInstrument(
        "tape-mm-i", Msg("a class I tape read to 1 mm"), 10 * TENTH, "I", steel=True
    ),
    MeasuringInstrument(
        "tape-mm-iii", Msg("a class III tape read to 1 mm"), 10 * TENTH, "III", steel=True
    ),
    MeasuringInstrument(
        "rule", Msg("a rule read to 1/32 in"), INCH // 32, "I", steel=True, reach=METRE
    ),
    MeasuringInstrument(
        "rule-mm", Msg("a rule read to 0.5 mm"), 5 * TENTH, "I", steel=True, reach=METRE
    ),
    MeasuringInstrument("gauge", Msg("a taper gauge"), TENTH, reach=INCH),
    MeasuringInstrument("level", Msg("a level and taper gauge"), TENTH, slope=5 * TENTH),
    MeasuringInstrument(
        "laser",
        Msg("a laser and a rule read to 1/32 in"),
        INCH // 32,
        slope=3 * TENTH,
        reading=250000,
    ),
    MeasuringInstrument(
        "laser-rotating",
        Msg("a rotating laser and a rule read to 1/32 in"),
        INCH // 32,
        slope=TENTH,
        reading=250000,
    ),
    MeasuringInstrument(
        "water-level", Msg("a water level read to 1 mm"), 10 * TENTH, reading=5 * TENTH
    ),
    MeasuringInstrument(
        "feeler", Msg("feeler gauges in steps of 0.05 mm"), TENTH // 2, reach=INCH // 8
    ),
)


def instrument_of(id: str) -> MeasuringInstrument:
    """Return an instrument by its id; raises InputError 'instrument-unknown'."""
    for known in INSTRUMENTS:
        if known.id == id:
            return known
    raise InputError("instrument-unknown", Msg("There is no instrument “{id}”.", id=id), id=id)


# what an instrument of the company's can be: it takes the rest (eye, steel, reach) from these
SORTS = ("tape", "rule", "gauge", "level", "laser", "laser-rotating", "water-level", "feeler")


def named_instrument(
    sort: str, name: str, resolution: int, grade: str = "", slope: int = 0
) -> MeasuringInstrument:
    """Return an instrument that has a name, with its own class, resolution and slope.

    Units:   resolution nm; slope nm per metre, for levels and lasers only.
    Errors:  InputError 'instrument-unknown', 'tape-class'.
    Example: reading_uncertainty(named_instrument("gauge", "G2", 50000), 0) -> 28868 (0.05 mm
             steps: 0.029 mm)
    """
    base = instrument_of(sort)
    if grade not in TAPE_CLASSES and (grade or base.grade):
        raise InputError("tape-class", Msg("A tape's class is I, II or III."), grade=grade)
    title = Msg("{name}", name=name)
    own = slope if base.slope else 0
    return MeasuringInstrument(
        sort, title, resolution, grade, own, base.reading, base.steel, base.reach
    )


def division_of(sort: str, units: str) -> int:
    """Return the smallest division of a usual instrument of this sort, nanometres; 0: none.

    Example: division_of("tape", "in") -> 1587500; division_of("rule", "mm") -> 500000
    """
    for id in (sort + "-mm", sort) if units == "mm" else (sort,):
        for known in INSTRUMENTS:
            if known.id == id:
                return known.resolution
    return 0


def greatest_error(grade: str, length: int, hook: bool = False) -> int:
    """Return the maximum permissible error of a tape over a length, one side.

    Units:   nanometres; length rounded up to the next whole metre.
    Validity: grade "I", "II" or "III"; length not negative.
    Source:  Directive 2014/32/EU annex X (MI-008), table 1.
    Example: greatest_error("II", 2400000000) -> 900000 (0.9 mm)
    """
    a, b, c = TAPE_CLASSES[grade]
    return a + b * round_up(length, METRE) + (c if hook else 0)


def tape_expansion(length: int, swing: int = SWING) -> int:
    """Return how much a steel tape grows over a length (nm) and a swing in whole °C.

    Source:  11.5e-6 per °C.
    Example: tape_expansion(5000000000) -> 862500
    """
    return round_up(length * 115 * swing, 10**7)


def shared_errors(tool: MeasuringInstrument, length: int, hook: bool = False) -> "list[int]":
    """Return the errors, one side, that two readings of this length would have in common."""
    out = []
    if tool.grade:
        out.append(greatest_error(tool.grade, length, hook))
    if tool.steel:
        out.append(tape_expansion(length))
    if tool.slope:
        out.append(round_up(tool.slope * length, METRE))
    return out


def reading_uncertainty(tool: MeasuringInstrument, length: int, hook: bool = False) -> int:
    """Return the expanded uncertainty of one reading, nanometres, rounded up.

    length:  what is measured; for a level or laser the distance it is carried over.
    Source:  JCGM 100 4.3.7 (rectangular) and 6.2 (k = 2).
    Example: reading_uncertainty(instrument_of("gauge"), 0) -> 57736 (0.1 mm steps: 0.058 mm)
    """
    return expanded_uncertainty(
        [2 * error for error in shared_errors(tool, length, hook)] + _own_errors(tool)
    )


def uncertainty_of_difference(
    tool: MeasuringInstrument, first: int, second: int, apart: int = 0
) -> int:
    """Return the expanded uncertainty of the difference of two readings of one instrument.

    The difference of two readings of a tape lies between two of its marks: the
    scale counts only over that distance, the hook not at all. apart: how far a
    level or laser is carried from one place to the other, nanometres.
    Example: uncertainty_of_difference(instrument_of("tape"), 0, 0) -> 1296189 (0.05103 in)
    """
    between = abs(first - second)
    errors = shared_errors(tool, apart if tool.slope else between) if between or apart else []
    return expanded_uncertainty(
        [2 * error for error in errors] + _own_errors(tool) + _own_errors(tool)
    )


def _own_errors(tool: MeasuringInstrument) -> "list[int]":
    return [tool.resolution, 2 * tool.reading]


def expanded_uncertainty(widths: "list[int]") -> int:
    """Return U = 2 sqrt(sum of (width / sqrt 12)^2), rounded up: whole nanometres.

    widths: full widths of rectangular distributions.
    """
    return root_up(round_up(sum([width * width for width in widths]), 3))


def root_up(n: int) -> int:
    """Return the least whole number whose square is not below n (n >= 0): root_up(10) -> 4."""
    if n < 2:
        return n
    guess = 1
    while guess * guess < n:
        guess *= 2
    while True:
        # Newton's method from above on whole numbers ends at the floor of the root
        better = (guess + n // guess) // 2
        if better >= guess:
            break
        guess = better
    return guess if guess * guess == n else guess + 1
