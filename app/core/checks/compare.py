"""A figure against its limit, exactly; a figure need not be whole (num / den)."""

from app.core import decide
from app.core.checks.base import UNREACHABLE, VERDICTS, WITHIN, Ask
from app.core.units import half_up, round_up

# How far the vial's bubble may run past its lines, in thousandths of the limit.
BUBBLE_END = 2000


def judged(num: int, den: int, limit: int, error: int = 0) -> str:
    """Return WITHIN, OUT or CLOSE for num / den against a greatest value.

    On the limit is within. error: greatest error of the figure (0 under simple
    acceptance). A limit is whole, so a figure is beyond it exactly where the figure
    rounded up is.

    Example: judged(6, 2, 3) -> "within"; judged(6, 2, 3, 1) -> "close"
    """
    return decide.verdict(round_up(num, den), None, limit, error)


def worst(verdicts: "list[str]") -> str:
    """Return the worst of several verdicts.

    Example: worst(["within", "out", "close"]) -> "out"
    """
    return VERDICTS[max([VERDICTS.index(verdict) for verdict in verdicts])]


def reached(verdict: str, ask: Ask, *roles: str) -> str:
    """Return the verdict, or UNREACHABLE where it is within but a place was out of reach."""
    gone = any(ask.unreachable.get(role) for role in roles)
    return UNREACHABLE if verdict == WITHIN and gone else verdict


def bubble(num: int, den: int, limit: int) -> int:
    """Return num / den in thousandths of the limit, held between the ends of the vial.

    Example: bubble(1, 2, 1) -> 500
    """
    if limit == 0:
        return 0 if num == 0 else (BUBBLE_END if num > 0 else -BUBBLE_END)
    return max(-BUBBLE_END, min(BUBBLE_END, half_up(1000 * num, den * limit)))


def beyond(num: int, den: int, limit: int) -> int:
    """Return by how much num / den is over the limit, rounded up to a nanometre, 0 within.

    Example: beyond(7, 2, 3) -> 1
    """
    return decide.beyond(round_up(num, den), None, limit)
