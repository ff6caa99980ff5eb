"""The systems of doors that a drawing may name, and their words: the one list of them."""

from app.core.quantity.messages import Msg

# id in drawings, procedures and CSV -> words
DOOR_SYSTEMS = (
    ("stacking", Msg("stacking door")),
    ("sliding", Msg("sliding door")),
)
SYSTEM_IDS = tuple([id for id, _ in DOOR_SYSTEMS])


def system_words(id: str) -> Msg:
    """Return a system in words; "door" where a drawing does not name one, or a newer one.

    Example: system_words("sliding") -> Msg("sliding door")
    """
    for known, words in DOOR_SYSTEMS:
        if known == id:
            return words
    return Msg("door")
