"""The company's logo and address on the record's first sheet."""

import copy
import io

from PIL import Image
from pypdf import PdfReader

from app.core.kinds import Json
from app.homeowner.pdf import paper
from tests.homeowner.finished import revision_of


def test_first_sheet_has_logo_and_address(made: Json) -> None:
    other = copy.deepcopy(made)
    other["about"]["company_address"] = "3 Weir Lane, Sampleton"
    logo = io.BytesIO()
    Image.new("RGBA", (300, 100), "navy").save(logo, "PNG")
    plain = PdfReader(io.BytesIO(paper.make(revision_of(other), "letter", "en", "in")))
    drawn = PdfReader(
        io.BytesIO(paper.make(revision_of(other), "letter", "en", "in", logo=logo.getvalue()))
    )
    first = " ".join(drawn.pages[0].extract_text().split())
    assert "3 Weir Lane, Sampleton" in first
    assert len(drawn.pages[0].images) == len(plain.pages[0].images) + 1
    assert len(drawn.pages) == len(plain.pages)
