"""Rollers under a sliding panel: closing gap and stiles.

Seen from outside. The leading side of a panel is the one that closes: at the lock
jamb, or where two leads meet. taper = gap at the high place - gap at the low place:
above zero the gap is wider at the top, the panel leans away from where it closes.
Lengths are whole nanometres.
"""

from app.core.quantity.units import half_up

OTHER = {"left": "right", "right": "left", "leading": "trailing", "trailing": "leading"}


def roller_rise(taper: int, axles: int, distance: int) -> int:
    """Return how much one roller must rise against the other to take the taper out.

    axles:    distance between the two roller axles of the panel.
    distance: between the two places where the gap was measured.
    Errors:   none; distance must be above zero.
    Source:   the panel turns as one piece: rise / axles = taper / distance, exact when the
              gap is read square to the jamb; half a nanometre rounds up.
    Example:  roller_rise(INCH // 8, 48 * INCH, 96 * INCH) -> INCH // 16
    """
    return half_up(abs(taper) * axles, distance)


def raised_roller(taper: int) -> str:
    """Return which roller goes up: "trailing" where the gap is wide at the top, else "leading".

    Source:  raising the trailing roller turns the top toward where the panel closes.
    Example: raised_roller(3) -> "trailing"
    """
    return "trailing" if taper > 0 else "leading"


def side_of(roller: str, leading_side: str) -> str:
    """Return on which side, seen from outside, the leading or the trailing roller is.

    Example: side_of("trailing", "left") -> "right"
    """
    return leading_side if roller == "leading" else OTHER[leading_side]


def rollers_can(taper: int, leading: int, trailing: int, alike: int) -> bool:
    """Return whether the taper can come from the rollers, by how the stiles stand.

    leading, trailing: bottoms of the stiles over the sill. alike: how far they may differ.
    The roller that ought to rise must be the one whose stile stands lower by more than
    that. Stiles that stand alike under a tapering gap mean a jamb out of plumb or a
    panel out of square, which no roller mends.

    Example: rollers_can(3, 10, 10, 1) -> False; rollers_can(3, 12, 10, 1) -> True
    """
    lower = leading - trailing if taper > 0 else trailing - leading
    return lower > alike


def bow_twice(low: int, middle: int, high: int) -> int:
    """Return twice the distance of the middle gap off the mean of low and high.

    Above zero the gap is wide in the middle. Rollers cannot mend it.

    Example: bow_twice(4, 6, 4) -> 4
    """
    return 2 * middle - low - high


def quarter_turns(rise: int, trial: int) -> int:
    """Return the turns for a rise, in quarters of a turn, half up.

    trial:   how much one trial turn raised the stile: a reading, above zero.
    Example: quarter_turns(1587500, 1058333) -> 6 (one and a half turns)
    """
    return half_up(4 * abs(rise), trial)


def leans_agree(taper: int, first: int, second: int, within: int) -> bool:
    """Return whether the taper between two leads is the sum of their two leans from plumb.

    Source:  the gap is the sum of the distances of both stiles from one plumb line in it.
    Example: leans_agree(3, 1, 2, 0) -> True
    """
    return abs(taper - first - second) <= within
