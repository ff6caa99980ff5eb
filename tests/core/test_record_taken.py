"""What the office takes in after it was set aside. The rules are this project's own."""

from app.core.record import taken
from app.core.record.events import new_event
from app.core.record.state import State
from tests.core.expect import refused
from tests.core.sample import PROCEDURES, Site, inches


def aside_of(site, device):
    """Return a reading that a phone made and that is not in the log."""
    made = site.read(device, "gap", "left", "1/8", inches(1, 8))
    site.books[device].remove(made)
    return made


def take(site, entry, reason="Read out by phone."):
    """Return all events, those by which the office takes an entry in among them."""
    ids = ["01900000-0000-7000-8000-0000000000a1", "01900000-0000-7000-8000-0000000000a2"]
    events = site.all()
    said = taken.taking_drafts(
        entry, events, "office-1", "boss", "2026-03-03T08:00", ids, "x", reason
    )
    for draft in said:
        events.append(new_event(events, draft))
    return events


def test_it_counts_and_cites_the_first():
    site = Site()
    entry = aside_of(site, "phone-a")
    state = State(take(site, entry), PROCEDURES)
    (reading,) = state.readings("gap", "", "left")
    assert reading.text == "1/8"
    assert reading.event["person"] == "boss"
    assert reading.event["body"]["measured_by"] == entry["person"]
    assert reading.event["body"]["measured_at"] == entry["at"]
    cited = taken.origin_of(state.ledger, reading.id)
    assert cited["body"]["entry"] == entry
    assert taken.origin_of(state.ledger, "another") is None


def test_it_replaces_only_what_the_first_had_seen():
    site = Site()
    entry = aside_of(site, "phone-a")
    site.read("phone-b", "gap", "left", "5/16", inches(5, 16))
    events = take(site, entry)
    for ordered in (events, list(reversed(events))):
        live = State(ordered, PROCEDURES).readings("gap", "", "left")
        assert sorted([reading.text for reading in live]) == ["1/8", "5/16"]


def test_seen_is_cut_to_what_is_here():
    site = Site()
    entry = aside_of(site, "phone-a")
    entry["seen"] = {"phone-x": 7, "office-1": 9}
    assert taken.seen_of(entry, site.all()) == {"office-1": 1}


def test_own_hand_and_the_offices_word_are_not_taken_in():
    for kind in ("step.signed", "handover.signed", "sheet.signed", "opening.reviewed"):
        refused("not-taken-in", taken.must_be_open, kind)
    taken.must_be_open("reading.taken")


def test_only_the_office_says_so():
    site = Site()
    entry = aside_of(site, "phone-a")
    body = take(site, entry)[-1]["body"]
    site.write("phone-b", "entry.taken-in", body)
    assert taken.origin_of(State(site.all(), PROCEDURES).ledger, body["target"]) is None
