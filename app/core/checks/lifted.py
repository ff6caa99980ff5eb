"""Does the handle lift each panel as drawn, both stiles even, and free of its gasket."""

from app.core.checks.as_drawn import lifted_stile
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import Figure, at_most, deciding_figure, joined_outcome
from app.core.quantity.messages import Msg
from app.core.trade import lift_and_slide
from app.core.trade.verdicts import MISSING, OUT, UNREACHABLE
from app.core.where.place import Place

# lowered, lifted: bottom of a stile over the sill with the handle down and up, side "left" and
# "right" of place.panel. least, most: lift of each stile. alike: lifts of both stiles.
# free: a lifted stile over the sill, the height of the gasket when nothing presses it. pressed: a
# lowered stile over the sill; not judged here, the remedy keeps to it.
PANEL_LIFT_SPEC = Spec(
    {"lowered": "length", "lifted": "length"},
    {"least": "length", "most": "length", "alike": "length", "free": "length", "pressed": "length"},
    optional=("pressed",),
    as_drawn=lifted_stile,
)
SIDES = ("left", "right")


def panel_lift(ask: Ask) -> Outcome:
    """Return whether each panel lifts as drawn, even at both stiles, and free of its gasket.

    Errors: Silent where the drawing leaves a limit open.
    Source: definitions; core/trade/lift_and_slide.py.
    """
    left_over = not_measured(ask, "lowered", "lifted")
    if left_over:
        return left_over
    letters: list[str] = []
    for place in ask.places["lowered"]:
        both = [len(_stiles(ask, input, place.panel)) for input in ("lowered", "lifted")]
        if place.panel not in letters and both == [len(SIDES), len(SIDES)]:
            letters.append(place.panel)
    if not letters:
        words = Msg("Both stiles are needed.")
        verdict = UNREACHABLE if ask.unreachable else MISSING
        return Outcome(verdict, [words], missing=ask.places["lowered"])
    judged = [_panel_outcome(ask, letter) for letter in letters]
    return joined_outcome(judged, ask, "lowered", "lifted")


def _stiles(ask: Ask, input: str, letter: str) -> "list[tuple[Place, int]]":
    """Return (place, value) of the left and the right stile of a panel, those that were read."""
    found = [pair for pair in ask.series(input) if pair[0].panel == letter]
    return [pair for side in SIDES for pair in found if pair[0].side == side]


def _panel_outcome(ask: Ask, letter: str) -> Outcome:
    lowered = [value for _, value in _stiles(ask, "lowered", letter)]
    lifted = [value for _, value in _stiles(ask, "lifted", letter)]
    lifts = [up - down for down, up in zip(lowered, lifted)]
    own = ask.errors.get("lifted", 0)
    error = own + ask.errors.get("lowered", 0)
    figures = [Figure(lift, ask.limit("least"), ask.limit("most"), error) for lift in lifts]
    even = at_most(abs(lifts[0] - lifts[1]), 1, ask.limit("alike"), 2 * error)
    free = [Figure(height, ask.limit("free"), None, own) for height in lifted]
    says = Msg(
        "Panel {letter} lifts {left} at the LEFT stile, {right} at the RIGHT.",
        letter=letter,
        left=size_len(lifts[0]),
        right=size_len(lifts[1]),
    )
    remedies = (
        _of_the_rod(letter, lifts) if even.verdict == OUT else _of_the_handle(letter, figures)
    )
    if not remedies and any([one.verdict == OUT for one in free]):
        remedies = _of_the_carriages(ask, letter, lowered, lifted)
    figure = deciding_figure(figures + [even] + free)
    return Outcome(
        figure.verdict, [says], remedies, figure.value, figure.low, figure.high, figure.over
    )


def _of_the_rod(letter: str, lifts: "list[int]") -> "list[Msg]":
    """Return which carriage lags: one rod works both, and evens them."""
    words = Msg("Panel {letter}: LEFT carriage lifts {size} less. Adjust the rod between them.")
    if lifts[1] < lifts[0]:
        words = Msg(
            "Panel {letter}: RIGHT carriage lifts {size} less. Adjust the rod between them."
        )
    return [Msg(words.template, letter=letter, size=size_len(abs(lifts[0] - lifts[1])))]


def _of_the_handle(letter: str, figures: "list[Figure]") -> "list[Msg]":
    bad = [one for one in figures if one.verdict == OUT]
    if not bad:
        return []
    worst = bad[0] if bad[0].over >= bad[-1].over else bad[-1]
    words = Msg("Panel {letter}: lifts {size} too little. Check full throw, gear, carriages.")
    if worst.high is not None and worst.value > worst.high:
        words = Msg("Panel {letter}: lifts {size} too much. Check gear and carriages by mark.")
    return [Msg(words.template, letter=letter, size=size_len(worst.over))]


def _of_the_carriages(
    ask: Ask, letter: str, lowered: "list[int]", lifted: "list[int]"
) -> "list[Msg]":
    most = ask.limits.get("pressed")
    rise = lift_and_slide.raise_to_free(lowered, lifted, ask.limit("free"), most)
    if rise is None:
        return [
            Msg("Panel {letter}: it leans too much for its gasket. Ask the office.", letter=letter)
        ]
    return [
        Msg(
            "Panel {letter}: gasket drags. Raise both carriages {size} the same, measure again.",
            letter=letter,
            size=size_len(rise),
        )
    ]
