"""The record as a PDF, read back by other programs.

pypdf reads text and structure; what PDF/A-2a and PDF/UA-1 ask for (ISO 19005-2 clauses 6.6 and 6.7,
ISO 14289-1 clauses 5, 7.1 and 7.3: restated) is looked for in the file itself.
"""

import io
import math
import re
import subprocess
import sys
from collections import Counter

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from app.core.kinds import Json
from app.core.where.panels import NO_BREAK
from app.homeowner import issuing, view
from app.homeowner.pdf import letters, paper, svg
from app.homeowner.wording import UNITS
from tests.homeowner.finished import NAMES, shown


@pytest.fixture(scope="module")
def pdf(revision: view.RecordRevision) -> PdfReader:
    return PdfReader(io.BytesIO(paper.make(revision, "letter", "en", "in")))


def squeezed(text: str) -> str:
    """Return text without spaces: lines break where they must. Any hyphen is one."""
    return re.sub(r"\s+", "", text).replace(NO_BREAK, "-")


@pytest.mark.parametrize(("name", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
@pytest.mark.parametrize("units", UNITS)
def test_papers_and_units(
    revision: view.RecordRevision, name: str, size: object, units: str
) -> None:
    made = paper.make(revision, name, "en", units)
    page = PdfReader(io.BytesIO(made)).pages[0].mediabox
    assert (round(page.width), round(page.height)) == size
    assert len(made) < 5_000_000


@pytest.mark.parametrize(
    ("name", "lang", "units"),
    [("letter", "en", "in"), ("a4", "es", "mm"), ("letter", "en", "both")],
)
def test_every_reading_stands_there_once(
    revision: view.RecordRevision, made: Json, name: str, lang: str, units: str
) -> None:
    """Each row of a matrix: what was read, and its values in order; as many cells as readings."""
    pdf = PdfReader(io.BytesIO(paper.make(revision, name, lang, units)))
    assert readings_not_once(pdf, made, shown(made, lang, units)) == set()
    assert sum(len(step["readings"]) for step in made["facts"]["steps"]) > 250


def readings_not_once(pdf: PdfReader, made: Json, said: Json) -> set[str]:
    """Return the rows of readings that a PDF lacks; each reading is in one cell of a row."""
    text = squeezed("".join(page.extract_text() for page in pdf.pages))
    rows = Counter()
    cells = 0
    for readings in (said["left"], *(step["readings"] for step in said["sections"])):
        assert readings["earlier"] == []  # nobody measured again in these books
        for row in (row for table in readings["tables"] for row in table["rows"]):
            rows[squeezed(row["title"] + "".join(cell["text"] for cell in row["cells"]))] += 1
            cells += len(row["cells"])
        for one in readings["single"]:
            rows[squeezed(one["title"] + one["text"])] += 1
            cells += 1
    assert cells == sum(len(step["readings"]) for step in made["facts"]["steps"])
    return {row for row, count in rows.items() if text.count(row) < count}


def test_who_read_and_when_is_said_once_a_step(pdf: PdfReader, made: Json) -> None:
    text = "".join(page.extract_text() for page in pdf.pages)
    assert text.count(NAMES["tobin-hale"]) < 60
    for step in shown(made)["sections"]:
        assert squeezed(step["readings"]["who"]) in squeezed(text)


def sheets(pdf: PdfReader) -> list[float]:
    """Return how far down each sheet its text goes: 0 at the top edge, 1 at the bottom."""
    out = []
    for page in pdf.pages:
        lowest = [float(page.mediabox.height)]

        def visit(text: str, cm: list[float], tm: list[float], *_: object) -> None:
            # the foot of the sheet stands below 18 mm
            y = tm[5] * cm[3] + cm[5]
            if text.strip() and y > 55:
                lowest[0] = min(lowest[0], y)  # noqa: B023

        page.extract_text(visitor_text=visit)
        out.append(1 - lowest[0] / float(page.mediabox.height))
    return out


def test_full_depth_is_at_most_twenty_sheets_and_none_is_nearly_empty(pdf: PdfReader) -> None:
    filled = sheets(pdf)
    assert len(filled) <= 20
    assert min(filled) >= 1 / 3


def test_no_letter_is_under_nine_points(revision: view.RecordRevision) -> None:
    pdf = PdfReader(io.BytesIO(paper.make(revision, "letter", "en", "in")))
    assert small_letters(pdf) == set()


def small_letters(pdf: PdfReader) -> set[tuple[float, str]]:
    """Return what is under 9 pt: the size of the font, times its scale, as pypdf gives them."""
    small = set()
    for page in pdf.pages:

        def visit(text: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
            high = size * math.hypot(tm[2], tm[3]) * math.hypot(cm[2], cm[3])
            if text.strip() and high < 8.95:
                small.add((round(high, 2), text.strip()[:40]))

        page.extract_text(visitor_text=visit)
    return small


def test_archival_and_accessible(pdf: PdfReader) -> None:
    root = pdf.trailer["/Root"]
    meta = pdf.trailer["/Root"]["/Metadata"].get_data().decode()
    assert re.search(r"pdfaid:part[>=\"]+3", meta)
    assert re.search(r"pdfaid:conformance[>=\"]+A", meta)
    assert re.search(r"pdfuaid:part[>=\"]+1", meta)
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "/StructTreeRoot" in root
    assert "/OutputIntents" in root
    assert not pdf.is_encrypted
    assert pdf.metadata is not None
    assert "Your door, as installed" in str(pdf.metadata.title)


def elements(node: object) -> list[DictionaryObject]:
    """Return every element of the structure tree."""
    found: list[DictionaryObject] = []
    ahead = [node]
    while ahead:
        one = getattr(ahead[-1], "get_object", lambda: None)() if ahead else None
        ahead.pop()
        if isinstance(one, list):
            ahead.extend(one)
        elif isinstance(one, DictionaryObject):
            if "/S" in one:
                found.append(one)
            if "/K" in one:
                ahead.append(one["/K"])
    return found


def test_every_picture_has_a_text_and_tables_have_heads(pdf: PdfReader) -> None:
    found = elements(pdf.trailer["/Root"]["/StructTreeRoot"])
    kinds = Counter(str(one["/S"]) for one in found)
    assert kinds["/Figure"] > 5
    assert kinds["/Table"] > 40
    assert kinds["/TH"] > kinds["/Table"]
    assert [one for one in found if one["/S"] == "/Figure" and not one.get("/Alt")] == []


def test_bookmarks_name_every_step(pdf: PdfReader, made: Json) -> None:
    ahead, titles = list(pdf.outline), []
    for one in ahead:
        if isinstance(one, list):
            ahead.extend(one)
        else:
            titles.append(str(one.title))
    for step in shown(made)["sections"]:
        assert any(title.startswith(step["id"]) for title in titles), step["id"]


def test_every_sheet_carries_opening_revision_and_code_the_first_one_the_digest(
    pdf: PdfReader, revision: view.RecordRevision
) -> None:
    total = len(pdf.pages)
    for number, page in enumerate(pdf.pages, 1):
        text = squeezed(page.extract_text())
        for part in (
            "A·Livingroom", "Revision1", f"sheet{number}of{total}", revision.row.code,
        ):  # fmt: skip
            assert part in text, (number, part)
    first = squeezed(pdf.pages[0].extract_text())
    assert revision.row.digest in first
    assert f"/verify/{revision.row.code}" in first


def test_same_input_same_bytes_in_another_process(revision: view.RecordRevision) -> None:
    made = paper.make(revision, "a4", "en", "mm")
    code = (
        "import sys, json\n"
        "from app.homeowner import view\nfrom app.homeowner.pdf import paper\n"
        "from app.store.records import Issued\n"
        "row, names = json.load(sys.stdin)\n"
        "found = view.RecordRevision(Issued(**row), 1, names, 'https://book.example.org')\n"
        "sys.stdout.buffer.write(paper.make(found, 'a4', 'en', 'mm'))\n"
    )
    import json

    given = json.dumps([revision.row.model_dump(), revision.names]).encode()
    done = subprocess.run(
        [sys.executable, "-c", code], input=given, capture_output=True, check=True
    )
    assert done.stdout == made


NASTIER = " 李 😀🏗 \u202eabc \x07 *#$_` <&>"
NASTY = "Þórunn Ağaoğlu-Παπαδοπούλου Щербакова Nguyễn " + "x" * 120 + NASTIER


def test_names_of_all_kinds_are_kept_or_written_as_numbers(made: Json) -> None:
    row = issuing.row_of(made)
    known = {**NAMES, "tobin-hale": NASTY}
    found = view.RecordRevision(row, 1, known, "https://book.example.org")
    text = "".join(p.extract_text() for p in PdfReader(io.BytesIO(
        paper.make(found, "letter", "en", "in"))).pages[:8])  # fmt: skip
    flat = squeezed(text)
    assert "Παπαδοπούλου" in flat
    assert "Щербакова" in flat
    assert "[U+674E]" in flat


def test_superseded_says_so_on_the_first_sheet(revision: view.RecordRevision) -> None:
    old = view.RecordRevision(revision.row, 3, revision.names, revision.base)
    text = PdfReader(io.BytesIO(paper.make(old, "a4", "en", "in"))).pages[0].extract_text()
    assert "Superseded: revision 3" in text


def test_spanish(revision: view.RecordRevision) -> None:
    found = PdfReader(io.BytesIO(paper.make(revision, "a4", "es", "mm")))
    assert found.trailer["/Root"]["/Lang"].startswith("es")


def test_fonts_hold_the_letters_of_three_scripts() -> None:
    """Unicode's blocks (published): Latin-1 and Latin Extended-A, Greek, Cyrillic letters."""
    for first, last in ((0xC0, 0x17E), (0x391, 0x3A1), (0x3B1, 0x3C9), (0x410, 0x44F)):
        assert set(range(first, last + 1)) <= letters.covered()
    assert letters.fit({"a": ["李\x00\ue000"]}) == {"a": ["[U+674E] [U+E000]"]}


def test_style_of_a_shape_is_the_style_sheets() -> None:
    assert "stroke: #8e1414" in svg.style("line", "p-anchor")
    assert "font-weight: 700" in svg.style("text", "p-strong")
    assert "fill: none" in svg.style("polyline", "p-floor")
