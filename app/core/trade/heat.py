"""Temperatures, differences of temperature, and what heat does to a length.

A temperature and a difference are kinds of their own: 80 °F is 26.7 °C, a difference of
80 °F is 44.4 °C. A coefficient says per which degree it is, and takes a difference
stated in that degree alone: 0.000023 is per °C, and with "80" in °F it would give
little more than half.
"""

from app.core.errors import InputError
from app.core.kinds import Any
from app.core.quantity.messages import Msg
from app.core.quantity.units import DEGREE_C, DEGREE_F, round_up

MICRO = 9000  # base units of a coefficient in 1e-6 per degree: per °C and per °F stay whole
SIZE = {"C": DEGREE_C, "F": DEGREE_F}


def _known_degree(unit: str) -> str:
    if unit not in SIZE:
        raise InputError("degree-unknown", Msg("Say whether it is °C or °F."), unit=unit)
    return unit


class Temperature:
    """A temperature in 1/9000 °C, and the degree it was read in: "C" or "F"."""

    def __init__(self, value: int, unit: str) -> None:
        self.value = value
        self.unit = _known_degree(unit)


class Difference:
    """How much warmer one is than another, in 1/9000 °C; unit: the degree it is stated in."""

    def __init__(self, value: int, unit: str) -> None:
        self.value = value
        self.unit = _known_degree(unit)


class Expansion:
    """A coefficient of expansion: parts of 1e-6 / MICRO per degree, and of which degree."""

    def __init__(self, parts: int, unit: str, source: str = "") -> None:
        self.parts = parts
        self.unit = _known_degree(unit)
        self.source = source

    def per(self, unit: str) -> "Expansion":
        """Return the same coefficient per the other degree: 1e-6 per °F x 1.8 is per °C."""
        if _known_degree(unit) == self.unit:
            return self
        n, d = (5, 9) if unit == "F" else (9, 5)
        return Expansion(round_up(self.parts * n, d), unit, self.source)


# material -> coefficient as its source gives it
MATERIALS = {
    # published as 23 to 23.6: the end that leaves no joint too narrow
    "aluminium": Expansion(236 * MICRO // 10, "C", "from memory; the greater end of 23 to 23.6"),
    "glass": Expansion(9 * MICRO, "C", "EN 572-1 (restated)"),
    "steel": Expansion(117 * MICRO // 10, "C", "from memory"),
    "concrete": Expansion(12 * MICRO, "C", "from memory; the greater end of 10 to 12"),
    "wood-along": Expansion(38 * MICRO // 10, "C", "a university's sheet, Douglas fir (seen)"),
    "wood-across": Expansion(58 * MICRO, "C", "a university's sheet, Douglas fir (seen)"),
}


def temperature_difference(warmer: Any, colder: Any) -> Difference:
    """Return how much warmer the first temperature is, in the degree it was read in.

    Errors:  InputError 'temperature-needed' for anything but two temperatures.
    Example: temperature_difference(Temperature(48 * DEGREE_F, "F"), Temperature(-12 * DEGREE_F,
             "F")).value -> 60 * DEGREE_F (80 °F and 20 °F)
    """
    for one in (warmer, colder):
        if not isinstance(one, Temperature):
            raise InputError(
                "temperature-needed",
                Msg("A temperature is needed here, not a difference of temperature."),
            )
    return Difference(warmer.value - colder.value, warmer.unit)


def thermal_movement(length: int, expansion: Expansion, difference: Any) -> int:
    """Return by how much a length grows or shrinks, nanometres, rounded up.

    Units:   nanometres. The sign of the difference does not matter.
    Errors:  InputError 'difference-needed' for a temperature; 'degrees-mixed' where
             coefficient and difference are of different degrees; 'length-negative'.
    Source:  e L ΔT (linear expansion; the form of ASTM C1472).
    Example: thermal_movement(240 * INCH, Expansion(23 * MICRO, "C"), Difference(60 * DEGREE_F,
             "C")) -> 4673600 (0.184 in)
    """
    if not isinstance(difference, Difference):
        raise InputError(
            "difference-needed",
            Msg(
                "A difference of temperature is needed here, not a temperature: "
                "how far it is from the coldest to the hottest."
            ),
        )
    if difference.unit != expansion.unit:
        raise InputError(
            "degrees-mixed",
            Msg(
                "The coefficient is per °{one}, the difference is in °{other}. State both alike.",
                one=expansion.unit,
                other=difference.unit,
            ),
        )
    if length < 0:
        raise InputError("length-negative", Msg("A length cannot be below zero."))
    parts = length * expansion.parts * abs(difference.value)
    return round_up(parts, 10**6 * MICRO * SIZE[difference.unit])


def material_growth(length: int, material: str, difference: Difference) -> int:
    """Return the movement of a member of a known material (MATERIALS), nanometres, rounded up.

    Errors:  those of thermal_movement(), and InputError 'material-unknown'.
    Example: material_growth(240 * INCH, "aluminium", Difference(60 * DEGREE_F, "F")) -> 4795520
             (0.189 in)
    """
    if material not in MATERIALS:
        raise InputError(
            "material-unknown",
            Msg("There is no material “{material}”.", material=material),
            material=material,
        )
    unit = getattr(difference, "unit", "C")
    return thermal_movement(length, MATERIALS[material].per(unit), difference)


def temperature_swings(
    installed: Any, coldest: Any, hottest: Any
) -> "tuple[Difference, Difference]":
    """Return how far it can still cool and still warm from the day the joint is filled.

    A joint between frame and wall is narrowest when the frame is hot: what is filled
    then has the whole way to cold before it.
    Errors:  InputError 'temperature-needed'; 'temperature-outside' where the day of
             filling is not between coldest and hottest.
    Example: [one.value for one in temperature_swings(Temperature(10, "C"), Temperature(4, "C"),
             Temperature(19, "C"))] -> [6, 9]
    """
    cooler = temperature_difference(installed, coldest)
    warmer = temperature_difference(hottest, installed)
    if cooler.value < 0 or warmer.value < 0:
        raise InputError(
            "temperature-outside",
            Msg("The frame is colder or hotter now than the coldest or hottest that was given."),
        )
    return cooler, warmer


# Dimensional change per % of moisture content, in 1e-5: Wood Handbook FPL-GTR-190,
# table 13-5 (seen); valid from 6 to 14 % moisture content.
WOOD = {"red-oak-radial": 158, "red-oak-tangential": 369}


def moisture_movement(size: int, wood: str, first: int, second: int) -> int:
    """Return by how much wood swells or shrinks between two moisture contents, nm, rounded up.

    Units:   size in nanometres across the grain; moisture contents in ppm (4 % is 40000).
    Validity: 6 to 14 %.
    Errors:  InputError 'wood-unknown', 'moisture-range'.
    Source:  dD = D C dM, Wood Handbook FPL-GTR-190 section 13.
    Example: moisture_movement(10**8, "red-oak-tangential", 80000, 120000) -> 1476000 (100 mm:
             1.476 mm)
    """
    if wood not in WOOD:
        raise InputError("wood-unknown", Msg("There is no wood “{wood}”.", wood=wood), wood=wood)
    for content in (first, second):
        if not 60000 <= content <= 140000:
            raise InputError(
                "moisture-range", Msg("This holds from 6 to 14 % moisture content only.")
            )
    return round_up(size * WOOD[wood] * abs(second - first), 10**5 * 10**4)
