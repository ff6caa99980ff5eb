"""A step's short page: out first, then what is left, nothing twice; everything on request.

What a crew needs on two screens of a phone is this project's own.
"""

from app.core.kinds import Json
from app.core.record.gate import verdict_line
from app.core.record.judge import results_of
from app.core.record.state import State
from app.core.record.written import judged_by
from tests.core.book import GAP, STEP, WHOLE, Book, entry, filled, task
from tests.core.sample import PROCEDURES, changed


def brief(book):
    """Return what the short page of step A shows."""
    page = book.get(STEP)
    assert page["template"] == "field/step_short.html"
    return page["context"]["brief"]


def pressed(form: Json, button: str) -> Json:
    """Return the fields of a form of many buttons, as a browser sends them."""
    out = filled(form)
    out["with"] = button
    return out


def read(book, text, place):
    """Take a reading of the gap."""
    return book.fill(GAP + "?place=" + place, entry, value=text)


def test_what_is_left_stands_in_the_order_of_the_work():
    book = Book()
    shown = brief(book)
    assert [(row["kind"], row["text"]) for row in shown["left"]] == [
        ("task", "Seen"), ("point", "Gap"), ("decision", "Go?"),
    ]  # fmt: skip
    assert shown["left"][1]["far"] == "0 of 2"
    assert shown["bars"] == []  # each is listed above already


def test_a_step_its_list_and_its_cards_count_the_same_things():
    book = Book()
    read(book, "1/8", "left")
    page = book.get(STEP)["context"]
    assert page["step"]["state_text"] == "Done: 1 of 4"
    assert page["go_on"]["text"] == "Go on: 3 left"
    assert book.get("/field/o/o1")["context"]["steps"][0]["state_text"] == "Done: 1 of 4"
    assert book.get("/field/o/o1/next/A")["context"]["far"] == "1/4"


def test_one_form_of_many_buttons_ticks_what_its_button_says():
    book = Book()
    shown = brief(book)
    form = pressed(shown["form"], shown["left"][0]["with"])
    got = book.send(STEP, form)
    assert (got["status"], got["location"]) == (303, STEP)
    assert got["events"][0]["body"] == {"step": "A", "task": "seen", "done": True}
    assert book.send(STEP, form)["events"] == []  # the same tap once more
    assert [row["kind"] for row in brief(book)["left"]] == ["point", "decision"]


def test_out_comes_first_and_leads_to_all_of_it():
    book = Book()
    read(book, "1", "left")
    read(book, "1/8", "right")
    shown = brief(book)
    assert [check["title"] for check in shown["out"]] == [
        check["title"]
        for check in book.get(WHOLE)["context"]["checks"]
        if check["badge"]["kind"] == "out"
    ]
    assert shown["out"][0]["says"] == ['left: 3/4" too much; at most 1/4".']
    assert shown["out"][0]["href"] == WHOLE + "#check-gap-most"


def test_what_the_office_let_stand_is_not_to_be_put_right():
    book = Book()
    read(book, "1", "left")
    read(book, "1/8", "right")
    readings = [one["id"] for one in book.events["o1"] if one["kind"] == "reading.taken"]
    state = State(book.events["o1"], PROCEDURES)
    step = state.step("A")
    [out] = [one for one in results_of(state, step) if one.check["id"] == "gap-most"]
    body = changed(
        judged_by(state, [verdict_line(state, step, out)]),
        {"check": "gap-most", "panel": "", "readings": readings, "reason": "It serves."},
    )
    book.write_at_office("let-stand", "concession.given", body)
    shown = brief(book)
    assert shown["out"] == []
    assert [(one["id"], one["badge"]["kind"]) for one in shown["conceded"]] == [("gap-most", "out")]
    assert [note["words"] for note in shown["conceded"][0]["done"]] == ["It serves."]
    read(book, "1 1/8", "left")  # it covers just the readings it was given for
    shown = brief(book)
    assert (shown["conceded"], len(shown["out"])) == ([], 1)


def test_a_decision_is_made_here_when_nothing_else_is_left():
    book = Book()
    assert brief(book)["decisions"] == []
    book.fill(STEP, task)
    read(book, "1/8", "left")
    read(book, "1/8", "right")
    shown = brief(book)
    assert shown["left"] == []
    assert [one["id"] for one in shown["decisions"]] == ["go"]
    assert shown["done"] == "Tasks done: 1. Lists read: 1. Checks within: 1."


def test_a_page_that_shows_all_stays_one_after_a_form():
    book = Book()
    page = book.get(WHOLE)
    assert page["template"] == "field/step.html"
    form = page["context"]["tasks"][0]["form"]
    assert form["action"] == WHOLE
    got = book.send(WHOLE, filled(form))
    assert got["location"] == WHOLE
