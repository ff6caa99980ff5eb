"""Days of the calendar, for what people type and what a clock says."""

_DIGITS = "0123456789"
_LATEST = [""]  # a date that was looked at: entries of one day come one after the other


def days_in(year: int, month: int) -> int:
    """Return how many days a month has (Gregorian calendar).

    Example: days_in(2024, 2) -> 29
    """
    if month == 2:
        leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
        return 29 if leap else 28
    return 30 if month in (4, 6, 9, 11) else 31


def is_date(text: str) -> bool:
    """Return whether a text is a date of the calendar as 2026-03-02.

    Example: is_date("2026-02-29") -> False
    """
    if text == _LATEST[0] and text:
        return True
    parts = text.split("-")
    if [len(part) for part in parts] != [4, 2, 2]:
        return False
    if any([char not in _DIGITS for part in parts for char in part]):
        return False
    year, month, day = [int(part) for part in parts]
    found = 1 <= month <= 12 and 1 <= day <= days_in(year, month)
    if found:
        _LATEST[0] = text
    return found
