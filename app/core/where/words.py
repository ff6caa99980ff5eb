"""Words that places share, said from where the person stands."""

from app.core.kinds import Json
from app.core.quantity.messages import Len, Msg
from app.core.trade.drawing import Drawing

LEVELS = ("low", "middle", "high")


def standpoint_words(drawing: Drawing) -> Msg:
    """Return how left and right are meant.

    A crew that sets from the room side cannot stand outside, so it is told how to look.
    """
    if drawing.data.get("set_from") == "room":
        return Msg("seen from outside")
    return Msg("you outside")


def jamb_word(side: str, drawing: Drawing) -> Msg:
    """Return the words for the left or the right jamb."""
    if side == "left":
        return Msg("LEFT jamb, {stand}", stand=standpoint_words(drawing))
    return Msg("RIGHT jamb, {stand}", stand=standpoint_words(drawing))


def along_words(x: int, width: int, drawing: Drawing) -> Msg:
    """Return the words for a position along the sill, nanometres from the left end of the frame."""
    if x == 0:
        return jamb_word("left", drawing)
    if x == width:
        return jamb_word("right", drawing)
    return Msg("{x} from LEFT jamb, {stand}", x=Len(x, "place"), stand=standpoint_words(drawing))


def level_word(level: str) -> Msg:
    """Return the words for "low", "middle" or "high"."""
    if level == "low":
        return Msg("low")
    if level == "high":
        return Msg("high")
    return Msg("middle")


def level_heights(where: Json, height: int) -> "list[tuple[str, int]]":
    """Return low, middle and high, or those of "levels", with their heights above the sill.

    where: "margin" is how far low and high are from the ends.
    """
    margin = int(where["margin"])
    every = [("low", margin), ("middle", height // 2), ("high", height - margin)]
    return [pair for pair in every if pair[0] in where.get("levels", LEVELS)]


def place_mark(letter: str, nm: int) -> str:
    """Return an id for a position that a new revision of the drawing does not shift: tenths of mm.

    Example: place_mark("x", 2438400000) -> "x24384"
    """
    return letter + str(nm // 100000)
