"""Signatures on the screen: the owner's at the handover, the builder's under a sheet.

How a drawing is kept is this project's own; that a typed name with consent is enough of a
signature, and that a drawn one proves no identity, is common practice, no source.
"""

from app.core.pages import signature
from app.core.record.events import check_body
from tests.core.book import GAP, STEP, Book, entry
from tests.core.expect import refused

SHEET = "/field/o/o1/sheet/A/go"
LAST = "/field/o/o1/step/B-B"
OWNER = "/field/o/o1/owner"


def sheet(context):
    return context["form"]["form"]


def owner(context):
    return context["door"]["form"]


def test_strokes_are_read_as_points():
    assert signature.strokes_of("1,2 3,4;600,200") == [[1, 2, 3, 4], [600, 200]]
    assert signature.strokes_of("") == []


def test_strokes_that_are_none_are_refused():
    for text in ("x", "1", "1,", "601,0", "0,201", "1,2 ;", "-1,2", "1.5,2", "٣,4", "1,2,3", ";"):
        refused("drawing-unreadable", signature.strokes_of, text)
    refused("drawing-unreadable", signature.strokes_of, " ".join(["1,1"] * 2001))


def test_body_with_a_drawing_outside_its_box_does_not_fit_the_record():
    body = {"name": "Cal", "consent": True, "strokes": [[0, 0, 600, 200]]}
    check_body("handover.signed", body)
    for strokes in (
        [],
        [[]],
        [[1]],
        [[1, 2, 3]],
        [["1", 2]],
        [[True, 2]],
        [[601, 2]],
        "x",
        [[1, 201]],
    ):
        refused("event-unfit", check_body, "handover.signed", dict(body, strokes=strokes))


def last_step(book):
    path = "/field/o/o1"
    return book.get(path)["context"]["steps"][-1]["href"]


def lent():
    book = Book()
    book.lent = {"opening": "o1", "lang": "en"}
    return book


def test_owner_signs_with_a_typed_name_alone():
    book = lent()
    got = book.fill(OWNER, owner, name="Cal Owner", consent="yes")
    assert got["status"] == 303
    assert got["events"][0]["kind"] == "handover.signed"
    assert got["events"][0]["body"] == {"name": "Cal Owner", "consent": True}
    shown = book.get(OWNER)["context"]["door"]["signed"]
    assert shown["text"].startswith("Signed by Cal Owner (typed name, with consent)")
    assert shown["picture"] is None
    book.lent = {}
    assert book.get(last_step(book))["context"]["owner"]["signed"] == shown


def test_drawn_signature_is_shown_as_it_was_drawn():
    book = lent()
    drawn = {"strokes": "1,2 3,4;9,9", "words": "Lock is stiff."}
    book.fill(OWNER, owner, name="Cal", consent="yes", **drawn)
    shown = book.get(OWNER)["context"]["door"]["signed"]
    assert shown["words"] == "Lock is stiff."
    assert [shape["kind"] for shape in shown["picture"]["shapes"]] == ["polyline", "circle"]
    assert shown["picture"]["shapes"][0]["points"] == "1,2 3,4"


def test_without_consent_or_name_nothing_is_signed_and_all_is_kept():
    book = lent()
    for fields in (
        {"name": "Cal"},
        {"consent": "yes"},
        {"name": "C", "consent": "yes", "strokes": "9"},
    ):
        got = book.fill(OWNER, owner, **fields)
        assert (got["status"], got["events"]) == (422, [])
        form = got["context"]["door"]["form"]
        assert form["error"]
        assert form["typed"]["name"] == fields.get("name", "")


def test_only_the_last_step_asks_the_owner():
    assert Book().get(STEP)["context"]["owner"] is None


def test_sheet_shows_what_is_out_and_its_answer_opens_the_gate():
    book = Book()
    book.fill(GAP, entry, value="5/16")
    book.fill(GAP, entry, value="1/8")
    page = book.get(SHEET)
    assert [check["badge"]["kind"] for check in page["context"]["checks"]] == ["out"]
    assert page["context"]["answer"] is None
    got = book.fill(SHEET, sheet, choice="yes", name="Bo Builder", consent="yes", words="Go on.")
    kinds = [event["kind"] for event in got["events"]]
    assert kinds == ["decision.made", "sheet.signed"]
    assert got["events"][0]["body"]["name"] == "Bo Builder"
    decision = book.get(STEP)["context"]["decisions"][0]
    assert decision["made"].startswith("Go: said by Bo Builder")
    assert decision["made_words"] == "Go on."
    answer = book.get(SHEET)["context"]["answer"]
    assert (answer["choice"], answer["later"]) == ("Go", "")


def test_what_is_not_measured_stands_on_the_sheet_as_a_list():
    """The sheet is one side of paper: what is out has its amounts, what is missing its name."""
    book = Book()
    context = book.get(SHEET)["context"]
    assert [check["badge"]["kind"] for check in context["checks"]] == []
    assert [check["badge"]["kind"] for check in context["unmeasured"]] == ["missing"]


def test_declining_on_the_sheet_bars_the_step():
    book = Book()
    book.fill(SHEET, sheet, choice="no", name="Bo Builder", consent="yes")
    bars = [bar["text"] for bar in book.get(STEP)["context"]["bars"]]
    assert "Decided against: Go?" in bars


def test_sheet_says_that_readings_changed_after_it_was_signed():
    book = Book()
    book.fill(SHEET, sheet, choice="yes", name="Bo Builder", consent="yes")
    book.fill(GAP, entry, value="1/8")
    assert book.get(SHEET)["context"]["answer"]["later"] == (
        "Readings changed after this was signed."
    )


def test_same_sheet_twice_is_kept_once():
    book = Book()
    form = sheet(book.get(SHEET)["context"])
    sent = {field["name"]: field["value"] for field in form["hidden"]}
    sent.update({"choice": "yes", "name": "Bo", "consent": "yes"})
    first, again = book.send(SHEET, sent), book.send(SHEET, sent)
    assert (len(first["events"]), again["status"], again["events"]) == (2, 303, [])


def test_no_sheet_where_nobody_else_decides():
    for path in ("/field/o/o1/sheet", "/field/o/o1/sheet/A", "/field/o/o1/sheet/A/nothing"):
        assert Book().get(path)["status"] == 404
