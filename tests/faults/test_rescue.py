"""A phone that can reach nobody: its file of unsent entries, carried to the office by hand."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.models import SEEN, SignIn
from tests.browser.seen import expect
from tests.faults.test_photos import camera_file, step_with_photo, take
from tests.phone.fixtures import Site
from tests.phone.work import OPENING, all_is_well, tick

STILL = "Photo still on the phone"


def work_unsent(site: Site) -> None:
    """Two ticks and a photo, with an office that cannot be reached by the phone."""
    page = site.phone.page
    page.goto("/field")
    site.line.before = lambda exchange: (
        exchange.cut() if exchange.path.startswith(("/sync", "/photos/")) else None
    )
    tick(page, 0)
    tick(page, 1)
    section = step_with_photo(page, site)
    take(section, camera_file(site.folder / "camera.jpg", (640, 480)))
    expect(section.get_by_role("img").first).to_be_visible(timeout=SEEN)
    expect(section).to_contain_text("Still on this phone: not yet sent")


def saved_file(page: Page, folder: Path) -> Path:
    """Save what is not sent as a file, as a person does."""
    page.goto("/field/status")
    with page.expect_download() as download:
        page.get_by_role("link", name="Save what is not sent as a file").click()
    path = folder / download.value.suggested_filename
    assert path.name.startswith("sillbook-unsent-")
    download.value.save_as(path)
    return path


def test_unsent_entries_and_a_photo_come_by_a_file(site: Site) -> None:
    """Saved on the phone, looked at and taken in at the office, sent later: all there, once."""
    work_unsent(site)
    told = site.phone.own()
    assert [event["kind"] for event in told] == ["task.ticked", "task.ticked", "photo.taken"]
    path = saved_file(site.phone.page, site.folder)
    assert len(site.phone.book()["outbox"]) == 3, "saving changed nothing"
    context = site.browser.new_context(base_url=site.line.address)
    try:
        taken_in(context.new_page(), path)
    finally:
        context.close()
    stored = {event["id"]: event for event in site.office.events()}
    assert [stored.get(event["id"]) for event in told] == told
    assert len(list((site.office.data / "photos").rglob("*.jpg"))) == 1
    site.line.heal()
    all_is_well(site, told)
    sent = [r["sent"] for r in site.phone.book()["events"] if r["own"]]
    assert sent == ["already"] * 3
    assert len(list((site.office.data / "photos").rglob("*.jpg"))) == 1


def taken_in(page: Page, path: Path) -> None:
    """Take the file in at the office: a changed one is refused, the good one shown first."""
    SignIn(page).as_("nadia")
    page.goto("/phones")
    page.get_by_role("link", name="Import a phone's file").click()
    file = json.loads(path.read_text("utf-8"))
    for event in file["batches"][0]["events"]:
        event["at"] = "2026-01-01T00:00:00+00:00"
    bad = path.with_name("changed.json")
    bad.write_text(json.dumps(file), "utf-8")
    for chosen, words in (
        (bad, "No signature of the phone covers these entries"),
        (path.with_name("camera.jpg"), "This is no file of unsent entries"),
    ):
        choose(page, chosen)
        expect(page.get_by_role("alert")).to_contain_text(words, timeout=SEEN)
    choose(page, path)
    main = page.get_by_role("main")
    expect(main).to_contain_text("3 entries are new", timeout=SEEN)
    expect(main).to_contain_text("1 photo is new")
    expect(main).to_contain_text("Heron's phone (Tobin Hale)")
    page.get_by_role("button", name="Import it").click()
    expect(page.get_by_role("status").last).to_contain_text("3 entries were imported", timeout=SEEN)
    choose_again(page, path)


def choose_again(page: Page, path: Path) -> None:
    """The same file once more adds nothing."""
    page.get_by_role("link", name="Another file").click()
    choose(page, path)
    main = page.get_by_role("main")
    expect(main).to_contain_text("3 entries are here already", timeout=SEEN)
    expect(main).to_contain_text("1 photo is here already")


def choose(page: Page, path: Path) -> None:
    """Choose a file and have it looked at."""
    page.get_by_label("The file").set_input_files(path)
    page.get_by_role("button", name="Look at it").click()


@pytest.mark.long
def test_a_photo_that_has_not_come_is_said(site: Site) -> None:
    """The entry is at the office, the bytes are not: review, record and step page say so.

    Once it has come they show it.
    """
    work_unsent(site)
    site.line.before = lambda exchange: exchange.cut() if exchange.method == "PUT" else None
    for _ in range(40):
        site.phone.sync()
        site.phone.page.wait_for_timeout(250)
        if not site.phone.book()["outbox"]:
            break
    context = site.browser.new_context(base_url=site.line.address)
    try:
        page = context.new_page()
        SignIn(page).as_("nadia")
        step = site.phone.own()[-1]["body"]["step"]
        paths = (
            f"/office/o/{OPENING}",
            f"/record/{OPENING}",
            f"/field/o/{OPENING}/step/{step}?show=all",
        )
        for path in paths:
            page.goto(path)
            expect(page.get_by_role("main")).to_contain_text(STILL, timeout=SEEN)
        site.line.heal()
        all_is_well(site, site.phone.own())
        for path in paths:
            page.goto(path)
            expect(page.get_by_role("heading", level=1)).to_be_visible(timeout=SEEN)
            expect(page.get_by_role("main")).not_to_contain_text(STILL)
            assert page.locator("main figure.photo img").count() == 1
    finally:
        context.close()
