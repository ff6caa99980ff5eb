"""What a panel weighs: from its label, or worked out from the glass.

Masses in the base unit of measure.py: 1e-11 kg, whole.
"""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg

FRAME_PERCENT = 15  # for frame and hardware where no label says; common practice, no source
THINNEST = 4 * 10**6  # nm: no sliding door has a thinner lite; common practice, no source
KILOGRAM = 100000000000


class Weight:
    """A panel's mass in 1e-11 kg, and where it comes from: "label" or "glass"."""

    def __init__(self, mass: int, basis: str) -> None:
        self.mass = mass
        self.basis = basis


def glass_mass(width: int, height: int, lites: "list[int]", interlayers: int = 0) -> int:
    """Return the mass of a glass make-up in 1e-11 kg, rounded up.

    Units:   nanometres; lites: nominal thickness of each (never the least that a standard
             lets pass); interlayers: total thickness of laminating film. Gas weighs nothing.
    Errors:  InputError 'glass-size' for anything at or below zero.
    Source:  2500 kg/m³ for soda-lime glass, EN 572-1 as restated; film 1070 kg/m³, from memory.
    Example: glass_mass(1500 * 10**6, 3000 * 10**6, [8 * 10**6, 8 * 10**6]) -> 180 * KILOGRAM
    """
    if width <= 0 or height <= 0 or not lites or min(lites) <= 0 or interlayers < 0:
        raise InputError("glass-size", Msg("The glass make-up has a size that cannot be."))
    # kg/m³ = 1e-27 kg/nm³ = 1e-16 base units a cubic nanometre
    heavy = width * height * (2500 * sum(lites) + 1070 * interlayers)
    return -(-heavy // 10000000000000000)


def bare_glass(data: Json) -> int:
    """Return what the glass of a panel weighs at the very least, 1e-11 kg.

    data: a panel as the drawing has it. Of its glass make-up, else of a single lite of
    THINNEST; three quarters of the panel's area are glass (common practice, no source).
    Source:  2.5 kg per m² and millimetre: glass_mass().
    Example: bare_glass({"width": "1000000000", "height": "2000000000"}) -> 15 * KILOGRAM
    """
    make_up = data.get("glass") or {}
    lites = [int(text) for text in make_up.get("lites") or [THINNEST]]
    whole = glass_mass(
        int(data["width"]), int(data["height"]), lites, int(make_up.get("interlayers") or 0)
    )
    return 3 * whole // 4


def of_panel(data: Json) -> "Weight | None":
    """Return what a panel of the drawing weighs, or None where nothing gives it.

    The label's mass wins. Else the drawing's glass make-up, counted over the whole panel
    (more than the glass alone), and FRAME_PERCENT for frame and hardware, rounded up.

    data: a panel as the drawing has it; "glass": {"lites": ["6000000", "6000000"],
    "interlayers": "760000"} in nanometres is optional.

    Example: of_panel({"mass": "100"}).basis -> "label"
    """
    if int(data.get("mass") or 0) > 0:
        return Weight(int(data["mass"]), "label")
    make_up = data.get("glass")
    if not make_up or not make_up.get("lites"):
        return None
    bare = glass_mass(
        int(data["width"]),
        int(data["height"]),
        [int(text) for text in make_up["lites"]],
        int(make_up.get("interlayers") or 0),
    )
    return Weight(-(-bare * (100 + FRAME_PERCENT) // 100), "glass")


def weight_caution() -> Msg:
    """Return the caution that goes with every weight: the program never approves a lift."""
    return Msg(
        "Weights are for planning. The label on the panel and the scale win. "
        "Whoever directs the lift decides crew and aids; this page approves no lift."
    )
