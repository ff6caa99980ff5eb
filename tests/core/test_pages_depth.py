"""Depth on the field pages: why a finer point is asked, and how anybody on site asks for all.

Expected: the rules of depth themselves (see test_depth.py).
"""

from app.core.kinds import Json
from tests.core.book import Book, entry, filled
from tests.core.finer import PROCEDURES, FinerSite

OPENING, STEP = "/field/o/o1", "/field/o/o1/step/A"


class FinerBook(Book):
    """A book whose first opening is of the procedure with finer points, at short depth."""

    def __init__(self) -> None:
        super().__init__()
        issue = dict(FinerSite().issue)
        issue["id"], issue["opening"] = "issue-o1", "o1"
        self.events["o1"] = [issue]

    def request(self, method: str, path: str, form: "Json | None" = None) -> Json:
        """Return a request of a book that holds this procedure too."""
        out = super().request(method, path, form)
        known = dict(out["book"]["procedures"])
        known.update(PROCEDURES)
        out["book"]["procedures"] = known
        return out


def opened(book: FinerBook) -> "list[tuple[str, str]]":
    """Return the points of step A with why they are asked."""
    return [
        (row["title"], row["opened"]) for row in book.get(STEP + "?show=all")["context"]["points"]
    ]


def read_sill(book: FinerBook, left: str, right: str) -> None:
    """Read the sill at both ends."""
    for value in (left, right):
        book.fill("/field/o/o1/point/sill", entry, value=value)


def test_a_step_says_why_a_finer_point_is_asked():
    book = FinerBook()
    assert opened(book) == [("Sill", "")]
    read_sill(book, "1/4", "5/16")
    assert opened(book) == [("Sill", ""), ("sill-fine", "because sill-level is out")]


def test_a_finer_point_that_is_not_asked_counts_what_was_measured():
    book = FinerBook()
    path = "/field/o/o1/point/sill-fine"
    assert book.get(path)["context"]["progress"] == "0 of 2"
    book.fill(path + "?place=left", entry, value="1/4")
    assert book.get(path)["context"]["progress"] == "1 of 2"


def test_anybody_asks_for_all_with_a_reason_once():
    book = FinerBook()
    form = book.get(OPENING)["context"]["depth"]
    empty = book.send(OPENING, filled(form, reason=" "))
    assert (empty["status"], empty["events"]) == (422, [])
    got = book.send(OPENING, filled(form, reason="the inspector asks"))
    assert got["status"] == 303
    assert got["events"][0]["body"] == {"reason": "the inspector asks"}
    page = book.get(OPENING)["context"]
    assert page["depth"] is None
    said = [(note["text"], note["words"]) for note in page["notes"]]
    assert said == [
        ("Full depth, asked for by Ada Example, 2 Mar 2026, 14:05", "the inspector asks")
    ]
    assert [title for title, _ in opened(book)] == ["Sill", "sill-fine", "sill-finest", "seal"]


def test_an_opening_of_full_depth_offers_no_raising():
    book = FinerBook()
    issue = dict(book.events["o1"][0])
    body = dict(issue["body"])
    del body["depth"]
    issue["body"] = body
    book.events["o1"] = [issue]
    assert book.get(OPENING)["context"]["depth"] is None
