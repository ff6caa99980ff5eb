"""After a night: what was signed is measured again before work goes on, and stands while it agrees.

That a crew measures a few points again after a night, before it goes on: common practice of sites,
no source. How far a place may have moved is the procedure's; here 1/16 in, and on it is not moved.
"""

from app.core.record import gate
from app.core.record.nights import repeats_left, repeats_moved, repeats_of_day
from app.core.record.state import State
from tests.core.book import GAP, STEP, WHOLE, Book, decision, entry, filled, signoff, task
from tests.core.sample import PROCEDURES, changed

NEXT = "/field/o/o1/next"
ASKED = NEXT + "/A?point=gap&place=left"
PANEL = NEXT + "/B-A"
SECOND_DAY = "2026-03-03T07:00:00-05:00"
THIRD_DAY = "2026-03-04T07:00:00-05:00"


def signed_book(now: str = SECOND_DAY) -> Book:
    """Return a book whose first step was signed on the first day, with 1/8 in at the left."""
    book = Book()
    book.move(7)
    book.fill(STEP, task)
    book.fill(STEP, decision, choice="yes", name="Builder")
    book.fill(GAP + "?place=left", entry, value="1/8")
    book.fill(GAP + "?place=right", entry, value="1/8")
    got = book.fill(STEP, signoff, confirm="yes")
    assert got["events"][0]["kind"] == "step.signed", got
    book.now = now
    return book


def state_of(book: Book) -> State:
    """Return the first opening's state."""
    return State(book.events["o1"], PROCEDURES)


def holds(book: Book) -> bool:
    """Return whether the sign-off of the first step still holds."""
    state = state_of(book)
    sign = gate.sign_of(state, state.step("A"))
    return sign is not None and sign.good


def read_again(book: Book, value: str) -> str:
    """Measure the place again on its card; return where that leads."""
    got = book.send(NEXT + "/A", filled(entry(book.get(ASKED)["context"]), value=value))
    assert got["status"] == 303, got
    event = got["events"][-1]
    assert (event["kind"], event["body"]["info"]) == ("reading.taken", True)
    return got["location"]


def test_nothing_is_asked_on_the_day_that_it_was_read():
    book = signed_book("2026-03-02T18:00:00-05:00")
    assert book.get(PANEL)["status"] == 200


def test_after_a_night_it_comes_first_and_what_agrees_leaves_the_signature_alone():
    book = signed_book()
    first = book.get(PANEL)
    assert (first["status"], first["location"]) == (303, ASKED)
    card = book.get(ASKED)["context"]
    assert (card["kind"], card["entry"]["place"]) == ("reading", "left")
    assert card["stale"] == "After a night, before you go on: has it moved?"
    assert (card["entry"]["again"], card["before"]) == ("", "")
    assert card["wanted"] == ['at most 1/16" moved']
    onward = book.get(read_again(book, "3/16"))  # 1/16 more: on the limit
    assert (onward["status"], onward["location"]) == (303, NEXT)
    assert book.get(NEXT)["location"] == PANEL
    assert book.get(PANEL)["status"] == 200
    assert holds(book)
    assert repeats_moved(state_of(book)) == []


def test_what_has_moved_is_told_with_the_step_to_look_at():
    book = signed_book()
    card = book.get(read_again(book, "1/4"))["context"]
    assert card["kind"] == "verdict"
    shown = card["judged"]
    assert shown["says"] == '1/8" more than on 2 Mar 2026: it has moved.'
    assert shown["remedies"] == ["Look at step A Look before you go on. Say there what was moved."]
    assert (shown["limit"], shown["why"]) == ('at most 1/16" moved', ["It shows first."])
    assert [move["text"] for move in shown["moves"]] == ["It was moved"]
    assert holds(book)  # a doubt is told; what was moved is for the crew to say
    assert shown["onward"] == NEXT
    query = book.get(shown["ask_office"])["context"]["ask"]["form"]
    assert query["typed"]["measured"] == 'left: 1/4"'
    assert book.get(PANEL)["status"] == 200
    moved = repeats_moved(state_of(book))
    assert [(one.step.key, one.point, one.place.id) for one in moved] == [("A", "gap", "left")]
    book.send(NEXT + "/A", filled(shown["moves"][0]["form"]))
    assert not holds(book)
    assert repeats_moved(state_of(book)) == []


def test_less_is_a_movement_too_and_a_typing_mistake_is_undone():
    book = signed_book()
    card = book.get(read_again(book, "1/32"))["context"]
    assert card["judged"]["says"] == '3/32" less than on 2 Mar 2026: it has moved.'
    book.send(NEXT + "/A", filled(card["judged"]["undo"]))
    assert book.get(PANEL)["location"] == ASKED
    read_again(book, "1/8")
    assert holds(book)
    assert book.get(PANEL)["status"] == 200


def test_every_day_asks_anew():
    book = signed_book()
    read_again(book, "1/8")
    book.now = THIRD_DAY
    assert book.get(PANEL)["location"] == ASKED


def test_what_is_read_anew_on_the_day_is_not_asked_again():
    book = signed_book()
    book.fill(GAP + "?place=left", entry, value="1/8")
    assert repeats_left(state_of(book), SECOND_DAY[:10]) == []


def test_a_place_that_cannot_be_reached_is_put_off_and_bars_nothing():
    book = signed_book()
    away = book.get(ASKED)["context"]["cannot"]
    assert away == PANEL + "?after=night"
    assert book.get(away)["status"] == 200
    assert holds(book)


def test_bad_input_is_said_on_the_card_and_stays_for_information():
    book = signed_book()
    form = filled(entry(book.get(ASKED)["context"]), value="abc")
    got = book.send(NEXT + "/A", form)
    assert got["status"] == 422
    shown = entry(got["context"])
    assert shown["error"]
    assert {"name": "info", "value": "yes"} in shown["hidden"]


def test_only_what_is_signed_is_asked_and_no_more_than_three():
    book = signed_book()
    state = state_of(book)
    assert len(repeats_of_day(state, SECOND_DAY[:10])) == 1
    state.procedure = changed(state.procedure, {"nights": state.procedure["nights"] * 4})
    assert len(repeats_of_day(state, SECOND_DAY[:10])) == 3
    book.fill(WHOLE, lambda context: context["adjustments"][0]["form"])
    assert repeats_of_day(state_of(book), SECOND_DAY[:10]) == []
