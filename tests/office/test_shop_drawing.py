"""The maker's shop drawing: a PDF or picture that the office attaches, for the crew to look at.

Files are made by other libraries (Pillow, pikepdf) than reads them (PDFium). What comes out is
looked at by Pillow, and by the check of clean JPEGs that the crews' own photos must pass.
"""

import hashlib
import io
import re
from pathlib import Path

import pikepdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image

from app.access import pairing
from app.store.backup import back_up
from app.store.shop_drawings import pages_of
from app.store.tables import Person, Photo
from app.sync import jpeg
from app.sync.shop_pages import MOST_BYTES, SIDE, ShopUnfitError, page_pictures
from tests.demo.conftest import OURS, enter
from tests.sync.client import Phone

OPENING = "saltgrass-a"  # Inés's
PATH = f"/office/shop/{OPENING}"


def sheet(width: int, height: int, corner: str = "black") -> Image.Image:
    """A white sheet whose upper left quarter has a colour."""
    image = Image.new("RGB", (width, height), "white")
    image.paste(corner, (0, 0, width // 2, height // 2))
    return image


def written(image: Image.Image, kind: str, **more: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)  # type: ignore[arg-type]
    return out.getvalue()


def pdf_of(*sheets: Image.Image) -> bytes:
    return written(sheets[0], "PDF", save_all=True, append_images=list(sheets[1:]))


def altered(data: bytes, how: str) -> bytes:
    """Return a PDF with something done to it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        if how == "locked":
            pdf.save(out, encryption=pikepdf.Encryption(owner="a", user="b"))
        elif how == "script":
            script = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert('x')")
            pdf.Root.OpenAction = script
            pdf.save(out)
        elif how == "empty":
            del pdf.pages[:]
            pdf.save(out)
    return out.getvalue()


def looked_at(data: bytes) -> Image.Image:
    """Return a picture that is clean: nothing in it besides what draws it."""
    jpeg.check(data)
    return Image.open(io.BytesIO(data))


def test_each_page_of_a_pdf_is_a_clean_picture_of_it() -> None:
    wide, high = sheet(1700, 1100), sheet(850, 1100, "red")
    pages = page_pictures(altered(pdf_of(wide, high), "script"))
    assert [max(page.width, page.height) for page in pages] == [SIDE, SIDE]
    for page, made in zip(pages, (wide, high), strict=True):
        shown = looked_at(page.data)
        assert shown.size == (page.width, page.height)
        assert page.width / page.height == pytest.approx(made.width / made.height, rel=0.01)
        inside = shown.getpixel((page.width // 4, page.height // 4))
        outside = shown.getpixel((3 * page.width // 4, 3 * page.height // 4))
        assert isinstance(inside, tuple)
        assert isinstance(outside, tuple)
        assert inside[1] < 40  # black, or red
        assert min(outside) > 215


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_picture_is_written_anew_without_what_came_with_it(kind: str) -> None:
    exif = Image.Exif()
    exif[0x0110] = "a camera of somebody's"
    exif[0x0112] = 6  # turned by a quarter: EXIF 2.32, Orientation
    [page] = page_pictures(written(sheet(3000, 2000), kind, exif=exif))
    assert b"camera" not in page.data
    assert (page.width, page.height) == (round(SIDE * 2 / 3), SIDE)
    looked_at(page.data)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"%PDF-1.7\nnothing more", "shop-unfit"),
        (b"<html><script>x</script></html>", "shop-unfit"),
        (written(sheet(60, 40), "GIF"), "shop-unfit"),
        (written(sheet(600, 400), "JPEG")[:900], "shop-unfit"),
        (altered(pdf_of(sheet(60, 40)), "locked"), "shop-locked"),
        (altered(pdf_of(sheet(60, 40)), "empty"), "shop-unfit"),
        (pdf_of(*[sheet(60, 40)] * 13), "shop-pages"),
        (b"%PDF-" + b"0" * MOST_BYTES, "shop-large"),
    ],
    ids=["no pdf", "html", "gif", "cut", "locked", "no page", "many pages", "large"],
)
def test_what_no_drawing_can_be_made_of_is_refused_by_its_reason(data: bytes, code: str) -> None:
    with pytest.raises(ShopUnfitError) as refused:
        page_pictures(data)
    assert refused.value.code == code


def attach(office: TestClient, data: bytes) -> str:
    files = {"file": ("drawing.pdf", data, "application/pdf")}
    return office.post(PATH, data={"act": "keep"}, files=files).text


def sources(page: str) -> list[str]:
    return re.findall(r'<img class="shop-page" src="(/photos/[0-9a-f]{64})"', page)


def test_the_crew_sees_what_the_office_attached_and_nobody_else_does(
    app: FastAPI, office: TestClient
) -> None:
    page = attach(office, pdf_of(sheet(850, 1100), sheet(850, 1100, "red")))
    shown = sources(page)
    assert len(shown) == 2
    answer = office.get(shown[0])
    assert answer.headers["content-type"] == "image/jpeg"
    assert "sandbox" in answer.headers["content-security-policy"]
    crew = TestClient(app, headers=OURS, follow_redirects=True)
    signs = {"name": "ines", "password": "shim-string-and-square"}
    crew.post("/sign-in", data=signs)
    with app.state.server.database.write() as session:
        session.get_one(Person, "ines-calder").lang = "en"
    assert f"/field/o/{OPENING}/shop" in crew.get(f"/field/o/{OPENING}").text
    assert f"/field/o/{OPENING}/shop" in crew.get(f"/field/o/{OPENING}/step/A").text
    assert sources(crew.get(f"/field/o/{OPENING}/shop").text) == shown
    assert crew.get(shown[0]).status_code == 200
    other = enter(app, "installer")  # Tobin is not on that crew
    assert other.get(shown[0]).status_code == 404
    assert "/shop" not in crew.get("/field/o/saltgrass-b").text
    assert crew.get("/field/o/saltgrass-b/shop").status_code == 404


def test_a_phone_gets_the_names_with_its_news_and_the_pictures_by_its_token(
    app: FastAPI, office: TestClient
) -> None:
    shown = sources(attach(office, pdf_of(sheet(850, 1100))))
    with app.state.server.database.write() as session:
        code = pairing.make_code(session, "ines-calder", int(app.state.server.clock()))
    phone = Phone(TestClient(app))
    phone.pair(code)
    headers = {"Authorization": f"Bearer {phone.token}"}
    news = phone.http.request("GET", "/sync", headers=headers).json()
    [found] = [one for one in news["openings"] if one["id"] == OPENING]
    assert ["/photos/" + page["sha256"] for page in found["shop"]] == shown
    data = TestClient(app).get(shown[0], headers=headers).content
    assert hashlib.sha256(data).hexdigest() == shown[0][8:]


def test_another_takes_the_place_of_the_first_and_it_can_be_taken_away(
    app: FastAPI, office: TestClient
) -> None:
    first = sources(attach(office, pdf_of(sheet(850, 1100))))
    second = sources(attach(office, written(sheet(400, 300, "red"), "PNG")))
    assert len(second) == 1
    assert second != first
    assert office.get(first[0]).status_code == 404  # nobody's any more
    page = office.post(PATH, data={"act": "remove"}, files={"none": b""}).text
    assert sources(page) == []
    assert "/shop" not in enter(app, "supervisor").get(f"/field/o/{OPENING}").text


def test_what_is_wrong_is_said_on_the_form_and_the_drawing_stays(office: TestClient) -> None:
    kept = sources(attach(office, pdf_of(sheet(850, 1100))))
    page = attach(office, b"no drawing")
    assert "This file cannot be read. Choose a PDF" in page
    assert sources(page) == kept
    assert "Choose a file." in office.post(PATH, data={"act": "keep"}, files={"none": b""}).text
    sent = {"file": ("x.pdf", pdf_of(sheet(60, 40)), "application/pdf")}
    answer = office.post("/office/shop/nothing", data={"act": "keep"}, files=sent)
    assert answer.status_code == 404


def test_a_copy_holds_it_as_it_holds_photos(
    app: FastAPI, office: TestClient, tmp_path: Path
) -> None:
    [shown] = sources(attach(office, pdf_of(sheet(850, 1100))))
    with app.state.server.database.read() as session:
        assert session.get(Photo, shown[8:]) is not None
    lacking = back_up(app.state.server.database.path.parent, tmp_path / "copy")
    assert list(lacking) == []
    assert (tmp_path / "copy" / "photos" / shown[8:10] / f"{shown[8:]}.jpg").is_file()


def test_pages_that_are_replaced_go_from_the_disk_unless_another_door_has_them(
    app: FastAPI, office: TestClient
) -> None:
    """Two doors have the same drawing; a file goes with the last page that names it."""
    place = app.state.server.database.photos
    first, other = written(sheet(60, 40), "PNG"), written(sheet(60, 40, "red"), "PNG")

    def names(opening: str) -> list[str]:
        with app.state.server.database.read() as session:
            return [one.sha256 for one in pages_of(session, opening)]

    def attach_at(opening: str, data: bytes, act: str = "keep") -> None:
        files = {"file": ("drawing.png", data, "image/png")}
        answer = office.post(f"/office/shop/{opening}", data={"act": act}, files=files)
        assert answer.status_code == 200

    attach_at(OPENING, first)
    attach_at("marrow-lane-a", first)
    [old] = names(OPENING)
    attach_at(OPENING, other)
    assert names(OPENING) != [old]
    assert place.has_photo(old), "the other door shows it"
    attach_at("marrow-lane-a", b"", "remove")
    assert not place.has_photo(old)
    with app.state.server.database.read() as session:
        assert session.get(Photo, old) is None
    attach_at(OPENING, first)
    attach_at(OPENING, first)  # the same once more: it stays
    assert place.has_photo(old)
    assert names(OPENING) == [old]


def test_a_card_leads_to_the_shop_drawing_where_there_is_one(
    app: FastAPI, office: TestClient
) -> None:
    crew, card = enter(app, "installer"), "/field/o/marrow-lane-a/next/A"
    shop = 'href="/field/o/marrow-lane-a/shop"'
    assert shop not in crew.get(card).text
    files = {"file": ("drawing.png", written(sheet(60, 40), "PNG"), "image/png")}
    office.post("/office/shop/marrow-lane-a", data={"act": "keep"}, files=files)
    assert shop in crew.get(card).text
