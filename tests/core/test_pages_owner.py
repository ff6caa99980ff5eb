"""The device in the owner's hands: one page, whatever is asked; the PIN takes it back.

That a screen handed over shows nothing else is this project's own rule.
"""

from app.core.entry import answer, needs, shows_cards
from tests.core.book import GAP, STEP, Book, entry, filled
from tests.core.test_pages_person import SHARED

OWNER = "/field/o/o1/owner"
LENT = {"opening": "o1", "lang": "en"}
ALONE = dict(SHARED, shared=False, pins=[], persons=SHARED["persons"][:1])
RIGHT = {"person": "p1", "state": "right"}


def ask(book, path, form=None, **beside):
    request = book.request("POST" if form is not None else "GET", path, form)
    request.update(beside)
    return answer(request)


def lend(book, lang="en", **beside):
    form = ask(book, OWNER, **beside)["context"]["form"]
    return ask(book, OWNER, filled(form, lang=lang), **beside)


def take_back(book, pin, **beside):
    form = ask(book, OWNER, **beside)["context"]["back"]
    return ask(book, OWNER, filled(form), pin=pin, **beside)


def test_handed_over_in_the_language_that_was_chosen():
    got = lend(Book(), "es")
    assert (got["status"], got["location"]) == (303, OWNER)
    assert got["lent"] == {"opening": "o1", "lang": "es"}
    assert got["events"] == []


def test_a_language_that_there_is_not_is_refused():
    got = lend(Book(), "tlh")
    assert (got["status"], got["lent"]) == (422, None)
    assert got["context"]["form"]["error"]


def test_lent_it_leads_every_page_to_the_one():
    book = Book()
    book.lent = LENT
    for path in ("/field", STEP, GAP, "/field/o/o2", "/field/o/o2/owner", "/field/help",
                 "/field/person", "/field/no-such-page", "/field/o/o1/history"):  # fmt: skip
        got = book.get(path)
        assert (got["status"], got["location"]) == (303, OWNER), path


def test_lent_it_keeps_nothing_and_says_so_with_what_was_typed():
    book = Book()
    form = filled(entry(book.get(GAP)["context"]), value="1/8")
    book.lent = LENT
    got = book.send(GAP, form)
    assert (got["status"], got["events"]) == (423, [])
    assert {"label": "value", "words": "1/8"} in got["context"]["kept"]
    assert book.send(OWNER, form)["status"] == 404  # there is no such form on the owner's page


def test_line_of_other_open_pages_learns_that_it_is_lent():
    book = Book()
    book.lent = LENT
    assert book.get("/field/status/line")["status"] == 423


def test_page_has_no_link_anywhere():
    book = Book()
    book.lent = LENT
    got = book.get(OWNER)
    assert got["template"] == "field/owner.html"
    page = got["context"]["page"]
    assert (page["where"], page["nav"], page["sign_out"], page["person"]) == (None, [], None, "")
    assert "href" not in str(got["context"])


def test_what_is_still_open_is_named():
    book = Book()
    book.fill(GAP, entry, value="1/8")
    book.fill(GAP, entry, value="5/16")
    book.lent = LENT
    door = book.get(OWNER)["context"]["door"]
    assert len(door["open"]) == 1
    assert door["open"][0].endswith(": OUT")
    assert "0 of" in door["progress"]


def test_pin_takes_it_back():
    book = Book()
    book.lent = LENT
    wrong = {"person": "p1", "state": "wrong", "left": 3}
    for state in (wrong, None, dict(RIGHT, person="p2")):
        got = take_back(book, state, phone=SHARED)
        assert (got["status"], got["lent"]) == (422, None)
        assert got["context"]["back"]["error"]
    got = take_back(book, RIGHT, phone=SHARED)
    assert (got["status"], got["location"], got["lent"]) == (303, "/field/o/o1", {})


def test_who_has_no_pin_sets_a_code_first():
    book = Book()
    assert ask(book, OWNER, phone=ALONE)["context"]["needs_code"]
    assert not ask(book, OWNER, phone=SHARED)["context"]["needs_code"]
    got = lend(book, phone=ALONE, pin={"person": "p1", "state": "differs"})
    assert (got["status"], got["lent"]) == (422, None)
    assert lend(book, phone=ALONE, pin={"person": "p1", "state": "kept"})["lent"] == LENT


def test_owner_may_choose_another_language_and_stays_where_they_are():
    book = Book()
    book.lent = LENT
    other = book.get(OWNER)["context"]["languages"][0]
    got = ask(book, OWNER, filled(other["form"]), phone=ALONE)
    assert (got["location"], got["lent"]) == (OWNER, {"opening": "o1", "lang": "es"})


def test_book_that_is_read_is_the_one_of_the_lent_opening():
    book = Book()
    book.lent = LENT
    request = book.request("GET", "/field")
    assert needs(request) == ["o1"]
    assert not shows_cards(request)


def test_opening_that_the_office_took_away_can_still_be_given_back():
    book = Book()
    book.lent = {"opening": "gone", "lang": "en"}
    got = book.get("/field/o/gone/owner")
    assert (got["status"], got["context"]["door"]) == (200, None)
    form = filled(got["context"]["back"])
    assert ask(book, "/field/o/gone/owner", form, phone=SHARED, pin=RIGHT)["lent"] == {}


def test_while_the_crew_has_it_nothing_differs():
    assert Book().get("/field")["status"] == 200
    assert take_back_alone(Book())["location"] == "/field/o/o1"


def take_back_alone(book):
    book.lent = LENT
    form = filled(book.get(OWNER)["context"]["back"])
    book.lent = {}
    return book.send(OWNER, form)
