"""A photo on its card: shown as it is taken, a ring drawn on it with a finger, kept as one picture.

The camera's file is made with Pillow (tests/faults/test_photos.py): red above, green below when
upright. What a finger draws is red with a white edge, so on the green half both must be found.
"""

import io
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well

CARD = f"/field/o/{OPENING}/next/A?task=a-photo-labels"


def take_photo(page: Page, file: Path) -> None:
    """Take a photo on its card, past the day's cautions, and wait until it is shown."""
    page.goto(CARD)
    page.get_by_label("Camera").set_input_files(file)
    expect(page.get_by_role("img", name="The photo as it will be kept")).to_be_visible(timeout=SEEN)


def draw_ring(page: Page) -> None:
    """Draw round a spot in the lower half of the picture."""
    box = page.get_by_role("img", name="The photo as it will be kept").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.75
    page.mouse.move(x - 20, y)
    page.mouse.down()
    for across, down in ((0, -20), (20, 0), (0, 20), (-20, 0)):
        page.mouse.move(x + across, y + down, steps=4)
    page.mouse.up()


def colours_below(site: Site, sha256: str) -> set[str]:
    """Return which of the two colours of a finger's line stand in a stored picture's lower half."""
    stored = next((site.office.data / "photos").rglob(sha256 + "*"))
    picture = Image.open(io.BytesIO(stored.read_bytes())).convert("RGB")
    below = picture.crop((0, picture.height // 2 + 40, picture.width, picture.height))
    found = set()
    for _, colour in below.getcolors(below.width * below.height) or []:
        red, green, blue = colour  # type: ignore[misc]
        if red > 150 and max(green, blue) < 60:
            found.add("red")
        if min(red, green, blue) > 220:
            found.add("white")
    return found


def test_a_ring_drawn_with_a_finger_is_part_of_the_picture(site: Site) -> None:
    page = site.phone.page
    site.office.stop()
    take_photo(page, camera_file(site.folder / "camera.jpg"))
    draw_ring(page)
    page.get_by_role("button", name="Keep this photo").click()
    expect(page.get_by_role("img", name="The photo as it will be kept")).to_be_hidden(timeout=SEEN)
    told = site.phone.own()
    (body,) = [event["body"] for event in told if event["kind"] == "photo.taken"]
    assert (body["width"], body["height"]) == (1200, 1600)
    site.office.start()
    all_is_well(site, told)
    assert colours_below(site, body["sha256"]) == {"red", "white"}


@pytest.mark.long
def test_what_was_drawn_is_cleared_and_a_photo_taken_again(site: Site) -> None:
    page = site.phone.page
    take_photo(page, camera_file(site.folder / "first.jpg", (640, 480)))
    page.get_by_label("Take it again").set_input_files(camera_file(site.folder / "camera.jpg"))
    expect(page.get_by_role("img", name="The photo as it will be kept")).to_have_js_property(
        "width", 1200, timeout=SEEN
    )
    draw_ring(page)
    page.get_by_role("button", name="Clear").click()
    page.get_by_role("button", name="Keep this photo").click()
    expect(page.get_by_role("img", name="The photo as it will be kept")).to_be_hidden(timeout=SEEN)
    told = site.phone.own()
    (body,) = [event["body"] for event in told if event["kind"] == "photo.taken"]
    all_is_well(site, told)
    assert colours_below(site, body["sha256"]) == set()
