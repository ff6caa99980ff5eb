"""Turns of an adjusting screw in words."""

from app.core.quantity.messages import Msg

WHOLE = (  # from two on
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
    if rest == 1:
        return Msg("{count} 1/4 turns", count=whole)
    if rest == 2:
        return Msg("{count} 1/2 turns", count=whole)
    if rest == 3:
        return Msg("{count} 3/4 turns", count=whole)
    return Msg("{count} turns", count=WHOLE[whole - 2] if whole - 2 < len(WHOLE) else whole)


def _part_of_turn(quarters: int) -> Msg:
    if quarters == 0:
        return Msg("less than 1/4 turn")
    if quarters == 1:
        return Msg("1/4 turn")
    return Msg("1/2 turn") if quarters == 2 else Msg("3/4 turn")
