"""Durations: 15 min, 1 h 30, 90 s, 0:45 (hours and minutes, never minutes and seconds)."""

from app.core.kinds import Any
from app.core.quantity.amounts import Amount, Reader
from app.core.quantity.units import HOUR, MINUTE, SECOND, half_up


def duration_of(reader: Reader) -> "tuple[int, int]":
    """Return a duration as a fraction of milliseconds (n, d).

    Parts go from greater to smaller, each less than one of the part before;
    a bare number after hours is minutes, after minutes seconds.
    Errors:  InputError 'unreadable' and those of Typed.factor.
    Example: 1 h 30 -> (5400000, 1)
    """
    if ":" in [token[0] for token in reader.typed.tokens]:
        return _read_clock(reader), 1
    amounts = reader.amounts()
    above = 0
    n, d = 0, 1
    for amount in amounts:
        size = _unit_of(reader, amount, above)
        if above and amount.n * size >= above * amount.d:
            raise reader.typed.unreadable()
        n, d = n * amount.d + amount.n * size * d, d * amount.d
        above = size
    return n, d


def _unit_of(reader: Reader, amount: Amount, above: int) -> int:
    bare_after = above and not amount.unit
    size = above // 60 if bare_after else reader.typed.factor(amount.unit)
    if above and (size >= above or size < SECOND):
        raise reader.typed.unreadable()
    return size


def _read_clock(reader: Reader) -> int:
    tokens = reader.typed.tokens[reader.at :]
    if len(tokens) not in (3, 5):
        raise reader.typed.unreadable()
    total = 0
    for index, unit in ((0, HOUR), (2, MINUTE), (4, SECOND))[: (len(tokens) + 1) // 2]:
        if index and (tokens[index - 1][0] != ":" or tokens[index - 1][2] or tokens[index][2]):
            raise reader.typed.unreadable()
        total += _clock_part(reader, tokens[index], index) * unit
    return total


def _clock_part(reader: Reader, token: "tuple[str, Any, bool]", index: int) -> int:
    if token[0] != "number" or token[1][1] != 1 or (index and token[1][0] > 59):
        raise reader.typed.unreadable()
    part: int = token[1][0]
    return part


def show_duration(ms: int) -> str:
    """Return a duration as text, to the second, half up: 5400000 -> 1 h 30 min; 0 -> 0 min."""
    seconds = half_up(abs(ms), SECOND)
    parts = []
    for size, mark in ((3600, " h"), (60, " min"), (1, " s")):
        if seconds >= size:
            parts.append(str(seconds // size) + mark)
            seconds %= size
    text = " ".join(parts) or "0 min"
    return "\u2212" + text if ms < 0 and parts else text
