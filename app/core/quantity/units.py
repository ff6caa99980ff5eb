"""The quantities that are measured, their units, and whole-number rounding.

Every quantity is kept as a whole number of a base unit, so small that each
unit people use is a whole number of them: nothing is lost on the way in.
Sources of the factors: 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, standard gravity
9.806 65 m/s2 (all exact by definition; NIST SP 811 appendix B), 1 lbf = 1 lb x gravity.
"""

from app.core.quantity.messages import Msg

INCH = 25400000
FOOT = 12 * INCH
MILLIMETRE = 1000000
DEGREE_C = 9000
DEGREE_F = 5000
PERCENT = 10000
NEWTON = 10**16
POUND_FORCE = 44482216152605000
KILOGRAM = 10**11
POUND = 45359237000
SECOND = 1000
MINUTE = 60 * SECOND
HOUR = 60 * MINUTE

# quantity -> its base unit
QUANTITIES = {
    "length": "1 nm",
    "temperature": "1/9000 °C",
    "temperature-difference": "1/9000 °C",
    "fraction": "1 ppm",
    "force": "1e-16 N",
    "mass": "1e-11 kg",
    "duration": "1 ms",
    "count": "1",
}

FEET = ("'", "ft", "foot", "feet", "pie", "pies")
INCHES = ('"', "in", "ins", "inch", "inches", "pulg", "pulgada", "pulgadas")
_MILLIMETRES = "mm millimeter millimeters millimetre millimetres milimetro milimetros"
_CENTIMETRES = "cm centimeter centimeters centimetre centimetres centimetro centimetros"
_METRES = "m meter meters metre metres metro metros"
_HOURS = "h hr hrs hour hours hora horas"
_MINUTES = "m min mins minute minutes minuto minutos"
_SECONDS = "s sec secs second seconds segundo segundos"
_POUNDS = "lb lbs pound pounds libra libras"


def _unit_table(*rows: "tuple[str, int]") -> "dict[str, int]":
    out = {}
    for words, size in rows:
        for word in words.split(" "):
            out[word] = size
    return out


# quantity -> {unit as typed, in lower case: base units in one}
UNITS = {
    "length": _unit_table(
        (" ".join(FEET), FOOT),
        (" ".join(INCHES), INCH),
        (_MILLIMETRES, MILLIMETRE),
        (_CENTIMETRES, 10 * MILLIMETRE),
        (_METRES, 1000 * MILLIMETRE),
    ),
    "temperature": _unit_table(
        ("f °f degf degreef degreesf fahrenheit", DEGREE_F),
        ("c °c degc degreec degreesc celsius", DEGREE_C),
    ),
    # how much warmer: no freezing point to take off, so 5 °F is 5/9 of 5 °C
    "temperature-difference": _unit_table(
        ("f °f degf degreef degreesf fahrenheit", DEGREE_F),
        ("c °c degc degreec degreesc celsius k kelvin kelvins", DEGREE_C),
    ),
    "fraction": _unit_table(("% percent pct", PERCENT)),
    # a spring gauge is read in "pounds": on a force, lb means lbf
    "force": _unit_table(
        ("lbf " + _POUNDS, POUND_FORCE),
        ("n newton newtons", NEWTON),
        ("kgf", 98066500000000000),
    ),
    "mass": _unit_table((_POUNDS, POUND), ("kg kgs kilo kilos kilogram kilograms", KILOGRAM)),
    "duration": _unit_table((_HOURS, HOUR), (_MINUTES, MINUTE), (_SECONDS, SECOND)),
    "count": {},
}

# quantity -> (what a bare number means in "in", in "mm")
BARE = {
    "length": ("in", "mm"),
    "temperature": ("f", "c"),
    "temperature-difference": ("f", "c"),
    "fraction": ("%", "%"),
    "force": ("lbf", "n"),
    "mass": ("lb", "kg"),
    "duration": ("min", "min"),
}

# quantity -> (least, most): beyond is a slip of the thumb, not a measurement
RANGES = {
    "length": (-(10**12), 10**12),
    "temperature": (-100 * DEGREE_C, 200 * DEGREE_C),
    "temperature-difference": (-200 * DEGREE_C, 200 * DEGREE_C),
    "fraction": (-100 * PERCENT, 100 * PERCENT),
    "force": (-(10**4) * NEWTON, 10**4 * NEWTON),
    "mass": (-(10**4) * KILOGRAM, 10**4 * KILOGRAM),
    "duration": (-1000 * HOUR, 1000 * HOUR),
    "count": (-1000000, 1000000),
}

# quantity -> what right answers look like, in "in" and in "mm"
EXAMPLES = {
    "length": (["1 3/8", "7' 4 1/2\"", "9.5 mm"], ["9.5", "2438", "3/8 in"]),
    "temperature": (["68", "20 °C"], ["20", "68 °F"]),
    "temperature-difference": (["5", "3 °C"], ["3", "5 °F"]),
    "fraction": (["19 %"], ["19 %"]),
    "force": (["12", "50 N"], ["50", "12 lbf"]),
    "mass": (["310", "140 kg"], ["140", "310 lb"]),
    "duration": (["15 min", "1 h 30", "0:45"], ["15 min", "1 h 30", "0:45"]),
    "count": (["6"], ["6"]),
}

NAMES = {
    "length": Msg("a length"),
    "temperature": Msg("a temperature"),
    "temperature-difference": Msg("a difference of temperature"),
    "fraction": Msg("a percentage"),
    "force": Msg("a force"),
    "mass": Msg("a weight"),
    "duration": Msg("a time"),
    "count": Msg("a whole number"),
}


def half_up(n: int, d: int) -> int:
    """Return n / d rounded to the nearest whole number, a half going up.

    Units:   any; n and d whole, d above zero.
    Source:  the rule "half up" stated in DEVELOPERS.md; toward plus infinity for negatives.
    Example: half_up(5, 2) -> 3; half_up(-5, 2) -> -2
    """
    return (2 * n + d) // (2 * d)


def round_up(n: int, d: int) -> int:
    """Return the least whole number not below n / d (d above zero): round_up(7, 2) -> 4."""
    return -(-n // d)


def decimal_text(n: int, places: int) -> str:
    """Return n / 10**places as text without idle zeros (n not negative): (950, 2) -> 9.5."""
    digits = str(n)
    while len(digits) <= places:
        digits = "0" + digits
    whole = digits[: len(digits) - places]
    rest = digits[len(digits) - places :].rstrip("0")
    return whole + "." + rest if rest else whole
