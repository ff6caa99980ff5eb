"""Walks over the pages of field, office and record, in pseudo-language, from link to link.

The words of the procedure, the drawing and the people are figures here: whatever has
letters on a page is the program's own.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from app.core.entry import field_module, respond_by
from app.core.pages.request import Request
from app.core.quantity.speaker import PseudoSpeaker
from app.office import desk
from app.templating.templates import render_page
from tests.core.sample import DRAWING, PROCEDURE, Site

Json = dict[str, Any]
WORDED = ("about", "author", "basis", "cautions", "hint", "mark", "number", "reason", "text")
WORDED += ("title", "what")
# Panels and steps keep their letters, which are ids too; X slides and O is fixed, on every drawing.
LETTERS = ("A", "B", "X", "O")
OPENING = {
    "id": "o1", "job": "j1", "job_title": "501", "address": "502", "homeowner": "503",
    "letter": "A", "room": "504",
}  # fmt: skip
NONSENSE = "9//9"  # no length, no date, no choice; and no letters


def numbered(thing: Any, name: str = "") -> Any:
    """Return the same data with a figure for every text that a person wrote."""
    if isinstance(thing, dict):
        return {key: numbered(value, key) for key, value in thing.items()}
    if isinstance(thing, list):
        return [numbered(value, name) for value in thing]
    worded = isinstance(thing, str) and name in WORDED and thing
    return str(100 + len(thing)) if worded else thing


class Walk:
    """A phone's book of one opening, and the pages made from it."""

    def __init__(self) -> None:
        self.procedures = {"small@1": numbered(PROCEDURE)}
        self.site = Site()
        self.site.books = {}
        body = {"procedure": "small", "version": 1, "drawing": numbered(DRAWING)}
        self.site.issue = self.site.write("office-1", "opening.issued", body)
        self.site.book("web-1")

    def ask(self, address: str, form: "dict[str, str] | None" = None) -> Json:
        """Return the core's answer to a link or, with a form, to a form sent."""
        parts = urlsplit(address)
        asked = {
            "method": "GET" if form is None else "POST",
            "path": parts.path,
            "query": dict(parse_qsl(parts.query)),
            "form": form or {},
            "now": "2026-03-02T14:05:00-05:00",
            "ids": [f"0195a000-0000-7000-8000-00000000000{n}" for n in range(8)],
            "device": "web-1",
            "person": {"id": "p1", "name": "505", "units": "in", "lang": "en"},
            "people": {"p1": "505", "p-web-1": "506", "p-office-1": "507"},
            "book": {
                "openings": [OPENING],
                "events": {"o1": self.site.book("web-1")},
                "procedures": self.procedures,
            },
        }
        find = field_module if parts.path.startswith("/field") else desk._page_module
        return respond_by(Request(asked, PseudoSpeaker()), find)

    def page(self, address: str, form: "dict[str, str] | None" = None) -> str:
        """Return the page as HTML; "" where the answer leads on elsewhere."""
        answer = self.ask(address, form)
        if answer["location"]:
            return ""
        return render_page(answer["template"], answer["context"], PseudoSpeaker())

    def pages(self, start: str) -> Iterator[tuple[str, str]]:
        """Yield (address, HTML) for every page that links from start lead to, each once."""
        ahead, known = [start], {start}
        while ahead:
            address = ahead.pop()
            html = self.page(address)
            yield address, html
            for found in re.findall(r'href="(/(?:field|office|record)[^"#]*)', html):
                link = found.replace("&amp;", "&")
                if link not in known:
                    known.add(link)
                    ahead.append(link)


def forms(html: str) -> list[tuple[str, dict[str, str]]]:
    """Return (address, fields) of every form: hidden fields as they are, the others nonsense."""
    reader = _Forms()
    reader.feed(html)
    return reader.found


class _Forms(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.found.append((given.get("action", ""), {}))
        elif tag in ("input", "textarea", "select", "button") and "name" in given and self.found:
            hidden = given.get("type") == "hidden"
            self.found[-1][1][given["name"]] = given.get("value", "") if hidden else NONSENSE
