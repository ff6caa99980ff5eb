"""Lengths: how people write them, and how they are shown.

A point is always decimal. A comma is decimal too (9,5 is 9.5), but 1,234 could
be a thousand or one and a bit: it is refused, with both ways to write it.
Fractions belong to inches and feet; 11/8 is refused, 1 3/8 is asked for.
"""

from app.core.errors import InputError
from app.core.quantity.amounts import Amount
from app.core.quantity.messages import Msg
from app.core.quantity.typed import Typed
from app.core.quantity.units import FEET, FOOT, INCH, INCHES, MILLIMETRE, decimal_text, half_up

SIXTYFOURTH = INCH // 64
GRAINS = {
    "in": [INCH // parts for parts in (1, 2, 4, 8, 16, 32, 64)],
    "mm": [1000, 5000, 10000, 50000, 100000, 500000, 1000000, 5000000, 10000000],
}
USUAL_GRAIN = {
    ("in", "size"): INCH // 32,
    ("in", "place"): INCH // 16,
    ("in", "most"): SIXTYFOURTH,
    ("in", "least"): SIXTYFOURTH,
    ("mm", "size"): MILLIMETRE // 10,
    ("mm", "place"): MILLIMETRE,
    ("mm", "most"): MILLIMETRE // 100,
    ("mm", "least"): MILLIMETRE // 100,
}


def length_of(typed: Typed, amounts: "list[Amount]") -> "tuple[int, int]":
    """Return the amount as a fraction of nanometres (n, d), before any rounding is refused."""
    amounts = _with_part_after(amounts)
    if len(amounts) == 1:
        size = typed.factor(amounts[0].unit)
        if amounts[0].fraction and size not in (FOOT, INCH):
            raise _fraction_of_what(typed, amounts[0])
        return amounts[0].n * size, amounts[0].d
    feet, inches = _feet_and_inches(typed, amounts)
    return feet.n * FOOT * inches.d + inches.n * INCH, inches.d


def _with_part_after(amounts: "list[Amount]") -> "list[Amount]":
    """Return the amounts with the fraction of 4" 1/2, written after the mark, in its inches."""
    if len(amounts) < 2:
        return amounts
    whole, part = amounts[-2], amounts[-1]
    inches = whole.unit in INCHES and whole.d == 1 and not whole.fraction
    bare = part.fraction and part.n < part.d and part.unit in ("",) + INCHES
    if not inches or not bare:
        return amounts
    joined = Amount(whole.n * part.d + part.n, part.d, True, whole.unit)
    return amounts[:-2] + [joined]


def _fraction_of_what(typed: Typed, amount: Amount) -> InputError:
    if amount.unit:
        return typed.error(
            "fraction-metric",
            Msg("Fractions go with inches, decimals with metric units. Write it like 9.5 mm."),
        )
    return typed.error(
        "unit-missing",
        Msg(
            "{amount} of what? Write the unit with a fraction, like 3/8 in, or write "
            "millimetres with decimals, like 9.5.",
            amount=typed.text.strip(),
        ),
    )


def _feet_and_inches(typed: Typed, amounts: "list[Amount]") -> "tuple[Amount, Amount]":
    feet = amounts[0]
    inches = amounts[1]
    if len(amounts) != 2 or feet.unit not in FEET or feet.d != 1 or feet.fraction:
        raise typed.unreadable()
    if inches.unit and inches.unit not in INCHES:
        raise typed.unreadable()
    if inches.n >= 12 * inches.d:
        raise typed.error(
            "inches-after-feet",
            Msg("After feet, inches stay under 12. Write it like 7' 4 1/2\"."),
        )
    return feet, inches


def grain_of(units: str, style: str, grain: "int | None") -> int:
    """Return the step that a length is shown in, nanometres.

    A grain that does not belong to the person's units (1/32 in asked for in
    millimetres) gives way to the usual one: 1/32 in or 0.1 mm for a size,
    1/16 in or 1 mm for a position, 1/64 in or 0.01 mm for a limit.
    """
    if grain in GRAINS[units]:
        return grain  # type: ignore[return-value]
    return USUAL_GRAIN[(units, style)]


def rounds_away(nm: int, units: str, style: str = "size", grain: "int | None" = None) -> int:
    """Return the grain if this length is not zero and would be shown as zero, else 0."""
    step = grain_of(units, style, grain)
    return step if nm != 0 and half_up(abs(nm), step) == 0 else 0


def show_length(nm: int, units: str, style: str = "size", grain: "int | None" = None) -> str:
    """Return a length as text, rounded half up (by its size) to the grain.

    A limit is rounded to the safe side (style "most" down, "least" up): what is read on the grain
    passes what is shown just where it passes the limit. 1/16 in at most is 1.58 mm, not 1.6 mm.
    Units:   nm in nanometres; units "in" or "mm"; grain in nanometres, see grain_of.
    Validity: any whole nm; a minus is U+2212. A length smaller than half the grain
             gives zero here; a Speaker says "less than 1/32"" (see rounds_away).
    Example: show_length(34925000, "in") -> 1 3/8"; show_length(9500000, "mm") -> 9.5 mm;
             show_length(2438400000, "in", "place") -> 8 ft
    """
    step = grain_of(units, style, grain)
    size = _whole_steps(nm, step, style) * step
    sign = "\u2212" if nm < 0 and size else ""
    if units == "mm":
        return sign + _millimetres_text(size)
    return sign + (_place_text(size) if style == "place" else _size_text(size))


def _whole_steps(nm: int, step: int, style: str) -> int:
    if style in ("most", "least"):
        down = (style == "most") == (nm >= 0)
        steps = abs(nm) // step if down else -(-abs(nm) // step)
        if steps:
            return steps
    return half_up(abs(nm), step)


def _millimetres_text(nm: int) -> str:
    return decimal_text(nm, 6) + " mm"


def _place_text(nm: int) -> str:
    if nm % FOOT == 0:
        return str(nm // FOOT) + " ft"
    return _feet_text(nm) if nm > FOOT else _inches_text(nm)


def _size_text(nm: int) -> str:
    return _feet_text(nm) if nm >= 2 * FOOT else _inches_text(nm)


def _feet_text(nm: int) -> str:
    inches = _inches_text(nm % FOOT)
    # 7' 0 1/2", as on a drawing: 7' 1/2" is too easily heard as seven and a half
    zero = "0 " if 0 < nm % FOOT < INCH else ""
    return str(nm // FOOT) + "' " + zero + inches


def _inches_text(nm: int) -> str:
    """Return whole 64ths of an inch as a reduced mixed number with its mark."""
    whole = nm // INCH
    n = nm % INCH // SIXTYFOURTH
    d = 64
    while n and n % 2 == 0:
        n //= 2
        d //= 2
    part = str(n) + "/" + str(d) if n else ""
    if whole and part:
        return str(whole) + " " + part + '"'
    return (part or str(whole)) + '"'


def exact_text(nm: int, units: str) -> str:
    """Return text for a form's field that is read again as exactly this length.

    Units:   nanometres; whatever the units, the text carries its own.
    Validity: any whole nm. In inches: fractions, else three decimals, else millimetres;
             in millimetres: three decimals, else fractions of an inch, else six decimals.
    Example: exact_text(34925000, "in") -> 1 3/8"; exact_text(9500000, "in") -> 9.5 mm
    """
    sign = "-" if nm < 0 else ""
    size = abs(nm)
    if units == "mm" and size % 1000 == 0:
        return sign + _millimetres_text(size)
    if size % SIXTYFOURTH == 0:
        return sign + _size_text(size)
    if units == "in" and size % (INCH // 1000) == 0:
        return sign + decimal_text(size // (INCH // 1000), 3) + '"'
    return sign + _millimetres_text(size)
