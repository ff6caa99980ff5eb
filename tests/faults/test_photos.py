"""Photos: taken without an office, cut on the way, no room left.

Numbers are those of the list of faults.

The camera's file is made here with Pillow: its tags are those of Exif 2.32 (Orientation 0x0112,
GPS 0x8825), what must come out is worked out by hand.
"""

import io
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Locator, Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.line import Answered
from tests.phone.work import OPENING, all_is_well, tick

ORIENTATION, GPS = 0x0112, 0x8825
TASK = f"/field/o/{OPENING}/step/"


def camera_file(path: Path, size: tuple[int, int] = (3200, 2400)) -> Path:
    """Write what a phone's camera writes when held upright.

    Rows sideways, place and turn in Exif.
    """
    picture = Image.new("RGB", size, (40, 90, 60))
    picture.paste((220, 40, 40), (0, 0, size[0] // 2, size[1]))  # the camera's left half is red
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # turn a quarter clockwise to see it upright
    exif[GPS] = {1: "N", 2: (44.0, 30.0, 0.0)}
    picture.save(path, "JPEG", exif=exif, quality=90)
    return path


def step_with_photo(page: Page, site: Site) -> Locator:
    """Go to the first step that asks for a photo, and return its form's section."""
    step = next(
        step["id"]
        for record in site.phone.book()["procedures"]
        if record["key"].startswith("stacking")
        for step in record["procedure"]["steps"]
        if any(task["kind"] == "photo" for task in step["tasks"]) and not step.get("per")
    )
    page.goto(TASK + step + "?show=all")
    return page.get_by_role("region", name="Photos")


def take(section: Locator, path: Path) -> None:
    """Choose the file and keep it."""
    section.get_by_label("Take a photo, or choose one").first.set_input_files(path)
    section.get_by_role("button", name="Keep this photo").first.click()


@pytest.mark.control(25)
def test_a_photo_is_shown_at_once_and_arrives_clean(site: Site) -> None:
    """Taken with no office: shown from the phone; later stored, small, upright, without a tag."""
    page = site.phone.page
    page.goto("/field")
    section = step_with_photo(page, site)
    site.office.stop()
    take(section, camera_file(site.folder / "camera.jpg"))
    shown = section.get_by_role("img").first
    expect(shown).to_be_visible(timeout=SEEN)
    expect(shown).to_have_js_property("naturalWidth", 1200)
    told = site.phone.own()
    body = told[0]["body"]
    site.office.start()
    all_is_well(site, told)
    ((count,),) = site.office.rows("SELECT count(*) FROM photo WHERE sha256 = ?", body["sha256"])
    assert count == 1
    stored = next((site.office.data / "photos").rglob(body["sha256"] + "*"))
    picture = Image.open(io.BytesIO(stored.read_bytes()))
    # 3200 x 2400 turned is 2400 x 3200, and half of that fits 1600: 1200 x 1600
    assert picture.size == (1200, 1600) == (body["width"], body["height"])
    assert not picture.getexif()
    red, green, _ = picture.convert("RGB").getpixel((600, 200))  # type: ignore[misc]
    assert red > 150 > green  # the camera's left is the top of the upright picture
    assert stored.stat().st_size == body["size"]


NO_PICTURES = "() => { self.createImageBitmap = () => Promise.reject(new Error('none here')); }"
SEND_ALONE = "(form) => HTMLFormElement.prototype.submit.call(form)"


def test_the_picture_is_drawn_in_the_page(site: Site) -> None:
    """The worker need not read it: an engine may end a worker that does, and the form with it."""
    page = site.phone.page
    page.goto("/field")
    section = step_with_photo(page, site)
    site.phone.in_worker(NO_PICTURES)
    take(section, camera_file(site.folder / "camera.jpg"))
    expect(section.get_by_role("img").first).to_have_js_property("naturalWidth", 1200)
    (told,) = site.phone.own()
    (photo,) = site.phone.book()["photos"]
    assert (told["body"]["width"], told["body"]["height"]) == (1200, 1600)
    assert photo["sha256"] == told["body"]["sha256"]


@pytest.mark.long
def test_where_the_page_could_not_the_worker_draws_it(site: Site) -> None:
    """A form that is sent past the page's script: its file is drawn anew all the same."""
    page = site.phone.page
    page.goto("/field")
    section = step_with_photo(page, site)
    file = camera_file(site.folder / "camera.jpg")
    section.get_by_label("Take a photo, or choose one").first.set_input_files(file)
    section.locator("form").first.evaluate(SEND_ALONE)
    expect(section.get_by_role("img").first).to_have_js_property("naturalWidth", 1200)
    all_is_well(site, site.phone.own())


@pytest.mark.control(30)
def test_06_no_room_in_mid_photo(site: Site) -> None:
    """The browser has no room.

    Nothing is half written, the page says so, and afterwards it goes.
    """
    site.phone.close()
    page = site.phone.open()
    # Set before the browser looks: what room there is it remembers for half a minute.
    session = site.phone.cdp()
    session.send("Storage.overrideQuotaForOrigin", {"origin": site.line.address, "quotaSize": 1000})
    page.goto("/field")
    before = site.phone.book()
    take(step_with_photo(page, site), camera_file(site.folder / "camera.jpg"))
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "this phone has no room left", timeout=SEEN
    )
    after = site.phone.book()
    assert (len(after["events"]), after["outbox"], after["photos"]) == (
        len(before["events"]),
        [],
        [],
    )
    site.phone.close()
    page = site.phone.open()
    page.goto("/field")
    take(step_with_photo(page, site), site.folder / "camera.jpg")
    expect(page.get_by_role("region", name="Photos").get_by_role("img").first).to_be_visible(
        timeout=SEEN
    )
    all_is_well(site, site.phone.own())


def test_22_and_23_a_photo_cut_on_the_way(site: Site) -> None:
    """It arrives empty, then short, then the line breaks: refused, it stays queued.

    Then it is whole.
    """
    page = site.phone.page
    page.goto("/field")
    section = step_with_photo(page, site)
    tries: list[int] = []

    def spoil(exchange: Answered) -> None:
        if exchange.method != "PUT":
            return
        tries.append(len(exchange.body))
        inner = exchange.exchange
        if len(tries) == 1:
            inner.body = b""
        elif len(tries) == 2:
            inner.body = inner.body[: len(inner.body) // 2]
        else:
            exchange.cut()

    site.line.before = spoil
    take(section, camera_file(site.folder / "camera.jpg"))
    expect(section.get_by_role("img").first).to_be_visible(timeout=SEEN)
    for _ in range(20):
        if len(tries) >= 3:
            break
        site.phone.sync()
        page.wait_for_timeout(500)
    assert len(tries) >= 3
    assert [photo["sent"] for photo in site.phone.book()["photos"]] == [0]
    assert not list((site.office.data / "photos").rglob("*.jpg"))
    site.line.heal()
    all_is_well(site, site.phone.own())
    assert len(list((site.office.data / "photos").rglob("*.jpg"))) == 1


def test_a_file_that_is_no_picture_is_refused_in_words(site: Site) -> None:
    """The phone cannot read it: it says so, and keeps nothing."""
    page = site.phone.page
    page.goto("/field")
    section = step_with_photo(page, site)
    (site.folder / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0 no picture")
    take(section, site.folder / "broken.jpg")
    expect(page.get_by_role("heading", level=1)).to_contain_text(
        "cannot be read here", timeout=SEEN
    )
    assert site.phone.own() == []
    page.goto("/field")
    tick(page, 0)
    assert len(site.phone.own()) == 1
