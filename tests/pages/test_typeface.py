"""One family of type on every page, and the record's page is set as its PDF is. Our own rule."""

import re
from pathlib import Path

import pytest

from app.homeowner.pdf.svg import FONT
from app.settings import STATIC

SHEETS = sorted((STATIC / "css").glob("*.css"))
FACE = re.compile(r"@font-face \{[^}]*\}")
FAMILY = re.compile(r"font(?:-family)?:([^;}]*)")
SYSTEM = 'system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", sans-serif'


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_headings_and_text_are_of_one_family(path: Path) -> None:
    """Figures that stand under each other, and what is typed, have a face of equal widths."""
    for said in FAMILY.findall(FACE.sub("", path.read_text("utf-8"))):
        rest = said.replace(SYSTEM, "").replace("var(--sans)", "").replace("var(--figures)", "")
        assert not re.search(r"var\(|(?<!sans-)serif|[\"']", rest), said


def test_the_record_is_set_in_the_face_of_its_pdf() -> None:
    faces = FACE.findall((STATIC / "css" / "record.css").read_text("utf-8"))
    assert len(faces) == 3
    for face in faces:
        assert f'font-family: "{FONT}"' in face
        [path] = re.findall(r'url\("/static/([^"]+)"\)', face)
        assert FONT.encode("utf-16-be") in (STATIC / path).read_bytes()  # OpenType: its name table
