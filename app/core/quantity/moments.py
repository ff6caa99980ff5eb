"""Moments: wall times with their offset, as devices claim them, and the seconds between them.

A claimed time is text as ISO 8601 has it, "2026-03-02T14:05:00-05:00"; what is no such text is
None here, never an error: a claim orders nothing.
"""

from app.core.quantity.dates import days_in, is_date
from app.core.quantity.units import HOUR, MINUTE, SECOND

DAY = 24 * HOUR
_DIGITS = "0123456789"
_BEFORE_MONTH = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)  # days, of a common year


def moment_of(text: str) -> "int | None":
    """Return a claimed time as milliseconds since 1970 in UTC; None for what is no time.

    Source:  ISO 8601, proleptic Gregorian calendar; as POSIX counts, without leap seconds.
    Example: moment_of("1970-01-02T00:00:01+00:00") -> 86401000
    """
    day, offset, begins = _LATEST[0]
    if text[:11] == day and text[19:] == offset and text[16:17] == ":":
        time = _time_of_day(text[11:19])
        return None if time is None else begins + time
    return _parsed(text)


# Of a time that was read: the day with its T, the offset, and when that day began there. Entries
# that come one after the other are mostly of one day.
_LATEST = [("", "", 0)]


def _parsed(text: str) -> "int | None":
    day, _, rest = text.partition("T")
    if not is_date(day):
        return None
    clock, offset = _clock_and_offset(rest)
    time = _time_of_day(clock)
    away = _away_of(offset)
    if time is None or away is None:
        return None
    year, month, number = [int(part) for part in day.split("-")]
    begins = _days_since_1970(year, month, number) * DAY - away
    if len(clock) == 8:
        _LATEST[0] = (text[:11], text[19:], begins)
    return begins + time


def _clock_and_offset(rest: str) -> "tuple[str, str]":
    for mark in ("+", "-", "Z"):
        clock, sign, offset = rest.partition(mark)
        if sign:
            return clock, "+00:00" if mark == "Z" and not offset else sign + offset
    return rest, ""


def _time_of_day(clock: str) -> "int | None":
    """Return 14:05, 14:05:09 or 14:05:09.25 as milliseconds, fractions of a second left out."""
    parts = clock.partition(".")[0].split(":")
    if len(parts) not in (2, 3) or not all([_is_pair(part) for part in parts]):
        return None
    hour, minute = int(parts[0]), int(parts[1])
    second = int(parts[2]) if len(parts) == 3 else 0
    if hour > 23 or minute > 59 or second > 60:
        return None
    return hour * HOUR + minute * MINUTE + second * SECOND


def _is_pair(text: str) -> bool:
    return len(text) == 2 and text[0] in _DIGITS and text[1] in _DIGITS


def _away_of(offset: str) -> "int | None":
    """Return how far east of Greenwich, milliseconds; None for what is no offset."""
    pairs = offset[1:].split(":")
    if offset[:1] not in ("+", "-") or len(pairs) != 2 or not all([_is_pair(p) for p in pairs]):
        return None
    away = int(pairs[0]) * HOUR + int(pairs[1]) * MINUTE
    return -away if offset[0] == "-" else away


def _days_since_1970(year: int, month: int, day: int) -> int:
    before = year - 1
    leaps = before // 4 - before // 100 + before // 400 - 477  # 477 leap days before 1970
    months = _BEFORE_MONTH[month - 1] + (days_in(year, 2) - 28 if month > 2 else 0)
    return (year - 1970) * 365 + leaps + months + day - 1


def moment_text(moment: int, like: str) -> str:
    """Return a moment as text to the second, by the offset of another claimed time.

    like: a claimed time; one without an offset is taken as UTC.
    Example: moment_text(86400000, "2026-03-02T14:05:00-05:00") -> "1970-01-01T19:00:00-05:00"
    """
    offset = offset_of(like)
    local = moment + (_away_of(offset) or 0)
    days, rest = local // DAY, local % DAY
    year, month, day = _date_of(days)
    clock = [rest // HOUR, rest // MINUTE % 60, rest // SECOND % 60]
    date = "-".join([_padded(year, 4), _padded(month, 2), _padded(day, 2)])
    return date + "T" + ":".join([_padded(part, 2) for part in clock]) + offset


def offset_of(text: str) -> str:
    """Return the offset of a claimed time, "+00:00" where it has none that can be read.

    Example: offset_of("2026-03-02T14:05:00-05:00") -> "-05:00"
    """
    offset = _clock_and_offset(text.partition("T")[2])[1]
    return offset if _away_of(offset) is not None else "+00:00"


def _date_of(days: int) -> "tuple[int, int, int]":
    year = 1970 + days // (366 if days >= 0 else 365)  # never past the year that it is
    while _days_since_1970(year + 1, 1, 1) <= days:
        year += 1
    left = days - _days_since_1970(year, 1, 1)
    month = 1
    while left >= days_in(year, month):
        left -= days_in(year, month)
        month += 1
    return year, month, left + 1


def _padded(number: int, width: int) -> str:
    text = str(number)
    return "0" * (width - len(text)) + text
