"""Several persons on one phone: whose openings, whose PIN, who signs. This project's own rules."""

from app.core.entry import answer, needs
from tests.core.book import Book

SHARED = {
    "unsent": 0, "photos": 0, "shared": True, "pins": ["p1", "p2"],
    "persons": [{"id": "p1", "name": "Ada Example"}, {"id": "p2", "name": "Bo Example"}],
}  # fmt: skip


def ask(book, path, form=None, phone=None, pin=None):
    request = book.request("POST" if form else "GET", path, form)
    request["phone"] = SHARED if phone is None else phone
    request["pin"] = pin
    got = answer(request)
    for event in got["events"]:
        book.events[event["opening"]].append(event)
    return got


def ready(book):
    """Do all that step A asks, on the phone of the book."""
    from app.core.record.events import new_event
    from tests.core.sample import inches

    def write(kind, body):
        here = book.events["o1"]
        seen = {}
        for event in here:
            seen[event["device"]] = max(seen.get(event["device"], 0), event["n"])
        here.append(new_event(here, {
            "id": "w" + str(len(here)), "device": "web-1", "opening": "o1", "seen": seen,
            "at": "2026-03-02T08:00", "person": "p1", "kind": kind, "body": body}))  # fmt: skip

    write("task.ticked", {"step": "A", "task": "seen", "done": True})
    choice = {"step": "A", "decision": "go", "choice": "yes", "name": "Builder"}
    write("decision.made", choice)
    for place in ("left", "right"):
        write("reading.taken", {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "1/8",
            "value": inches(1, 8), "how": "plain", "units": "in"})  # fmt: skip


def sign(book, pin, phone=None):
    signoff = ask(book, "/field/o/o1/step/A", phone=phone)["context"]["signoff"]
    form = {field["name"]: field["value"] for field in signoff["form"]["hidden"]}
    form["confirm"] = "yes"
    return ask(book, "/field/o/o1/step/A", form, phone, pin)


def test_only_ones_own_openings_are_there():
    book = Book()
    request = book.request("GET", "/field/o/o2")
    request["phone"] = SHARED
    for opening in request["book"]["openings"]:
        opening["persons"] = ["p1"] if opening["id"] == "o1" else ["p2"]
    assert answer(request)["status"] == 404
    request["path"] = "/field/o/o1"
    assert answer(request)["status"] == 200


def test_a_right_pin_signs_and_says_so():
    book = Book()
    ready(book)
    got = sign(book, {"person": "p1", "state": "right"})
    assert got["events"][0]["body"]["confirmed"] == "pin"
    shown = ask(book, "/field/o/o1/step/A")["context"]["signed"]
    assert "confirmed by PIN on a shared phone" in shown["text"]


def test_nothing_else_signs_on_a_shared_phone():
    book = Book()
    ready(book)
    for pin, code in (
        (None, "Type the PIN"),
        ({"person": "p1", "state": "wrong", "left": 3}, "Tries left: 3"),
        ({"person": "p1", "state": "wait", "seconds": 8}, "Wait 8 seconds"),
        ({"person": "p1", "state": "locked"}, "Five wrong PINs"),
        ({"person": "p1", "state": "unset"}, "Set one first"),
        ({"person": "p2", "state": "right"}, "Type the PIN"),
    ):
        got = sign(book, pin)
        assert (got["status"], got["events"]) == (422, [])
        assert code in got["context"]["signoff"]["form"]["error"]


def test_a_phone_of_one_person_asks_for_none():
    book = Book()
    ready(book)
    alone = {"unsent": 0, "photos": 0, "shared": False, "persons": SHARED["persons"][:1]}
    got = sign(book, None, alone)
    assert "confirmed" not in got["events"][0]["body"]


def test_another_person_goes_on_by_their_own_pin():
    book = Book()
    form = {"form": "switch-p2", "act": "switch", "person": "p2"}
    got = ask(book, "/field/person", form, pin={"person": "p2", "state": "right"})
    assert (got["status"], got["person"]) == (303, "p2")
    got = ask(book, "/field/person", form, pin={"person": "p1", "state": "right"})
    assert (got["status"], got["person"]) == (422, "")
    form["person"] = "p3"
    got = ask(book, "/field/person", form, pin={"person": "p3", "state": "right"})
    assert (got["status"], got["person"]) == (404, "")


def test_the_page_names_who_may_enter():
    book = Book()
    assert needs(book.request("GET", "/field/person")) == []
    persons = ask(book, "/field/person")["context"]["persons"]
    assert [(one["name"], one["here"], one["switch"] is not None) for one in persons] == [
        ("Ada Example", True, False), ("Bo Example", False, True),
    ]  # fmt: skip
    assert answer(book.request("GET", "/field/person"))["status"] == 404  # no phone, no such page


def test_setting_a_pin_says_what_came_of_it():
    book = Book()
    form = {"form": "set-p2", "act": "set-pin", "person": "p2"}
    got = ask(book, "/field/person", form, pin={"person": "p2", "state": "kept"})
    assert got["location"] == "/field/person?kept=yes"
    states = ("form", "differs", "password", "wait-password", "gone", "unpaired", "no-answer")
    for state in states:
        got = ask(book, "/field/person", form, pin={"person": "p2", "state": state})
        errors = [one["set"]["error"] for one in got["context"]["persons"]]
        assert errors[0] == "" and errors[1] != ""


def test_after_too_many_wrong_pins_only_the_password_is_asked_for():
    book = Book()
    form = {"form": "switch-p2", "act": "switch", "person": "p2"}
    for state, locked in (("wrong", False), ("locked", True)):
        pin = {"person": "p2", "state": state, "left": 1}
        got = ask(book, "/field/person", form, pin=pin)
        assert [one["locked"] for one in got["context"]["persons"]] == [False, locked]
