"""Makes a failing schedule as short as it gets.

Source: delta debugging (Zeller and Hildebrandt, "Simplifying and Isolating Failure-Inducing Input",
IEEE Transactions on Software Engineering 28(2), 2002: algorithm ddmin), restated.
"""

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def shortest(items: Sequence[T], fails: Callable[[list[T]], bool]) -> list[T]:
    """Return a part of the items, in their order, that still fails, while none less does.

    Example: shortest(range(9), lambda part: {2, 7} <= set(part)) -> [2, 7]
    """
    kept, parts = list(items), 2
    while len(kept) > 1:
        less = _less(kept, parts, fails)
        if less is not None:
            kept, parts = less, max(parts - 1, 2)
        elif parts >= len(kept):
            break
        else:
            parts = min(len(kept), 2 * parts)
    return [] if kept and fails([]) else kept


def _less(kept: list[T], parts: int, fails: Callable[[list[T]], bool]) -> list[T] | None:
    """Return the items without one of so many parts, where that still fails."""
    size = -(-len(kept) // parts)
    for at in range(0, len(kept), size):
        rest = kept[:at] + kept[at + size :]
        if rest and fails(rest):
            return rest
    return None
