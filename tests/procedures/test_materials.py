"""What the readings of the demo's openings tell about material, through the real procedure."""

import numpy as np

from app.core.layout.setout import setout_of
from app.core.layout.surveyed import survey_so_far
from app.core.quantity.speaker import Speaker
from app.core.trade import anchored
from tests.procedures.demo_book import Book, openings

SPEAKER = Speaker()


def book_of(id: str, read: bool) -> Book:
    opening = next(one for one in openings() if one["id"] == id)
    book = Book(opening)
    return book.play() if read else book


def test_before_the_survey_it_is_named_and_not_guessed() -> None:
    found = survey_so_far(book_of("marrow-lane-a", False).state)
    said = [SPEAKER.say(words) for words in found.missing]
    assert found.shims == {}
    assert any("Room-side line" in words for words in said)
    assert any("Weather-side line" in words for words in said)
    assert any("Frame fits" in words for words in said)
    assert len(set(said)) == len(said) == 3


def test_shims_behind_the_jambs_once_it_is_measured() -> None:
    """At every anchor and lock, by numpy.interp between the heights that were measured.

    The sill of this opening is level. The box's thinnest shim is 1/16 in and the others are
    made of it, so a stack is the gap rounded down to it.
    """
    state = book_of("marrow-lane-b", True).state
    found = survey_so_far(state)
    assert found.shims == {}
    assert found.beside
    out = setout_of(state.drawing, surveyed=found)
    due = 0
    step = min(state.drawing.shims)
    ours = next(part for part in out["sections"] if part["id"] == "shims")
    for column, side in ((1, "left"), (2, "right")):
        gaps = sorted((p["at"], p["gap"]) for p in found.beside["places"] if p["side"] == side)
        spots = anchored.jamb_anchors(state.drawing, side).points
        spots = spots + [zone.at for zone in anchored.lock_zones(state.drawing, side)]
        at_spots = np.interp(spots, [y for y, _ in gaps], [gap for _, gap in gaps])
        due += sum(int(gap // step) * step for gap in at_spots)
        assert len([row for row in ours["rows"] if row[column]]) == len(spots)
    listed = {one.id: one.value for one in out["amounts"] if one.id.startswith("shim-")}
    assert due == sum(int(id.split("-")[1]) * count for id, count in listed.items())


def test_without_anchors_to_plan_the_measured_heights_are_shimmed() -> None:
    state = book_of("marrow-lane-b", True).state
    del state.drawing.data["lengths"]["anchor_spacing"]
    found = survey_so_far(state)
    out = setout_of(state.drawing, surveyed=found)
    listed = {one.id: one.value for one in out["amounts"] if one.id.startswith("shim-")}
    assert listed == {f"shim-{size}": count for size, count in found.jambs.items()}
    assert all(part["id"] != "shims" for part in out["sections"])
