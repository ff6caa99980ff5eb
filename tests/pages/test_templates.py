"""Every template with every sample: sound HTML, nothing inline, colours that can be read.

The contrast rule is WCAG 2.2's relative luminance and contrast ratio (W3C Recommendation,
published), computed here independently of the style sheet.
"""

import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tests.pages.samples import ALL

ROOT = Path(__file__).resolve().parents[2]
CSS = (ROOT / "static" / "css" / "sillbook.css").read_text()
VOID = {"area", "base", "br", "hr", "img", "input", "link", "meta"}


class Page(HTMLParser):
    """Elements in order, with what each stands in."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.parents: list[list[str]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.elements.append((tag, found))
        self.parents.append(list(self.open))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        self.parents.append(list(self.open))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open[-1] == tag, f"</{tag}> closes <{self.open[-1]}>"
        self.open.pop()

    def all(self, *tags: str) -> list[dict[str, str]]:
        """Return the attributes of every element with one of these names."""
        return [attrs for tag, attrs in self.elements if tag in tags]


@cache
def plain_environment() -> Environment:
    """Return Jinja2 as it comes, not the program's own; templates are compiled once for all."""
    env = Environment(
        loader=FileSystemLoader(ROOT / "templates"), autoescape=True, undefined=StrictUndefined
    )
    env.filters["t"] = lambda text: text
    return env


@cache
def sample_page(name: str) -> Page:
    """Return a sample's page; tests only look at it."""
    template, context = ALL[name]
    return Page(plain_environment().get_template(template).render(**context))


@pytest.fixture(params=sorted(ALL))
def page(request: pytest.FixtureRequest) -> Page:
    """Each sample's page in turn."""
    return sample_page(request.param)


def test_every_element_is_closed_in_order(page: Page) -> None:
    assert page.open == []


def test_one_heading_of_the_first_rank_and_one_main(page: Page) -> None:
    assert len(page.all("h1")) == 1
    assert len(page.all("main")) == 1


def test_ids_are_unique_and_what_points_at_them_finds_them(page: Page) -> None:
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(ids) == len(set(ids)), sorted(i for i in ids if ids.count(i) > 1)
    for _, attrs in page.elements:
        for name in ("for", "aria-labelledby", "aria-describedby"):
            assert set(attrs.get(name, "").split()) <= set(ids), (name, attrs)


def test_every_field_has_a_label(page: Page) -> None:
    pointed = {attrs["for"] for attrs in page.all("label") if "for" in attrs}
    for (tag, attrs), parents in zip(page.elements, page.parents, strict=True):
        if tag in ("input", "select", "textarea") and attrs.get("type") != "hidden":
            assert attrs.get("id") in pointed or "label" in parents, attrs


def test_nothing_inline_and_nothing_from_elsewhere(page: Page) -> None:
    for tag, attrs in page.elements:
        assert tag != "style"
        assert not [name for name in attrs if name == "style" or name.startswith(("on", "hx-on"))]
        for name in ("src", "href", "action"):
            if tag == "img" and attrs.get(name, "").startswith("data:image/svg+xml;"):
                continue  # a QR code: a picture that no script of the page can touch
            assert not re.match(r"(?!tel:)[a-z]+:|//", attrs.get(name, "")), attrs
        if tag == "script":
            assert attrs["src"].startswith("/static/")


def test_what_a_page_asks_for_is_there(page: Page) -> None:
    for _, attrs in page.elements:
        for name in ("src", "href"):
            if attrs.get(name, "").startswith("/static/"):
                assert (ROOT / attrs[name][1:]).is_file(), attrs[name]


def test_every_post_works_without_scripts_and_every_htmx_form_says_all(page: Page) -> None:
    for attrs in page.all("form"):
        if attrs["method"] == "get":  # it only looks something up, at an address to be kept
            assert "hx-post" not in attrs
            continue
        assert attrs["method"] == "post"
        if "hx-post" in attrs:
            assert attrs["hx-post"] == attrs["action"]
            assert (attrs["hx-target"], attrs["hx-swap"]) == ("#main", "outerHTML")


def test_every_form_carries_its_hidden_fields() -> None:
    for name in ALL:
        page = sample_page(name)
        hidden = [attrs for attrs in page.all("input") if attrs.get("type") == "hidden"]
        posted = [attrs for attrs in page.all("form") if attrs["method"] == "post"]
        # an owner who complains has no book of which a page could have shown something
        owners = [attrs for attrs in page.all("details") if attrs.get("id") == "complain"]
        seen = [attrs for attrs in hidden if attrs["name"] == "seen"]
        assert len(seen) == len(posted) - len(owners), name


def test_titles_tell_pages_apart() -> None:
    titles: dict[str, set[str]] = {}
    for template, context in ALL.values():
        titles.setdefault(context["page"]["title"], set()).add(template)
    shared = {title: used for title, used in titles.items() if len(used) > 1}
    assert shared == {}


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb, WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def token(name: str) -> str:
    """A colour of the style sheet's tokens."""
    found = re.search(rf"--{name}: (#[0-9a-f]{{6}})", CSS)
    assert found, name
    return found.group(1)


def test_contrast_of_black_and_white_is_twenty_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(
        21
    )  # WCAG 2.2, definition of contrast ratio


@pytest.mark.parametrize("ink", ["ink", "pencil", "red", "link", "vial-ink"])
@pytest.mark.parametrize("ground", ["paper", "leaf", "margin"])
def test_what_must_be_read_stands_out_seven_to_one(ink: str, ground: str) -> None:
    assert contrast(token(ink), token(ground)) >= 7  # WCAG 2.2, 1.4.6


@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        ("#0a1711", "vial"),
        ("#ffffff", "cover"),
        ("#17211c", "amber"),
        ("#ffffff", "act"),
        ("#17211c", "warn"),
        ("#ffffff", "stop"),
    ],
)
def test_blocks_stand_out_seven_to_one(ink: str, ground: str) -> None:
    assert contrast(ink, token(ground)) >= 7


@pytest.mark.parametrize("ground", ["paper", "leaf", "margin"])
def test_edges_of_fields_stand_out_three_to_one(ground: str) -> None:
    assert contrast(token("edge"), token(ground)) >= 3  # WCAG 2.2, 1.4.11
