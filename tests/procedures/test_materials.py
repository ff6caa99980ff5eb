"""What the readings of the demo's openings tell about material, through the real procedure."""

from app.core.layout.surveyed import surveyed
from app.core.setout import setout
from app.core.words import Speaker
from tests.procedures.demo_book import Book, openings

SPEAKER = Speaker()


def book_of(id: str, read: bool) -> Book:
    opening = next(one for one in openings() if one["id"] == id)
    book = Book(opening)
    return book.play() if read else book


def test_before_the_survey_it_is_named_and_not_guessed() -> None:
    found = surveyed(book_of("marrow-lane-a", False).state)
    said = [SPEAKER.say(words) for words in found.missing]
    assert found.shims == {}
    assert any("Room-side line" in words for words in said)
    assert any("Weather-side line" in words for words in said)
    assert any("fits the opening" in words for words in said)
    assert len(set(said)) == len(said) == 3


def test_shims_behind_the_jambs_once_it_is_measured() -> None:
    state = book_of("marrow-lane-b", True).state
    found = surveyed(state)
    box = state.drawing.shims
    assert found.shims
    assert set(found.shims) <= set(box)
    out = setout(state.drawing, surveyed=found)
    listed = {one.id: one.value for one in out["amounts"] if one.id.startswith("shim-")}
    assert listed == {f"shim-{size}": count for size, count in found.shims.items()}
