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
    step = book.get("/field/o/o1/step/A")["context"]
    # heights 0, -1/16, -1/8, -1/16 against the first line: alike within 1/8
    assert step["checks"][0]["mark"]["kind"] == "within"
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
