"""Is a frame, an opening or a panel square: by its diagonals and its sides."""

from app.core.checks.as_drawn import side_or_diagonal
from app.core.checks.base import Ask, Outcome, Spec, not_measured, size_len
from app.core.checks.compare import at_most, bubble_offset, deciding_figure, joined_outcome
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import frame
from app.core.trade.verdicts import MISSING, OUT
from app.core.where.place import Place

# diagonals: places "low-left-high-right" and "low-right-high-left", seen from outside; of panels
# "A-low-left-high-right" … with place.panel.
# widths, heights: tape; where both are given the limit `agree` finds a misread diagonal.
# most: difference of the diagonals; most_tall: the same where the height is over setting `tall`.
# rack: sideways shift of the head, for each `over` of height (no setting `over`: in all);
# rack_any: sideways shift in any case. At least one of most, rack, rack_any.
# of: "opening" | "frame" | "panel" (whose width and height the drawing gives where not measured).


def _idle_limits(ask: Ask) -> "list[str]":
    """Return the limit of low panels where all are tall, that of tall ones where none is."""
    if not ("most" in ask.limits and "most_tall" in ask.limits):
        return []
    letters = [place.panel for place in ask.places["diagonals"]]
    names = [_difference_limit(ask, _heights_of(ask, letter)) for letter in letters]
    return [name for name in ("most", "most_tall") if name not in names]


SQUARE_SPEC = Spec(
    {"diagonals": "length", "widths": "length", "heights": "length"},
    {
        "most": "length",
        "most_tall": "length",
        "rack": "length",
        "rack_any": "length",
        "agree": "length",
    },
    {"of": "text", "over": "length", "tall": "length"},
    ("widths", "heights", "most", "most_tall", "rack", "rack_any", "agree", "over", "tall"),
    as_drawn=side_or_diagonal,
    idle=_idle_limits,
)
RISING = "low-left-high-right"
FALLING = "low-right-high-left"


class _Four:
    """Two diagonals, and the sides they belong to."""

    def __init__(self, ask: Ask, letter: str) -> None:
        self.ask = ask
        self.letter = letter
        self.rising = _end_reading(ask, letter, RISING)
        self.falling = _end_reading(ask, letter, FALLING)
        self.read_widths = _of_panel(ask, "widths", letter)
        self.read_heights = _of_panel(ask, "heights", letter)

    @property
    def difference(self) -> int:
        """Return rising less falling."""
        return self.rising - self.falling

    @property
    def widths(self) -> "list[int]":
        """Return the measured widths, else the drawn one."""
        return self.read_widths or [_drawn_size(self.ask, self.letter, "width")]

    @property
    def heights(self) -> "list[int]":
        """Return the measured heights, else the drawn one."""
        return _heights_of(self.ask, self.letter)


def _heights_of(ask: Ask, letter: str) -> "list[int]":
    return _of_panel(ask, "heights", letter) or [_drawn_size(ask, letter, "height")]


def square(ask: Ask) -> Outcome:
    """Return whether a frame, an opening or each panel is square, and which way to move its head.

    Errors: Silent where the drawing leaves a limit open; InputError 'drawing-silent' where a
            side is neither measured nor drawn; InputError 'limit-needed' without any limit.
    Source: core/trade/frame.py.
    """
    names = ("diagonals", "widths", "heights")
    inputs: list[str] = [input for input in names if input in ask.places]
    left_over = not_measured(ask, *inputs)
    if left_over:
        return left_over
    letters = []
    for place in ask.places["diagonals"]:
        if place.panel not in letters:
            letters.append(place.panel)
    pairs = [letter for letter in letters if len(_of_panel(ask, "diagonals", letter)) == 2]
    if not pairs:
        words = Msg("Both diagonals are needed.")
        return Outcome(MISSING, [words], [words], missing=ask.places["diagonals"])
    return joined_outcome([_square_one(_Four(ask, letter)) for letter in pairs], ask, *inputs)


def _of_panel(ask: Ask, input: str, letter: str) -> "list[int]":
    if input not in ask.places:
        return []
    return [value for place, value in ask.series(input) if place.panel in ("", letter)]


def _end_reading(ask: Ask, letter: str, name: str) -> int:
    for place, value in ask.series("diagonals"):
        if place.panel == letter and place.id.endswith(name):
            return value
    raise InputError("diagonal-unknown", Msg("The procedure does not say which diagonal is which."))


def _drawn_size(ask: Ask, letter: str, side: str) -> int:
    if letter or ask.settings["of"] == "panel":
        panel = ask.drawing.panel(letter or ask.panel)
        return panel.width if side == "width" else panel.height
    return ask.drawing.need(ask.settings["of"] + "_" + side)


def _square_one(four: _Four) -> Outcome:
    doubt = _no_size(four) or _impossible_sides(four)
    if doubt:
        return doubt
    num, den = frame.head_shift(four.rising, four.falling, four.widths)
    tests = _limit_tests(four, num, den)
    error = 2 * four.ask.errors.get("diagonals", 0)
    found = deciding_figure([at_most(n, d, limit, error) for n, d, limit in tests])
    n, d, limit = tests[0]
    return Outcome(
        found.verdict,
        _square_figures(four, half_up(num, den), found.verdict),
        [_move_head(four, half_up(num, den))] if found.verdict == OUT else [],
        found.value,
        found.low,
        found.high,
        found.over,
        tilt=bubble_offset(n if num > 0 else -n, d, limit),
    )


def _limit_tests(four: _Four, num: int, den: int) -> "list[tuple[int, int, int]]":
    """Return (num, den, limit) of each limit that is asked for; the first is the vial's."""
    ask = four.ask
    out = []
    name = _difference_limit(ask, four.heights)
    if name:
        out.append((abs(four.difference), 1, ask.limit(name)))
    if "rack" in ask.limits:
        over = ask.settings.get("over", 0)
        n, d = frame.rack_over(num, den, four.heights, over) if over else (abs(num), den)
        out.append((n, d, ask.limit("rack")))
    if "rack_any" in ask.limits:
        out.append((abs(num), den, ask.limit("rack_any")))
    if not out:
        raise InputError("limit-needed", Msg("The procedure gives no limit for this check."))
    return out


def _difference_limit(ask: Ask, heights: "list[int]") -> str:
    if "most_tall" in ask.limits and max(heights) > ask.settings["tall"]:
        return "most_tall"
    return "most" if "most" in ask.limits else ""


def _no_size(four: _Four) -> "Outcome | None":
    """Return 'missing' where a side comes to nothing: no shift follows from that."""
    if sum(four.widths) > 0 and sum(four.heights) > 0:
        return None
    says = Msg("A width or a height of 0 cannot be: measure the sides again.")
    inputs = [input for input in ("widths", "heights") if input in four.ask.places]
    again = [place for input in inputs for place in four.ask.places[input]]
    return Outcome(MISSING, [says], [says], missing=again)


def _impossible_sides(four: _Four) -> "Outcome | None":
    """Return 'missing' where the diagonals cannot belong to the measured sides."""
    ask = four.ask
    if "agree" not in ask.limits or not four.read_widths or not four.read_heights:
        return None
    sides = (four.read_widths, four.read_heights)
    if frame.fits_sides(four.rising, four.falling, *sides, ask.limit("agree")):
        return None
    says = Msg(
        "These readings cannot all be right: widths and heights make the diagonals {made}, read"
        " were {rising} and {falling}. Measure the diagonals again, then the sides.",
        made=size_len(frame.diagonal_of(*sides)),
        rising=size_len(four.rising),
        falling=size_len(four.falling),
    )
    return Outcome(MISSING, [says], [says], missing=_diagonal_places(four))


def _diagonal_places(four: _Four) -> "list[Place]":
    return [place for place in four.ask.places["diagonals"] if place.panel == four.letter]


def _square_figures(four: _Four, shift: int, verdict: str) -> "list[Msg]":
    out = [_differ_words(four), _racked_words(shift)]
    if verdict != OUT and not (four.read_widths and four.read_heights):
        out.append(
            Msg(
                "Equal diagonals alone do not prove it square. Compare widths low and high, heights"
                " left and right."
            )
        )
    if four.read_widths and four.read_heights and _sides_taper(four):
        out.append(
            Msg("Widths or heights are not even: it is no rectangle, even with equal diagonals.")
        )
    return out


def _sides_taper(four: _Four) -> bool:
    """Return whether sides differ by more than the readings may (isosceles trapezoid)."""
    if "agree" not in four.ask.limits:
        return False
    sides = (four.read_widths, four.read_heights)
    return any(max(s) - min(s) > four.ask.limit("agree") for s in sides)


def _differ_words(four: _Four) -> Msg:
    by = size_len(abs(four.difference))
    if four.difference > 0:
        longer = Msg("LOW LEFT to HIGH RIGHT is {by} longer, seen from outside.", by=by)
    elif four.difference < 0:
        longer = Msg("LOW RIGHT to HIGH LEFT is {by} longer, seen from outside.", by=by)
    else:
        longer = Msg("Both diagonals are the same.")
    return _named_words(four, longer)


def _racked_words(shift: int) -> Msg:
    by = size_len(abs(shift))
    if shift > 0:
        return Msg("The head stands {by} to the right of square.", by=by)
    if shift < 0:
        return Msg("The head stands {by} to the left of square.", by=by)
    return Msg("The head leans neither left nor right.")


def _move_head(four: _Four, shift: int) -> Msg:
    if four.ask.settings["of"] == "panel":
        words = Msg("Do not set it. A panel is not racked straight by hand: ask the office.")
        return _named_words(four, words)
    if four.ask.settings["of"] == "opening":
        return Msg("Set the frame square; pad what is left at the jambs, or ask the builder.")
    by = size_len(abs(shift))
    if shift > 0:
        return Msg("Move the head {by} to the left, seen from outside.", by=by)
    return Msg("Move the head {by} to the right, seen from outside.", by=by)


def _named_words(four: _Four, words: Msg) -> Msg:
    if not four.letter:
        return words
    return Msg("Panel {letter}: {words}", letter=four.letter, words=words)
