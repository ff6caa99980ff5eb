"""Turns of an adjusting screw in words."""

from app.core.quantity.messages import Msg

WHOLE = (
    Msg("one", context="turns"),
    Msg("two"),
    Msg("three"),
    Msg("four"),
    Msg("five"),
    Msg("six"),
    Msg("seven"),
    Msg("eight"),
    Msg("nine"),
    Msg("ten"),
)


def turn_words(quarters: int) -> Msg:
    """Return a number of turns, given in quarters, in words.

    Example: turn_words(4) == Msg("one turn") -> True
    """
    whole, rest = quarters // 4, quarters % 4
    if whole == 0:
        return _part_of_turn(rest)
    if quarters == 4:
        return Msg("one turn")
    count = WHOLE[whole - 1] if whole <= len(WHOLE) else whole
    if rest == 1:
        return Msg("{count} and a quarter turns", count=count)
    if rest == 2:
        return Msg("{count} and a half turns", count=count)
    if rest == 3:
        return Msg("{count} and three quarter turns", count=count)
    return Msg("{count} turns", count=count)


def _part_of_turn(quarters: int) -> Msg:
    if quarters == 0:
        return Msg("less than a quarter turn")
    if quarters == 1:
        return Msg("a quarter turn")
    return Msg("half a turn") if quarters == 2 else Msg("three quarters of a turn")
