"""A survey from two set-ups of the laser, tied at a common station (common practice, no source)."""

from tests.core.book import Book, entry, filled
from tests.core.sample import PROCEDURE

LINE = "/field/o/o1/point/line"


def level_book():
    """Return a book whose procedure has a level line of four places."""
    book = Book()
    procedure = dict(PROCEDURE)
    step = dict(procedure["steps"][0])
    point = dict(step["points"][0])
    point["id"] = "line"
    point["how"] = "level"
    point["where"] = {"kind": "listed", "items": [{"id": p, "title": p} for p in "abcd"]}
    step["points"] = [point]
    check = dict(step["checks"][0])
    check["points"] = {"readings": "line"}
    check["calc"] = "alike"
    step["checks"] = [check]
    step["adjustments"] = []
    procedure["steps"] = [step]
    asked = book.request

    def request(method, path, form=None):
        made = asked(method, path, form)
        made["book"]["procedures"] = {"small@1": procedure}
        return made

    book.request = request
    page = book.get(LINE)["context"]
    book.send(LINE, filled(page["way"]["form"], way="down"))
    return book


def tie(context):
    return context["setup"]["form"]


def test_readings_of_a_new_set_up_are_tied_to_the_first():
    book = level_book()
    book.fill(LINE, entry, value="40")
    book.fill(LINE, entry, value="40 1/16")
    # the laser now stands 3 in lower: place b reads 37 1/16 down from it
    got = book.fill(LINE, tie, at="b", value="37 1/16")
    assert got["status"] == 303
    book.fill(LINE, entry, value="37 1/8")
    book.fill(LINE, entry, value="37 1/16", sure="yes")
    step = book.get("/field/o/o1/step/A?show=all")["context"]
    # heights 0, -1/16, -1/8, -1/16 against the first line: alike within 1/8
    assert step["checks"][0]["badge"]["kind"] == "within"
    assert any('1/8"' in said for said in step["checks"][0]["says"])


def test_a_tie_by_mistake_is_struck():
    book = level_book()
    book.fill(LINE, entry, value="40")
    book.fill(LINE, tie, at="a", value="37")
    shown = book.get(LINE)["context"]["setup"]["ties"]
    assert shown[0]["text"].startswith('New set-up: the line stands 3" LOWER.')
    book.send(LINE, filled(shown[0]["strike"]))
    assert book.get(LINE)["context"]["setup"]["ties"] == []


def test_a_tie_needs_a_place_and_a_reading():
    book = level_book()
    book.fill(LINE, entry, value="40")
    for typed in ({"at": "c", "value": "37"}, {"at": "a", "value": ""}, {"at": "a", "value": "x"}):
        got = book.fill(LINE, tie, **typed)
        assert (got["status"], bool(tie(got["context"])["error"])) == (422, True)
        assert tie(got["context"])["typed"]["value"] == typed["value"]


def test_an_odd_reading_is_asked_back_once_and_kept_when_sure():
    book = level_book()
    for text in ("40", "40", "40"):
        book.fill(LINE, entry, value=text)
    got = book.fill(LINE, entry, value="41")  # almost exactly an inch off: a burned inch?
    assert got["status"] == 422
    assert got["context"]["ask"]["typed"] == "41"
    assert got["context"]["entry"]["form"]["error"] == ""
    kept = book.send(LINE, filled(got["context"]["ask"]["form"]))
    assert (kept["status"], kept["events"][0]["body"]["text"]) == (303, "41")


def book_asking(quantity):
    """Return a book whose first point asks for this quantity, at panel A."""
    book = level_book()
    asked = book.request

    def request(method, path, form=None):
        made = asked(method, path, form)
        procedure = made["book"]["procedures"]["small@1"]
        point = dict(procedure["steps"][0]["points"][0])
        point.update(quantity=quantity, how="plain", where={"kind": "panels"})
        procedure = dict(procedure)
        step = dict(procedure["steps"][0])
        step.update(points=[point], checks=[])
        procedure["steps"] = [step]
        made["book"]["procedures"] = {"small@1": procedure}
        return made

    book.request = request
    return book


def test_a_part_of_one_is_asked_back_as_percent():
    # 0.85 on a hygrometer's part of one is 85 %; no air is drier than 1 %: common practice
    book = book_asking("fraction")
    got = book.fill(LINE, entry, value="0.85")
    assert got["status"] == 422
    assert got["context"]["ask"]["text"] == "Less than 1 %: did the meter show 85%?"
    kept = book.send(LINE, filled(got["context"]["ask"]["form"]))
    assert (kept["status"], kept["events"][0]["body"]["value"]) == (303, "8500")
    assert book_asking("fraction").fill(LINE, entry, value="85")["status"] == 303
    assert book_asking("fraction").fill(LINE, entry, value="0")["status"] == 303


def test_a_weight_below_that_of_the_glass_is_asked_back():
    # panel A is 48 x 94 in: three quarters of it, 4 mm thick, at 2.5 kg per m2 and mm is 21.8 kg
    book = book_asking("mass")
    got = book.fill(LINE, entry, value="21 kg")
    assert got["status"] == 422
    assert "glass alone weighs" in got["context"]["ask"]["text"]
    assert book_asking("mass").fill(LINE, entry, value="22 kg")["status"] == 303


def test_strong_is_half_of_the_smallest_division_and_said_back():
    book = book_asking("length")
    got = book.fill(LINE, entry, value="3/8 strong")
    # 3/8 and half of 1/16 in, which a tape is read to, is 13/32 in
    assert got["status"] == 303
    body = got["events"][0]["body"]
    assert (body["text"], body["value"]) == ("3/8 strong", "10318750")
    saved = book.get(got["location"])["context"]["saved"]
    assert saved["text"] == 'Kept: 13/32" (typed 3/8 strong), panel A'
