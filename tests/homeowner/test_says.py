"""What the record says of itself: nothing that was not so, nothing left out that was.

What is expected follows from the rules of the record (site practice, no published source): what is
only noted is not within, what is out of reach is never shown as within, hidden work without a photo
is somebody's word, a struck reading is told with what it was of.
"""

import json

import pytest

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
    return next(step for step in made["sections"] if step["id"] == id_)


def test_a_struck_reading_says_what_it_was_of() -> None:
    book = finished()
    for point in ("opening-widths", "overlap"):
        gone = last(book, "reading.taken", point=point)
        book.enter("entry.struck", {"target": gone["id"], "why": "Figures turned round"})
    book.accept()
    places = [one["place"] for one in said_of(book)["struck"]]
    assert any(place.startswith("Opening, clear width: high") for place in places)
    assert any(place.startswith("Overlap, panel D: ") for place in places)


def test_noted_is_not_within(made: Json) -> None:
    """What is only noted stands with the readings and is no check; the result counts the others."""
    facts = [check for step in made["facts"]["steps"] for check in step["checks"]]
    noted = [check for check in facts if check.get("only_noted")]
    assert len(noted) > 5
    judged = len(facts) - len(noted)
    said = shown(made)
    assert said["result"] == f"All {judged} checks are within their limits."
    titles = [check["title"] for step in said["sections"] for check in step["checks"]]
    assert "Panel weights noted" not in titles
    # at short depth the weights come from the order; the label's mark is read and only noted
    assert "Mark on the panel's label, as read" in str(step_of(said, "A")["readings"])


def rows_of(said: Json) -> dict[str, list[str]]:
    return {
        row["title"]: [row["worst"], row["allowed"], row["badge"]["word"]]
        for row in said["matters"]["rows"]
    }


def test_what_matters_has_the_worst_figure_limit_and_verdict(made: Json) -> None:
    """The demo's drawing and limits, by hand: 27 anchors, 30 lb to start and 20 lb to move."""
    rows = rows_of(shown(made))
    assert rows["Anchors and screws, all as drawn"] == ["27", "27", "within"]
    assert rows["Force to start and to move"] == ["5 lb", "20 lb or less", "within"]
    assert rows["Lock throws and hooks"] == ["10", "10", "within"]
    assert rows["Opens from inside"] == ["yes", "yes", "within"]
    assert 8 <= len(rows) <= 14
    assert rows_of(shown(made, "es", "mm"))["Nivel del umbral"][1] == "3.2 mm o menos"


def test_one_that_is_out_is_the_row_s_worst() -> None:
    """A weep of eight does not run: the row says so, though the other check counts all eight."""
    book = finished()
    weeps = last(book, "reading.taken", point="weeps-running")
    book.enter("reading.taken", {**weeps["body"], "text": "7", "value": "7"})
    book.accept()
    said = said_of(book)
    assert rows_of(said)["Weeps open and running"] == ["7", "8", "OUT"]
    assert "1 is out." in said["result"]
    out = next(item for item in said["exceptions"] if item["label"] == "OUT")
    lines = {line["label"]: line["words"] for line in out["lines"]}
    assert out["text"] == "Every weep runs (step I)"
    assert (lines["Measured"], lines["Allowed"]) == ("7", "8")


def test_out_of_reach_is_never_within() -> None:
    book = finished()
    point = book.state.point("timber-moisture")
    place = book.state.places(point["id"], "")[-1]
    body = {"point": point["id"], "panel": "", "place": place.id, "why": "Concrete"}
    book.enter("reading.unreachable", body)
    book.accept()
    check = next(c for c in step_of(said_of(book), "B1")["checks"] if c["title"] == "Wood dry")
    assert check["badge"]["kind"] == "unreachable"
    said = said_of(book)
    assert "1 could not be measured everywhere." in said["result"]
    gone = next(item for item in said["exceptions"] if item["label"] == "Not reached")
    assert "Concrete" in [line["words"] for line in gone["lines"]]


def test_a_photo_that_is_not_there_has_the_words_why(made: Json) -> None:
    said = shown(made)
    photos = [t for s in said["sections"] for t in s["tasks"] if "Photo:" in t["text"]]
    others = [t for s in said["sections"] for t in s["tasks"] if "Photo:" not in t["text"]]
    assert all(task["by"].startswith("no photo") for task in photos)
    assert {task["words"] for task in photos} == {NO_CAMERA}
    assert not any("no photo" in task["by"] or task["words"] for task in others)
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
    assert "no photo" not in task["by"]
    assert not task["words"]


def test_an_owner_who_did_not_sign_is_told() -> None:
    book = Finished()
    book.accept("Well done.")
    signatures = said_of(book)["signatures"]
    owner = next(one for one in signatures if one["title"] == "Handover: the owner")
    assert owner["text"] == "The owner has not signed the handover on a screen."


def test_readings_say_which_kind_of_instrument_and_that_none_was_named() -> None:
    book = Finished()
    for key in ("A", "B1"):
        book.measure(book.state.step(key))
    readings = step_of(said_of(book), "A")["readings"]
    titles = {one["title"] for one in readings["single"]}
    titles |= {row["title"] for table in readings["tables"] for row in table["rows"]}
    assert "Sill length (tape no. 2)" in titles
    assert "Safety and rating marks on each lite" in titles
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
    single = [one["title"] for one in shown(made)["left"]["single"]]
    assert "As left: sun on the frame" in single


def test_who_signed_is_one_sentence_a_panel(made: Json) -> None:
    sections = shown(made)["sections"]
    signed = [step["signed"] for step in sections]
    # and of the panels of step E one that says of all how that was made sure of
    assert [len(texts) for texts in signed] == [5 if s["id"] == "E" else 1 for s in sections]
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
    lots = [one["title"] for one in step_of(said, "H")["readings"]["single"]]
    assert "Joint sealant and primer: name, lot, date" in lots
    assert "cures" not in str(said["left"]["single"])


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
        single = shown(made, lang, "in")["left"]["single"]
        assert words in [one["text"] for one in single]


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
    assert "As left: force to move the lead, panel A: was 5 lb, is 7 lb" in told
    assert "Address: was 12 Marrow Lane, Sampleton, is 14 Marrow Lane, Sampleton" in told
    assert "Company" not in told


def test_how_a_sign_off_was_made_sure_of_is_said_once_of_all_panels(made: Json) -> None:
    said = step_of(shown(made), "E")["signed"]
    panels = [step["panel"] for step in made["facts"]["steps"] if step["id"] == "E"]
    assert len(panels) > 2
    assert [line.partition(":")[0] for line in said[:-1]] == panels
    assert all("signed by Tobin Hale, " in line for line in said[:-1])
    assert "password" not in " ".join(said[:-1])
    assert said[-1] == "Each signed in under their own password"


def test_panels_that_were_signed_otherwise_say_so_each(made: Json) -> None:
    mixed = json.loads(json.dumps(made))
    last_of = [step for step in mixed["facts"]["steps"] if step["id"] == "E"][-1]
    last_of["sign"]["sure"] = "pin"
    *others, last_said = step_of(shown(mixed), "E")["signed"]
    assert all("signed in under their own password" in line for line in others)
    assert "confirmed by PIN on a shared phone" in last_said


@pytest.mark.parametrize(
    ("points", "places", "counts"),
    [
        (0, 103, "103 further places of points that were measured"),
        (1, 0, "1 point"),
        (2, 1, "2 points and 1 further place of a point that was measured"),
    ],
)
def test_what_short_depth_leaves_out_counts_nothing_that_is_none(
    made: Json, points: int, places: int, counts: str
) -> None:
    short = json.loads(json.dumps(made))
    left = [{"step": "A", "title": f"point {n}"} for n in range(points)]
    short["facts"]["depth"] = {"depth": "short", "raised": None, "points": left, "places": places}
    said = shown(short)
    [text] = [item["text"] for item in said["exceptions"] if item["label"] == "Not asked"]
    assert text == f"The door was measured at short depth, which leaves out {counts}."
    [depth] = [fact["words"] for fact in said["facts"] if fact["label"] == "Depth"]
    assert depth.startswith(f"short; not asked: {counts}")
