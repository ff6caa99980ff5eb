"""Dates of the calendar, against Python's own datetime (proleptic Gregorian calendar)."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from app.core.quantity.dates import is_date


def known(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


@given(st.integers(min_value=1, max_value=9999), st.integers(0, 14), st.integers(0, 33))
def test_date_is_one_of_the_calendar(year: int, month: int, day: int) -> None:
    text = f"{year:04}-{month:02}-{day:02}"
    assert is_date(text) is known(text)


@given(st.text(alphabet="0123456789-x٣ ", max_size=12))
def test_other_texts_are_no_dates(text: str) -> None:
    if not text.startswith("0000"):  # a year that Python does not know
        assert is_date(text) is known(text)
