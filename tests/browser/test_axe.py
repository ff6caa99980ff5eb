"""The check for accessibility can fail: it finds what is wrong, under the strictest policy."""

import pytest
from playwright.sync_api import Page, Route

from tests.browser.axe import violations

GOOD = """<!doctype html><html lang="en"><head><title>Openings</title></head><body><main>
<h1>Openings</h1><form><label for="v">Reading</label><input id="v" name="v">
<button>Save</button></form></main></body></html>"""

# One fault each; the success criterion of WCAG 2.2 that it breaks stands beside it.
BAD = [
    ("html-has-lang", GOOD.replace(' lang="en"', "")),  # 3.1.1 Language of Page
    ("document-title", GOOD.replace("<title>Openings</title>", "")),  # 2.4.2 Page Titled
    ("label", GOOD.replace('<label for="v">Reading</label>', "")),  # 4.1.2 Name, Role, Value
    ("button-name", GOOD.replace(">Save<", "><")),  # 4.1.2
    ("image-alt", GOOD.replace("</h1>", '</h1><img src="/a.png">')),  # 1.1.1 Non-text Content
    (
        "color-contrast",  # 1.4.3 Contrast (Minimum): #999 on white is 2.8:1, under 4.5:1
        GOOD.replace("</h1>", '</h1><p><font color="#999999">out by a little</font></p>'),
    ),
    ("list", GOOD.replace("</h1>", "</h1><ul><p>x</p></ul>")),  # 1.3.1 Info and Relationships
    (
        "target-size",  # 2.5.8 Target Size (Minimum), new in 2.2: 24 by 24 CSS pixels
        GOOD.replace(
            "</h1>",
            '</h1><input type="checkbox" aria-label="a"><input type="checkbox" aria-label="b">',
        ),
    ),
]


def show(page: Page, html: str) -> None:
    """Put the page in the browser as a server with the strictest policy would send it."""

    def answer(route: Route) -> None:
        policy = {"Content-Security-Policy": "default-src 'none'"}
        route.fulfill(body=html, content_type="text/html; charset=utf-8", headers=policy)

    page.route("http://localhost/**", answer)
    page.goto("http://localhost/page")


def test_a_good_page_has_none(blank_page: Page) -> None:
    show(blank_page, GOOD)
    assert violations(blank_page) == []


@pytest.mark.parametrize(("rule", "html"), BAD, ids=[row[0] for row in BAD])
def test_a_fault_is_found(blank_page: Page, rule: str, html: str) -> None:
    assert html != GOOD
    show(blank_page, html)
    assert any(line.startswith(rule + ":") for line in violations(blank_page)), violations(
        blank_page
    )


def test_the_policy_is_on_while_axe_runs(blank_page: Page) -> None:
    show(blank_page, GOOD)
    violations(blank_page)
    blank_page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'self.ran = 1';"
        " document.head.append(s); }"
    )
    assert blank_page.evaluate("() => self.ran") is None


def test_an_empty_page_is_no_good_page(blank_page: Page) -> None:
    blank_page.goto("about:blank")
    assert violations(blank_page)


def test_a_rule_beside_the_levels_is_asked_by_its_name(blank_page: Page) -> None:
    """1.4.6 Contrast (Enhanced), of level AAA: #666 on white is 5.7:1, over 4.5:1 and under 7:1."""
    show(blank_page, GOOD.replace("</h1>", '</h1><p><font color="#666666">plumb</font></p>'))
    assert violations(blank_page) == []
    for alone in (False, True):
        (line,) = violations(blank_page, "color-contrast-enhanced", alone=alone)
        assert line.startswith("color-contrast-enhanced: ")
    show(blank_page, GOOD.replace('<html lang="en"', "<html"))
    assert violations(blank_page, "color-contrast-enhanced", alone=True) == []  # asked no more
