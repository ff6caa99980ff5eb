"""A page that was swapped in looks as if it was loaded, and goes back to where it was left."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.models import SEEN

OPENING = "/field/o/marrow-lane-b"
CARD = OPENING + "/next/D?point=frame-heights&place=x0"
POINT = OPENING + "/point/frame-heights"
# Where everything stands and how it is written; the line of what is sent is filled later.
FACE = """() => [...document.querySelectorAll("body *:not(script, .sent-line *)")].map((each) => {
  const { x, y, width, height } = each.getBoundingClientRect();
  const { color, backgroundColor, font } = getComputedStyle(each);
  const name = each.localName + "." + (each.className.baseVal ?? each.className);
  return [name, x, y, width, height, color, backgroundColor, font].join(" ");
})"""
GO = """(path) => {
  self.stays = true;
  const link = document.createElement("a");
  [link.href, link.id, link.textContent] = [path, "there", "there"];
  document.getElementById("main").prepend(link);
}"""


def follow(page: Page, path: str) -> None:
    """Follow a link to a path, and wait until that page was swapped in."""
    page.evaluate(GO, path)
    page.locator("#there").click()
    expect(page.locator("#there")).to_have_count(0, timeout=SEEN)
    assert page.evaluate("() => self.stays") is True


@pytest.mark.parametrize("size", [(390, 844), (1280, 800)])
def test_a_page_that_was_swapped_in_looks_as_one_that_was_loaded(
    crew: Page, size: tuple[int, int]
) -> None:
    crew.set_viewport_size({"width": size[0], "height": size[1]})
    every = ["/field", OPENING, OPENING + "/step/D", OPENING + "/step/D?show=all", CARD, POINT]
    loaded = {}
    for path in every:
        crew.goto(path, wait_until="load")
        crew.locator("#kept-and-sent-now").wait_for()
        loaded[path] = crew.evaluate(FACE)
    for path in [*every, *reversed(every)]:  # from the point's page, which has the most
        follow(crew, path)
        crew.wait_for_timeout(50)
        assert crew.evaluate(FACE) == loaded[path], path


def test_back_is_where_it_was_left(crew: Page) -> None:
    crew.goto(OPENING)
    crew.evaluate("() => { self.stays = true; }")
    last = crew.get_by_role("region", name="Steps").get_by_role("link").last
    last.scroll_into_view_if_needed()
    where = crew.evaluate("() => scrollY")
    assert where > 100
    last.click()
    expect(crew.get_by_role("heading", level=1)).not_to_contain_text("The opening", timeout=SEEN)
    assert crew.evaluate("() => scrollY") == 0
    crew.go_back()
    expect(crew.get_by_role("heading", level=1)).to_contain_text("The opening", timeout=SEEN)
    assert crew.evaluate("() => [self.stays, scrollY]") == [True, where]


def test_a_part_of_the_same_page_is_gone_to_without_asking_for_it(crew: Page) -> None:
    crew.goto(OPENING + "/step/D")
    asked: list[str] = []
    crew.on("request", lambda request: asked.append(request.url))
    crew.get_by_role("link", name="Sign-off").click()
    crew.go_back()
    crew.wait_for_timeout(300)
    assert [url for url in asked if "/step/" in url] == []


def test_without_a_network_and_without_a_worker_a_link_says_so(crew: Page) -> None:
    crew.goto(OPENING)
    crew.context.set_offline(True)
    crew.get_by_role("region", name="Steps").get_by_role("link").first.click()
    try:
        expect(crew.get_by_role("alert")).to_contain_text("needs a network", timeout=SEEN)
        expect(crew.get_by_role("heading", level=1)).to_contain_text("The opening")
        assert crew.url.endswith(OPENING)
    finally:
        crew.context.set_offline(False)
