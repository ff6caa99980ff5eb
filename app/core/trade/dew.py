"""Dew point, the window for sealing, and how long sealant takes to cure.

Temperatures are in 1/9000 °C, humidity in ppm (50 % is 500000). The dew point is a
float that is brought to 1/100 °C at once: it decides about sealing, never about a length.
"""

import math

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.units import DEGREE_C, HOUR, MILLIMETRE, decimal_text, round_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT, WITHIN

HUNDREDTH = DEGREE_C // 100
# Limits that a coating's standard sets and that are borrowed here as a careful start
# (ISO 8502-4 and ISO 12944-7, restated): the sealant's maker wins.
MARGIN = 3 * DEGREE_C
HUMIDITY_MOST = 850000
# Water vapour over water: WMO No. 8, annex 4.B (restated)
A, B = 17.62, 243.12
AIR = (-45 * DEGREE_C, 60 * DEGREE_C)
DAY = 24 * HOUR
# Moisture-curing sealant, from the skin inward in the first 24 h at 23 °C and 50 %:
# from memory, no standard.
CURE_SLOW = 2 * MILLIMETRE
CURE_FAST = 3 * MILLIMETRE
CURE_WARM = 23 * DEGREE_C
CURE_HUMID = 500000


def vapour_pressure(celsius: float) -> float:
    """Return the pressure of water vapour in air that holds all it can, over water.

    Units:   °C in, hPa out. Validity: -45 to 60 °C.
    Source:  e_w = 6.112 exp(17.62 t / (243.12 + t)), WMO No. 8 annex 4.B.
    Example: vapour_pressure(20.0) -> 23.326
    """
    return 6.112 * math.exp(A * celsius / (B + celsius))


def dew_point(celsius: float, humidity: float) -> float:
    """Return the dew point over water.

    Units:   °C; humidity from above 0 to 1. Validity: -45 to 60 °C; below 0 °C of dew
             point frost forms first: use dew_point_taken there.
    Source:  the formula of vapour_pressure, solved for t: WMO No. 8 annex 4.B.
    Example: dew_point(25.0, 0.5) -> 13.852
    """
    g = math.log(humidity) + A * celsius / (B + celsius)
    return B * g / (A - g)


def dew_point_taken(air: int, humidity: int) -> "tuple[int, bool]":
    """Return the dew point to work with, and whether it is 0 °C in place of a lower one.

    Units:   1/9000 °C and ppm in; out to 1/100 °C, half up. Below zero the dew point is
             taken as 0 °C: water's formula does not hold for frost, and this asks for more.
    Errors:  InputError 'air-range' outside -45 to 60 °C, 'humidity-range' outside
             above 0 to 100 %.
    Example: dew_point_taken(25 * DEGREE_C, 500000) -> (1385 * HUNDREDTH, False) (13.85 °C);
             dew_point_taken(5 * DEGREE_C, 300000) -> (0, True) (0 °C, taken)
    """
    if not AIR[0] <= air <= AIR[1]:
        raise InputError(
            "air-range",
            Msg(
                "Air from {low} to {high} only.",
                low=_warm_amount(AIR[0]),
                high=_warm_amount(AIR[1]),
            ),
        )
    if not 0 < humidity <= 1000000:
        raise InputError("humidity-range", Msg("Humidity is above 0 and at most 100 %."))
    exact = dew_point(air / DEGREE_C, humidity / 1000000)
    found = math.floor(100 * exact + 0.5) * HUNDREDTH
    return max(found, 0), found < 0


class Limits:
    """What sealing is held to: a margin over the dew point (a difference), the humidity, and
    the product's own temperatures; None where nothing is asked.
    """

    def __init__(
        self,
        margin: int = MARGIN,
        humidity_most: "int | None" = HUMIDITY_MOST,
        least: "int | None" = None,
        most: "int | None" = None,
    ) -> None:
        self.margin = margin
        self.humidity_most = humidity_most
        self.least = least
        self.most = most


def sealing_window(
    surface: int, air: int, humidity: int, limits: Limits, hottest: "int | None" = None
) -> Finding:
    """Return whether sealing may start by temperature and humidity, and what to wait for.

    Units:   1/9000 °C and ppm; on a limit is within. surface: its coldest place; hottest:
             its hottest, where that is another.
    Errors:  those of dew_point_taken; InputError 'margin-negative'.
    Source:  dew point by WMO No. 8; the limits are the caller's, with their own basis.
    Example: sealing_window(15 * DEGREE_C, 25 * DEGREE_C, 500000, Limits()).verdict -> "out" (16.85
             °C is needed)
    """
    if limits.margin < 0:
        raise InputError("margin-negative", Msg("A margin cannot be below zero."))
    dew, taken = dew_point_taken(air, humidity)
    top = surface if hottest is None else hottest
    remedies = _too_cold(surface, dew, limits) + _too_hot(top, humidity, limits)
    says = [
        Msg(
            "Dew point {dew}, surface {surface}, air {air} at {humidity}.",
            dew=_warm_amount(dew),
            surface=_warm_amount(surface),
            air=_warm_amount(air),
            humidity=Qty("fraction", humidity),
        )
    ]
    if taken:
        says.append(
            Msg("The dew point is below freezing; {zero} is taken for it.", zero=_warm_amount(0))
        )
    return Finding(OUT if remedies else WITHIN, says, remedies, frost_cautions(surface, taken))


def _too_cold(surface: int, dew: int, limits: Limits) -> "list[Msg]":
    """Return what to wait for where the surface is too cold."""
    out = []
    if surface < dew + limits.margin:
        out.append(
            Msg(
                "Too near the dew point: wait until the surface is {needed} or warmer, or dry "
                "the air. It is {by} too cold.",
                needed=_warm_amount(dew + limits.margin),
                by=_warmer_by(dew + limits.margin - surface),
            )
        )
    if limits.least is not None and surface < limits.least:
        out.append(
            Msg(
                "Too cold for the sealant: {least} at least, {by} short.",
                least=_warm_amount(limits.least),
                by=_warmer_by(limits.least - surface),
            )
        )
    return out


def _too_hot(surface: int, humidity: int, limits: Limits) -> "list[Msg]":
    """Return what to wait for where the surface is too hot or the air too damp."""
    out = []
    if limits.most is not None and surface > limits.most:
        out.append(
            Msg(
                "Too hot for the sealant: {most} at most, {by} over. Shade it and wait.",
                most=_warm_amount(limits.most),
                by=_warmer_by(surface - limits.most),
            )
        )
    if limits.humidity_most is not None and humidity > limits.humidity_most:
        out.append(
            Msg(
                "The air is too damp: {most} at most, it is {humidity}. Wait or dry it.",
                most=Qty("fraction", limits.humidity_most),
                humidity=Qty("fraction", humidity),
            )
        )
    return out


def frost_cautions(surface: int, taken: bool) -> "list[Msg]":
    """Return what a thermometer does not see: water and frost that are there already."""
    out = [Msg("Clean, dry and free of frost comes first: wipe, look and touch.")]
    if taken or surface <= 0:
        out.append(
            Msg(
                "Near freezing: look for frost in the joint with a light, and keep to the "
                "sealant maker's coldest temperature."
            )
        )
    return out


def cure_time(depth: int, rate: int) -> int:
    """Return the time that sealant takes to cure to a depth, milliseconds, rounded up.

    Units:   nanometres; rate: depth of the first 24 h. Within it the depth grows evenly,
             later with the root of time: four days for twice the depth.
    Errors:  InputError 'cure-depth' at or below zero.
    Source:  from memory; no standard. An estimate.
    Example: cure_time(6 * MILLIMETRE, 3 * MILLIMETRE) -> 4 * DAY
    """
    if depth <= 0 or rate <= 0:
        raise InputError("cure-depth", Msg("A depth of sealant is above zero."))
    if depth <= rate:
        return round_up(DAY * depth, rate)
    return round_up(DAY * depth * depth, rate * rate)


def cure_estimate(depth: int, air: "int | None" = None, humidity: "int | None" = None) -> Finding:
    """Return an estimate of how long the sealant takes; it never says that it is cured.

    depth:   the way from the open face to the farthest sealant, nanometres.
    Errors:  InputError 'cure-depth'.
    Example: cure_estimate(6 * MILLIMETRE).verdict -> "information" (4 to 9 days at 23 °C and 50 %)
    """
    says = [
        Msg(
            "An estimate: {depth} take {fast} to {slow} days at {warm} and {humid}.",
            depth=Len(depth),
            fast=_days_text(cure_time(depth, CURE_FAST)),
            slow=_days_text(cure_time(depth, CURE_SLOW)),
            warm=_warm_amount(CURE_WARM),
            humid=Qty("fraction", CURE_HUMID),
        )
    ]
    cold = air is not None and air < CURE_WARM
    if cold or (humidity is not None and humidity < CURE_HUMID):
        says.append(Msg("Here it is colder or drier than that: longer."))
    return Finding(
        INFORMATION,
        says,
        cautions=[
            Msg(
                "No estimate says that sealant is cured. Water, load and tests wait for the time "
                "that the sealant's maker gives for this weather."
            )
        ],
    )


def _days_text(time: int) -> str:
    """Return a time in days, to a tenth, rounded up."""
    return decimal_text(round_up(10 * time, DAY), 1)


def _warm_amount(value: int) -> Qty:
    return Qty("temperature", value)


def _warmer_by(value: int) -> Qty:
    return Qty("temperature-difference", value)
