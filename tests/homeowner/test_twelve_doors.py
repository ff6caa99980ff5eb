"""The records of twelve doors: no sheet nearly empty, no letter under 9 pt, each reading once.

The limits are this project's own (no source). Read by pypdf, which did not make them; whether they
are archival and accessible is looked at as in test_archival.py.
"""

from pathlib import Path

import pytest
from pdfua import validate
from pikepdf import Pdf
from pypdf import PdfReader

from app.homeowner import view
from tests.homeowner import archival
from tests.homeowner.test_pdf import readings_not_once, sheets, small_letters
from tests.homeowner.twelve_doors import LookedAt, doors

DOORS = list(doors())


@pytest.mark.long
@pytest.mark.parametrize("door", DOORS, ids=[door.name for door in DOORS])
def test_a_door_of_the_twelve(door: LookedAt, tmp_path: Path) -> None:
    made = door.made(tmp_path)
    file = tmp_path / "record.pdf"
    file.write_bytes(door.pdf(made, tmp_path))
    pdf = PdfReader(file)
    filled = sheets(pdf)
    assert len(filled) <= door.most
    assert min(filled) >= 1 / 3, filled
    assert small_letters(pdf) == set()
    said = view.contents(door.revision(made), door.lang, door.units)
    assert readings_not_once(pdf, made, said) == set()
    with Pdf.open(file) as opened:
        assert archival.faults(opened) == []
        assert opened.check_pdf_syntax() == []
    assert [found.message for found in validate(str(file)).findings] == []


def test_they_are_twelve_of_every_kind() -> None:
    assert len(DOORS) == 12
    assert {len(door.opening["drawing"]["panels"]) for door in DOORS[:8]} == set(range(1, 9))
    assert {door.size for door in DOORS} == {"letter", "a4"}
    assert {door.lang for door in DOORS} == {"en", "es"}
