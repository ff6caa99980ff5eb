"""Facts of the first page and the list of instruments: who stands for the work, and with what."""

import pytest

from app.core.kinds import Json
from app.homeowner import snapshot
from tests.homeowner.finished import ABOUT, NAMES, PROCEDURES, Finished, shown

LASER = {
    "instrument": "i-1", "name": "Red laser", "sort": "laser", "resolution": "793750",
    "grade": "", "slope": "300000",
}  # fmt: skip


def checked(first: int, second: int) -> Json:
    """Return a check of the laser by turning it half round, six metres off, nanometres."""
    return {
        **LASER, "occasion": "c1", "way": "half-turn", "texts": ["10", "10"],
        "values": [str(first), str(second)], "length": "6000000000", "other": "", "units": "in",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("second", "words"),
    [(254_000_000, "Red laser, checked good"), (264_000_000, "Red laser, failed its check")],
)
def test_an_instrument_with_its_last_check(second: int, words: str) -> None:
    """10 mm between two readings 6 m off is far outside of 0.3 mm/m (common practice)."""
    book = Finished()
    book.enter("instrument.named", LASER)
    book.enter("instrument.checked", checked(254_000_000, second))
    book.accept()
    made = snapshot.make(ABOUT, book.events, PROCEDURES)
    found = shown(made)["instruments"]
    assert [one["text"].startswith(words) for one in found] == [True]


def test_company_lead_and_rule_are_named(made: Json) -> None:
    said = shown(made)
    facts = {fact["label"]: fact["words"] for fact in (*said["front"], *said["facts"])}
    assert said["company"]["company"] == "Quillfen Door Setters"
    assert said["company"]["dial"] == "5550142"
    assert facts["Set by"] == NAMES["tobin-hale"]
    assert facts["Finished"] == "11 Mar 2026"
    assert facts["Lead, who signed the last step"] == NAMES["tobin-hale"]
    assert facts["Decision rule"].startswith("simple acceptance")
    calls = next(c for c in shown(made)["care"] if c["title"] == "When to call")
    assert "Whom to call: Quillfen Door Setters, 555-0142." in calls["says"]


def test_a_door_that_is_not_all_signed_is_not_called_finished() -> None:
    book = Finished()
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    book.do_step("A")
    said = shown(snapshot.make(ABOUT, book.events, PROCEDURES))
    labels = [fact["label"] for fact in said["front"]]
    assert ("Last signed" in labels, "Finished" in labels) == (True, False)


def test_a_company_that_was_not_named_is_left_out(book: list[Json]) -> None:
    made = snapshot.make({**ABOUT, "company": "", "telephone": ""}, book, PROCEDURES)
    said = shown(made)
    assert said["company"]["company"] == ""
    assert said["whom"] == ""
