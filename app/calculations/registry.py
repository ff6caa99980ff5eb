"""Every calculation by its name."""

from app.calculations import (
    bedding,
    building,
    comparing,
    lifting,
    measuring,
    opening,
    packing,
    paneling,
    published,
    rolling,
    sealing,
    sill,
    watering,
    whole_door,
)
from app.calculations.calculation import Calculation
from app.core.errors import MissingError
from app.core.quantity.messages import Msg

_MODULES = (
    sill,
    packing,
    opening,
    comparing,
    paneling,
    bedding,
    rolling,
    sealing,
    lifting,
    watering,
    building,
    published,
    measuring,
    whole_door,
)
CALCULATIONS: tuple[Calculation, ...] = tuple(
    made for module in _MODULES for made in module.CALCULATIONS
)


def find(name: str) -> Calculation:
    """Return a calculation by its name; raises MissingError 'calculation-unknown'."""
    for made in CALCULATIONS:
        if made.name == name:
            return made
    raise MissingError(
        "calculation-unknown",
        Msg(
            "There is no calculation “{name}”. See the list: sillbook calc --list.",
            name=name if name.isprintable() and len(name) <= 40 else "…",
        ),
    )
