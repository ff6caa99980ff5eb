"""From list to opening, step, card and back: what changes is swapped in, and no page is loaded.

That back button, address, title and focus are those of a loaded page is the way of browsers (HTML
Standard, navigation and session history); that nothing is loaded is this project's own.
"""

from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.office import newer_program
from tests.phone.test_type_ahead import kept, slow_down
from tests.phone.work import OPENING, all_is_well

HERE = f"/field/o/{OPENING}"
FACTS = """() => {
  const active = document.activeElement;
  return {
    loaded: self.stays !== true, title: document.title, path: location.pathname,
    focus: active.matches("h1") ? "heading" : active.localName,
    mains: document.querySelectorAll("main").length,
  };
}"""


def heading(page: Page, words: str) -> None:
    """See that this is what stands there now."""
    expect(page.get_by_role("heading", level=1)).to_contain_text(words, timeout=SEEN)


def facts(page: Page) -> Any:
    """Return what a person or a screen reader can tell the page by."""
    return page.evaluate(FACTS)


def swapped(path: str, title: str, focus: str = "heading") -> dict[str, Any]:
    """Return the facts of a page that was swapped in."""
    return {
        "loaded": False,
        "title": title + " · Sillbook",
        "path": path,
        "focus": focus,
        "mains": 1,
    }


def press(page: Page, *names: str) -> None:
    """Press our own keys."""
    for name in names:
        keys = page.get_by_role("group", name="Keys")
        keys.get_by_role("button", name=name, exact=True).click()


def test_list_opening_card_step_and_point_are_swapped_for_each_other(site: Site) -> None:
    page = site.phone.page
    site.office.stop()
    page.goto("/field")
    heading(page, "Openings to be set")
    page.evaluate("() => { self.stays = true; }")
    page.get_by_role("link", name="Family room").click()
    heading(page, "The opening and its steps")
    opening = swapped(HERE, "Opening · A Family room")
    assert facts(page) == opening
    page.get_by_role("link", name="Go on: A").click()
    heading(page, "Cautions")
    page.get_by_role("button", name="All read").click()
    expect(page.get_by_role("button", name="All here")).to_be_visible(timeout=SEEN)
    card = facts(page)
    assert card == {**swapped(HERE + "/next/A", ""), "title": card["title"]}
    page.locator("a.strip-step").click()
    heading(page, "Delivery check")
    step = facts(page)
    assert step == {**swapped(HERE + "/step/A", ""), "title": step["title"]}
    assert "Delivery check" in step["title"]
    page.get_by_role("link", name="Show everything").click()
    expect(page.get_by_role("link", name="Show the short page")).to_be_visible(timeout=SEEN)
    # keys and type-ahead came with the first card
    page.get_by_role("link", name="Panel width").first.click()
    heading(page, "Panel width")
    assert facts(page)["focus"] == "input"
    press(page, "4", "8", "1/2", "Keep")
    expect(page.get_by_role("status")).to_contain_text("Kept: 4' 0 1/2", timeout=SEEN)
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2"]
    page.evaluate("() => history.back()")
    expect(page.get_by_role("link", name="Show the short page")).to_be_visible(timeout=SEEN)
    page.evaluate("() => history.back()")
    expect(page.get_by_role("link", name="Show everything")).to_be_visible(timeout=SEEN)
    assert facts(page) == step
    page.evaluate("() => history.back()")
    expect(page.get_by_role("button", name="All here")).to_be_visible(timeout=SEEN)
    assert facts(page) == card
    page.evaluate("() => history.forward()")
    heading(page, "Delivery check")
    page.locator("a.where").click()
    heading(page, "The opening and its steps")
    assert facts(page) == opening
    # a page of another kind is loaded
    page.get_by_role("link", name="Instruments").click()
    heading(page, "Instruments")
    assert facts(page)["loaded"]
    told = site.phone.own()
    site.office.start()
    all_is_well(site, told)


def test_a_link_that_is_followed_while_a_reading_is_worked_out_takes_nothing_of_it(
    site: Site,
) -> None:
    page = site.phone.page
    page.goto(HERE + "/next/A?point=panel-widths&place=A-top")
    heading(page, "panel A, top")
    slow_down(site, 1)
    page.locator("input.typed-value").fill("48 1/2")
    page.locator("input.typed-value").press("Enter")
    page.locator("a.strip-step").click()
    heading(page, "Delivery check")
    page.wait_for_timeout(1500)
    heading(page, "Delivery check")
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2"]
    all_is_well(site, site.phone.own())


def test_the_owner_who_has_the_phone_sees_one_page_alone_whatever_is_touched(site: Site) -> None:
    page = site.phone.page
    page.goto(HERE)
    heading(page, "The opening and its steps")
    site.phone.in_worker(
        """async () => {
          const phone = await book.meta("phone");
          await book.setMeta("phone", { ...phone, lent: { opening: "OPENING", lang: "en" } });
        }""".replace("OPENING", OPENING)
    )
    page.evaluate("() => { document.querySelector('a.go').click(); }")
    heading(page, "Your new door")
    assert page.url.endswith(HERE + "/owner")


def test_a_newer_program_takes_over_where_the_next_page_would_be_swapped_in(site: Site) -> None:
    page = site.phone.page
    page.goto(HERE)
    heading(page, "The opening and its steps")
    page.evaluate("() => { self.stays = true; }")
    site.office.stop()
    site.office.start(newer_program(site.folder / "newer"))
    site.phone.looks_for_newer()
    page.get_by_role("link", name="Go on: A").click()
    heading(page, "Cautions")
    assert facts(page)["loaded"]
    assert site.phone.page.evaluate(
        "async () => (await navigator.serviceWorker.getRegistration('/field')).waiting === null"
    )


CARD = HERE + "/next/A?point=panel-widths&place=A-top"


def test_a_kept_reading_brings_the_next_card_with_its_answer(site: Site) -> None:
    page = site.phone.page
    site.office.stop()
    page.goto(CARD)
    heading(page, "panel A, top")
    asked: list[tuple[str, str]] = []
    page.on("request", lambda one: asked.append((one.method, urlsplit(one.url).path)))
    press(page, "4", "8", "1/2", "Keep")
    page.wait_for_url("**kept=**", timeout=SEEN)
    heading(page, "panel A, bottom")
    assert [one for one in asked if one[1].startswith(HERE)] == [("POST", HERE + "/next/A")]
    here = page.url
    page.reload()
    heading(page, "panel A, bottom")
    assert page.url == here
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2"]


FAILS_AT_PAGES = """() => {
  const was = vm.call;
  vm.call = (name, asked) => {
    if (name !== "handle" || asked.request.method !== "GET") return was(name, asked);
    throw new Error("Traceback\\nKeyError: x");
  };
}"""


def test_where_the_next_card_cannot_be_made_it_is_said_that_the_reading_is_kept(site: Site) -> None:
    page = site.phone.page
    site.office.stop()
    page.goto(CARD)
    heading(page, "panel A, top")
    site.phone.in_worker(FAILS_AT_PAGES)
    press(page, "4", "8", "1/2", "Keep")
    heading(page, "Something went wrong in the program")
    expect(page.get_by_role("main")).to_contain_text("All that was kept is safe", timeout=SEEN)
    expect(page.get_by_role("main")).to_contain_text("Error: KeyError: x")
    expect(page.get_by_role("main")).not_to_contain_text("Traceback")
    assert [text for _, text in kept(site, "panel-widths")] == ["48 1/2"]
