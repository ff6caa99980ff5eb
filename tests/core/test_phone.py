"""The phone's crossing, with pages and words of the tests' own. The rest is this project's own."""

import json

from app.core import phone
from tests.core.book import GAP, Book, entry, filled


class Plain:
    """A compiled page that shows what it was given."""

    def __init__(self, name):
        self.name = name

    def render(self, context, say):
        return self.name + "|" + say("Save") + "|" + context["page"]["title"]


class Words:
    def __init__(self):
        self.CATALOG = {"Save": "Guardar", "There is no such page.": "No hay tal página."}


def load(name):
    """Return a page, or the one language that there is."""
    if name == "words.es":
        return Words()
    if name.startswith("words."):
        raise ImportError(name)
    return Plain(name)


def asked(path, lang="en", form=None):
    data = Book().request("GET" if form is None else "POST", path, form)
    data["person"] = dict(data["person"])
    data["person"]["lang"] = lang
    return data


def crossed(data):
    """Return the answer after both ways through JSON."""
    return json.loads(json.dumps(phone.answer(json.loads(json.dumps(data)), load)))


def test_a_page_comes_back_finished():
    got = crossed(asked("/field"))
    assert got["status"] == 200
    assert got["type"] == "text/html; charset=utf-8"
    assert got["html"].startswith("pages.field_list|Save|")
    assert (got["location"], got["events"]) == ("", [])


def test_a_form_comes_back_as_its_events_and_a_place_to_go():
    book = Book()
    form = filled(entry(book.get(GAP)["context"]), value="1/8")
    got = crossed(book.request("POST", GAP, form))
    assert (got["status"], got["html"]) == (303, "")
    assert got["location"].startswith(GAP)
    assert got["events"][0]["body"]["value"] == "3175000"  # 1/8 in; 1 in = 25.4 mm (1959)


def test_a_refusal_is_a_page():
    got = crossed(asked("/field/nowhere"))
    assert got["status"] == 404
    assert got["html"].startswith("pages.field_missing|")


def test_words_are_the_persons_where_there_are_any():
    got = crossed(asked("/field/nowhere", "es"))
    assert got["html"] == "pages.field_missing|Guardar|No hay tal página."
    for lang in ("fr", "", "../x", "e s", "ES", "\u00e9"):
        assert "|Save|" in crossed(asked("/field", lang))["html"], lang


def test_a_catalog_that_comes_along_wins():
    data = asked("/field")
    data["catalog"] = {"Save": "Sichern"}
    assert "|Sichern|" in crossed(data)["html"]


def test_needs_says_which_openings():
    for path, openings in (("/field", None), ("/field/o/o1/step/A", ["o1"])):
        text = json.dumps({"request": {"path": path, "form": {}}})
        assert json.loads(phone.needs(text))["openings"] == openings
    text = json.dumps({"request": {"path": "/field/o/o1", "form": {"opening": "o2"}}})
    assert json.loads(phone.needs(text))["openings"] == ["o1", "o2"]


def test_the_page_of_a_bug_needs_no_book():
    data = asked(GAP, form={"value": "1/8", "act": "read"})
    data["book"] = {"openings": [], "events": {}, "procedures": {}}
    got = phone.apology(data, "K7", load)
    assert (got["status"], got["events"]) == (500, [])
    assert got["html"].startswith("pages.field_bug|")


def test_surrogates_are_joined_or_replaced():
    # ECMA-262 String.prototype.toWellFormed (published): a lone one becomes U+FFFD
    high, low = chr(0xD83D), chr(0xDE00)
    for text, mended in (
        ("a", "a"), ("", ""), ("\u20ac", "\u20ac"), (high + low, "\U0001f600"), (high, "\ufffd"),
        (low, "\ufffd"), (low + high, "\ufffd\ufffd"), (high + high + low, "\ufffd\U0001f600"),
        (high + "a" + low, "\ufffda\ufffd"), (chr(0xDBFF) + chr(0xDFFF), "\U0010ffff"),
    ):  # fmt: skip
        assert phone.paired(text) == mended, [ord(char) for char in text]


def test_what_was_typed_arrives_whole():
    text = "<&>\"' \u0000 \u2028 \ud83d\ude00 \ud800 {x} \\"
    form = {"value": text, "act": "read"}
    data = phone.well_formed(json.loads(json.dumps(asked(GAP, form=form))))
    assert data["form"]["value"] == "<&>\"' \u0000 \u2028 \U0001f600 \ufffd {x} \\"
    assert data["form"]["act"] == "read"


def test_big_numbers_are_text():
    for thing in (phone.answer(asked("/field"), load), phone.answer(asked(GAP), load)):
        assert whole(thing)


def whole(thing):
    """Return whether every number in an answer is whole and within 2^53."""
    if isinstance(thing, dict):
        return all(whole(thing[key]) for key in thing)
    if isinstance(thing, list):
        return all(whole(part) for part in thing)
    return not isinstance(thing, float) and (not isinstance(thing, int) or abs(thing) <= 2**53)
