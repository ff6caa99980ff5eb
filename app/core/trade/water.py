"""Water: the head that a pressure holds up, test pressures by class, forces to slide.

Pressures are exact ratios of pascals, lengths whole nanometres. The class tables are
for information: the required pressure is the label's or the contract's, never ours.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.units import NEWTON, decimal_text, half_up, round_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT

# in pascals: (numerator, denominator), exact by definition (NIST SP 811 appendix B, from
# memory; pint agrees). psf: 4.4482216152605 N / 0.09290304 m²; inH2O: conventional.
PASCALS = {
    "Pa": (1, 1),
    "psf": (44482216152605, 929030400000),
    "inH2O": (24908891, 100000),
}
GRAVITY = 980665  # 9.80665 m/s², x 1e-5; water 1000 kg/m³


class Pressure:
    """A pressure n / d of a unit: Pressure(6, "psf"), Pressure(29, "psf", 10)."""

    def __init__(self, n: int, unit: str, d: int = 1) -> None:
        if unit not in PASCALS:
            raise InputError("pressure-unit", Msg("A pressure is in psf, Pa or inH2O."), unit=unit)
        if n < 0 or d <= 0:
            raise InputError("pressure-negative", Msg("A pressure here cannot be below zero."))
        self.n = n * PASCALS[unit][0]
        self.d = d * PASCALS[unit][1]

    def thousandths(self, unit: str) -> int:
        """Return it in thousandths of a unit, half up: 6 psf in "Pa" -> 287282."""
        n, d = PASCALS[unit]
        return half_up(1000 * self.n * d, self.d * n)

    def said(self, unit: str) -> Msg:
        """Return it in words, to thousandths of psf or inH2O, to a tenth of a pascal."""
        if unit == "Pa":
            tenths = half_up(10 * self.n, self.d)
            return Msg("{number} Pa", number=decimal_text(tenths, 1))
        number = decimal_text(self.thousandths(unit), 3)
        if unit == "psf":
            return Msg("{number} psf", number=number)
        return Msg("{number} in of water", number=number)


def head_of_water(pressure: Pressure) -> int:
    """Return the height of water that a pressure holds up, nanometres, rounded up.

    Source:  h = p / (ρ g), ρ 1000 kg/m³, g 9.80665 m/s².
    Example: head_of_water(Pressure(6, "psf")) -> 29294566 (29.29 mm, 1.153 in)
    """
    return round_up(pressure.n * 10**14, pressure.d * 1000 * GRAVITY)


def judge_upstand(height: int, pressure: Pressure, unit: str = "psf") -> Finding:
    """Return whether a sill's upstand is lower than the water that a pressure holds up.

    height:  of the innermost upstand over the drained level, nanometres. unit: of PASCALS, in
             which the pressure is said.
    Never within: the head alone is a floor, not a height that is enough.
    Errors:  InputError 'upstand-negative'.
    Example: judge_upstand(INCH, Pressure(6, "psf")).verdict -> "out" (0.153 in short)
    """
    if height < 0:
        raise InputError("upstand-negative", Msg("An upstand cannot be below zero."))
    least = head_of_water(pressure)
    says = [
        Msg(
            "{pressure} holds up {head} of water; the upstand is {height}.",
            pressure=pressure.said(unit),
            head=Len(least),
            height=Len(height),
        )
    ]
    floor = Msg(
        "Standing water alone: wind, splash and the door's own leaks come on top. This is a floor "
        "for the upstand, not a height that is enough."
    )
    if height >= least:
        return Finding(INFORMATION, says, cautions=[floor])
    return Finding(
        OUT,
        says,
        [
            Msg(
                "{by} too low for that pressure: ask the office before the sill is bedded.",
                by=Len(least - height),
            )
        ],
        [floor],
    )


def field_pressure(rated: Pressure) -> Pressure:
    """Return two thirds of a rated water pressure: what a field test is done at.

    Source:  AAMA 502, one third less than rated (from memory); the contract wins.
    Example: field_pressure(Pressure(75, "psf", 10)).thousandths("psf") -> 5000 (7.5 psf -> 5.0
             psf)
    """
    out = Pressure(0, "Pa")
    out.n, out.d = 2 * rated.n, 3 * rated.d
    return out


# class -> least design pressure, structural test, least water pressure, hundredths of psf, and
# the water's per cent of the design pressure: NAFS (restated on two public pages)
CLASSES = (
    ("R", 1500, 2250, 290, 15),
    ("LC", 2500, 3750, 375, 15),
    ("CW", 3000, 4500, 450, 15),
    ("AW", 4000, 6000, 800, 20),
)
CAPS = {"US": 1200, "CA": 1500}  # 580 Pa and 720 Pa (restated)


def water_of_class(name: str, design: int, country: str = "US") -> int:
    """Return the water test pressure that goes with a class: information, never a requirement.

    Units:   hundredths of psf in and out, rounded up. design: the design pressure.
    Errors:  InputError 'class-unknown', 'country-unknown', 'class-pressure' for a design
             pressure under the class's least.
    Source:  NAFS: 15 % (AW 20 %) of the design pressure, not under the class's least, not
             over the cap (restated).
    Example: water_of_class("R", 1500) -> 290 (not 225)
    """
    row = _class_row(name)
    if country not in CAPS:
        raise InputError("country-unknown", Msg("The class table is for the US and Canada."))
    if design < row[1]:
        raise InputError(
            "class-pressure",
            Msg("Class {name} begins at {least} psf.", name=name, least=decimal_text(row[1], 2)),
        )
    return min(max(round_up(design * row[4], 100), row[3]), CAPS[country])


def _class_row(name: str) -> "tuple[str, int, int, int, int]":
    for row in CLASSES:
        if row[0] == name:
            return row
    raise InputError("class-unknown", Msg("The classes are R, LC, CW and AW."), name=name)


def about_class(name: str, design: int, country: str = "US", unit: str = "psf") -> Finding:
    """Return the class's figures in words, as information. Errors: those of water_of_class.

    design: hundredths of psf. unit: of PASCALS, in which pressures are said.

    Example: about_class("R", 1500).verdict -> "information"
    """
    water = Pressure(water_of_class(name, design, country), "psf", 100)
    field = field_pressure(water)
    return Finding(
        INFORMATION,
        [
            Msg(
                "Class {name} at {design} goes with {water} of water in the laboratory, "
                "{field} in the field: {head} of standing water.",
                name=name,
                design=Pressure(design, "psf", 100).said(unit),
                water=water.said(unit),
                field=field.said(unit),
                head=Len(head_of_water(water)),
            )
        ],
        cautions=[
            Msg("For information. The label on the door or the contract gives the pressure.")
        ],
    )


# class -> force to start, to keep moving, newtons; NAFS-11 as an association's article has
# them (seen); Canada holds all classes to the first row
FORCES = (("R", 135, 90), ("LC", 135, 90), ("CW", 180, 115), ("AW", 180, 115))


def operating_forces(name: str, country: str = "US") -> "tuple[int, int]":
    """Return the greatest force to start and to keep moving by class: information.

    Units:   1e-16 N. Errors: InputError 'class-unknown', 'country-unknown'.
    Example: operating_forces("R") -> (135 * NEWTON, 90 * NEWTON) (30.35 and 20.23 lbf)
    """
    _class_row(name)
    if country not in CAPS:
        raise InputError("country-unknown", Msg("The class table is for the US and Canada."))
    for row in FORCES:
        if row[0] == ("R" if country == "CA" else name):
            return row[1] * NEWTON, row[2] * NEWTON
    raise InputError("class-unknown", Msg("The classes are R, LC, CW and AW."), name=name)


def about_forces(name: str, country: str = "US") -> Finding:
    """Return the class's forces in words, as information. Errors: those of operating_forces().

    Example: about_forces("R").verdict -> "information"
    """
    start, move = operating_forces(name, country)
    return Finding(
        INFORMATION,
        [
            Msg(
                "Class {name}: {start} to start, {move} to keep moving, in the laboratory.",
                name=name,
                start=Qty("force", start),
                move=Qty("force", move),
            )
        ],
        cautions=[
            Msg(
                "For information. A bowed jamb or a racked frame adds force; measure with the "
                "seals in, and hold it against the drawing."
            )
        ],
    )
