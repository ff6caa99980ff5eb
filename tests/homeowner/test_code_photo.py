"""A record's code, read from a photo of its sheet.

The codes are drawn by segno (ISO/IEC 18004) and photographed by Pillow: tilted, in perspective,
with grain and out of focus. zxing-cpp, which reads them, has no part in making them.
"""

import io
import struct
import time
import zlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Lock

import pytest
import segno
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image, ImageFilter

from app.cli import main
from app.core.kinds import Json
from app.homeowner import apart, code_photo
from app.store.records import revisions_of
from tests.demo.conftest import OURS
from tests.homeowner.conftest import OPENING


@pytest.fixture
def start(accepted: Path) -> Path:
    """Every test here begins with the issued record."""
    return accepted


def qr(text: str, scale: int = 12) -> Image.Image:
    out = io.BytesIO()
    segno.make(text, micro=False, error="m").save(out, kind="png", scale=scale, border=4)
    return Image.open(out).convert("L")


def photo(text: str, tilt: float = 11, side: int = 2400) -> bytes:
    """Return a JPEG of a sheet on a table: the code is a sixth of its width."""
    code = qr(text)
    wide, high = code.size
    # seen from the left: the far edge is shorter (the eight numbers are of the output's plane)
    seen = code.transform(
        (wide, high), Image.Transform.PERSPECTIVE, (1.0, 0.06, 0, 0.02, 1.05, 0, 0.0001, 0.0002),
        Image.Resampling.BICUBIC, fillcolor=255,
    )  # fmt: skip
    turned = seen.rotate(tilt, expand=True, fillcolor=235, resample=Image.Resampling.BICUBIC)
    table = Image.effect_noise((side, side * 3 // 4), 30).point(lambda v: 90 + v // 3)
    sheet = Image.new("L", (side * 3 // 5, side * 2 // 3), 235)
    small = turned.resize((side // 6, side * turned.height // (6 * turned.width)))
    sheet.paste(small, (side // 10, side // 4))
    table.paste(sheet, (side // 7, side // 40))
    made = table.filter(ImageFilter.GaussianBlur(side / 2000)).convert("RGB")
    out = io.BytesIO()
    made.save(out, "JPEG", quality=78)
    return out.getvalue()


def code_of(app: FastAPI) -> str:
    with app.state.server.database.read() as session:
        return revisions_of(session, OPENING)[0].code


def upload(stranger: TestClient, data: bytes) -> str:
    answer = stranger.post("/verify/file", files={"file": ("photo.jpg", data)}, headers=OURS)
    assert answer.status_code in (200, 404, 409), answer.text[:500]
    return answer.text


def kept_files(app: FastAPI) -> list[tuple[str, int]]:
    folder = app.state.server.database.path.parent
    return sorted((str(p), p.stat().st_size) for p in folder.rglob("*.jp*g"))


def test_a_photo_of_the_code_says_whether_it_is_as_issued(
    app: FastAPI, stranger: TestClient
) -> None:
    code, before = code_of(app), kept_files(app)
    page = upload(stranger, photo(f"{app.state.address}/verify/{code}"))
    assert f"The code in the picture is {code}." in page
    assert "As issued: this is the newest revision of a record of ours." in page
    assert "It leads to" not in page
    assert "Marrow" not in page  # nothing of the house
    assert kept_files(app) == before  # nothing is kept


def test_a_code_that_leads_elsewhere_is_named(app: FastAPI, stranger: TestClient) -> None:
    """A sheet that was made anew can lead to a page that says yes to everything."""
    page = upload(stranger, photo(f"https://other.example/verify/{code_of(app)}"))
    assert "It leads to https://other.example, not to this office" in page
    page = upload(stranger, photo("https://other.example/verify/00000-00000"))
    assert "Not ours" in page
    assert "As issued" not in page


def test_pictures_without_a_code_of_a_record_are_answered_in_words(stranger: TestClient) -> None:
    assert "is not that of a record" in upload(stranger, photo("https://example.org/menu"))
    out = io.BytesIO()
    Image.new("RGB", (800, 600), "white").save(out, "PNG")
    assert "No code can be read in this picture" in upload(stranger, out.getvalue())


def bomb(side: int = 30_000) -> bytes:
    """Return a PNG that says it has 900 million pixels. Source: ISO/IEC 15948, 11.2.2."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    rows = zlib.compress(bytes(side * 100))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.control(32)
def test_damaged_and_huge_pictures_are_refused_in_words(stranger: TestClient) -> None:
    damaged = photo("https://example.org")[:5000]
    for data in (b"\xff\xd8\xff" + bytes(1000), b"\x89PNG\r\n\x1a\n", bomb(), damaged):
        assert "This file could not be checked" in upload(stranger, data)


@pytest.mark.control(33)
def test_strangers_files_are_looked_at_few_at_a_time(
    app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each may take a processor for seconds, and a gigabyte; pages are answered meanwhile."""
    lock, inside, most = Lock(), [0], [0]

    def slow(data: bytes) -> Json:
        with lock:
            inside[0] += 1
            most[0] = max(most[0], inside[0])
        time.sleep(0.2)
        with lock:
            inside[0] -= 1
        return {"photo": []}

    monkeypatch.setattr(apart, "check_apart", slow)
    with TestClient(app) as browser, ThreadPoolExecutor(8) as threads:  # one loop for all
        pages = list(threads.map(lambda _: upload(browser, b"x"), range(8)))
    assert all("No code can be read in this picture" in page for page in pages)
    assert most[0] <= 2


@pytest.mark.parametrize("tilt", [0, 30, 90, 187])
@pytest.mark.parametrize("side", [1000, 4000])
def test_it_is_read_however_the_sheet_lies(tilt: float, side: int) -> None:
    assert code_photo.codes_in(
        photo("https://book.example.org/verify/ABCDE-12345", tilt, side)
    ) == ["https://book.example.org/verify/ABCDE-12345"]


def test_which_texts_are_codes_of_records() -> None:
    good = "https://book.example.org/verify/abcde-1234o"
    assert code_photo.record_code(["hello", good]) == ("ABCDE-12340", "https://book.example.org")
    for text in ("", "ABCDE-12345", "javascript:/verify/ABCDE-12345", good + "/qr.svg"):
        assert code_photo.record_code([text]) == ("", "")


@pytest.mark.control(33)
def test_a_code_with_half_an_address_is_answered_in_words(stranger: TestClient) -> None:
    """RFC 3986, 3.2.2: [ opens an address of IPv6, which never ends here."""
    assert "Not ours" in upload(stranger, photo("http://[x/verify/00000-00000"))


def test_the_command_reads_it_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "photo.jpg"
    file.write_bytes(photo("https://book.example.org/verify/ABCDE-12345"))
    assert main(["verify", str(file)]) in (0, None)
    said = capsys.readouterr().out
    assert "The code in the picture is ABCDE-12345." in said
    assert "https://book.example.org/verify" in said
    file.write_bytes(photo("nothing of ours"))
    assert main(["verify", str(file)]) == 2
