"""What the record says of itself: nothing that was not so, nothing left out that was.

What is expected follows from the rules of the record (site practice, no published source): what is
only noted is not within, what is out of reach is never shown as within, hidden work without a photo
is somebody's word, a struck reading is told with what it was of.
"""

from app.core.kinds import Json
from app.homeowner import snapshot
from tests.core.ticks import NO_CAMERA
from tests.homeowner.finished import ABOUT, OFFICE, PROCEDURES, Finished, finished, shown


def said_of(book: Finished) -> Json:
    return shown(snapshot.make(ABOUT, book.events, PROCEDURES))


def last(book: Finished, kind: str, **wanted: str) -> Json:
    fits = [
        event
        for event in book.events
        if event["kind"] == kind and wanted.items() <= event["body"].items()
    ]
    return fits[-1]


def step_of(made: Json, id_: str) -> Json:
    return next(step for step in made["steps"] if step["id"] == id_)


def test_a_struck_reading_says_what_it_was_of() -> None:
    book = finished()
    for point in ("opening-widths", "overlap"):
        gone = last(book, "reading.taken", point=point)
        book.enter("entry.struck", {"target": gone["id"], "why": "Figures turned round"})
    book.accept()
    places = [one["place"] for one in said_of(book)["struck"]]
    assert any(place.startswith("Opening, clear width: high") for place in places)
    assert any(
        place.startswith("Overlap at the interlock, mid-height, panel D: ") for place in places
    )


def test_noted_is_not_within(made: Json) -> None:
    said = shown(made)
    noted = [
        check for step in said["steps"] for check in step["checks"] if check["says"] == ["Noted."]
    ]
    assert len(noted) > 5
    assert {check["mark"]["word"] for check in noted} == {"noted"}
    marks = [check["mark"]["word"] for step in said["steps"] for check in step["checks"]]
    assert f"within at the places measured: {marks.count('within')};" in said["result"]
    assert f"only noted, nothing to judge: {len(noted)};" in said["result"]


def test_out_of_reach_has_no_picture_that_looks_within() -> None:
    book = finished()
    point = book.state.point("timber-moisture")
    place = book.state.places(point["id"], "")[-1]
    body = {"point": point["id"], "panel": "", "place": place.id, "why": "Concrete"}
    book.enter("reading.unreachable", body)
    book.accept()
    check = next(c for c in step_of(said_of(book), "B1")["checks"] if c["title"] == "Wood dry")
    assert check["mark"]["kind"] == "unreachable"
    assert check["picture"] is None


def test_a_photo_that_is_not_there_has_the_words_why(made: Json) -> None:
    said = shown(made)
    photos = [t for s in said["steps"] for t in s["tasks"] if t["text"].startswith("Photo:")]
    others = [t for s in said["steps"] for t in s["tasks"] if not t["text"].startswith("Photo:")]
    assert all(task["by"].startswith("No photo: ") for task in photos)
    assert {task["words"] for task in photos} == {NO_CAMERA}
    assert not any("No photo" in task["by"] or task["words"] for task in others)
    book = Finished()
    taken = {
        "step": "J",
        "task": "j-photo",
        "sha256": "ab" * 32,
        "size": 1,
        "width": 4,
        "height": 3,
    }
    book.enter("photo.taken", taken)
    task = step_of(said_of(book), "J")["tasks"][-1]
    assert task["text"].startswith("Photo:")
    assert task["done"]
    assert "No photo" not in task["by"]
    assert not task["words"]


def test_an_owner_who_did_not_sign_is_told() -> None:
    book = Finished()
    book.accept()
    assert [one["text"] for one in said_of(book)["signatures"]] == [
        "The owner has not signed the handover on a screen."
    ]


def test_readings_say_which_kind_of_instrument_and_that_none_was_named() -> None:
    book = Finished()
    for key in ("A", "B1"):
        book.measure(book.state.step(key))
    tables = {table["title"] for table in step_of(said_of(book), "A")["tables"]}
    assert "Sill as delivered, length (by tape)" in tables
    assert "Safety mark and rating mark on each lite" in tables
    assert said_of(book)["instruments"] == []
    width = last(book, "reading.taken", point="opening-widths")
    body = {name: words for name, words in width["body"].items() if name != "instrument"}
    book.enter("reading.taken", body)
    assert said_of(book)["instruments"][-1]["text"].startswith("Where no instrument stands")


def test_as_left_says_which_change_means_a_call(made: Json) -> None:
    for units, size in (("in", '1/16"'), ("mm", "1.6 mm"), ("both", '1/16" (1.6 mm)')):
        says = " ".join(shown(made, "en", units)["left"]["says"])
        assert f"changed by more than {size}" in says
        assert "no published standard" in says
    rows = shown(made)["left"]["rows"]
    assert ["As left: sun on the frame", "–"] in [row[:2] for row in rows]


def test_who_signed_is_one_sentence(made: Json) -> None:
    signed = [step["signed"] for step in shown(made)["steps"]]
    assert all(len(texts) == 1 for texts in signed)
    assert OFFICE not in str(signed)


def test_what_was_written_down_stands_where_it_is_looked_for(made: Json) -> None:
    """Marks on the first page, what cures and the keys with how to use the door, lots in steps."""
    said = shown(made)
    facts = {fact["label"]: fact["words"] for fact in said["facts"]}
    assert facts["Marks on the panels, as read"].startswith("panel A: as drawn, panel B: as drawn")
    handed = next(c for c in said["care"] if c["title"] == "Written down at the handover")
    assert "What still cures, and until when: as drawn" in handed["says"]
    assert "Keys: how many, and to whom: as drawn" in handed["says"]
    assert handed["says"][-1].endswith("Nothing here says that it has.")
    tables = {table["title"] for step in said["steps"] for table in step["tables"]}
    assert "Joint sealant and primer: name, lot, date" in tables
    assert not any("cures" in row[0] for row in said["left"]["rows"])


def test_what_nobody_wrote_down_is_said() -> None:
    book = Finished()
    book.accept()
    said = said_of(book)
    facts = {fact["label"]: fact["words"] for fact in said["facts"]}
    assert facts["Marks on the panels, as read"] == "not written down"
    handed = next(c for c in said["care"] if c["title"] == "Written down at the handover")
    assert "What still cures, and until when: not written down" in handed["says"]
    notes = [note["text"] for note in step_of(said, "B2")["decisions"]]
    assert "Who looked at the pan before it was covered: not written down" in notes


def test_a_choice_is_said_in_its_words(made: Json) -> None:
    for lang, words in (("en", "closed and locked"), ("es", "cerrados y con seguro")):
        rows = shown(made, lang, "in")["left"]["rows"]
        assert words in [row[2] for row in rows]


def test_a_new_revision_says_what_it_was_before() -> None:
    """A reading with its old value, and where the opening is where that was mended."""
    book = finished()
    first = snapshot.make(ABOUT, book.events, PROCEDURES)
    gap = last(book, "reading.taken", point="as-left-force")
    book.enter("reading.taken", {**gap["body"], "text": "7", "value": str(7 * 44482216152605000)})
    book.sign_step("J")
    book.accept()
    where = {**ABOUT, "address": "14 Marrow Lane, Sampleton"}
    second = snapshot.make(where, book.events, PROCEDURES, first)
    told = " ".join(note["text"] for note in shown(second)["changes"])
    assert "As left: force to move the leading panel, panel A: was 5 lb, is 7 lb" in told
    assert "Address: was 12 Marrow Lane, Sampleton, is 14 Marrow Lane, Sampleton" in told
    assert "Company" not in told
