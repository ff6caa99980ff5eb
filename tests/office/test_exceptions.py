"""What a review must look at, without a page: photos that are answered, places that have moved.

Common practice, no source: who finds no damage says so; what moved overnight is looked at.
"""

import pytest

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import INCH
from app.core.record import judge
from app.core.record.state import State
from app.office.exceptions import exceptions_of, worst_place
from app.words.catalogs import catalog
from tests.core.book import Book
from tests.core.test_nights import read_again, signed_book, state_of
from tests.core.ticks import NO_CAMERA, tick_body
from tests.homeowner.finished import Finished
from tests.office.excepted_door import Excepted

FOUND_NONE = "No damage found"


def exceptions(state: State) -> dict[str, Json]:
    """Return what a reviewer who reads English must look at, by its id."""
    asked = Request(Book().request("GET", "/field"))
    return {one["id"]: one for one in exceptions_of(asked, "o1", state)}


def without_photos(why: str) -> State:
    """Return a door of which step A has no photo: of damage for this reason."""
    book = Finished()
    for task in book.step("A").data["tasks"]:
        damage = task["id"] == "a-photo-damage"
        book.enter("task.ticked", tick_body("A", task, why if damage else NO_CAMERA))
    return book.state


@pytest.mark.parametrize("lang", ["en", "es"])
def test_no_damage_found_is_an_answer_and_no_missing_photo(lang: str) -> None:
    lines = exceptions(without_photos(Speaker(catalog(lang)).word(FOUND_NONE)))["photos-missing"]
    assert len(lines["done"]) == 1
    assert "label, marks" in lines["done"][0]["text"]


def test_of_a_jamb_that_leans_the_top_is_marked() -> None:
    """Two readings are equally far from the middle of both; the top is what is moved."""
    book = Excepted()
    book.sinks = {("frame-right-wall", 1): 3 * INCH // 16}
    book.measure(book.step("D"))
    state = book.state
    (out,) = [
        result
        for result in judge.results_of(state, state.step("D"))
        if result.conceded is not None and result.check["id"] == "frame-right-plumb"
    ]
    place = worst_place(state, out)
    assert place is not None
    assert place.id == "high"


def test_another_reason_is_still_a_missing_photo() -> None:
    assert len(exceptions(without_photos(NO_CAMERA))["photos-missing"]["done"]) == 2


def test_what_moved_overnight_is_looked_at() -> None:
    book = signed_book()
    assert "moved-gap" not in exceptions(state_of(book))
    read_again(book, "1/4")
    moved = exceptions(state_of(book))["moved-gap"]
    assert (moved["step"], moved["title"]) == ("A", "left")
    assert moved["says"] == ['1/8" more than on 2 Mar 2026: it has moved.']
    read_again(book, "1/8")  # read once more: it agrees
    assert "moved-gap" not in exceptions(state_of(book))
