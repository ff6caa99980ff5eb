"""Cards: what comes next in a step, one thing a card, with the verdict of the last one.

The order of things and what a card does are this project's own.
"""

from app.core.pages.card import first_words
from app.core.record.course import thing_after, things_left, things_of
from app.core.record.state import State
from tests.core.book import Book, entry, filled
from tests.core.sample import PROCEDURES

NEXT = "/field/o/o1/next/A"
GAP = NEXT + "?point=gap&place="


def form_of(context):
    """Return the form of a task or of a decision."""
    return context["form"] if "form" in context else context["decision"]["form"]


def card(book, path=NEXT):
    """Return what a card shows."""
    page = book.get(path)
    assert (page["status"], page["template"]) == (200, "field/next.html")
    if page["context"]["kind"] == "cautions":  # read, and on: tests/core/test_pages_cautions.py
        page = book.get(book.send(NEXT, filled(page["context"]["form"]))["location"])
    return page["context"]


def keep(book, value, path=NEXT):
    """Keep a reading on the card, and return the card that follows."""
    got = book.send(NEXT, filled(entry(card(book, path)), value=value))
    assert got["status"] == 303, got
    return card(book, got["location"])


def test_the_cards_of_a_step_come_one_after_the_other():
    book = Book()
    assert card(book)["kind"] == "task"
    done = book.send(NEXT, filled(form_of(card(book))))
    first = card(book, done["location"])
    assert first["band"]["place"] == "Seen"
    assert (first["kind"], first["entry"]["place"]) == ("reading", "left")
    second = keep(book, "1/8")
    assert second["entry"]["place"] == "right"
    assert second["band"]["value"] == '1/8"'
    third = keep(book, "3/16")
    assert third["kind"] == "decision"
    assert third["band"]["badge"]["kind"] == "within"  # both places are in, and no more than 1/4
    decided = book.send(NEXT, filled(form_of(third), choice="yes", name="Builder"))
    end = card(book, decided["location"])
    assert (end["kind"], end["bars"], end["signed"]) == ("sign", [], False)


def test_a_tick_is_told_in_a_line_of_its_first_words():
    assert first_words("Slab scanned") == "Slab scanned"
    assert first_words("Beads as on the map, weeps clear; sill lowered") == (
        "Beads as on the map, weeps clear"
    )
    assert first_words("Slab scanned for tendons, heating tubes") == "Slab scanned for tendons, …"
    assert first_words("x" * 40) == "x" * 40


def test_one_limit_stands_under_its_point_and_names_what_it_limits_where_it_is_unfolded():
    assert card(Book(), GAP + "left")["wanted"] == ['max 1/4"']
    assert card(Book(), GAP + "left")["limits"] == ['gap-most: max 1/4"']


def test_out_stays_and_says_what_to_do_until_it_is_left_or_measured_again():
    book = Book()
    out = keep(book, "5/16", GAP + "left")
    assert out["kind"] == "verdict"
    assert out["band"] is None
    verdict = out["judged"]
    assert verdict["badge"]["kind"] == "out"
    assert verdict["says"] == 'left: 1/16" too much; at most 1/4".'
    assert verdict["remedies"]
    assert card(book, verdict["again"])["entry"]["place"] == "left"
    assert card(book, verdict["onward"])["entry"]["place"] == "right"
    right = keep(book, "1/8", GAP + "right")
    assert right["kind"] != "verdict"  # it is the left one that is out, and that was said


def test_undo_leads_back_to_the_place():
    book = Book()
    after = keep(book, "1/8", GAP + "left")
    got = book.send(NEXT, filled(after["band"]["undo"]))
    assert got["events"][0]["kind"] == "entry.struck"
    again = card(book, got["location"])
    assert again["entry"]["place"] == "left"
    assert again["entry"]["again"] == ""


def test_bad_input_is_said_on_the_card_and_kept():
    book = Book()
    got = book.send(NEXT, filled(entry(card(book, GAP + "right")), value="abc"))
    assert got["status"] == 422
    shown = got["context"]["entry"]
    assert (shown["place"], shown["form"]["typed"]["value"]) == ("right", "abc")
    assert shown["form"]["error"]


def test_what_is_put_off_comes_back_after_the_rest():
    book = Book()
    later = card(book, card(book)["later"])
    assert later["kind"] == "reading"
    keys = [place["key"] for place in later["coming"]["places"]]
    assert keys == ["reading~gap~~right", "decision~go~~", "task~seen~~"]


def test_a_place_that_cannot_be_reached_is_said_on_a_card():
    book = Book()
    asked = card(book, card(book, GAP + "left")["cannot"])
    assert asked["kind"] == "cannot"
    back = card(book, asked["back"])
    assert (back["kind"], back["entry"]["place"]) == ("reading", "left")
    refused = book.send(NEXT, filled(asked["unreachable"], words=""))
    assert (refused["status"], refused["context"]["kind"]) == (422, "cannot")
    got = book.send(NEXT, filled(asked["unreachable"], words="boxed in"))
    assert got["events"][0]["kind"] == "reading.unreachable"
    assert card(book, got["location"])["entry"]["place"] == "right"


def test_the_next_card_of_an_opening_is_in_the_first_step_that_is_not_signed():
    got = Book().get("/field/o/o1/next")
    assert (got["status"], got["location"]) == (303, NEXT)


def test_a_card_knows_no_point_of_another_step():
    book = Book()
    form = filled(entry(card(book, GAP + "left")), value="1/8")
    form["point"] = "reveal"
    assert book.send(NEXT, form)["status"] == 404


def test_the_course_goes_on_behind_what_was_done_last():
    book = Book()
    state = State(book.events["o1"], PROCEDURES)
    step = state.step("A")
    every, left = things_of(state, step), things_left(state, step)
    assert [thing.key for thing in every] == [thing.key for thing in left]
    assert thing_after(every, left, every[1].key).key == every[2].key
    assert thing_after(every, left, every[-1].key).key == every[0].key
    assert thing_after(every, left[:1], every[1].key).key == every[0].key
    assert thing_after(every, [], every[1].key) is None


def test_the_opening_and_the_list_draw_the_door_with_what_is_out():
    book = Book()
    opening = book.get("/field/o/o1")["context"]
    assert (opening["so_far"]["description"], opening["out"]) == ("Nothing signed yet.", "")
    keep(book, "5/16", GAP + "left")
    opening = book.get("/field/o/o1")["context"]
    assert (opening["so_far"]["description"], opening["out"]) == ("Out: A.", "Out: A.")
    listed = book.get("/field")["context"]["groups"][0]["openings"][0]
    assert listed["picture"]["description"] == "Nothing signed yet."  # the list judges no check


def test_a_part_that_is_short_is_said_before_its_step_begins():
    book = Book()
    path = "/field/o/o1/next/B-A"
    assert book.get(path)["context"]["short_parts"] == []  # nobody has looked yet: step A asks
    parts = "/field/o/o1/parts"
    line = book.get(parts)["context"]["parts"][0]["form"]
    book.send(parts, filled(line, state="wrong", words="other hand"))
    first = book.get(path)["context"]
    assert first["short_parts"] == ["Part not here or not right: panel A"]
    assert book.get(first["later"])["context"]["short_parts"] == []  # said once, at the start
    assert book.get(NEXT)["context"]["short_parts"] == []  # another step does not wait for it


def test_what_cannot_be_undone_waits_until_its_checks_are_settled():
    """A bead is not gunned over supports that are out; common practice, no source."""
    book = Book()
    book.move(8)
    assert card(book)["kind"] == "reading"
    keep(book, "1/8")
    out = keep(book, "1/2")  # 1/4 allowed
    assert out["kind"] in ("verdict", "out")
    left = card(book, NEXT + "?after=reading~gap~~right")
    assert left["kind"] == "out"  # neither the task nor the decision behind it
    assert left["far"] == "2/4"
    within = keep(book, "3/16", GAP + "right")
    assert within["kind"] == "task"
    done = book.send(NEXT, filled(form_of(within)))
    assert card(book, done["location"])["kind"] == "decision"
