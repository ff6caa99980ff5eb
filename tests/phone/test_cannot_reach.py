"""A place that cannot be reached, with a photo of why, taken on a phone without an office."""

from tests.browser.models import PointPage, open_fold
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well

WHY = "A post stands before it"


def test_a_photo_stands_beside_cannot_reach(site: Site) -> None:
    """Shown with its reading at once, from the phone; later it is at the office."""
    page = site.phone.page
    site.office.stop()
    page.goto(f"/field/o/{OPENING}/point/opening-diagonals")
    point = PointPage(page)
    place = point.place.inner_text().splitlines()[-1]
    fold = open_fold(page, "Cannot reach this place")
    fold.get_by_label("Because").fill(WHY)
    fold.get_by_label("A photo of it").set_input_files(camera_file(site.folder / "post.jpg"))
    fold.get_by_role("button", name="Keep: could not be reached").click()
    point.is_kept(place)
    main = point.reading(place).page.get_by_role("main")
    expect(main).to_contain_text(WHY)
    expect(main.get_by_role("img", name="Photo.")).to_have_js_property("naturalWidth", 1200)
    told = site.phone.own()
    kinds = sorted(event["kind"] for event in told)
    assert kinds == ["photo.taken", "reading.unreachable"]
    site.office.start()
    all_is_well(site, told)
    taken = next(event["body"] for event in told if event["kind"] == "photo.taken")
    (stored,) = (site.office.data / "photos").rglob(taken["sha256"] + "*")
    assert stored.stat().st_size == taken["size"]
