"""Pressures as text: "6 psf", "290 Pa", "1.2 inH2O", "6,5 psf"; exact, never through a float."""

import re

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.typed import reads_two_ways
from app.core.trade.water import Pressure

_TEXT = re.compile(r"(\d{1,6})(?:([.,])(\d{1,6}))? *([A-Za-z0-9/²]*)", re.ASCII)
UNITS = {
    "psf": "psf",
    "lbf/ft2": "psf",
    "lbf/ft²": "psf",
    "pa": "Pa",
    "inh2o": "inH2O",
}
BARE = {"in": "psf", "mm": "Pa"}


def pressure(text: str, units: str) -> Pressure:
    """Return a pressure from text; a bare number is psf ("in") or Pa ("mm").

    Errors:  InputError 'pressure-unreadable' (1,250 too, which can be read two ways),
             'pressure-unit'.
    Example: pressure("7.5 psf", "in").thousandths("psf") -> 7500
    """
    found = _TEXT.fullmatch(text.strip()) if len(text) <= 64 else None
    if not found or reads_two_ways(found[1], found[2] or "", found[3] or ""):
        raise InputError(
            "pressure-unreadable",
            Msg("Write a pressure like {example}.", example="6.5 psf, 290 Pa"),
        )
    whole, part, unit = found[1], found[3] or "", found[4].lower()
    name = UNITS.get(unit) if unit else BARE[units]
    if name is None:
        raise InputError("pressure-unit", Msg("A pressure is in psf, Pa or inH2O."), unit=unit)
    return Pressure(int(whole + part), name, int(10 ** len(part)))
