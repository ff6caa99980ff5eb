"""What stands in another language than the record around it says so, on the page and in the PDF.

WCAG 2.2, 3.1.2 (Language of Parts); ISO 32000-1, 14.9.2 (Lang); ISO 14289-1, 7.2. The page is
read by the standard library's HTML parser, the PDF by pikepdf.
"""

import io
from html.parser import HTMLParser

import pikepdf
import pytest

from app.core.kinds import Json
from app.homeowner import snapshot, view
from app.homeowner.language_tags import (
    outside_marks,
    tag_notes,
    tagged,
    tagged_html,
    untagged,
)
from app.homeowner.pdf import paper
from app.homeowner.wording import speaker
from tests.homeowner.finished import ABOUT, CREW, PROCEDURES, revision_of

NOTE = "The trim hides it; ask Bo"
OWN = "Our own look at the corner"


class Languages(HTMLParser):
    """Notes each text with the language of the innermost element that says one."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[tuple[str, str]] = []
        self.texts: list[tuple[str, str]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "link", "img", "input", "br", "hr"):
            before = self.open[-1][1] if self.open else ""
            self.open.append((tag, dict(attrs).get("lang") or before))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((data.strip(), self.open[-1][1] if self.open else ""))


@pytest.fixture(scope="module")
def noted(book: list[Json]) -> Json:
    """A record with a note in words, and a check that only a company's own procedure names."""
    made = snapshot.make(ABOUT, book, PROCEDURES)
    step = next(step for step in made["facts"]["steps"] if step["key"] == "B2")
    step["tasks"][0]["no_photo"] = NOTE
    step["tasks"][0]["text"] = {"msg": OWN}
    step["title"] = {"msg": OWN}
    return made


def of(made: Json, spoken: dict[str, str]) -> view.RecordRevision:
    plain = revision_of(made)
    return view.RecordRevision(plain.row, plain.newest, plain.names, plain.base, spoken)


def pieces_of(pdf: bytes) -> dict[str, str]:
    """Return the language of the page, and of each piece that says another: {words: language}."""
    found: dict[str, str] = {}
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        found[""] = str(opened.Root.Lang)
        for page in opened.pages:
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) == "BDC" and "/Lang" in operands[1]:
                    found[f"{page.index} {operands[1].MCID}"] = str(operands[1].Lang)
        for note in opened.objects:
            is_element = isinstance(note, pikepdf.Dictionary) and "/S" in note
            if is_element and "/Lang" in note:
                found[str(note.objgen)] = str(note.Lang)
    return {where: lang for where, lang in found.items() if not where or lang != found[""]}


def said(made: Json, lang: str, spoken: dict[str, str]) -> Json:
    return view.contents(of(made, spoken), lang, "in")


def test_notes_of_a_person_are_in_that_person_s_language(noted: Json) -> None:
    for lang, own in (("es", "en"), ("en", "es")):
        step = next(s for s in said(noted, lang, {CREW: own})["sections"] if s["id"] == "B2")
        assert step["tasks"][0]["words"] == tagged(NOTE, own)
        step = next(s for s in said(noted, lang, {CREW: lang})["sections"] if s["id"] == "B2")
        assert step["tasks"][0]["words"] == NOTE


def test_a_procedure_s_own_words_are_in_its_language(noted: Json) -> None:
    """English where it does not say; one that says Spanish is foreign to an English reader."""
    spanish = {**noted, "facts": {**noted["facts"]}}
    spanish["facts"]["procedure"] = {**noted["facts"]["procedure"], "lang": "es"}
    for made, lang, own in ((noted, "es", "en"), (noted, "en", ""), (spanish, "en", "es"),
                            (spanish, "es", "")):  # fmt: skip
        step = next(s for s in said(made, lang, {})["sections"] if s["id"] == "B2")
        assert step["title"] == (tagged(OWN, own) if own else OWN)


def test_nothing_of_the_program_s_is_tagged(made: Json) -> None:
    """Every word of a shipped procedure is translated."""
    for lang in ("en", "es"):
        assert "\x02" not in str(said(made, lang, {}))


def test_the_pdf_says_it(noted: Json) -> None:
    plain = pieces_of(paper.make(of(noted, {}), "a4", "en", "in"))
    assert plain == {"": "en"}
    pdf = paper.make(of(noted, {CREW: "en"}), "a4", "es", "in")
    found = pieces_of(pdf)
    assert found.pop("") == "es"
    assert len(found) >= 3  # the heading, the task, the note
    assert set(found.values()) == {"en"}
    with pikepdf.open(io.BytesIO(pdf)) as opened, opened.open_outline() as outline:
        titles = [item.title for part in outline.root for item in [part, *part.children]]
    assert f"B2  {OWN}" in titles  # no mark in a bookmark


def test_the_page_says_it() -> None:
    html = (
        f'<html lang="es"><title>{tagged("Door", "en")}</title><img alt="{tagged("Sill", "en")}">'
        f"<p>Foto: {tagged('a &lt;b&gt; c', 'en')} bien</p>"
        f"<svg><text>{tagged('Head', 'en')}</text></svg></html>"
    )
    made = tagged_html(html)
    assert ("a <b> c", "en") in Languages(made).texts
    assert ("bien", "es") in Languages(made).texts
    assert '<img alt="Sill">' in made
    assert "<title>Door</title>" in made
    assert "<text>Head</text>" in made


@pytest.mark.parametrize(
    "hostile", ["\x02en\x03", "\x04\x04", "\x02xx", "a\x02es\x03b\x02en\x03c\x04"]
)
def test_marks_that_somebody_typed_leave_nothing(hostile: str) -> None:
    assert "\x02" not in tagged_html(f"<p>{hostile}</p>")
    assert not {"\x02", "\x03", "\x04"} & set(untagged(tagged(hostile, "es")))
    fitted = outside_marks(hostile, lambda text: "".join(max(c, " ") for c in text))
    assert fitted.count("\x02") == fitted.count("\x03") == fitted.count("\x04") <= 1


def test_empty_notes_stay_empty() -> None:
    fact = {"who": "a", "words": "", "reason": " "}
    assert tag_notes(fact, {"a": "es"}, "en") == {"who": "a", "words": "", "reason": " "}


def test_amounts_inside_another_language_s_words_are_the_reader_s() -> None:
    from app.core.quantity.messages import Len, Msg

    words = speaker("es", "mm", "en").say(Msg("Look within {size} of it", size=Len(25_400_000)))
    assert words == tagged("Look within 25.4 mm of it", "en")
