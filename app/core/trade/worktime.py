"""How long it takes to bring a sill level, as far as that can be said before.

Rules of thumb for two people with the tools at hand; a company sets its own in the procedure's
settings some day. Common practice, no source: nobody promises a time from them.
"""

from app.core.errors import InputError
from app.core.quantity.messages import Msg, Qty

MINUTE = 60000  # milliseconds
# kind of work -> minutes to begin with, minutes a place
RATES = {"pack": (15, 4), "grind": (30, 15), "fill": (45, 2)}
SPREAD = 2  # what is found on the way may take as long again


def work_minutes(kind: str, places: int) -> "tuple[int, int]":
    """Return the least and the most minutes of work that a way to level a sill takes.

    Units:   places: whole, from the survey; minutes.
    Errors:  InputError 'way-unknown' for a kind that is none of RATES.
    Source:  common practice, no source.
    Example: work_minutes("pack", 5) -> (35, 70)
    """
    if kind not in RATES:
        raise InputError("way-unknown", Msg("There is no such way to level a sill."), kind=kind)
    begin, each = RATES[kind]
    least = begin + each * places
    return least, SPREAD * least


def time_words(kind: str, places: int) -> "list[Msg]":
    """Return what a way costs in time, in words; a fill must harden before anything is bedded."""
    least, most = work_minutes(kind, places)
    out = [
        Msg(
            "Time: {least} to {most} of work, a rule of thumb, no promise.",
            least=Qty("duration", least * MINUTE),
            most=Qty("duration", most * MINUTE),
        )
    ]
    if kind == "fill":
        out.append(
            Msg(
                "Then the fill hardens for as long as its maker says: no bedding before, so reckon "
                "with another day."
            )
        )
    return out
