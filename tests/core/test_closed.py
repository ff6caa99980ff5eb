"""An opening that the office cancels, archives and reopens, on the crew's pages.

What a cancelled job asks for is common practice, no source: work stops, what was done is kept.
"""

from app.core.record import gate
from app.core.record.standing import opening_standing, opening_state
from app.core.record.state import State
from tests.core.sample import PROCEDURES, Site, inches

WHY = "the owner sold the house"


def cancel(site: Site) -> None:
    site.write("office-1", "opening.closed", {"result": "cancelled", "reason": WHY})


def test_a_cancelled_opening_says_why_and_takes_no_further_entry() -> None:
    site = Site()
    site.ready_a("phone-a")
    cancel(site)
    site.send("office-1", "phone-a")
    state = State(site.book("phone-a"), PROCEDURES)
    assert opening_state(state) == "cancelled"
    assert opening_standing(state)["closed"] == WHY
    assert opening_standing(state)["next"] is None
    assert [bar.code for bar in gate.bars_of(state, state.steps[0])] == ["opening-cancelled"]


def test_what_was_entered_without_knowing_of_it_is_kept_and_true() -> None:
    """A phone without a network signs on; that the office had cancelled meanwhile makes no lie."""
    site = Site()
    site.ready_a("phone-a")
    cancel(site)
    signed = site.sign("phone-a", "A")
    site.send("phone-a", "office-1")
    state = State(site.book("office-1"), PROCEDURES)
    assert gate.was_true(state, signed)
    assert opening_state(state) == "cancelled"


def test_a_reopened_opening_goes_on_where_it_stopped() -> None:
    site = Site()
    site.ready_a("phone-a")
    before = opening_state(State(site.book("phone-a"), PROCEDURES))
    site.send("phone-a", "office-1")
    cancel(site)
    site.write("office-1", "opening.reopened", {"reason": "sold again"})
    state = State(site.book("office-1"), PROCEDURES)
    assert opening_state(state) == before
    assert state.closed() is None
    assert not gate.bars_of(state, state.steps[0])


def test_a_phone_cannot_close_an_opening() -> None:
    site = Site()
    site.write("phone-a", "opening.closed", {"result": "cancelled", "reason": "tired"})
    assert State(site.book("phone-a"), PROCEDURES).closed() is None


def test_only_what_stands_accepted_is_archived() -> None:
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "1/8", inches(1, 8))
    site.send("phone-a", "office-1")
    site.write("office-1", "opening.closed", {"result": "archived", "reason": "paid"})
    assert opening_state(State(site.book("office-1"), PROCEDURES)) == "open"
