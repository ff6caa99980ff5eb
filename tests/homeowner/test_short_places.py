"""Places are short over a column: a head as wide as a sheet takes a table for each reading."""

from app.homeowner.short_places import column_and_row
from app.homeowner.wording import as_json
from tests.procedures.demo_book import Book, openings

MOST = 24  # signs of English that still stand beside others


def long_places() -> set[str]:
    """Return the places of the demo's doors, at full depth, that stand as they are."""
    out = set()
    for opening in openings():
        state = Book({**opening, "depth": "full"}).state
        for step in state.steps:
            for point in step.data["points"]:
                for place in state.places(point["id"], state.panel_for(point["id"], step.panel)):
                    words = as_json(place.title)
                    column, _ = column_and_row(words)
                    alone = len(state.places(point["id"], step.panel)) == 1  # needs no table
                    if column == words and len(words["msg"]) > MOST and not alone:
                        out.add(words["msg"])
    return out


def test_every_place_of_a_table_is_short() -> None:
    assert long_places() == set()
