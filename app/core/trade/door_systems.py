"""The systems of doors that a drawing may name, and their words: the one list of them."""

from app.core.quantity.messages import Msg

# id in drawings, procedures and CSV -> words
DOOR_SYSTEMS = (
    ("stacking", Msg("stacking door")),
    ("sliding", Msg("sliding door")),
    ("lift-and-slide", Msg("lift-and-slide door")),
)
SYSTEM_IDS = tuple([id for id, _ in DOOR_SYSTEMS])
# field of the drawing -> the only systems that have a use for it; any other field is for all
OWN_FIELDS = {
    "panel_lift_least": ("lift-and-slide",),
    "panel_lift_most": ("lift-and-slide",),
    "foot_gasket": ("lift-and-slide",),
    "handle_force": ("lift-and-slide",),
}


def system_words(id: str) -> Msg:
    """Return a system in words; "door" where a drawing does not name one, or a newer one.

    Example: system_words("sliding") -> Msg("sliding door")
    """
    for known, words in DOOR_SYSTEMS:
        if known == id:
            return words
    return Msg("door")


def system_uses(id: str, field: str) -> bool:
    """Return whether a system has a use for a field of the drawing.

    Example: system_uses("sliding", "foot_gasket") -> False
    """
    return field not in OWN_FIELDS or id in OWN_FIELDS[field]
