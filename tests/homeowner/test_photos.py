"""Photos in the record: on the page and in the PDF, small, and saying nothing of place or camera.

EXIF, XMP and ICC are told by Pillow's reading of the file (JPEG APP1, APP2: published formats);
that photos stand in the PDF is told by pypdf's list of images and by the digests beside them.
"""

import hashlib
import io
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image
from pypdf import PdfReader

from app.core.kinds import Json
from app.homeowner import snapshot, view
from app.homeowner.pdf import paper, photos
from app.store import log
from app.store import photos as kept_photos
from app.store.photos import FolderPhotos
from tests.bench.record import picture, with_photos
from tests.homeowner.conftest import OPENING, accept, make_link
from tests.homeowner.finished import ABOUT, PROCEDURES, finished, revision_of, shown

COUNT = 40


def spying(seed: int) -> bytes:
    """Return a photo that says where it was taken, by what, and has a preview of itself inside."""
    photo = Image.open(io.BytesIO(picture(seed)))
    exif = Image.Exif()
    exif[0x010F] = "Invented Camera"
    exif.get_ifd(0x8825)[1] = "N"
    out = io.BytesIO()
    photo.save(out, "JPEG", exif=exif, comment=b"at home", quality=80)
    return out.getvalue()


@pytest.fixture(scope="module")
def forty(tmp_path_factory: pytest.TempPathFactory) -> tuple[view.RecordRevision, Path]:
    """A revision with 40 photos as large as a phone's, and the folder where these are."""
    folder = tmp_path_factory.mktemp("photos")
    made = snapshot.make(ABOUT, with_photos(finished(), folder, COUNT), PROCEDURES)
    return revision_of(made), folder


def photos_of(shown: Json) -> list[Json]:
    return [photo for step in shown["sections"] for photo in step["photos"]]


def test_forty_photos_stand_in_a_pdf_that_can_be_mailed(
    forty: tuple[view.RecordRevision, Path],
) -> None:
    revision, folder = forty
    made = paper.make(revision, "a4", "en", "in", FolderPhotos(folder))
    assert len(made) <= 5_000_000
    read = PdfReader(io.BytesIO(made))
    large = [image.image for page in read.pages for image in page.images]
    assert len([image for image in large if image and max(image.size) >= 700]) == COUNT
    text = re.sub(r"\s+", "", "".join(page.extract_text() for page in read.pages))
    for photo in photos_of(shown(revision.kept)):
        assert text.count(photo["short"]) == 1


def test_a_rendition_is_small_and_says_nothing_of_where_it_was_taken(tmp_path: Path) -> None:
    data = spying(7)
    assert Image.open(io.BytesIO(data)).getexif()  # it does say so before
    sha256 = hashlib.sha256(data).hexdigest()
    kept_photos.keep_photo(tmp_path, sha256, data)
    small = photos.rendition(FolderPhotos(tmp_path), sha256)
    assert small is not None
    read = Image.open(io.BytesIO(small))
    assert max(read.size) <= photos.SIDE
    assert not read.getexif()
    assert {"exif", "xmp", "comment", "icc_profile", "photoshop"} & set(read.info) == set()
    assert b"Invented Camera" not in small


def test_no_picture_is_no_rendition(tmp_path: Path) -> None:
    place = FolderPhotos(tmp_path)
    place.keep_photo("b" * 64, b"\xff\xd8\xff not a picture")
    assert photos.rendition(place, "b" * 64) is None
    assert photos.rendition(place, "a" * 64) is None


def test_a_photo_that_comes_late_is_in_the_next_pdf(tmp_path: Path) -> None:
    place, data = FolderPhotos(tmp_path), spying(8)
    sha256 = hashlib.sha256(data).hexdigest()
    assert photos.rendition(place, sha256) is None
    place.keep_photo(sha256, data)
    assert photos.rendition(place, sha256) is not None


def test_a_photo_that_has_not_come_is_said_in_the_pdf(
    forty: tuple[view.RecordRevision, Path],
) -> None:
    revision, _ = forty
    text = "".join(
        page.extract_text()
        for page in PdfReader(io.BytesIO(paper.make(revision, "letter", "en", "in"))).pages
    )
    assert len(re.findall(r"Photo\s+still\s+on\s+the\s+phone", text)) == COUNT


def take_photo(app: FastAPI, office: TestClient) -> str:
    """Let the crew's photo arrive before the office accepts; returns its digest."""
    from app.core.record.events import heads_of, new_event

    data = picture(3)
    sha = hashlib.sha256(data).hexdigest()
    database = app.state.server.database
    kept_photos.keep_photo(database.path.parent / "photos", sha, data)
    body = {
        "step": "J", "task": "j-photo", "sha256": sha, "size": len(data), "width": 1600,
        "height": 1200,
    }  # fmt: skip
    with database.write() as session:
        events = log.events_of(session, [OPENING])[OPENING]
        last = next(e for e in reversed(events) if e["kind"] == "task.ticked")
        draft = {
            "id": "photo-1", "device": last["device"], "opening": OPENING, "seen": heads_of(events),
            "at": "2026-03-12T10:00:00-05:00", "person": last["person"], "kind": "photo.taken",
            "body": body,
        }  # fmt: skip
        log.append_events(session, [new_event(events, draft)])
    return sha


def test_photo_on_the_page_and_by_the_private_link(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    sha = take_photo(app, office)
    accept(office)
    page = office.get(f"/record/{OPENING}").text
    assert f"/record/{OPENING}/photos/{sha}" in page
    assert page.count(f'translate="no">{sha[:12]}<') == 1
    path, _, _ = make_link(office)
    got = stranger.get(f"{path}/photos/{sha}")
    assert got.headers["content-type"] == "image/jpeg"
    assert hashlib.sha256(got.content).hexdigest() == sha
    assert not Image.open(io.BytesIO(got.content)).getexif()
    assert stranger.get(f"{path}/photos/{'0' * 64}").status_code == 404
    assert stranger.get(f"/record/{OPENING}/photos/{sha}").status_code == 303
