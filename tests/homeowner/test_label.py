"""The label for the frame: small, and it only says where the record is checked."""

import io

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from app.homeowner import view
from app.homeowner.pdf import label
from tests.homeowner.conftest import OPENING, accept, make_link


@pytest.mark.parametrize("size", list(label.SIZES))
@pytest.mark.parametrize("lang", ["en", "es"])
def test_label_is_one_sheet_of_its_size(
    revision: view.RecordRevision, size: str, lang: str
) -> None:
    reader = PdfReader(io.BytesIO(label.make(revision, size, lang)))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    # a point is 1/72 in (ISO 32000-1, 8.3.2.3)
    width, height, _ = label.SIZES[size]
    assert round(float(box.width) / 72 * 25.4, 1) == round(width, 1)
    assert round(float(box.height) / 72 * 25.4, 1) == round(height, 1)
    text = " ".join(reader.pages[0].extract_text().split())
    assert revision.row.code in text
    assert "Living room" in text
    for told in ("Orla", "1/16", "within"):  # neither owner nor measure stands on a frame
        assert told not in text


def test_without_a_public_address_it_says_how_to_check(revision: view.RecordRevision) -> None:
    alone = view.RecordRevision(revision.row, revision.newest, revision.names, "")
    page = PdfReader(io.BytesIO(label.make(alone, "label-62x29", "en"))).pages[0]
    assert "PDF file" in page.extract_text()
    assert label.data_of(alone, "en")["qr"] == ""


def test_office_and_owner_find_it(office: TestClient, stranger: TestClient) -> None:
    accept(office)
    link, _, _ = make_link(office)
    for browser, page in ((office, f"/record/{OPENING}"), (stranger, link)):
        assert "label-62x29.pdf" in browser.get(page).text
    got = stranger.get(link + "/label-62x29.pdf")
    assert (got.status_code, got.headers["content-type"]) == (200, "application/pdf")
    assert stranger.get(link + "/label-1x1.pdf").status_code == 404
