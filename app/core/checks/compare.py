"""A figure against its limit, exactly; a figure need not be whole (num / den)."""

from app.core.checks import decide
from app.core.checks.base import Ask, Outcome
from app.core.quantity.units import half_up, round_up
from app.core.trade.verdicts import UNREACHABLE, VERDICTS, WITHIN

# How far the vial's bubble may run past its lines, in thousandths of the limit.
BUBBLE_END = 2000


class Figure:
    """A figure, whole after rounding up, and what became of it against its limits.

    verdict: WITHIN, OUT or CLOSE. over: by how much it is beyond, 0 within.
    """

    def __init__(self, value: int, low: "int | None", high: "int | None", error: int = 0) -> None:
        self.value = value
        self.low = low
        self.high = high
        self.verdict = decide.verdict_of(value, low, high, error)
        self.over = decide.amount_beyond(value, low, high)

    def room(self) -> int:
        """Return how far it is from the nearer limit; below 0 beyond it."""
        rooms = [self.value - self.low] if self.low is not None else []
        return min(rooms + ([self.high - self.value] if self.high is not None else []))


def at_most(num: int, den: int, limit: int, error: int = 0) -> Figure:
    """Return num / den against a greatest value.

    On the limit is within. error: greatest error of the figure (0 under simple
    acceptance). A limit is whole, so a figure is beyond it exactly where the figure
    rounded up is.

    Example: at_most(6, 2, 3).verdict -> "within"; at_most(7, 2, 3).over -> 1
    """
    return Figure(round_up(num, den), None, limit, error)


def deciding_figure(figures: "list[Figure]") -> Figure:
    """Return the figure that decides: the worst verdict, then the one with the least room.

    Example: deciding_figure([at_most(1, 1, 9), at_most(8, 1, 9)]).value -> 8
    """
    best = figures[0]
    for one in figures[1:]:
        rank, before = VERDICTS.index(one.verdict), VERDICTS.index(best.verdict)
        if rank > before or (rank == before and one.room() < best.room()):
            best = one
    return best


def worst_verdict(verdicts: "list[str]") -> str:
    """Return the worst of several verdicts.

    Example: worst_verdict(["within", "out", "close"]) -> "out"
    """
    return VERDICTS[max([VERDICTS.index(verdict) for verdict in verdicts])]


def verdict_reached(verdict: str, ask: Ask, *inputs: str) -> str:
    """Return the verdict, or UNREACHABLE where it is within but a place was out of reach."""
    gone = any(ask.unreachable.get(input) for input in inputs)
    return UNREACHABLE if verdict == WITHIN and gone else verdict


def bubble_offset(num: int, den: int, limit: int) -> int:
    """Return num / den in thousandths of the limit, held between the ends of the vial.

    Example: bubble_offset(1, 2, 1) -> 500
    """
    if limit == 0:
        return 0 if num == 0 else (BUBBLE_END if num > 0 else -BUBBLE_END)
    return max(-BUBBLE_END, min(BUBBLE_END, half_up(1000 * num, den * limit)))


def joined_outcome(found: "list[Outcome]", ask: Ask, *inputs: str) -> Outcome:
    """Return one outcome of several: the worst one's figures, and the words of all that are not
    within; where all are within, everybody's.
    """
    most = worst_verdict([one.verdict for one in found])
    bad = [one for one in found if one.verdict == most]
    worst_one = bad[0]
    for one in bad:
        if one.over > worst_one.over:
            worst_one = one
    return Outcome(
        verdict_reached(most, ask, *inputs),
        [words for one in found if most == WITHIN or one.verdict != WITHIN for words in one.says],
        [words for one in found for words in one.remedies],
        worst_one.value,
        worst_one.low,
        worst_one.high,
        worst_one.over,
        tilt=worst_one.tilt,
        missing=[place for one in found for place in one.missing],
    )
