"""Figures and timers for water on a set door: sprayed test, hose on fixed joints.

Pouring, flooding and the crew's hose are workmanship checks and never called a test to
a standard; a specified pressure test is its agency's. Areas nm², volumes nm³, times ms.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import FOOT, MINUTE, half_up, round_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.sealant import CUBIC_INCH

GALLON = 231 * CUBIC_INCH
# ASTM E1105 (restated): 5.0 US gal a square foot and hour; pressure steady for 15 min
# (procedure A), or four times 5 min on, 1 min off (procedure B)
RATE = 5
PLANS = {"A": ((15, True),), "B": ((5, True), (1, False)) * 4}
# AAMA 501.2 (seen on five pages): 5 ft at a time, 5 min each
HOSE_STEP = 5 * FOOT
HOSE_TIME = 5 * MINUTE


class Stage:
    """One stage of a timer: from, to (ms after the start), and whether pressure is on."""

    def __init__(self, start: int, end: int, on: bool) -> None:
        self.start = start
        self.end = end
        self.on = on


def spray_stages(procedure: str) -> "list[Stage]":
    """Return the stages of a sprayed test; water runs through all of them.

    Errors:  InputError 'procedure-unknown' for anything but "A" and "B".
    Source:  ASTM E1105 (restated).
    Example: len(spray_stages("B")) -> 8 (24 min, pressure on for 20)
    """
    if procedure not in PLANS:
        raise InputError("procedure-unknown", Msg("The sprayed test has procedures A and B."))
    out = []
    at = 0
    for minutes, on in PLANS[procedure]:
        out.append(Stage(at, at + minutes * MINUTE, on))
        at += minutes * MINUTE
    return out


def spray_flow(width: int, height: int) -> int:
    """Return the water that an area takes, nm³ an hour, rounded up.

    Units:   nanometres. Errors: InputError 'area-needed' at or below zero.
    Source:  ASTM E1105: 5.0 US gal/(ft² h) (restated).
    Example: spray_flow(8 * FOOT, 10 * FOOT) -> 400 * GALLON (6.667 gal/min)
    """
    if width <= 0 or height <= 0:
        raise InputError("area-needed", Msg("The sprayed area has a width and a height."))
    return round_up(width * height * RATE * GALLON, FOOT * FOOT)


def spray_total(width: int, height: int, procedure: str) -> int:
    """Return the water of the whole test, nm³, rounded up. Errors: spray_stages(), spray_flow().

    Example: spray_total(8 * FOOT, 10 * FOOT, "A") -> 100 * GALLON
    """
    return round_up(spray_flow(width, height) * spray_stages(procedure)[-1].end, 60 * MINUTE)


def spray_test(width: int, height: int, procedure: str) -> Finding:
    """Return water, time and cycles of a sprayed test in words; errors as spray_total().

    Example: spray_test(8 * FOOT, 10 * FOOT, "A").verdict -> "information"
    """
    return Finding(
        INFORMATION,
        [_water_said(spray_total(width, height, procedure), spray_stages(procedure))],
        cautions=[
            Msg(
                "A test to a standard is its agency's work, with its own gear and report. Keep "
                "sockets and floors inside protected. Note the report's number."
            )
        ],
    )


def _water_said(water: int, stages: "list[Stage]") -> Msg:
    on = [stage.end - stage.start for stage in stages if stage.on]
    amounts = {
        "gallons": half_up(water, GALLON),
        "litres": half_up(water, 10**24),
        "minutes": stages[-1].end // MINUTE,
    }
    if len(on) == len(stages):
        return Msg("{gallons} gal ({litres} L) in {minutes} min, pressure on all along.", **amounts)
    return Msg(
        "{gallons} gal ({litres} L) in {minutes} min; pressure on {times} times, "
        "{pressure} min in all.",
        times=len(on),
        pressure=sum(on) // MINUTE,
        **amounts,
    )


def hose_stretches(length: int, operable: bool) -> "list[tuple[int, int]]":
    """Return the stretches of a fixed joint to hose, lowest first: (from, to), nanometres.

    Five minutes each, a foot away, square to the joint, somebody inside with dry paper.
    Errors:  InputError 'hose-operable' for joints of panels that move; 'length-needed'.
    Source:  AAMA 501.2 (seen): nozzle at 30 to 35 psi; not for operable doors.
    Example: len(hose_stretches(37 * FOOT, False)) -> 8 (40 min)
    """
    if operable:
        raise InputError(
            "hose-operable",
            Msg("The hose is for fixed joints only: not for panels that slide."),
        )
    if length <= 0:
        raise InputError("length-needed", Msg("Give the length of the joint."))
    # counted, not stepped: MicroPython's range() holds no nanometres
    starts = [k * HOSE_STEP for k in range(round_up(length, HOSE_STEP))]
    return [(start, min(start + HOSE_STEP, length)) for start in starts]


def hose_check(length: int, operable: bool) -> Finding:
    """Return the hose check of a fixed joint in words. Errors: those of hose_stretches().

    Example: hose_check(37 * FOOT, False).verdict -> "information"
    """
    stretches = hose_stretches(length, operable)
    return Finding(
        INFORMATION,
        [
            Msg(
                "Stretches of {step} or less: {count}, from low upward, 5 min each: {minutes} min.",
                count=len(stretches),
                step=Len(HOSE_STEP, "place"),
                minutes=len(stretches) * HOSE_TIME // MINUTE,
            )
        ],
        cautions=[
            Msg(
                "A check of workmanship, no test to a standard: it proves no pressure. One hoses, "
                "one watches inside. Stop at the first water and find where it comes from."
            )
        ],
    )


def hose_time(length: int) -> int:
    """Return how long hosing a fixed joint takes, ms. Errors: InputError 'length-needed'.

    Example: hose_time(37 * FOOT) -> 40 * MINUTE
    """
    return len(hose_stretches(length, False)) * HOSE_TIME
