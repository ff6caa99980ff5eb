"""What the office did is told on the phone where it is needed, and no longer than that.

Which page tells it, and until when, are this project's own.
"""

import json

from app.core.kinds import Json
from tests.core.book import Book, filled, signoff
from tests.core.test_pages_sign_card import hung_door, read_panel

OPENING = "/field/o/o1"
QUERIES = OPENING + "/queries"
CARD = OPENING + "/next/A"


def ask(book: Book, step: str) -> str:
    """Ask the office, and return the query's id."""
    form = filled(book.get(QUERIES)["context"]["ask"]["form"], what="Lock side?")
    form["bars." + step] = "yes"
    (event,) = book.send(QUERIES, form)["events"]
    return str(event["id"])


def notes(book: Book) -> list[tuple[str, str]]:
    return [(note["text"], note["words"]) for note in book.get(OPENING)["context"]["notes"]]


def offered(book: Book) -> list[str]:
    """Return the steps that may be made to wait for an answer."""
    return [step["value"] for step in book.get(QUERIES)["context"]["ask"]["steps"]]


def test_an_answer_stands_on_the_openings_page_while_its_step_is_not_signed() -> None:
    book = hung_door()
    query = ask(book, "B")
    assert notes(book) == []
    body: Json = {"query": query, "answer": "build", "words": "Left is right."}
    book.write_at_office("answered", "query.answered", body)
    ((text, words),) = notes(book)
    assert text.startswith("Build as is: ")
    assert words == "Left is right."


def test_an_answer_to_a_step_that_is_signed_is_told_no_more() -> None:
    book = hung_door()
    query = ask(book, "A")
    body: Json = {"query": query, "answer": "build", "words": "Left is right."}
    book.write_at_office("answered", "query.answered", body)
    assert notes(book) == []


def signed_door() -> Book:
    book = hung_door()
    for panel in ("A", "B"):
        read_panel(book, panel)
    path = OPENING + "/next/B-A"
    assert book.send(path, filled(signoff(book.get(path)["context"]), confirm="yes"))["events"]
    return book


def test_a_return_is_told_until_what_came_back_is_signed() -> None:
    book = signed_door()
    body: Json = {"result": "returned", "step": "A", "words": "Tick them honestly."}
    book.write_at_office("back", "opening.reviewed", body)
    assert [words for _, words in notes(book)] == ["Tick them honestly."]
    assert book.send(CARD, filled(signoff(book.get(CARD)["context"]), confirm="yes"))["events"]
    assert notes(book) == []


def test_only_a_step_that_is_not_signed_can_wait_for_an_answer() -> None:
    assert offered(Book()) == ["A", "B"]
    assert offered(hung_door()) == ["B"]
    assert offered(signed_door()) == ["A", "B"]  # who asks then has something in mind


def test_who_has_asked_goes_on_from_there() -> None:
    book = hung_door()
    assert book.get(QUERIES)["context"]["next"] is None  # nothing asked: nothing to go on from
    ask(book, "B")
    onward = book.get(QUERIES)["context"]["next"]
    assert (onward["href"], onward["text"]) == (OPENING + "/next/B-A", "Go on: B Set, panel A")


def returned() -> Book:
    book = hung_door()
    body: Json = {"result": "returned", "step": "A", "words": "Tick them honestly."}
    book.write_at_office("back", "opening.reviewed", body)
    return book


def test_the_card_says_why_a_step_is_signed_again() -> None:
    card = returned().get(CARD)["context"]
    assert card["kind"] == "sign"
    assert card["sums"][0] == "The office returned it: Tick them honestly."


def test_a_drawing_that_changed_says_why_it_did() -> None:
    book = hung_door()
    drawing = json.loads(json.dumps(book.events["o1"][0]["body"]["drawing"]))
    drawing["lengths"]["frame_width"] = "1000000000"
    body: Json = {"drawing": drawing, "why": "The maker's revision 2"}
    book.write_at_office("drawn", "drawing.revised", body)
    why = book.get(OPENING)["context"]["steps"][0]["why"]
    assert why[0] == "The drawing was changed after it was signed: The maker's revision 2"
