"""Sealant by volume: sections of beads, what a container fills, how many are needed.

Whole numbers throughout: lengths in nanometres, sections in nm², volumes in
nm³. What is bought is rounded up, what a container reaches is rounded down.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Len, Msg

CUBIC_INCH = 25400000 * 25400000 * 25400000  # nm³; 1 in = 25.4 mm exactly
# 1 US gallon = 231 in³ exactly, 128 fl oz (NIST Handbook 44, Appendix C)
FLUID_OUNCE = CUBIC_INCH * 231 // 128  # divides exactly
MILLILITRE = 1000000 * 1000000 * 1000000000  # nm³


class Container:
    """One size that sealant is sold in; volume in nm³."""

    def __init__(self, id: str, kind: str, size: str, volume: int) -> None:
        self.id = id
        self.kind = kind
        self.size = size
        self.volume = volume

    @property
    def title(self) -> Msg:
        """Return words for it: "cartridge, 10.1 fl oz (299 mL)"."""
        ml = (self.volume + MILLILITRE // 2) // MILLILITRE
        if self.kind == "sausage":
            return Msg("sausage, {size} fl oz ({ml} mL)", size=self.size, ml=ml)
        return Msg("cartridge, {size} fl oz ({ml} mL)", size=self.size, ml=ml)


# id, kind, size in tenths of a US fluid ounce: sizes commonly sold
SIZES = (
    ("c101", "cartridge", 101),
    ("c103", "cartridge", 103),
    ("s200", "sausage", 200),
    ("s203", "sausage", 203),
    ("c280", "cartridge", 280),
)


def sealant_containers() -> "list[Container]":
    """Return the sizes that sealant is sold in, smallest first.

    Example: len(sealant_containers()) -> 5
    """
    out = []
    for code, kind, tenths in SIZES:
        whole, part = divmod(tenths, 10)
        size = str(whole) + ("." + str(part) if part else "")
        out.append(Container(code, kind, size, FLUID_OUNCE * tenths // 10))
    return out


def rectangular_section(width: int, height: int) -> int:
    """Return the section of a bead that fills a joint, nm².

    Units:   nanometres in, nm² out. Errors: InputError 'bead-size' at or below zero.
    Example: rectangular_section(INCH // 2, INCH // 2) -> INCH * INCH // 4
    """
    _check_size(width)
    _check_size(height)
    return width * height


def fillet_section(leg: int) -> int:
    """Return the section of a triangular fillet with two equal legs, nm², rounded up.

    Half a square: a chart that gives 50 to 55 ft of "1/4 x 1/4" to a 10.1 fl oz cartridge
    means this one, and is out by two for a joint that is filled.

    Source:  half the square of its leg (plane geometry).
    Example: fillet_section(INCH // 4) -> 20161250000000
    """
    _check_size(leg)
    return (leg * leg + 1) // 2


def round_bead(diameter: int) -> int:
    """Return the section of a round bead, nm², rounded up: pi D²/4 with 355/113 for pi.

    355/113 is above pi by less than one part in ten million, so it never falls short.

    Source:  area of a circle.
    Example: round_bead(226) -> 40115
    """
    _check_size(diameter)
    return -(-diameter * diameter * 355 // 452)


def bead_reach(section: int, volume: int) -> int:
    """Return the length that a volume fills at a section, nanometres, rounded down.

    Example: bead_reach(rectangular_section(INCH // 4, INCH // 4), FLUID_OUNCE * 101 // 10) ->
             7407592500 (24.303 ft)
    """
    if section <= 0:
        raise InputError("bead-size", Msg("A bead must be wider and higher than nothing."))
    return volume // section


def with_waste(volume: int, percent: int) -> int:
    """Return a volume with so many per cent more for waste, rounded up.

    Validity: 0 to 100 %; a job setting, no standard gives it.
    Errors:   InputError 'waste-range' outside.
    Example:  with_waste(100, 15) -> 115
    """
    if not 0 <= percent <= 100:
        raise InputError(
            "waste-range",
            Msg("Waste must be from 0 to 100 %, not {percent} %.", percent=percent),
            percent=percent,
        )
    return -(-volume * (100 + percent) // 100)


def container_count(volume: int, container: Container) -> int:
    """Return how many containers hold a volume: rounded up.

    Example: container_count(4 * CUBIC_INCH, Container("x", "cartridge", "1", 3 * CUBIC_INCH)) -> 2
    """
    return -(-volume // container.volume)


def _check_size(length: int) -> None:
    if length <= 0:
        raise InputError(
            "bead-size",
            Msg("A bead cannot be {size} wide or high.", size=Len(length)),
            size=length,
        )
