"""Sealant joints: width for movement, depth, backer rod, and what a joint is stretched by.

Whole numbers: lengths in nanometres, movement capability in ppm (25 % is 250000).
What is needed is rounded up. The drawing and the sealant's maker win.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.units import INCH, half_up, round_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.instruments import root_up
from app.core.trade.verdicts import OUT, WITHIN

WHOLE = 1000000  # 100 %
CAPABLE_LEAST = WHOLE // 100  # the least class of ISO 11600 is 7.5 %: below 1 % a share was typed
# Depth: half the width, not under 1/4 in, not over 1/2 in, moving joints without traffic:
# a county government's project specification 07 92 00 (seen).
DEPTH_LEAST = INCH // 4
DEPTH_MOST = INCH // 2
# Rods that are commonly sold, and a quarter more than the joint: common practice, no source.
RODS = tuple([INCH * eighths // 8 for eighths in (2, 3, 4, 5, 6, 7, 8, 10, 12, 16)])
ROD_OVER = 25


def joint_width(thermal: int, other: int, tolerance: int, capability: int) -> int:
    """Return the least width of a joint that takes the movement, rounded up.

    Units:   nanometres: thermal (heat.movement), other (moisture, drift), tolerance of the
             opening; capability in ppm.
    Validity: capability from 1 to 100 %; a joint in plain tension and compression.
    Errors:  InputError 'joint-negative', 'capability-range'.
    Source:  W = (100/X)(e L ΔT + M) + t, the form of ASTM C1472 as taught in a university
             course on building technology; the standard's own examples were not seen.
    Example: joint_width(2084832, 4394200, INCH // 8, 500000) -> 16133064 (0.63516 in)
    """
    if min(thermal, other, tolerance) < 0:
        raise InputError("joint-negative", Msg("Movement and tolerance cannot be below zero."))
    _check_capability(capability)
    return round_up(WHOLE * (thermal + other), capability) + tolerance


def _check_capability(capability: int) -> None:
    if not CAPABLE_LEAST <= capability <= WHOLE:
        raise InputError(
            "capability-range",
            Msg("A sealant's movement capability is from 1 to 100 %; write 25 % for a quarter."),
            capability=capability,
        )


def judge_width(measured: int, needed: int) -> Finding:
    """Return whether a joint is as wide as its movement asks for, and what to do.

    Example: judge_width(3 * INCH // 8, INCH // 2).verdict -> "out" (1/8 in too narrow)
    """
    if measured >= needed:
        return Finding(
            WITHIN,
            [Msg("{size} wide; {needed} needed.", size=Len(measured), needed=Len(needed))],
        )
    return Finding(
        OUT,
        [
            Msg(
                "{size} wide, {needed} needed: {by} too narrow.",
                size=Len(measured),
                needed=Len(needed),
                by=Len(needed - measured),
            )
        ],
        [
            Msg(
                "Make the joint {by} wider, or ask the office for a sealant that moves more.",
                by=Len(needed - measured),
            )
        ],
    )


def range_of(width: int, capability: int) -> "tuple[int, int]":
    """Return how narrow and how wide a joint may get, nanometres, to the safe side.

    Source:  class 25 of ASTM C920 (and ISO 11600): ± 25 % of the width when filled.
    Example: range_of(10**7, 250000) -> (7500000, 12500000) (10 mm at 25 %)
    """
    _check_width(width)
    _check_capability(capability)
    return round_up(width * (WHOLE - capability), WHOLE), width * (WHOLE + capability) // WHOLE


def sealant_depth(width: int) -> int:
    """Return the depth of sealant for a width: half of it, from 1/4 to 1/2 in.

    Validity: joints 1/4 in and wider; narrower ones do not move enough to be sealed so.
    Errors:  InputError 'joint-narrow'.
    Source:  a county government's project specification 07 92 00.
    Example: sealant_depth(3 * INCH // 4) -> 3 * INCH // 8
    """
    if width < DEPTH_LEAST:
        raise InputError(
            "joint-narrow",
            Msg(
                "A joint of {size} is too narrow: {least} at least. Ask the office.",
                size=Len(width),
                least=Len(DEPTH_LEAST),
            ),
            width=width,
        )
    return min(max(half_up(width, 2), DEPTH_LEAST), DEPTH_MOST)


def depth_range(
    width: int, off: int, least: int = DEPTH_LEAST, most: int = DEPTH_MOST
) -> "tuple[int, int]":
    """Return the least and the greatest depth of sealant for a width, nanometres.

    Half the width, give or take off, and never outside least and most. Narrow joints have the
    least depth, wide ones the greatest; a joint whose half lies outside is held to that end.
    Source:  a county government's project specification 07 92 00, for 1/4 and 1/2 in; how far off
             half is allowed: common practice, no source.
    Example: depth_range(INCH, INCH // 8) -> (3 * INCH // 8, INCH // 2)
    """
    half = min(max(half_up(width, 2), least), most)
    return max(half - off, least), min(half + off, most)


def backer_rod(width: int, sizes: "tuple[int, ...]" = RODS) -> int:
    """Return the smallest backer rod that is a quarter thicker than the joint is wide.

    sizes:   rods at hand, smallest first.
    Errors:  InputError 'joint-size' at or below zero; 'rod-size' where none is thick enough.
    Source:  closed-cell rod: common practice, no source; the rod's maker wins.
    Example: backer_rod(INCH // 2) -> 5 * INCH // 8
    """
    _check_width(width)
    for size in sizes:
        if size * 100 >= width * (100 + ROD_OVER):
            return size
    raise InputError(
        "rod-size",
        Msg("No rod here is thick enough for a joint of {size}.", size=Len(width)),
        width=width,
    )


def depth_and_rod(width: int, sizes: "tuple[int, ...]" = RODS) -> Finding:
    """Return depth and rod for a joint, in words; errors as sealant_depth(), backer_rod()."""
    return Finding(
        INFORMATION,
        [
            Msg(
                "{width} wide: {depth} deep over a {rod} backer rod.",
                width=Len(width),
                depth=Len(sealant_depth(width)),
                rod=Len(backer_rod(width, sizes)),
            )
        ],
        cautions=[
            Msg(
                "Sealant sticks to two sides, never to the back: backer rod, or bond-breaker "
                "tape where there is no room for it. Do not puncture closed-cell rod."
            )
        ],
    )


def joint_elongation(width: int, shift: int) -> int:
    """Return by how much a joint is stretched when its sides slide along, ppm, rounded up.

    Units:   nanometres. Compared with a limit in ppm this is exact: a whole limit is
             exceeded exactly where the figure rounded up exceeds it.
    Errors:  InputError 'joint-size' for a width at or below zero.
    Source:  sqrt(w² + s²)/w - 1 (geometry).
    Example: joint_elongation(INCH // 4, 3 * INCH // 16) -> 250000 (25 % exactly)
    """
    _check_width(width)
    long = (width * width + shift * shift) * WHOLE * WHOLE
    return round_up(root_up(long), width) - WHOLE


def shear_width(shift: int, capability: int) -> int:
    """Return the least width of a joint whose sides slide along by a shift, nm, rounded up.

    Errors:  InputError 'capability-range'.
    Source:  joint_elongation() solved for the width: w² = s² / ((1 + X)² - 1).
    Example: shear_width(3 * INCH // 16, 250000) -> INCH // 4
    """
    _check_capability(capability)
    long = WHOLE + capability
    square = round_up(shift * shift * WHOLE * WHOLE, long * long - WHOLE * WHOLE)
    return root_up(square)


def judge_shear(width: int, shift: int, capability: int) -> Finding:
    """Return whether a joint stands its sides sliding along, and how wide it would have to be.

    Errors:  those of joint_elongation() and shear_width().
    Example: judge_shear(INCH // 4, 3 * INCH // 16, 250000).verdict -> "within" (on the line)
    """
    stretched = joint_elongation(width, shift)
    needed = shear_width(shift, capability)
    says = Msg(
        "Stretched by {stretched}; the sealant takes {most}.",
        stretched=Qty("fraction", stretched),
        most=Qty("fraction", capability),
    )
    if stretched <= capability:
        return Finding(WITHIN, [says])
    return Finding(OUT, [says], [Msg("Make the joint {needed} wide.", needed=Len(needed))])


def _check_width(width: int) -> None:
    if width <= 0:
        raise InputError(
            "joint-size", Msg("A joint cannot be {size} wide.", size=Len(width)), width=width
        )
