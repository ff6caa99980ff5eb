"""Photos: one clean JPEG each, named by its bytes, for those who may see its opening."""

import errno
import hashlib
import io
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image

from app.access import passwords
from app.store.database import Database
from app.store.tables import Person, Photo
from app.sync import decoding, jpeg
from app.sync.photos import MOST_BYTES
from tests.access.conftest import PASSWORD, browser_of, sign_in
from tests.sync.client import Phone, Refused

pytestmark = pytest.mark.sqlite  # nothing here is about the database

MakePhone = Callable[[str], Phone]


def picture(width: int = 64, height: int = 48, **more: object) -> bytes:
    """A JPEG made by an independent library, with something in it."""
    made = Image.linear_gradient("L").resize((width, height)).convert("RGB")
    out = io.BytesIO()
    made.save(out, "JPEG", quality=85, **more)
    return out.getvalue()


CLEAN = picture()


def name(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def take(phone: Phone, data: bytes, opening: str = "op-1") -> None:
    body = {"step": "A", "task": "seen", "sha256": name(data), "size": max(len(data), 1)}
    phone.write(opening, "photo.taken", {**body, "width": 64, "height": 48})
    assert [r["state"] for r in phone.push()] == ["stored"]


def test_photos_that_are_missing_are_named_to_the_phone_that_took_them(
    phone: Phone, make_phone: MakePhone, database: Database
) -> None:
    """Before it came, and again after the office went back to a copy from before it came."""
    other = make_phone("otto")
    take(phone, CLEAN)
    assert phone.get_page()["photos_awaited"] == [name(CLEAN)]
    assert other.get_page()["photos_awaited"] == []
    phone.put_photo(CLEAN)
    assert phone.get_page()["photos_awaited"] == []
    with database.write() as session:
        session.delete(session.get_one(Photo, name(CLEAN)))
    assert phone.get_page()["photos_awaited"] == [name(CLEAN)]


def test_photo_is_kept_once_and_given_back_to_the_byte(
    phone: Phone, make_phone: MakePhone, database: Database
) -> None:
    take(phone, CLEAN)
    kept = {"sha256": name(CLEAN), "width": 64, "height": 48}
    assert phone.put_photo(CLEAN) == {**kept, "state": "stored"}
    assert phone.put_photo(CLEAN) == {**kept, "state": "already"}
    path = database.path.parent / "photos" / name(CLEAN)[:2] / (name(CLEAN) + ".jpg")
    assert path.read_bytes() == CLEAN
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    answer = get(make_phone("otto"), name(CLEAN))
    assert answer.content == CLEAN
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"
    wanted = f'inline; filename="photo-{name(CLEAN)[:12]}.jpg"'
    assert answer.headers["content-disposition"] == wanted
    assert answer.headers["cache-control"] == "no-store"


def get(phone: Phone, photo: str) -> object:
    return phone.http.request(
        "GET", f"/photos/{photo}", headers={"Authorization": f"Bearer {phone.token}"}
    )


@pytest.mark.parametrize("who", ["inga", "otto", "sven"])
@pytest.mark.control(11, 21)
def test_who_may_see_it(
    app: FastAPI, phone: Phone, database: Database, make_phone: MakePhone, who: str
) -> None:
    """A photo of Inga's own opening: she and the supervisor, by phone and by browser."""
    take(phone, CLEAN, "op-2")
    phone.put_photo(CLEAN)
    status = 404 if who == "otto" else 200
    assert get(make_phone(who), name(CLEAN)).status_code == status
    with database.write() as session:
        session.get_one(Person, who).password = passwords.hash_password(PASSWORD)
    browser = browser_of(app)
    assert browser.get(f"/photos/{name(CLEAN)}").status_code == 401
    sign_in(browser, who)
    assert browser.get(f"/photos/{name(CLEAN)}").status_code == status


def test_photo_waits_for_its_entry(phone: Phone) -> None:
    with pytest.raises(Refused, match="409 photo-unnamed"):
        phone.put_photo(CLEAN)
    take(phone, CLEAN)
    phone.put_photo(CLEAN)


def test_photo_of_an_entry_that_was_set_aside_is_kept(phone: Phone) -> None:
    body = {"step": "Z", "task": "x", "sha256": name(CLEAN), "size": 1, "width": 1, "height": 1}
    phone.write("op-1", "photo.taken", body)
    assert [r["state"] for r in phone.push()] == ["set-aside"]
    assert phone.put_photo(CLEAN)["state"] == "stored"


def icc() -> bytes:
    from PIL import ImageCms

    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def many_scans(count: int, side: int = 4096) -> bytes:
    """A progressive picture whose last scan comes again and again: each goes over every block.

    The decoder of the IJG takes it with a warning (its progression makes no sense) and works.
    """
    out = io.BytesIO()
    Image.new("L", (side, side)).save(out, "JPEG", progressive=True, quality=10)
    plain = out.getvalue()
    last = plain.rindex(b"\xff\xda")
    return plain[:-2] + plain[last:-2] * (count - plain.count(b"\xff\xda")) + plain[-2:]


GOOD = {
    "baseline": CLEAN,
    "progressive": picture(progressive=True),
    "with restarts": picture(restart_marker_blocks=1),
    "colour described": picture(icc_profile=icc()),
    "full colour": picture(subsampling=0),
    "widest": picture(jpeg.MOST_SIDE, 8),
    "most scans": many_scans(jpeg.MOST_SCANS, 64),
}


@pytest.mark.parametrize("data", GOOD.values(), ids=GOOD)
def test_clean_pictures_are_taken(data: bytes) -> None:
    with Image.open(io.BytesIO(data)) as seen:
        assert jpeg.check(data) == seen.size


def with_segment(marker: int, content: bytes) -> bytes:
    segment = bytes((0xFF, marker)) + (len(content) + 2).to_bytes(2) + content
    return CLEAN[:2] + segment + CLEAN[2:]


def exif() -> bytes:
    made = Image.Exif()
    made[0x0112] = 6  # orientation
    made[0x010F] = "Invented Cameras"
    return made.tobytes()


def other(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, kind)
    return out.getvalue()


def two_pictures() -> bytes:
    out = io.BytesIO()
    first, second = Image.new("RGB", (8, 8)), Image.new("RGB", (8, 8), "red")
    first.save(out, "MPO", save_all=True, append_images=[second])
    return out.getvalue()


def pixels_said(width: int, height: int) -> bytes:
    """A small file that says it is large: the frame header is patched (T.81 B.2.2)."""
    at = CLEAN.index(b"\xff\xc0") + 5
    return CLEAN[:at] + height.to_bytes(2) + width.to_bytes(2) + CLEAN[at + 4 :]


BAD = {
    "700 scans": (many_scans(700), "photo-scans"),
    "a scan too many": (many_scans(jpeg.MOST_SCANS + 1, 64), "photo-scans"),
    "empty": (b"", "photo-not-jpeg"),
    "text": (b"hello", "photo-not-jpeg"),
    "PNG": (other("PNG"), "photo-not-jpeg"),
    "GIF": (other("GIF"), "photo-not-jpeg"),
    "WebP": (other("WEBP"), "photo-not-jpeg"),
    "SVG": (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "photo-not-jpeg"),
    "cut in the middle": (CLEAN[: len(CLEAN) // 2], "photo-not-jpeg"),
    "cut at the end": (CLEAN[:-2], "photo-not-jpeg"),
    "header only": (CLEAN[:20], "photo-not-jpeg"),
    "two bytes": (b"\xff\xd8", "photo-not-jpeg"),
    "no picture": (b"\xff\xd8\xff\xd9", "photo-not-jpeg"),
    "length zero": (b"\xff\xd8\xff\xe0\x00\x00\xff\xd9", "photo-not-jpeg"),
    "page behind it": (CLEAN + b"<script>alert(1)</script>", "photo-extra"),
    "archive behind it": (CLEAN + b"PK\x03\x04", "photo-extra"),
    "Exif": (picture(exif=exif()), "photo-extra"),
    "comment": (picture(comment=b"who and where"), "photo-extra"),
    "XMP": (with_segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x/>"), "photo-extra"),
    "IPTC": (with_segment(0xED, b"Photoshop 3.0\0"), "photo-extra"),
    "thumbnail in JFIF": (with_segment(0xE0, b"JFIF\0" + bytes(40)), "photo-extra"),
    "other data in APP2": (with_segment(0xE2, b"MPF\0"), "photo-extra"),
    "much in APP2": (with_segment(0xE2, b"ICC_PROFILE\0" + bytes(9000)), "photo-extra"),
    "two pictures": (two_pictures(), "photo-extra"),
    "too wide": (picture(jpeg.MOST_SIDE + 1, 8), "photo-pixels"),
    "bomb": (pixels_said(65500, 65500), "photo-pixels"),
    "two frames": (with_segment(0xC0, bytes(15)), "photo-not-jpeg"),
    "tables broken": (CLEAN.replace(b"\xff\xc4\x00", b"\xff\xc4\x01", 1), "photo-not-jpeg"),
}


@pytest.mark.parametrize(("data", "code"), BAD.values(), ids=BAD)
@pytest.mark.control(24, 25)
def test_all_else_is_refused_and_nothing_stays(
    phone: Phone, database: Database, data: bytes, code: str
) -> None:
    take(phone, data)
    with pytest.raises(Refused, match=f"422 {code}"):
        phone.put_photo(data)
    assert not list((database.path.parent / "photos").rglob("*"))
    assert get(phone, name(data)).status_code == 404


@pytest.mark.control(24)
def test_a_picture_is_looked_at_by_another_process_while_pages_go_on(
    app: FastAPI, phone: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the bounds taken away, 2,000 scans keep the decoder busy for long; not the pages."""
    slow = many_scans(2000)
    take(phone, slow)
    monkeypatch.setattr(decoding, "COMMAND", [sys.executable, "-c", WITHOUT_BOUNDS])
    with TestClient(app) as phone.http, ThreadPoolExecutor(9) as threads:  # one loop for all
        sent = [threads.submit(phone.put_photo, slow) for _ in range(3)]
        time.sleep(0.5)
        assert phone.http.request("GET", "/health").status_code == 200
        assert not all(one.done() for one in sent)
        for one in sent:
            with pytest.raises(Refused, match="422 photo-not-jpeg"):  # out of time
                one.result()


WITHOUT_BOUNDS = """
from app.sync import decoding, jpeg
jpeg.MOST_SCANS, jpeg.MOST_SECONDS = 10**6, 1
jpeg.answer_server()
"""


@pytest.mark.parametrize(("end", "refused"), [(11, "422 photo-not-jpeg"), (9, "503 not-kept")])
@pytest.mark.control(24, 30)
def test_a_decoder_that_ends_early_takes_nothing_with_it(
    phone: Phone, monkeypatch: pytest.MonkeyPatch, end: int, refused: str
) -> None:
    """A crash (SIGSEGV) is the picture's fault; a killed process (SIGKILL) the machine's: again."""
    take(phone, CLEAN)
    with monkeypatch.context() as patch:
        dies = f"import os, sys; sys.stdin.buffer.read(); os.kill(os.getpid(), {end})"
        patch.setattr(decoding, "COMMAND", [sys.executable, "-c", dies])
        with pytest.raises(Refused, match=refused):
            phone.put_photo(CLEAN)
    assert phone.put_photo(CLEAN)["state"] == "stored"


@pytest.mark.control(30)
def test_a_photo_on_a_full_disk_is_not_kept_and_comes_again(
    phone: Phone, monkeypatch: pytest.MonkeyPatch, database: Database
) -> None:
    """No room (ENOSPC) is 503, so that the phone keeps it and tries again (RFC 9110, 15.6.4)."""
    take(phone, CLEAN)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("app.store.photos.os.fsync", full)
        with pytest.raises(Refused, match="503 not-kept"):
            phone.put_photo(CLEAN)
    assert not [p for p in (database.path.parent / "photos").rglob("*") if p.is_file()]
    assert phone.put_photo(CLEAN)["state"] == "stored"


def test_photos_are_their_owners_alone(phone: Phone, database: Database) -> None:
    take(phone, CLEAN)
    phone.put_photo(CLEAN)
    kept = next((database.path.parent / "photos").rglob("*.jpg"))
    assert kept.stat().st_mode & 0o777 == 0o600


def test_damaged_on_the_way(phone: Phone) -> None:
    take(phone, CLEAN)
    for data in (b"", CLEAN[:-1], CLEAN + b"x", picture(65, 48)):
        with pytest.raises(Refused, match="422 photo-damaged"):
            phone.put_photo(data, name(CLEAN))
    phone.put_photo(CLEAN)


@pytest.mark.control(24)
def test_other_kinds_and_sizes_are_refused_before_they_are_read(phone: Phone) -> None:
    take(phone, CLEAN)
    with pytest.raises(Refused, match="415 message-kind"):
        phone.put_photo(CLEAN, **{"Content-Type": "image/png"})
    with pytest.raises(Refused, match="413 message-too-large"):
        phone.put_photo(bytes(MOST_BYTES + 1))

    def stream() -> "object":  # no length is stated
        for _ in range(5):
            yield bytes(1024 * 1024)

    with pytest.raises(Refused, match="413 message-too-large"):
        phone.put_photo(stream(), "0" * 64)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "wrong", ["x", "A" * 64, "0" * 63, "..%2f..%2fsillbook.db", "%0d%0ax", "\u202egpj." + "0" * 59]
)
@pytest.mark.control(26)
def test_names_that_are_none(phone: Phone, wrong: str) -> None:
    with pytest.raises(Refused) as refused:
        phone.put_photo(CLEAN, wrong)
    assert refused.value.status in (404, 405)
    assert get(phone, wrong).status_code == 404


def test_a_lost_file_is_sent_again(phone: Phone, tmp_path: Path, database: Database) -> None:
    take(phone, CLEAN)
    phone.put_photo(CLEAN)
    next((database.path.parent / "photos").rglob("*.jpg")).unlink()
    assert get(phone, name(CLEAN)).status_code == 404
    assert phone.put_photo(CLEAN)["state"] == "stored"
    assert get(phone, name(CLEAN)).status_code == 200
