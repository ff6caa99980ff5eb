"""The door as built: drawn beside recorded; what was not read is left open.

The figures are the drawing's and the readings' themselves, put beside each other here by hand;
that a picture keeps to its sheet is geometry.
"""

import pytest

from app.core.kinds import Json
from app.core.quantity.units import INCH
from app.homeowner import built
from app.homeowner.wording import UNITS, Teller, speaker
from app.words.catalogs import NAMES
from tests.core.test_drawings import is_whole, texts
from tests.homeowner.finished import Finished, shown
from tests.procedures.demo_book import openings

ANCHORS = 27  # of the demo's first drawing: 7 at each jamb, 13 at the head


def drawn(book: Finished, lang: str = "en", units: str = "in") -> tuple[Json | None, Json | None]:
    """Return picture and table of an opening."""
    teller = Teller(speaker(lang, units), {})
    read = built.as_read(book.state)
    picture = built.picture(read, book.drawing, teller.speaker)
    return picture, built.table(teller, built.compared(book.state))


@pytest.fixture(scope="module")
def short() -> Finished:
    """A frame with an anchor left out and a wide panel; nobody counted the weeps."""
    book = Finished()
    book.sinks = {("panel-widths", 0): INCH // 16}
    book.measure(book.state.step("A"))
    book.measure(book.state.step("D"))
    last = next(e for e in reversed(book.events) if e["body"].get("point") == "anchors-done")
    assert last["body"]["value"] == str(ANCHORS)
    book.enter("reading.taken", {**last["body"], "text": "26", "value": "26"})
    gap = next(e for e in reversed(book.events) if e["body"].get("point") == "shim-gaps")
    book.enter("entry.struck", {"target": gap["id"], "why": "Not there"})
    return book


def signs(picture: Json, style: str, kind: str) -> int:
    return len([one for one in picture["shapes"] if (one["class"], one["kind"]) == (style, kind)])


def test_drawn_stands_beside_recorded(short: Finished) -> None:
    _, table = drawn(short)
    assert table is not None
    rows = {row[0]: row[1:] for row in table["rows"]}
    assert rows["Every drawn anchor is in"] == ["27", "26"]
    assert rows["Panel widths as drawn"] == ["4' 0 1/2\"", "4' 0 1/2\" to 4' 0 9/16\""]
    assert "Every weep open after sealing" not in rows  # nobody has read it
    assert "Lock throws every time" not in rows  # that number is no drawing's


def test_picture_shows_what_was_read_and_no_more(short: Finished) -> None:
    picture, _ = drawn(short)
    assert picture is not None
    words = " ".join(texts(picture))
    assert "read: 26 of 27; counted: 26" in words
    assert "not counted" in words  # the weeps
    assert signs(picture, "p-anchor", "circle") == ANCHORS - 1 + 1  # and one in the legend
    assert signs(picture, "p-point", "circle") == 1
    assert words.count("as drawn") >= len(short.drawing.panels)  # the marks, as typed
    assert "panel A, mark as drawn" in picture["description"]


def test_nothing_read_nothing_shown() -> None:
    picture, table = drawn(Finished({**openings()[0], "depth": "full"}))  # short: none is read
    assert table is None
    assert picture is not None
    assert "mark –, – wide" in picture["description"]
    assert signs(picture, "p-point", "circle") == ANCHORS


def test_picture_keeps_to_its_sheet_in_every_language_and_unit(short: Finished) -> None:
    for lang in NAMES:
        for units in UNITS:
            picture, _ = drawn(short, lang, units)
            assert picture is not None
            is_whole(picture)
    for opening in openings():
        picture, _ = drawn(Finished(opening))
        assert picture is not None
        is_whole(picture)


def test_a_record_has_both(made: Json) -> None:
    said = shown(made)
    assert said["compared"][0]["title"] == "As drawn and as recorded"
    assert said["pictures"][-1]["title"].startswith("As read on site")
