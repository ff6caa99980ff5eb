"""A photo that stands beside "cannot reach, because": kept with the entry, shown with it."""

import json

from app.core.kinds import Json
from app.core.record.gate import cover_of
from app.core.record.state import State
from tests.core.book import GAP, STEP, Book, filled
from tests.core.sample import PROCEDURES

HASH = "ab" * 32
PHOTO = {"sha256": HASH, "size": "40000", "width": "1600", "height": "1200"}


class Phone(Book):
    """The book as a paired phone asks of it."""

    def request(self, method: str, path: str, form: "Json | None" = None) -> Json:
        """Return a request that a phone's worker makes."""
        made = super().request(method, path, form)
        made["phone"] = {"unsent": 0, "photos": 0}
        made["absent"] = []
        return made


def reach(context):
    return context["unreachable"]


def test_a_place_out_of_reach_may_have_a_photo():
    book = Phone()
    assert book.get(GAP)["context"]["unreachable"]["photo"]
    got = book.fill(GAP, reach, words="behind the post", **PHOTO)
    # the photo first: a phone keeps the picture under the first event of its form
    photo, entry = got["events"]
    assert (photo["kind"], entry["kind"]) == ("photo.taken", "reading.unreachable")
    assert photo["body"]["task"] == "reach:" + entry["id"] and photo["body"]["sha256"] == HASH
    assert entry["body"]["why"] == "behind the post"


def test_it_is_shown_with_the_entry_and_in_the_step():
    book = Phone()
    entry = book.fill(GAP, reach, words="behind the post", **PHOTO)["events"][1]
    page = book.get("/field/o/o1/reading/" + entry["id"])["context"]
    assert [one["src"] for one in page["photos"]] == ["/photos/" + HASH]
    shown = book.get(STEP)["context"]["photos"][-1]
    assert shown["text"].endswith("could not be reached: behind the post")
    assert [one["src"] for one in shown["taken"]] == ["/photos/" + HASH] and not shown["form"]


def test_without_a_photo_it_is_as_before():
    book = Phone()
    got = book.fill(GAP, reach, words="behind the post")
    assert [event["kind"] for event in got["events"]] == ["reading.unreachable"]
    assert "reach" not in str([one["id"] for one in book.get(STEP)["context"]["photos"]])


def test_a_form_that_is_sent_twice_is_one_entry_with_one_photo():
    book = Phone()
    form = {field["name"]: field["value"] for field in reach(book.get(GAP)["context"])["hidden"]}
    form.update(PHOTO)
    form["words"] = "behind the post"
    assert len(book.send(GAP, form)["events"]) == 2
    again = book.send(GAP, form)
    assert (again["status"], again["events"]) == (303, [])


def test_a_damaged_photo_is_refused_and_the_words_stay():
    book = Phone()
    for field, wrong in (("sha256", "zz"), ("size", "99999999"), ("width", "0")):
        typed = dict(PHOTO)
        typed[field] = wrong
        got = book.fill(GAP, reach, words="behind the post", **typed)
        assert got["status"] == 422 and got["events"] == []
        assert got["context"]["unreachable"]["typed"]["words"] == "behind the post"


def test_the_server_takes_no_photo():
    assert not Book().get(GAP)["context"]["unreachable"]["photo"]


# A photo task needs its photo, or words why there is none: common practice, no source (what is
# hidden afterwards rests on the photo or on somebody's word, and the record says which).


def labels(context):
    """Return the section of the photo task."""
    return context["photos"][0]


def none(context):
    return labels(context)["none"]


def open_photos(context):
    return [bar["text"] for bar in context["bars"] if bar["text"].startswith("No photo yet")]


def photo_book():
    book = Phone()
    book.move(6)
    return book


def test_a_photo_task_is_no_tick():
    book = photo_book()
    page = book.get(STEP)["context"]
    assert [task["id"] for task in page["tasks"]] == ["seen", "swept", "scanned"]
    assert open_photos(page) == ["No photo yet: Photo of each label"]
    stale = filled(page["tasks"][0]["form"], task="labels")  # from a page that offered it
    got = book.send(STEP, stale)
    assert (got["status"], got["events"]) == (409, [])
    assert "say why there is none" in got["context"]["title"]


def test_a_tick_that_another_program_wrote_is_no_photo():
    book = photo_book()
    page = book.get(STEP)["context"]
    form = filled(page["tasks"][0]["form"])
    made = book.send(STEP, form)["events"][0]
    made["body"]["task"] = "labels"
    assert open_photos(book.get(STEP)["context"])


def test_the_photo_does_the_task():
    book = photo_book()
    got = book.fill(STEP, lambda context: labels(context)["form"], **PHOTO)
    assert [event["kind"] for event in got["events"]] == ["photo.taken"]
    page = book.get(STEP)["context"]
    assert not open_photos(page) and not none(page) and not labels(page)["said"]


def test_words_why_there_is_none_do_it_too_and_are_shown():
    for book in (photo_book(), Book()):
        if not isinstance(book, Phone):
            book.move(6)
        got = book.fill(STEP, none, words="No label on any panel")
        assert [event["body"].get("words") for event in got["events"]] == ["No label on any panel"]
        page = book.get(STEP)["context"]
        assert not open_photos(page)
        assert labels(page)["said"]["words"] == "No label on any panel"
        assert labels(page)["said"]["text"].startswith("No photo: Ada Example")


def test_without_words_it_is_refused():
    book = photo_book()
    got = book.fill(STEP, none, words="  ")
    assert (got["status"], got["events"]) == (422, [])
    assert none(got["context"])["error"] == "Say why there is no photo."


def test_the_same_words_sent_twice_are_one_entry():
    book = photo_book()
    form = filled(none(book.get(STEP)["context"]), words="Too dark")
    assert len(book.send(STEP, form)["events"]) == 1
    again = book.send(STEP, form)
    assert (again["status"], again["events"]) == (303, [])


def test_a_photo_that_comes_later_breaks_no_sign_off():
    book = photo_book()
    state = State(book.events["o1"], PROCEDURES)
    book.fill(STEP, none, words="Too dark")
    before = cover_of(State(book.events["o1"], PROCEDURES), state.step("A"))
    for _ in range(2):
        book.fill(STEP, lambda context: labels(context)["form"], **PHOTO)
        assert cover_of(State(book.events["o1"], PROCEDURES), state.step("A")) == before
    assert len(before["covers"]) == 1


def test_the_cover_holds_the_photo_that_a_sign_off_rests_on():
    book = photo_book()
    taken = [
        book.fill(STEP, lambda context: labels(context)["form"], **PHOTO)["events"][0]
        for _ in range(2)
    ]
    state = State(book.events["o1"], PROCEDURES)
    assert cover_of(state, state.step("A"))["covers"] == [taken[0]["id"]]


def nothing_to_show(nothing):
    """Return a book whose photo task may have nothing to show, and that task as its page has it."""

    class Quiet(Phone):
        def request(self, method, path, form=None):
            out = super().request(method, path, form)
            out["book"]["procedures"] = {
                key: changed_task(one, nothing) for key, one in PROCEDURES.items()
            }
            return out

    book = Quiet()
    return book, next(task for task in book.get(STEP)["context"]["photos"] if task["none"])


def changed_task(procedure, nothing):
    made = json.loads(json.dumps(procedure))
    for step in made["steps"]:
        for task in step["tasks"][:1]:
            task.update(kind="photo", none=nothing)
    return made


def test_where_there_may_be_nothing_to_show_that_is_one_tap():
    book, task = nothing_to_show("No damage found")
    assert task["nothing"] == "No damage found"
    got = book.send(STEP, filled(task["none"], words=task["nothing"]))
    assert got["events"][0]["body"]["words"] == "No damage found"


def test_a_photo_that_proves_something_has_no_such_tap():
    assert nothing_to_show("")[1]["nothing"] == ""
