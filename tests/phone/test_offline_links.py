"""Without a network every link of the worker's pages works, or says calmly that it needs one."""

from playwright.sync_api import Page

from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.fixtures import Site
from tests.phone.work import OPENING

START = [
    "/field",
    f"/field/o/{OPENING}",
    f"/field/o/{OPENING}/step/A",
    f"/field/o/{OPENING}/next/A",
]
MOST = 60  # pages of the field book that are gone through
# A page as the worker answers it, without showing it: its status, and where its links lead.
LOOK = """async (path) => {
  const answer = await fetch(path);
  const html = (answer.headers.get("content-type") || "").startsWith("text/html");
  const made = new DOMParser().parseFromString(html ? await answer.text() : "", "text/html");
  const links = [...made.querySelectorAll("a[href]")]
    .map((link) => new URL(link.getAttribute("href"), answer.url))
    .filter((url) => url.origin === location.origin).map((url) => url.pathname + url.search);
  return [answer.status, links];
}"""
OUTSIDE = """(path) => [...document.querySelectorAll("a[href]")]
  .find((link) => new URL(link.href).pathname === path).click()"""


def is_ours(path: str) -> bool:
    """Return whether the worker answers a path."""
    return path.partition("?")[0].split("/")[1] in ("field", "static", "photos")


def crawl(page: Page) -> dict[str, str]:
    """Go through the worker's pages; return each path outside of them, and where it is linked.

    The office is stopped, so that nobody but the worker can answer.
    """
    outside: dict[str, str] = {}
    seen: list[str] = []
    left = list(START)
    shown = page.goto(START[0])
    assert shown is not None
    assert shown.from_service_worker
    while left and len(seen) < MOST:
        path = left.pop(0)
        seen.append(path)
        status, links = page.evaluate(LOOK, path)
        assert status < 400, (path, status)
        for link in links:
            if not is_ours(link):
                outside.setdefault(link.partition("?")[0], path)
            elif link not in seen + left and not link.startswith("/field/unsent"):
                left.append(link)
    assert len(seen) > len(START)
    return outside


def test_no_link_leads_to_the_browsers_page_of_an_error(site: Site) -> None:
    site.office.stop()
    page = site.phone.page
    outside = crawl(page)
    assert {"/me", f"/record/{OPENING}"} <= set(outside)
    assert "/" not in outside  # the logo stays in the field book
    for path, where in outside.items():
        page.goto(where)
        page.wait_for_load_state()
        said = page.get_by_text("That needs a network, and there is none now.")
        expect(said).to_be_hidden()
        page.evaluate(OUTSIDE, path)
        expect(said).to_be_visible(timeout=SEEN)
        assert page.url.endswith(where), path
