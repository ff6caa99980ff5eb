"""Service visits: what is measured there stays apart, moves are told, and the model is asked again.

What a visit is, and that it alters nothing that was signed, is this project's own. The readings are
invented; differences are plain arithmetic.
"""

from app.core.entry import answer
from app.core.record import visits
from app.core.record.gate import sign_of
from app.core.record.standing import opening_state
from app.core.record.state import State
from tests.core.book import STEP, Book, filled
from tests.core.expect import refused
from tests.core.sample import INCH, PROCEDURES, changed, inches

HOME = "/field/o/o1"
AS_LEFT = [changed(PROCEDURES["small@1"]["steps"][0]["points"][0], {"purpose": "as-left"})]
PROCEDURES = dict(PROCEDURES)
PROCEDURES["small@1"] = changed(
    PROCEDURES["small@1"],
    {"steps": [changed(PROCEDURES["small@1"]["steps"][0], {"points": AS_LEFT})]},
)


class Accepted(Book):
    """A book with a door of one step that was signed; accepted once that is asked for."""

    def __init__(self):
        Book.__init__(self)
        site = self.site
        site.ready_a("phone-a")
        site.sign("phone-a")
        self.events["o1"] = site.book("phone-a")

    def request(self, method, path, form=None):
        out = Book.request(self, method, path, form)
        out["book"]["procedures"] = PROCEDURES
        return out

    def office(self, kind, body):
        """Let the office say something."""
        id = "office-" + str(len(self.events["o1"]))
        self.write_at_office(id, kind, body, "2026-03-04T07:00:00-05:00")

    def accept(self):
        """Let the office accept the door."""
        judged = {"rules": 1, "procedure_digest": "0" * 64, "verdicts": []}
        self.office("opening.reviewed", changed(judged, {"result": "accepted", "words": ""}))
        return self

    @property
    def state(self):
        return State(self.events["o1"], PROCEDURES)

    def begin(self, words="It sticks"):
        """Begin a visit; returns where it is."""
        form = self.get(HOME + "/visit")["context"]["begin"]
        return self.send(HOME + "/visit", filled(form, words=words))["location"]

    def visited(self, home):
        """Return the door as a visit finds it."""
        return visits.visited_state(self.state, home.partition("~")[2])


def card(book, home):
    """Return the card of what a visit measures next."""
    page = book.get(home + "/next/A")
    if page["context"]["kind"] == "cautions":
        book.send(home + "/next/A", filled(page["context"]["form"]))
        page = book.get(home + "/next/A")
    return page["context"]


def read(book, home, value, place="left"):
    """Read a place on a visit's card, and return what is shown then."""
    path = home + "/next/A?point=gap&place=" + place
    card(book, home)
    form = book.get(path)["context"]["entry"]["form"]
    got = book.send(home + "/next/A", filled(form, value=value))
    assert got["status"] == 303, got
    return book.get(got["location"])["context"]


def test_after_acceptance_nobody_asks_for_more_than_was_signed():
    book = Accepted()
    book.events["o1"][0]["body"]["depth"] = "short"
    form = book.get(HOME)["context"]["depth"]
    book.accept()
    assert book.get(HOME)["context"]["depth"] is None
    got = book.send(HOME, filled(form, reason="to be sure"))
    assert (got["status"], got["events"]) == (409, [])


def test_visit_begins_only_at_a_door_that_was_accepted():
    book = Accepted()
    page = book.get(HOME + "/visit")
    assert page["context"]["begin"] is None
    assert book.get(HOME)["context"]["visit"] is None
    forced = {"form": "begin", "act": "begin", "id": "v1", "seen": "", "words": "x"}
    got = answer(book.request("POST", HOME + "/visit", forced))
    assert (got["status"], got["events"]) == (409, [])
    assert book.accept().get(HOME)["context"]["visit"] is not None


def test_visit_measures_the_as_left_set_again_and_leaves_what_was_signed():
    book = Accepted().accept()
    home = book.begin()
    before = sign_of(book.state, book.state.step("A")).event["id"]
    assert [place.id for _, _, place in visits.places_left(book.visited(home))] == ["left", "right"]
    read(book, home, "3/16")
    read(book, home, "1/4", "right")
    state = book.state
    assert opening_state(state) == "done"
    sign = sign_of(state, state.step("A"))
    assert (sign.event["id"], sign.good) == (before, True)
    # the opening's own readings are those of the handover
    assert [r.text for r in state.readings("gap", "", "left")] == ["1/8"]
    assert visits.places_left(book.visited(home)) == []


def test_what_moved_is_told_as_a_difference_and_on_the_drawing():
    book = Accepted().accept()
    home = book.begin()
    read(book, home, "3/16")
    read(book, home, "17/64", "right")
    moves = visits.moves_of(book.state, book.visited(home))
    # 3/16 - 1/8 = 1/16; 17/64 - 1/4 = 1/64, which two gauges read to 1/64 cannot tell apart
    assert [(m.place.id, m.change) for m in moves] == [("left", INCH // 16), ("right", INCH // 64)]
    assert [m.is_moved for m in moves] == [True, False]
    shown = book.get(home)["context"]
    assert [row["change"] for row in shown["moves"]] == ['+1/16"', '+1/64"']
    assert shown["trend"] == "1 place has moved since the handover."


def test_what_was_found_stays_beside_what_was_left_after_it_was_put_right():
    book = Accepted().accept()
    home = book.begin()
    shown = read(book, home, "5/16")
    assert (
        shown["kind"] == "verdict"
    )  # out: it says what to do, by the same check as at the setting
    move = filled(shown["judged"]["moves"][0]["form"])
    assert book.send(home + "/next/A", move)["status"] == 303
    assert len(visits.places_left(book.visited(home))) == 2  # what was moved is measured again
    read(book, home, "1/8")
    read(book, home, "1/8", "right")
    moves = visits.moves_of(book.state, book.visited(home))
    assert [(m.found.text, m.now.text) for m in moves] == [("5/16", "1/8"), ("1/8", "1/8")]
    assert opening_state(book.state) == "done"


def signed(book, home, **typed):
    """Sign a visit, and return what was answered."""
    form = book.get(home)["context"]["sign"]["form"]
    given = {"words": "Turned it", "trace": "A", "confirm": "yes"}
    given.update(typed)
    return book.send(home, filled(form, **given))


def test_visit_is_signed_once_all_is_measured_and_takes_nothing_more():
    book = Accepted().accept()
    home = book.begin()
    assert book.get(home)["context"]["sign"] is None
    read(book, home, "1/8")
    form = book.get(home + "/next/A?point=gap&place=right")["context"]["entry"]["form"]
    read(book, home, "1/4", "right")
    for typed in ({"words": ""}, {"trace": "Q"}, {"confirm": ""}):
        got = signed(book, home, **typed)
        assert (got["status"], got["events"]) == (422, [])
    assert signed(book, home)["status"] == 303
    assert book.get(home)["context"]["signed"]["trace"] == "A Look"
    body = book.events["o1"][-1]["body"]
    assert body["covers"] == [e["id"] for e in visits.entries_of(book.state, body["visit"])]
    late = book.send(home + "/next/A", filled(form, id="late-1", value="3/8"))
    assert (late["status"], late["events"]) == (409, [])


def test_next_visit_is_held_against_the_handover_and_knows_what_was_done_before():
    book = Accepted().accept()
    first = book.begin()
    read(book, first, "3/16")
    read(book, first, "1/4", "right")
    signed(book, first)
    second = book.begin("Again")
    assert len(visits.places_left(book.visited(second))) == 2
    read(book, second, "1/4")
    moves = visits.moves_of(book.state, book.visited(second))
    assert [(m.place.id, m.before.text, m.found.text) for m in moves] == [("left", "1/8", "1/4")]
    # the first one is shown as it was
    assert [row["found"] for row in book.get(first)["context"]["moves"]] == ['3/16"', '1/4"']


def test_strike_on_a_visit_takes_only_what_the_visit_read():
    book = Accepted().accept()
    home = book.begin()
    shown = read(book, home, "3/16")
    undo = shown["band"]["undo"]
    assert book.send(home + "/next/A", filled(undo))["status"] == 303
    assert len(visits.places_left(book.visited(home))) == 2
    assert visits.entries_of(book.state, home.partition("~")[2]) == []
    own = book.state.readings("gap", "", "left")[0].id
    book.office("entry.struck", {"target": own, "why": "x", "visit": home.partition("~")[2]})
    assert book.state.readings("gap", "", "left")[0].id == own


def test_page_of_a_visit_that_is_not_there_says_so():
    book = Accepted().accept()
    assert book.get(HOME + "~nothing")["status"] == 404
    assert book.get(HOME + "~nothing/parts")["status"] == 404
    refused("visit-unknown", visits.visited_state, book.state, "nothing")


def test_level_line_is_held_against_its_own_first_place():
    """Each visit sets up its own laser: only what differs along the line can have moved."""
    point = changed(AS_LEFT[0], {"how": "level"})

    def move(place, before, found):
        return visits.Move(point, "", place, _reading(before), [_reading(found)])

    class At:
        id = "x"

    moves = [move(At, (2, 1), (3, 1)), move(At, (2, 1), (49, 16))]
    visits._take_off(moves)
    # read down from a beam: 3-1/16 under 3 is 1/16 lower than the first place, where it was level
    assert [m.change for m in moves] == [0, -INCH // 16]


def _reading(inch):
    from app.core.record.state import Reading

    body = {"value": inches(inch[0], inch[1]), "how": "down", "text": "x"}
    return Reading({"id": "r", "kind": "reading.taken", "body": body})


assert STEP
