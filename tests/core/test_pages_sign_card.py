"""One look signs the panels of a step that are all done and within; each has its own sign-off.

That a hold point is signed panel by panel, and what a sign-off rests on, are this project's own.
"""

from app.core.record import gate
from app.core.record.events import has_seen
from app.core.record.state import State
from tests.core.book import GAP, STEP, Book, decision, entry, filled, signoff, task
from tests.core.sample import PROCEDURES

FIRST, SECOND = "/field/o/o1/next/B-A", "/field/o/o1/next/B-B"
REVEAL = "/field/o/o1/point/reveal/"


def hung_door() -> Book:
    """Return a book whose first step is signed and whose two panels stand, not read yet."""
    book = Book()
    book.move(9)
    for place in ("left", "right"):
        book.fill(GAP + "?place=" + place, entry, value="1/8")
    book.fill(STEP, task)
    book.fill(STEP, decision, choice="yes", name="Builder")
    assert book.fill(STEP, signoff, confirm="yes")["events"]
    parts = "/field/o/o1/parts"
    line = book.get(parts)["context"]["parts"][0]["form"]
    assert book.send(parts, filled(line, state="here"))["events"]
    return book


def read_panel(book: Book, panel: str, high: str = "1/8") -> None:
    """Read both places of a panel's reveal: 1/16 in apart at most."""
    for place, text in (("left", "1/8"), ("right", high)):
        assert book.fill(REVEAL + panel + "?place=" + place, entry, value=text)["events"]


def sign_card(book: Book, path: str = FIRST):
    """Return what the card of a sign-off shows."""
    page = book.get(path)
    assert (page["status"], page["context"].get("kind")) == (200, "sign"), page["location"]
    return page["context"]


def state_of(book: Book) -> State:
    return State(book.events["o1"], PROCEDURES)


def test_one_look_signs_both_panels_and_each_sign_off_is_true():
    book = hung_door()
    read_panel(book, "A")
    read_panel(book, "B")
    card = sign_card(book)
    assert card["sign_title"] == "B Set, panels A, B"
    assert card["sums"] == ["2/2 within"]
    got = book.send(FIRST, filled(signoff(card), confirm="yes"))
    first, second = got["events"]
    assert [e["body"]["step"] for e in (first, second)] == ["B:A", "B:B"]
    assert has_seen(second, first)  # the second stands behind the first one's hold point
    assert len(first["body"]["covers"]) == len(second["body"]["covers"])
    assert [v["verdict"] for v in first["body"]["verdicts"]] == ["within"]
    state = state_of(book)
    signs = [gate.sign_of(state, state.step(key)) for key in ("B:A", "B:B")]
    assert [(sign.true, sign.holds) for sign in signs] == [(True, True), (True, True)]


def test_how_a_pin_signs_is_said_to_who_has_signed_nothing_here():
    book = hung_door()  # its first step was signed
    read_panel(book, "A")
    read_panel(book, "B")
    assert not sign_card(book)["first_sign"]
    book.person["id"] = "p2"
    assert sign_card(book)["first_sign"]


def test_a_step_that_is_signed_is_listed_as_no_hold_point_any_more():
    rows = hung_door().get("/field/o/o1")["context"]["steps"]
    assert [(row["id"], row["hold"]) for row in rows if row["state"] == "signed"] == [("A", False)]
    assert PROCEDURES["small@9"]["steps"][0]["hold"] is True


def test_the_same_look_sent_twice_signs_once():
    book = hung_door()
    read_panel(book, "A")
    read_panel(book, "B")
    form = filled(signoff(sign_card(book)), confirm="yes")
    assert len(book.send(FIRST, form)["events"]) == 2
    again = book.send(FIRST, form)
    assert (again["status"], again["events"]) == (303, [])


def test_a_panel_that_is_not_read_is_not_signed_with_another():
    book = hung_door()
    read_panel(book, "A")
    card = sign_card(book)
    assert card["sign_title"] == "B Set, panel A"
    got = book.send(FIRST, filled(signoff(card), confirm="yes"))
    assert [e["body"]["step"] for e in got["events"]] == ["B:A"]


def test_a_panel_that_is_out_is_neither_signed_with_another_nor_by_a_form_that_names_it():
    book = hung_door()
    read_panel(book, "A")
    read_panel(book, "B", high="1/2")
    card = sign_card(book)
    assert card["sign_title"] == "B Set, panel A"
    form = filled(signoff(card), confirm="yes", steps="B:A B:B A")
    got = book.send(FIRST, form)
    assert (got["status"], got["events"]) == (409, [])
    assert got["context"]["reasons"][0]["text"] == "reveal-alike: out of tolerance."


def test_nothing_is_signed_where_one_of_them_changed_since_the_look():
    book = hung_door()
    read_panel(book, "A")
    read_panel(book, "B")
    form = filled(signoff(sign_card(book)), confirm="yes")
    read_panel(book, "B", high="3/16")  # within as well, and another reading
    got = book.send(FIRST, form)
    assert (got["status"], got["events"]) == (409, [])


def test_what_a_move_spoiled_is_read_at_all_panels_and_then_signed_by_one_look():
    book = hung_door()
    for panel, path in (("A", FIRST), ("B", SECOND)):
        read_panel(book, panel)
        assert book.send(path, filled(signoff(sign_card(book, path)), confirm="yes"))["events"]
    moves = book.get(STEP + "?show=all")["context"]["adjustments"]
    assert book.send(STEP, filled(moves[1]["form"]))["events"]
    assert book.fill(STEP, signoff, confirm="yes")["events"]  # it covers the move
    book.fill(FIRST + "?point=reveal&place=left", entry, value="1/8")
    last = book.fill(FIRST + "?point=reveal&place=right", entry, value="1/8")
    on = book.get(last["location"])
    assert on["location"].startswith(SECOND + "?kept=")  # not to a sign-off yet
    second = book.get(on["location"])["context"]
    assert (second["kind"], second["entry"]["place"]) == ("reading", "left")
    assert (second["band"]["value"], second["band"]["badge"]["kind"]) == ('1/8"', "within")
    undone = book.send(second["band"]["undo"]["action"], filled(second["band"]["undo"]))
    assert undone["events"][0]["body"]["target"] == last["events"][0]["id"]
    assert undone["location"] == FIRST + "?point=reveal&place=right"
    book.fill(FIRST + "?point=reveal&place=right", entry, value="1/8")
    read_panel(book, "B")
    assert book.get(SECOND)["location"] == FIRST  # its hold point comes first
    got = book.send(FIRST, filled(signoff(sign_card(book)), confirm="yes"))
    assert [e["body"]["step"] for e in got["events"]] == ["B:A", "B:B"]
    state = state_of(book)
    signs = [gate.sign_of(state, step) for step in state.steps if step.panel]
    assert [sign.good for sign in signs] == [True, True]


def test_a_card_that_is_out_leads_to_the_office_with_what_is_out_filled_in():
    book = hung_door()
    read_panel(book, "A", high="1/2")
    out = book.get(FIRST)["context"]
    assert out["kind"] == "out"
    path = out["out"]["ask_office"]
    assert path == "/field/o/o1/queries?step=B-A&check=reveal-alike"
    ask = book.get(path)["context"]["ask"]
    assert ask["form"]["typed"]["what"].startswith("reveal-alike: ")
    assert [step["value"] for step in ask["steps"] if step["chosen"]] == ["B"]
    form = filled(ask["form"], what=ask["form"]["typed"]["what"])
    form["bars.B"] = "yes"
    assert book.send("/field/o/o1/queries", form)["events"][0]["kind"] == "query.raised"


def test_a_reading_that_is_out_is_asked_about_while_others_are_unread():
    book = Book()
    got = book.fill("/field/o/o1/next/A?point=gap&place=left", entry, value="1/2")
    out = book.get(got["location"])["context"]
    assert out["kind"] == "verdict"
    typed = book.get(out["judged"]["ask_office"])["context"]["ask"]["form"]["typed"]
    assert typed["what"] == 'gap-most: left: 1/4" too much; at most 1/4".'
    assert typed["measured"] == 'left: 1/2"'


def test_a_question_that_is_refused_keeps_what_was_typed_and_chosen():
    book = Book()
    ask = book.get("/field/o/o1/queries?step=B-A&check=reveal-alike")["context"]["ask"]
    got = book.send("/field/o/o1/queries", filled(ask["form"], what="", drawn="94 in"))
    assert got["status"] == 422
    again = got["context"]["ask"]
    assert (again["form"]["typed"]["what"], again["form"]["typed"]["drawn"]) == ("", "94 in")
    assert [step["value"] for step in again["steps"] if step["chosen"]] == []
