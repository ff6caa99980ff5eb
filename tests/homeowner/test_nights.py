"""What a record says of places that were read again after a night: expected by subtraction.

How far a place may have moved is the sample procedure's own: 1/16 in.
"""

from app.core.quantity.speaker import Speaker
from app.homeowner import nights
from app.homeowner.wording import Teller
from tests.core.test_nights import read_again, signed_book, state_of


def rows(value: str) -> list[list[str]]:
    """Return the rows of a door whose place was signed at 1/8 in and then read as so much."""
    book = signed_book()
    read_again(book, value)
    shown = nights.table(Teller(Speaker(), {}), nights.night_facts(state_of(book)))
    assert shown is not None
    return list(shown["rows"])


def test_nothing_was_read_again_and_nothing_is_said() -> None:
    facts = nights.night_facts(state_of(signed_book()))
    assert facts == []
    assert nights.table(Teller(Speaker(), {}), facts) is None


def test_what_agrees_stands_and_what_moved_is_said_with_how_far_it_may() -> None:
    assert rows("3/16") == [["Gap, left", '1/8"', '3/16" on 3 Mar 2026: it stands']]
    moved = '1/4" on 3 Mar 2026: it moved by more than 1/16"'
    assert rows("1/4") == [["Gap, left", '1/8"', moved]]
