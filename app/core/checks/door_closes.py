"""Does the whole door close even: every gap, interlock and stile; one list of rollers for all.

The verdict is of the readings alone. What to do comes from the door model (core/trade/door_model),
which knows every panel's track, both jambs and the head: no remedy here undoes another. The
reveal decides; clearance has a least and a most; a panel that leans with its sill is no fault.
"""

from app.core.checks.as_drawn import even_gap
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import Figure, at_most, bubble_offset, deciding_figure, joined_outcome
from app.core.errors import AppError
from app.core.kinds import Any
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import rollers
from app.core.trade.door_model.outlook import outlook
from app.core.trade.door_model.words import change_words, move_words, short_words
from app.core.trade.verdicts import MISSING, OUT, WITHIN
from app.core.where.place import Place


def door_closes(ask: Ask) -> Outcome:
    """Return whether every gap, interlock and stile is within, and one list of rollers to turn.

    Errors: Silent where the drawing leaves a limit open.
    Source: definitions; core/trade/door_model.
    """
    inputs = [input for input in ("gaps", "interlocks") if input in ask.places]
    left_over = not_measured(ask, *inputs)
    if left_over:
        return left_over
    judged: list[Outcome] = []
    for series in _by_gap(ask, "gaps"):
        judged.extend(_closing_gap(ask, series))
    for series in _by_gap(ask, "interlocks"):
        judged.extend(_interlock(ask, series))
    for series in _by_gap(ask, "plumb"):
        judged.extend(_plumb(ask, series))
    judged.extend([_stile(ask, place, value) for place, value in _series(ask, "stiles")])
    if not judged:
        words = Msg("A closing gap is measured low and high.")
        return Outcome(MISSING, [words], [words], missing=ask.places["gaps"])
    whole = joined_outcome(judged, ask, *inputs)
    if all([one.verdict == WITHIN for one in judged]):
        whole.says = [Msg("Every gap and interlock is even.")]
    if whole.verdict == OUT:
        whole.remedies = _bows(ask) + roller_list(ask)
    return whole


def _series(ask: Ask, input: str) -> "list[tuple[Place, int]]":
    return ask.series(input) if input in ask.places else []


def _by_gap(ask: Ask, input: str) -> "list[list[tuple[Place, int]]]":
    """Return the readings of each gap or stile: their ids are alike up to the level."""
    names: list[str] = []
    groups: list[list[tuple[Place, int]]] = []
    for place, value in _series(ask, input):
        name = place.id.rpartition("-")[0]
        if name not in names:
            names.append(name)
            groups.append([])
        groups[names.index(name)].append((place, value))
    return groups


def _levels(series: "list[tuple[Place, int]]") -> "dict[str, int]":
    return {place.side: value for place, value in series}


def _closing_gap(ask: Ask, series: "list[tuple[Place, int]]") -> "list[Outcome]":
    at = _levels(series)
    if "low" not in at or "high" not in at:
        return []
    error = 2 * ask.errors.get("gaps", 0)
    values = [at[side] for side in at]
    figures = [at_most(max(values) - min(values), 1, ask.limit("reveal"), error)]
    if "middle" in at:
        bow = abs(rollers.bow_twice(at["low"], at["middle"], at["high"]))
        figures.append(at_most(bow, 2, ask.limit("middle"), error))
    says = _taper_words(series[0][0], at["low"], at["high"])
    return [_judged(figures, says, at["high"] - at["low"], ask.limit("reveal"))]


def _interlock(ask: Ask, series: "list[tuple[Place, int]]") -> "list[Outcome]":
    at = _levels(series)
    if "low" not in at or "high" not in at:
        return []
    values = [at[side] for side in at]
    error = 2 * ask.errors.get("interlocks", 0)
    figures = [at_most(max(values) - min(values), 1, ask.limit("interlock"), error)]
    says = _taper_words(series[0][0], at["low"], at["high"])
    return [_judged(figures, says, at["high"] - at["low"], ask.limit("interlock"))]


def _taper_words(place: Place, low: int, high: int) -> Msg:
    """Return how a gap tapers; its place's title begins with what it is."""
    params = {"place": place.title, "low": size_len(low), "high": size_len(high)}
    return Msg("{place}: {low}; high {high}.", **params)


def _plumb(ask: Ask, series: "list[tuple[Place, int]]") -> "list[Outcome]":
    at = _levels(series)
    if "low" not in at or "high" not in at or "plumb" not in ask.limits:
        return []
    lean = abs(at["high"] - at["low"])
    figures = [at_most(lean, 1, ask.limit("plumb"), 2 * ask.errors.get("plumb", 0))]
    says = Msg(
        "Panel {letter}: its closing stile leans {size}.",
        letter=series[0][0].panel,
        size=size_len(lean),
    )
    return [_judged(figures, says)]


def _stile(ask: Ask, place: Place, value: int) -> Outcome:
    least, most = [
        ask.limit(name) if name in ask.limits else None
        for name in ("clearance_least", "clearance_most")
    ]
    figure = Figure(value, least, most, ask.errors.get("stiles", 0))
    says = Msg("{place}: {size} over the sill.", place=place.title, size=size_len(value))
    return _judged([figure], says)


def _judged(
    figures: "list[Figure]", says: Msg, taper: "int | None" = None, limit: int = 0
) -> Outcome:
    figure = deciding_figure(figures)
    tilt = None if taper is None else bubble_offset(taper, 1, limit)
    return Outcome(
        figure.verdict, [says], None, figure.value, figure.low, figure.high, figure.over, tilt=tilt
    )


def _bows(ask: Ask) -> "list[Msg]":
    """Return which gap is bowed: shims straighten that, no roller does."""
    out = []
    for series in _by_gap(ask, "gaps"):
        at = _levels(series)
        if "low" not in at or "high" not in at or "middle" not in at:
            continue
        bow = rollers.bow_twice(at["low"], at["middle"], at["high"])
        if abs(bow) <= 2 * min(ask.limit("middle"), ask.limit("reveal")):
            continue
        place = next(place for place, _ in series if place.side == "middle")
        size = size_len(half_up(abs(bow), 2))
        words = Msg("{place}: {size} wider in the middle. Straighten it by its shims.")
        if bow < 0:
            words = Msg("{place}: {size} narrower in the middle. Straighten it by its shims.")
        out.append(Msg(words.template, place=place.title, size=size))
    return out


def roller_list(ask: Ask) -> "list[Msg]":
    """Return one list for the whole door: what to turn, then the one measuring again."""
    if ask.door is None:
        return []
    read = ask.door()
    if read.turns is None:
        read.turns = _work_out(read)
    out: list[Msg] = read.turns
    return out


def _work_out(read: Any) -> "list[Msg]":
    """Return the list for a door as it was read (record/door_as_read.py)."""
    if read.door is None:
        return [words for words in read.missing]
    try:
        found = outlook(read.door)
    except AppError as error:
        return [error.message]
    out = [short_words(letter, nm) for letter, nm in found.short]
    moves = found.plan.moves
    if found.changes and found.mended is not None:
        out.extend([change_words(change) for change in found.changes])
        moves = found.mended.moves
    elif not found.plan.within:
        out.append(Msg("Rollers alone do not fix it. Ask the office."))
    turns = [move_words(move) for move in moves]
    if found.changes:
        read.turned = []
    elif turns:
        read.turned = [move.letter for move in moves]
    if not turns:
        return out
    first = Msg("Weight off each roller first, hand tool only.")
    turned = [move.letter for move in moves]
    right = [panel.letter for panel in read.door.panels if panel.letter not in turned]
    if right:
        turns.append(Msg("Right, leave alone: panel {letters}.", letters=right))
    untried = [move for move in moves if move.turns is None and not move.fixed]
    if untried:
        turns.append(Msg("Make one trial turn and measure it before you count turns."))
    last = Msg("Then ten cycles, and measure again: gaps, interlocks, engagement, lift play.")
    return [first] + out + turns + [last]


def turned_panels(ask: Ask) -> "list[str] | None":
    """Return the panels that the list of rollers turns.

    [] where it moves more than rollers, None where it moves nothing.
    """
    if ask.door is None or not roller_list(ask):
        return None
    letters: list[str] | None = ask.door().turned
    return letters


# gaps: places with side "low", "middle", "high" (closing-gap). interlocks: "low", "high", with or
# without "middle" (interlock-heights). stiles: bottom of the stile over the sill, side "left" and
# "right" (stiles). plumb: `how: plumb` on the closing stile of each meeting lead, side "low" and
# "high" (lead-stiles), the line hanging in the gap. trial: what one trial turn raised the panel.
# reveal: a closing gap alike. middle: its middle off the mean of low and high. interlock: an
# interlock alike. plumb: lean of a meeting lead's own stile. clearance_least, _most: each stile.
DOOR_CLOSES_SPEC = Spec(
    {
        "gaps": "length",
        "interlocks": "length",
        "stiles": "length",
        "plumb": "length",
        "trial": "length",
    },
    {
        "reveal": "length",
        "middle": "length",
        "interlock": "length",
        "plumb": "length",
        "clearance_least": "length",
        "clearance_most": "length",
    },
    {},
    ("interlocks", "stiles", "plumb", "trial", "plumb", "clearance_least", "clearance_most"),
    judged=("interlocks", "stiles", "plumb"),
    whole_door=True,
    limits_of={
        "gaps": ("reveal", "middle"),
        "interlocks": ("interlock",),
        "stiles": ("clearance_least", "clearance_most"),
        "plumb": ("plumb",),
        "trial": (),
    },
    turned=turned_panels,
    as_drawn=even_gap,
)
