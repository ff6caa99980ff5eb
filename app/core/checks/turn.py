"""A move of a roller in words: which one, which way, how far, how many turns."""

from app.core.checks.base import Ask, size_len
from app.core.quantity.messages import Msg
from app.core.trade import rollers
from app.core.trade.turns import turn_words


def leading_side(ask: Ask, letter: str, x: "int | None") -> str:
    """Return "left" or "right": the side that a panel closes with, seen from outside.

    x: where its gap was measured, from the left end of the frame; None: by the drawing's lock.
    Errors: InputError 'panel-unknown'.
    """
    panel = ask.drawing.panel(letter)
    if x is not None:
        return "left" if abs(x - panel.left) < abs(panel.right - x) else "right"
    return "left" if ask.drawing.data.get("lock") == "left" else "right"


def turn_moves(
    ask: Ask, letter: str, taper: int, apart: "int | None", x: "int | None"
) -> "list[Msg]":
    """Return what to do about a panel whose gap tapers: turn one roller, then look again."""
    roller = rollers.raised_roller(taper)
    side = rollers.side_of(roller, leading_side(ask, letter, x))
    axles = ask.drawing.length("axle_distance")
    if not axles or not apart:
        return [_no_figure(letter, roller, side, bool(axles))]
    rise = rollers.roller_rise(taper, axles, apart)
    return [
        _raise_words(ask, letter, roller, side, rise),
        Msg(
            "Take the weight off first; hand tool only. Then check head engagement, interlock and"
            " lock height: they move with the stile."
        ),
    ]


def _no_figure(letter: str, roller: str, side: str, axles: bool) -> Msg:
    words = Msg(
        "Panel {letter}: raise the {roller} roller ({side}). How far cannot be said: the drawing"
        " does not give the distance between the roller axles. Ask the office."
    )
    if axles:
        words = Msg(
            "Panel {letter}: raise the {roller} roller ({side}). How far cannot be said: nothing"
            " gives the distance between the lowest and the highest gap. Measure it."
        )
    return Msg(words.template, letter=letter, roller=_roller_word(roller), side=_side_word(side))


def _roller_word(roller: str) -> Msg:
    return Msg("trailing") if roller == "trailing" else Msg("leading")


def _side_word(side: str) -> Msg:
    if side == "left":
        return Msg("the LEFT one, seen from outside")
    return Msg("the RIGHT one, seen from outside")


def _raise_words(ask: Ask, letter: str, roller: str, side: str, rise: int) -> Msg:
    trial = _trial_rise(ask, letter)
    params = {
        "letter": letter,
        "roller": _roller_word(roller),
        "side": _side_word(side),
        "rise": size_len(rise),
        "other": _roller_word(rollers.OTHER[roller]),
    }
    if not trial:
        return Msg(
            "Panel {letter}: raise the {roller} roller ({side}) {rise}, or lower the {other} one as"
            " much. Make one trial turn and measure it before you count turns.",
            **params,
        )
    return Msg(
        "Panel {letter}: raise the {roller} roller ({side}) {rise}: {turns}, by your trial turn. Or"
        " lower the {other} one as much.",
        turns=turn_words(rollers.quarter_turns(rise, trial)),
        **params,
    )


def _trial_rise(ask: Ask, letter: str) -> int:
    """Return how much one trial turn moved this panel (or, measured once, any panel), else 0."""
    if "trial" not in ask.places:
        return 0
    once = 0
    for place, value in ask.series("trial"):
        if place.panel == letter:
            return abs(value)
        if not place.panel:
            once = abs(value)
    return once


def level_stiles(ask: Ask, letter: str, left: int, right: int) -> "list[Msg]":
    """Return which roller to raise so that both stiles stand alike."""
    panel = ask.drawing.panel(letter)
    side = "left" if left < right else "right"
    axles = ask.drawing.length("axle_distance") or panel.width
    rise = rollers.roller_rise(left - right, axles, panel.width)
    trial = _trial_rise(ask, letter)
    params = {"letter": letter, "side": _side_word(side), "rise": size_len(rise)}
    if not trial:
        return [Msg("Panel {letter}: raise one roller ({side}) {rise}.", **params)]
    return [
        Msg(
            "Panel {letter}: raise one roller ({side}) {rise}: {turns}, by your trial turn.",
            turns=turn_words(rollers.quarter_turns(rise, trial)),
            **params,
        )
    ]
