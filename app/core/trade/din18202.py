"""Tolerances of buildings after DIN 18202, as rows of data: what a building may be, not a track.

Restated on three public pages, one of them with the values in between. They accept a
building and are far too loose for rollers: for information.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import MILLIMETRE, half_up
from app.core.trade.finding import INFORMATION, Finding

METRE = 1000 * MILLIMETRE
# table 3: gap under a straightedge by distance of the points, mm; distances in cm
DISTANCES = (10, 100, 400, 1000, 1500)
GAPS = (
    ("1", Msg("unfinished floors"), (10, 15, 20, 25, 30)),
    ("2", Msg("unfinished floors, raised requirement"), (5, 8, 12, 15, 20)),
    ("3", Msg("finished floors"), (2, 4, 10, 12, 15)),
    ("4", Msg("finished floors, raised requirement"), (1, 3, 9, 12, 15)),
    ("5", Msg("unfinished walls and soffits"), (5, 10, 15, 25, 30)),
    ("6", Msg("finished walls and ceilings"), (3, 5, 10, 20, 25)),
    ("7", Msg("finished walls and ceilings, raised requirement"), (2, 3, 8, 15, 20)),
)
# table 2: plumb and level, (up to cm, mm); the last row is for anything longer
ANGLES = ((50, 3), (100, 6), (300, 8), (600, 12), (1500, 16), (3000, 20))
ANGLE_BEYOND = 30


def allowed_gap(row: str, distance: int) -> int:
    """Return the gap that a row allows at a distance of the points, nanometres, whole mm.

    Units:   nanometres. Validity: 0.1 to 15 m.
    Errors:  InputError 'row-unknown', 'distance-range'.
    Source:  DIN 18202 table 3 (restated), straight lines between its columns.
    Example: allowed_gap("3", 2 * METRE) -> 6 * MILLIMETRE
    """
    values = _row_of(row)[2]
    for k in range(len(DISTANCES) - 1):
        low, high = [10 * MILLIMETRE * cm for cm in DISTANCES[k : k + 2]]
        if low <= distance <= high:
            rise = (values[k + 1] - values[k]) * (distance - low)
            return half_up(values[k] * (high - low) + rise, high - low) * MILLIMETRE
    raise InputError("distance-range", Msg("The table holds from 0.1 to 15 m."), distance=distance)


def _row_of(row: str) -> "tuple[str, Msg, tuple[int, ...]]":
    for known in GAPS:
        if known[0] == row:
            return known
    raise InputError("row-unknown", Msg("The table has the rows 1 to 7."), row=row)


def allowed_angle(size: int) -> int:
    """Return how far a member of a size may be off plumb or level, nanometres.

    Errors:  InputError 'distance-range' at or below zero.
    Source:  DIN 18202 table 2 (restated).
    Example: allowed_angle(2 * METRE) -> 8 * MILLIMETRE
    """
    if size <= 0:
        raise InputError("distance-range", Msg("A member has a size above zero."), distance=size)
    for most, limit in ANGLES:
        if size <= most * 10 * MILLIMETRE:
            return limit * MILLIMETRE
    return ANGLE_BEYOND * MILLIMETRE


def capped_limit(rise: int, size: int, cap: int) -> int:
    """Return a limit per metre with a cap: min(rise per metre x size, cap), nm, rounded down.

    Source:  element plumb and level: 1.5 mm a metre, 3.0 mm at most (practice as an
             accredited test house states it, seen).
    Example: capped_limit(1500000, 1200 * MILLIMETRE, 3 * MILLIMETRE) -> 1800000 (1.8 mm)
    """
    return min(rise * size // METRE, cap)


def row_in_words(row: str, distance: int) -> Finding:
    """Return a row's value in words, as information. Errors: those of allowed_gap().

    Example: row_in_words("3", 2 * METRE).verdict -> "information"
    """
    return Finding(
        INFORMATION,
        [
            Msg(
                "DIN 18202 table 3, row {row}, {what}: {gap} between points {distance} apart.",
                row=row,
                what=_row_of(row)[1],
                gap=Len(allowed_gap(row, distance)),
                distance=Len(distance, "place"),
            )
        ],
        cautions=[Msg("It accepts a building: far too loose for a track. The drawing judges.")],
    )
