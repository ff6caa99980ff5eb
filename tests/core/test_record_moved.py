"""An opening that the office moves to another version of its procedure."""

from app.core.quantity.speaker import Speaker
from app.core.record import gate
from app.core.record.events import new_event
from app.core.record.rests import procedure_of
from tests.core.book import GAP, Book, entry
from tests.core.expect import refused
from tests.core.sample import Site, inches

P = "phone-1"


def signed() -> Site:
    site = Site()
    site.ready_a(P)
    site.sign(P)
    site.send(P, "office-1")
    return site


def sign_a(site: Site):
    state = site.state()
    return gate.sign_of(state, state.step("A"))


def test_opening_is_under_the_procedure_that_it_was_moved_to():
    site = signed()
    assert site.state().procedure_key == "small@1"
    site.move(2)
    state = site.state()
    assert state.procedure_key == "small@2"
    assert [task["id"] for task in state.step("B:A").data["tasks"]] == ["vacuum"]


def test_sign_off_of_a_step_that_is_the_same_holds():
    site = signed()
    site.move(2)
    assert procedure_of(site.state(), site.state().step("A")) == "small@1"
    assert sign_a(site).good


def test_words_about_a_step_break_nothing():
    site = signed()
    site.move(4)
    assert sign_a(site).good


def test_sign_off_of_a_step_that_differs_breaks_and_says_why():
    site = signed()
    site.move(3)
    sign = sign_a(site)
    assert sign.true
    assert [Speaker().say(words) for words in sign.why] == [
        "The procedure was changed after it was signed."
    ]


def test_moved_back_it_heals():
    site = signed()
    site.move(3)
    site.move(1)
    assert site.state().procedure_key == "small@1"
    assert sign_a(site).good


def test_signed_anew_under_the_new_version_it_holds():
    site = signed()
    site.move(3)
    site.send("office-1", P)
    site.read(P, "gap", "right", "1/8", inches(1, 8))
    site.sign(P)
    assert sign_a(site).good


def test_only_the_office_moves():
    site = signed()
    site.write(P, "procedure.moved", {"procedure": "small", "version": 3, "why": "mine"})
    assert site.state().procedure_key == "small@1"


def test_who_had_not_seen_the_move_signs_truly_and_it_is_broken():
    site = Site()
    site.ready_a(P)
    site.move(3)
    site.sign(P)
    sign = sign_a(site)
    assert sign.true
    assert not sign.holds


def test_procedure_that_is_not_here_is_missing_not_a_bug():
    site = signed()
    site.move(99)
    refused("procedure-missing", site.state)


def test_reading_of_a_point_that_the_procedure_dropped_can_be_seen_and_struck():
    book = Book()
    got = book.fill(GAP, entry, value="1/8")
    read = got["events"][0]
    body = {"procedure": "small", "version": 5, "why": "fewer points"}
    draft = {
        "id": "moved", "device": "office-1", "opening": "o1", "at": "2026-03-02T15:00:00-05:00",
        "seen": {"office-1": 1, "web-1": 1}, "person": "p2", "kind": "procedure.moved",
        "body": body,
    }  # fmt: skip
    book.events["o1"].append(new_event(book.events["o1"], draft))
    path = "/field/o/o1/reading/" + read["id"]
    page = book.get(path)
    assert page["status"] == 200
    assert page["context"]["point"]["href"] == "/field/o/o1/history"
    struck = book.fill(path, lambda context: context["strike"], words="not asked any more")
    assert (struck["status"], struck["location"]) == (303, "/field/o/o1/history")
    assert book.get(path)["context"]["reading"]["fate"] == "struck"
