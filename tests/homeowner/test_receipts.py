"""Claimed times beside the times of receiving: what is odd is said, what is not is left alone.

That a claimed time proves nothing, and is printed beside when it came in, is a rule of the record;
the arithmetic of offsets is the standard library's (ISO 8601).
"""

import copy
from datetime import UTC, datetime, timedelta

import pytest

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.record.state import State
from app.homeowner import snapshot
from app.homeowner.receipts import Receipts, of_step
from tests.homeowner.finished import ABOUT, PROCEDURES, shown


def came(event: Json, later: timedelta) -> str:
    """Return when an entry came in, as the log keeps it: so much after it claims to be made."""
    at = datetime.fromisoformat(event["at"]) + later
    return at.astimezone(UTC).isoformat(timespec="milliseconds")


def receipts(events: list[Json], received: dict[str, str]) -> tuple[Receipts, State]:
    request: Request = snapshot.request_of(ABOUT, events, PROCEDURES)
    state = State(events, PROCEDURES)
    return Receipts(request, state, received), state


@pytest.fixture
def entries(book: list[Json]) -> list[Json]:
    return copy.deepcopy(book)


def reading(entries: list[Json], n: int = 0) -> Json:
    return [event for event in entries if event["kind"] == "reading.taken"][n]


def test_nothing_odd_nothing_said(entries: list[Json]) -> None:
    known = {event["id"]: came(event, timedelta(minutes=1)) for event in entries}
    told, _ = receipts(entries, known)
    assert [told.remark(event) for event in entries if told.remark(event)] == []
    # 2026-03-10 08:23 -05:00 and one minute: by the hours of the place, not the office's
    assert told.of(reading(entries)) == "received by the office 10 Mar 2026, 08:24"


def test_received_before_it_claims_to_be_made(entries: list[Json]) -> None:
    one = reading(entries)
    told, _ = receipts(entries, {one["id"]: came(one, -timedelta(hours=3))})
    assert told.remark(one) == (
        "clock in doubt: received 10 Mar 2026, 05:23, before the time that it claims"
    )
    told, _ = receipts(entries, {one["id"]: came(one, -timedelta(minutes=4))})
    assert told.remark(one) == ""  # two right clocks differ by that


def test_received_on_another_day(entries: list[Json]) -> None:
    one = reading(entries)
    told, _ = receipts(entries, {one["id"]: came(one, timedelta(days=2))})
    assert told.remark(one) == "received 12 Mar 2026, 08:23"


def test_a_clock_that_went_back(entries: list[Json]) -> None:
    one = reading(entries, 5)
    one["at"] = "2026-03-09T08:00:00-05:00"
    told, _ = receipts(entries, {})
    assert told.remark(one) == "clock in doubt: it claims a time before an entry that it follows"
    assert told.remark(reading(entries, 6)) == ""


@pytest.mark.parametrize("odd", ["", "yesterday", "2026-03-10T08:00:00", "2026-99-99T00:00:00Z"])
def test_times_that_are_none_are_left_alone(entries: list[Json], odd: str) -> None:
    one = reading(entries)
    one["at"] = odd
    told, state = receipts(entries, {one["id"]: odd})
    assert told.remark(one) == ""
    assert told.of(one) == ""
    assert told.times(of_step(state, state.steps[0])) is not None


def test_a_step_says_from_when_to_when_and_holds_its_own_entries_alone(entries: list[Json]) -> None:
    known = {event["id"]: came(event, timedelta(hours=1)) for event in entries}
    told, state = receipts(entries, known)
    own = [of_step(state, step) for step in state.steps]
    made = snapshot.make(ABOUT, entries, PROCEDURES, received=known)
    assert shown(made)["log"][0] == (
        "A: entered 10 Mar 2026, 08:16 to 10 Mar 2026, 09:09; "
        "received by the office 10 Mar 2026, 09:16 to 10 Mar 2026, 10:09"
    )
    ids = [event["id"] for part in own for event in part]
    assert len(ids) == len(set(ids))
    readings = [event["id"] for event in entries if event["kind"] == "reading.taken"]
    assert set(readings) <= set(ids)
    assert told.times([]) is None


def test_the_snapshot_keeps_what_it_says(entries: list[Json]) -> None:
    known = {event["id"]: came(event, timedelta(minutes=1)) for event in entries}
    made = snapshot.make(ABOUT, entries, PROCEDURES, received=known)
    assert made["received"] == [known[event["id"]] for event in entries]
    step = shown(made)["sections"][0]
    assert "; received by the office 10 Mar 2026" in step["signed"][-1]
    assert shown(made)["signatures"][2]["received"]
