"""A step's cautions: a card before its first task, once a day a person; then one line.

That a crew reads the cautions before it starts, each of them, each day: common practice of site
briefings, no source.
"""

from app.core.pages.cautions import cautions_card, cautions_line
from app.core.pages.request import Request
from tests.core.book import GAP, STEP, Book, filled
from tests.core.sample import changed

NEXT = "/field/o/o1/next/A"
TOMORROW = "2026-03-03T07:00:00-05:00"


def kind(book, path=NEXT):
    """Return what kind of card comes."""
    return book.get(path)["context"]["kind"]


def read(book):
    """Read the cautions: one tap."""
    return book.send(NEXT, filled(book.get(NEXT)["context"]["form"]))


def line(book):
    """Return what the step's page says of its cautions."""
    return book.get(STEP)["context"]["caution"]


def test_cautions_come_before_the_first_task_and_are_kept_as_read():
    book = Book()
    card = book.get(NEXT)["context"]
    assert (card["kind"], card["cautions"]) == ("cautions", ["Glass cuts."])
    assert line(book)["line"] == ""
    done = read(book)
    event = done["events"][0]
    assert (event["kind"], event["person"], event["body"]["step"]) == ("cautions.read", "p1", "A")
    assert (done["status"], done["location"]) == (303, NEXT)
    assert kind(book) == "task"
    assert line(book)["line"] == "Cautions: read today, 2 Mar 2026, 14:05"


def test_other_work_of_the_day_is_no_reading_of_cautions():
    book = Book()
    book.fill(STEP, lambda context: context["tasks"][0]["form"])
    assert kind(book) == "cautions"
    assert line(book)["line"] == ""


def test_another_person_another_day_and_other_words_ask_anew():
    book = Book()
    read(book)
    book.person["id"] = "p2"
    assert kind(book) == "cautions"
    book.person["id"] = "p1"
    assert kind(book) == "task"
    asked = book.request("GET", NEXT)
    asked["now"] = TOMORROW
    later = Request(asked)
    state = later.state("o1")
    assert cautions_line(later, "o1", state, state.step("A"))["line"] == ""
    book.move(4)  # its cautions say more
    assert kind(book) == "cautions"


def test_what_comes_before_all_of_it_is_said_on_the_first_card_of_a_persons_day():
    book = Book()
    assert book.get(NEXT)["context"]["first_today"]
    read(book)
    book.move(4)  # the cautions say more, and are read anew
    assert (kind(book), book.get(NEXT)["context"]["first_today"]) == ("cautions", False)
    book.person["id"] = "p2"
    assert book.get(NEXT)["context"]["first_today"]
    book.person["id"] = "p1"
    asked = book.request("GET", NEXT)
    asked["now"] = TOMORROW
    later = Request(asked)
    state = later.state("o1")
    assert cautions_card(later, state, state.step("A"))["first_today"]


def test_the_same_tap_twice_is_one_entry():
    book = Book()
    form = filled(book.get(NEXT)["context"]["form"])
    book.send(NEXT, form)
    assert book.send(NEXT, form)["events"] == []


def test_a_card_that_is_named_comes_at_once():
    book = Book()
    assert kind(book, NEXT + "?point=gap&place=left") == "reading"
    assert book.get(GAP)["status"] == 200


def test_reminders_stay_when_the_cautions_were_read():
    book = Book()
    asked = Request(book.request("GET", STEP))
    state = asked.state("o1")
    step = state.step("A")
    step.data = changed(step.data, {"reminders": ["Cups tested today."]})
    assert cautions_line(asked, "o1", state, step)["reminders"] == ["Cups tested today."]
    read(book)
    asked = Request(book.request("GET", STEP))
    state = asked.state("o1")
    step = state.step("A")
    step.data = changed(step.data, {"reminders": ["Cups tested today."]})
    after = cautions_line(asked, "o1", state, step)
    assert after["reminders"] == ["Cups tested today."]
    assert after["line"] != ""
