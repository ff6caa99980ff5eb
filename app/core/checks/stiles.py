"""Do both stiles of a panel stand alike over the sill, and as drawn."""

from app.core.checks import turn
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import at_most, bubble_offset, deciding_figure, joined_outcome
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place

# stiles: side "left" and "right", per panel or place.panel. most: left and right alike.
# target: height over the sill as drawn; off: how far from it at most (else `most`).
STILES_ALIKE_SPEC = Spec(
    {"stiles": "length", "trial": "length"},
    {"most": "length", "target": "length", "off": "length"},
    {},
    ("trial", "target", "off"),
)


def stiles_alike(ask: Ask) -> Outcome:
    """Return whether both stiles of each panel stand alike over the sill, and as drawn.

    Errors: Silent where the drawing leaves a limit open; InputError 'panel-unknown'.
    Source: definitions; core/trade/rollers.py.
    """
    left_over = not_measured(ask, "stiles")
    if left_over:
        return left_over
    letters = []
    for place in ask.places["stiles"]:
        if place.panel not in letters and both_stiles(ask, place.panel):
            letters.append(place.panel)
    if not letters:
        words = Msg("Both stiles are needed.")
        return Outcome(MISSING, [words], [words], missing=ask.places["stiles"])
    found = [_stile_outcome(ask, letter) for letter in letters]
    return joined_outcome(found, ask, "stiles")


def _stile_outcome(ask: Ask, letter: str) -> Outcome:
    at = both_stiles(ask, letter) or {}
    left, right = at["left"][1], at["right"][1]
    most, error = ask.limit("most"), ask.errors.get("stiles", 0)
    figures = [at_most(abs(left - right), 1, most, 2 * error)]
    uneven = figures[0].verdict == OUT
    remedies = turn.level_stiles(ask, letter, left, right) if uneven else []
    if "target" in ask.limits:
        off, target = ask.limits.get("off") or most, ask.limit("target")
        far = max(abs(left - target), abs(right - target))
        figures.append(at_most(far, 1, off, error))
        if figures[1].verdict == OUT and not remedies:
            remedies = _to_target(ask, letter, (left, right), target)
    says = Msg(
        "Panel {letter}: LEFT stile {left}, RIGHT stile {right} over the sill.",
        letter=letter,
        left=size_len(left),
        right=size_len(right),
    )
    found = deciding_figure(figures)
    return Outcome(
        found.verdict,
        [says],
        remedies,
        found.value,
        found.low,
        found.high,
        found.over,
        tilt=bubble_offset(right - left, 1, most),
    )


def _to_target(ask: Ask, letter: str, pair: "tuple[int, int]", target: int) -> "list[Msg]":
    """Return the move that brings the mean of both stiles to the drawn height."""
    by = half_up(2 * target - pair[0] - pair[1], 2)
    if by == 0:
        return turn.level_stiles(ask, letter, pair[0], pair[1])
    if by > 0:
        return [
            Msg("Panel {letter}: raise both rollers {by} each.", letter=letter, by=size_len(by))
        ]
    return [Msg("Panel {letter}: lower both rollers {by} each.", letter=letter, by=size_len(-by))]


def both_stiles(ask: Ask, letter: str) -> "dict[str, tuple[Place, int]] | None":
    """Return side -> (place, clearance) of a panel's stiles, or None unless both were read."""
    at = {p.side: (p, value) for p, value in ask.series("stiles") if p.panel == letter}
    return at if "left" in at and "right" in at else None
