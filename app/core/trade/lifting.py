"""The revised lifting equation for one person: a reason to refuse a lift, never to approve one.

Whole numbers and ratios throughout: lengths in nanometres, masses in 1e-11 kg.
Two sets: the formula itself, and the worksheet's multipliers, which are printed with
two decimals (and three of them not as the formula gives them).

Source: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110,
revised 9/2021, read in a public transcription with page numbers (seen; pages 1 to 28).
"""

from app.core.errors import InputError
from app.core.quantity.messages import Msg, Qty
from app.core.quantity.units import INCH, KILOGRAM, MILLIMETRE, POUND, half_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT

CENTIMETRE = 10 * MILLIMETRE
LOAD = {"in": 51 * POUND, "mm": 23 * KILOGRAM}
# multiplier of the hold: below 75 cm (30 in), at or above
HOLD = {"good": (100, 100), "fair": (95, 100), "poor": (90, 90)}
# lifts a minute in thousandths -> hundredths, work of an hour or less (code table, restated)
PACE = (
    (200, 100),
    (500, 97),
    (1000, 94),
    (2000, 91),
    (3000, 88),
    (4000, 84),
    (5000, 80),
    (6000, 75),
    (7000, 70),
    (8000, 60),
)
# Table 1 and 3 as printed, where they are not the formula rounded (restated)
PRINTED = {
    ("in", "H", 22 * INCH): 46,
    ("in", "H", 23 * INCH): 44,
    ("mm", "D", 130 * CENTIMETRE): 86,
}


class Lift:
    """One lift at one of its two ends.

    away: hands from the ankles' middle (H); height: hands over the floor (V); travel: up or
    down (D), nanometres; turn: whole degrees off straight ahead (A); pace: lifts a minute
    in thousandths, for an hour or less; hold: "good", "fair" or "poor" (a panel's sharp
    edge, wider than 16 in, is poor). units: which of the two forms, "in" or "mm".
    """

    def __init__(
        self,
        away: int,
        height: int,
        travel: int,
        turn: int = 0,
        pace: int = 200,
        hold: str = "poor",
        units: str = "in",
    ) -> None:
        _check_sensible(away, height, travel, turn, pace, hold)
        self.away = away
        self.height = height
        self.travel = travel
        self.turn = turn
        self.pace = pace
        self.hold = hold
        self.units = "mm" if units == "mm" else "in"


def _check_sensible(away: int, height: int, travel: int, turn: int, pace: int, hold: str) -> None:
    if min(away, height, travel, pace) < 0 or not 0 <= turn <= 180:
        raise InputError("lift-range", Msg("A lift has no distance, turn or pace below zero."))
    if pace > PACE[-1][0]:
        raise InputError(
            "pace-range", Msg("More than 8 lifts a minute are not in the table that is held here.")
        )
    if hold not in HOLD:
        raise InputError("hold-unknown", Msg("A hold is good, fair or poor."), hold=hold)


def lifting_multipliers(lift: Lift) -> "list[tuple[str, int, int]]":
    """Return the multipliers of the formula as (letter, numerator, denominator), exact.

    Source:  HM 10/H (25/H), VM 1-.0075|V-30| (1-.003|V-75|), DM .82+1.8/D (.82+4.5/D),
             AM 1-.0032A, FM table 5, CM table 7; 0 beyond H 25 in (63 cm), V 70 in
             (175 cm), D 70 in (175 cm), A 135; H and D under 10 in (25 cm) count as that.
    Example: lifting_multipliers(Lift(20 * INCH, 30 * INCH, 10 * INCH))[0] -> ("H", 10 * INCH, 20 *
             INCH)
    """
    inches = lift.units == "in"
    near = 10 * INCH if inches else 25 * CENTIMETRE
    away = max(lift.away, near)
    travel = max(lift.travel, near)
    far = 70 * INCH if inches else 175 * CENTIMETRE
    reach = 25 * INCH if inches else 63 * CENTIMETRE
    return [
        ("H", near if away <= reach else 0, away),
        _height_multiplier(lift, inches, far),
        _travel_multiplier(travel, inches, far),
        ("A", 10000 - 32 * lift.turn if lift.turn <= 135 else 0, 10000),
        ("F", _pace_multiplier(lift.pace), 100),
        ("C", _hold_multiplier(lift, inches), 100),
    ]


def _height_multiplier(lift: Lift, inches: bool, far: int) -> "tuple[str, int, int]":
    if lift.height > far:
        return "V", 0, 1
    if inches:  # 0.0075 = 3/400
        return "V", 400 * INCH - 3 * abs(lift.height - 30 * INCH), 400 * INCH
    return "V", 1000 * CENTIMETRE - 3 * abs(lift.height - 75 * CENTIMETRE), 1000 * CENTIMETRE


def _travel_multiplier(travel: int, inches: bool, far: int) -> "tuple[str, int, int]":
    if travel > far:
        return "D", 0, 1
    tenths = 18 * INCH if inches else 45 * CENTIMETRE
    return "D", 82 * travel + 10 * tenths, 100 * travel


def _pace_multiplier(pace: int) -> int:
    """Return the pace multiplier, hundredths; between two rows the lower one (careful side)."""
    for row, hundredths in PACE:
        if pace <= row:
            return hundredths
    return 0


def _hold_multiplier(lift: Lift, inches: bool) -> int:
    low = lift.height < (30 * INCH if inches else 75 * CENTIMETRE)
    return HOLD[lift.hold][0 if low else 1]


def worksheet_multipliers(lift: Lift) -> "list[tuple[str, int, int]]":
    """Return the multipliers as the worksheet has them: hundredths, half up, printed ones kept.

    Example: worksheet_multipliers(Lift(23 * INCH, 30 * INCH, 10 * INCH))[0] -> ("H", 44, 100) (the
             formula gives 43)
    """
    given = {"H": lift.away, "D": lift.travel}
    out = []
    for letter, n, d in lifting_multipliers(lift):
        printed = PRINTED.get((lift.units, letter, given.get(letter, -1)))
        out.append((letter, half_up(100 * n, d) if printed is None else printed, 100))
    return out


def recommended_weight(lift: Lift, factors: "list[tuple[str, int, int]]") -> int:
    """Return the recommended weight limit for one person, 1e-11 kg, rounded down.

    factors: lifting_multipliers(lift), or worksheet_multipliers(lift) to compare with printed
    worksheets.
    Source:  RWL = LC HM VM DM AM FM CM; LC 51 lb or 23 kg.
    Example: recommended_weight(Lift(0, 0, 0), [("H", 1, 2)]) -> 51 * POUND // 2
    """
    n, d = LOAD[lift.units], 1
    for _, above, below in factors:
        n *= above
        d *= below
    return n // d


def lifts_a_minute(lifts: int, minutes: int, of: int) -> int:
    """Return lifts a minute, in thousandths, of work that goes on for only part of the time.

    Source:  94-110 page 16. Errors: InputError 'lift-range'.
    Example: lifts_a_minute(10, 8, 15) -> 5333 (10 a minute for 8 of 15 minutes)
    """
    if lifts < 0 or of <= 0 or not 0 <= minutes <= of:
        raise InputError("lift-range", Msg("A lift has no distance, turn or pace below zero."))
    return half_up(1000 * lifts * minutes, of)


def judge_lift(mass: int, origin: Lift, destination: "Lift | None" = None) -> Finding:
    """Return whether the equation refuses that one person lifts a mass; it approves nothing.

    The lower limit of the two ends counts where the load must be guided at its end.
    Example: judge_lift(180 * KILOGRAM, Lift(10 * INCH, 30 * INCH, 10 * INCH)).verdict -> "out";
             judge_lift(KILOGRAM, Lift(10 * INCH, 30 * INCH, 10 * INCH)).verdict -> "information"
             (no
             approval)
    """
    ends = [origin] if destination is None else [origin, destination]
    most = min([recommended_weight(end, lifting_multipliers(end)) for end in ends])
    says = [
        Msg(
            "One person: {limit} at the most by the lifting equation; this is {mass}.",
            limit=Qty("mass", most),
            mass=Qty("mass", mass),
        )
    ]
    if mass > most:
        return Finding(
            OUT,
            says,
            [Msg("Not by one person. Use an aid, or bring it nearer and lower.")],
            why_not(),
        )
    return Finding(INFORMATION, says, cautions=why_not())


def why_not() -> "list[Msg]":
    """Return why the equation approves no lift of a panel: its own limits, 94-110 page 6."""
    return [
        Msg(
            "The equation is for one person with both hands, standing, on firm ground. A carry by "
            "two, a load that tips or swings, steps, wind and tight places are outside it: it can "
            "refuse a lift and approves none."
        ),
        Msg("Whoever directs the lift decides: a competent person, by local rules."),
    ]
