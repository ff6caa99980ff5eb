"""The PDFs against what PDF/A-2a and PDF/UA-1 ask, by programs that did not make them.

Three readers: the structure checks of archival.py (on pikepdf, clauses restated); pdfua, a
general checker of a part of PDF/UA-1 (it says itself which: 12 checks, 16 of 106 rules); and qpdf,
which reads every object and stream by ISO 32000-1. None certifies anything: veraPDF, which would,
is in no package registry that these tests may rest on. Each check of ours is also shown a file that
is wrong; test_twelve_doors.py holds all three to twelve doors.
"""

import io
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from pdfua import validate
from pikepdf import Array, Dictionary, Name, Pdf

from app.core.quantity.speaker import Speaker
from app.homeowner import signed_pdf, view
from app.homeowner.pdf import paper
from app.signing.key import make_key
from tests.homeowner import archival


@pytest.fixture(scope="module")
def papers(revision: view.RecordRevision) -> dict[str, bytes]:
    """The record on both papers, in both languages, signed as it is handed out."""
    key = make_key("Quillfen Door Setters", 1_760_000_000)
    made = {
        "letter": paper.make(revision, "letter", "en", "both", None, b"{}"),
        "a4": paper.make(revision, "a4", "es", "mm", None, b"{}"),
    }
    return {name: signed_pdf.signed(pdf, revision, key, Speaker()) for name, pdf in made.items()}


@pytest.mark.parametrize("name", ["letter", "a4"])
def test_structure(papers: dict[str, bytes], name: str) -> None:
    with Pdf.open(io.BytesIO(papers[name])) as pdf:
        assert archival.faults(pdf) == []
        assert pdf.check_pdf_syntax() == []
        assert len(list(archival.elements(pdf))) > 3000  # it looked at something


@pytest.mark.parametrize("name", ["letter", "a4"])
def test_another_checker_finds_nothing(papers: dict[str, bytes], name: str, tmp_path: Path) -> None:
    file = tmp_path / "record.pdf"
    file.write_bytes(papers[name])
    report = validate(str(file))
    assert [f"{found.rule_id} {found.message}" for found in report.findings] == []
    run = [one for one in report.outcomes if not one.skipped_reason]
    assert len(run) >= 10


def no_language(pdf: Pdf) -> None:
    del pdf.Root.Lang


def no_intent(pdf: Pdf) -> None:
    del pdf.Root.OutputIntents


def no_title(pdf: Pdf) -> None:
    pdf.docinfo["/Title"] = "Something else"


def no_bookmarks(pdf: Pdf) -> None:
    del pdf.Root.Outlines


def script(pdf: Pdf) -> None:
    pdf.Root.OpenAction = pdf.make_indirect(Dictionary(S=Name.JavaScript, JS="1"))


def no_unicode(pdf: Pdf) -> None:
    del next(f for f in archival.objects(pdf, "Font") if f.Subtype == Name.Type0).ToUnicode


def not_embedded(pdf: Pdf) -> None:
    font = next(f for f in archival.objects(pdf, "Font") if "/FontDescriptor" in f)
    for key in list(font.FontDescriptor.keys()):
        if key.startswith("/FontFile"):
            del font.FontDescriptor[key]


def _first(pdf: Pdf, kind: str) -> Dictionary:
    return next(node for node, _ in archival.elements(pdf) if str(node.S) == "/" + kind)


def figure_without_text(pdf: Pdf) -> None:
    del _first(pdf, "Figure").Alt


def head_without_scope(pdf: Pdf) -> None:
    del _first(pdf, "TH").A


def skipped_level(pdf: Pdf) -> None:
    _first(pdf, "H2").S = Name.H5


def loose_text(pdf: Pdf) -> None:
    page = pdf.pages[0]
    page.contents_add(b"0 0 5 5 re f")


def untagged(pdf: Pdf) -> None:
    del pdf.pages[0].StructParents


def unmarked(pdf: Pdf) -> None:
    pdf.Root.MarkInfo = Dictionary(Marked=False)


def no_role(pdf: Pdf) -> None:
    del pdf.Root.StructTreeRoot.RoleMap


def silent_link(pdf: Pdf) -> None:
    note = Dictionary(Type=Name.Annot, Subtype=Name.Link, F=0, Rect=Array([0, 0, 9, 9]))
    pdf.pages[0].Annots = Array([note])


def xfa(pdf: Pdf) -> None:
    pdf.Root.AcroForm.XFA = Array([])


def another_permission(pdf: Pdf) -> None:
    pdf.Root.Perms["/Else"] = Dictionary()


def silent_signature(pdf: Pdf) -> None:
    del pdf.Root.AcroForm.Fields[0].TU


def signature_on_the_page(pdf: Pdf) -> None:
    pdf.Root.AcroForm.Fields[0].Rect = Array([10, 10, 10, 10])


def signature_that_shows(pdf: Pdf) -> None:
    pdf.Root.AcroForm.Fields[0].Rect = Array([10, 10, 90, 30])


WRONG = [
    (no_language, "7.2 no language"),
    (no_intent, "6.2.3"),
    (no_title, "7.1 title"),
    (no_bookmarks, "7.17"),
    (script, "6.5.1"),
    (no_unicode, "6.2.11.7 "),
    (not_embedded, "6.2.11.4"),
    (figure_without_text, "7.3"),
    (head_without_scope, "7.5"),
    (skipped_level, "7.4.2"),
    (loose_text, "7.1 1 operators"),
    (untagged, "7.1 tagged content"),
    (unmarked, "6.2 not marked"),
    (no_role, "7.1 no standard type"),
    (silent_link, "7.18.5"),
    (xfa, "6.4.1"),
    (another_permission, "6.1.12"),
    (silent_signature, "7.18.1"),
    (signature_on_the_page, "7.18.4"),
    (signature_that_shows, "6.3.3"),
]


@pytest.mark.parametrize(("spoil", "clause"), WRONG, ids=lambda one: getattr(one, "__name__", ""))
def test_a_file_that_is_wrong_is_found(
    papers: dict[str, bytes], spoil: Callable[[Pdf], None], clause: str
) -> None:
    with pikepdf.open(io.BytesIO(papers["letter"])) as pdf:
        spoil(pdf)
        assert any(found.startswith(clause) for found in archival.faults(pdf))
