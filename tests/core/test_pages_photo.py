"""A photo that stands beside "cannot reach, because": kept with the entry, shown with it."""

from app.core.kinds import Json
from tests.core.book import GAP, STEP, Book

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
