"""Stable sorting for both interpreters.

MicroPython's sorted() is not stable and takes seconds on input that is already
in order; ``sorted`` and ``.sort`` with a key are therefore banned in the core.
"""

from app.core.kinds import Any, Callable


def sort_by(items: "list[Any]", key: "Callable[[Any], Any]") -> "list[Any]":
    """Return a new list in ascending order of key(item); equal keys keep their order.

    A bottom-up merge sort: each key is computed once, no recursion, about
    n log2 n comparisons whatever the input, n where it is in order already. Keys must be
    comparable alike in both interpreters: int, str, or tuples of them.

    Example: sort_by(["bb", "a", "cc"], len) -> ["a", "bb", "cc"]
    """
    if len(items) < 2:
        return list(items)
    source = [(key(item), item) for item in items]
    if _in_order(source):
        return [pair[1] for pair in source]
    width = 1
    while width < len(source):
        merged: list[Any] = []
        for start in range(0, len(source), 2 * width):
            merged.extend(_merge_runs(source, start, start + width, start + 2 * width))
        source = merged
        width *= 2
    return [pair[1] for pair in source]


def _in_order(source: "list[Any]") -> bool:
    before = None
    for pair in source:
        if before is not None and pair[0] < before[0]:
            return False
        before = pair
    return True


def _merge_runs(source: "list[Any]", left: int, middle: int, end: int) -> "list[Any]":
    right = middle
    middle = min(middle, len(source))
    end = min(end, len(source))
    out = []
    while left < middle and right < end:
        if source[right][0] < source[left][0]:
            out.append(source[right])
            right += 1
        else:
            out.append(source[left])
            left += 1
    out.extend(source[left:middle])
    out.extend(source[right:end])
    return out
