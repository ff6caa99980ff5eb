"""Walks through the pages as a person with much time would: every link, every form."""

from collections.abc import Iterator
from html.parser import HTMLParser

from fastapi.testclient import TestClient
from httpx2 import Response


class Page(HTMLParser):
    """The links and forms of a page, and the fields of each form with what stands in them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.forms: list[tuple[str, dict[str, str]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        got = {name: value or "" for name, value in attrs}
        if tag == "a":
            self.links.append(got.get("href", "").partition("#")[0])
        elif tag == "form":
            self.forms.append((got["action"], {}))
        elif tag in ("input", "select", "textarea", "button") and "name" in got and self.forms:
            self.forms[-1][1].setdefault(got["name"], got.get("value", ""))


def page_of(answer: Response) -> Page:
    """Return the page that was answered; a PDF or a picture has neither links nor forms."""
    html = answer.headers.get("content-type", "").startswith("text/html")
    return Page(answer.text if html else "")


def walk(
    browser: TestClient, start: str, within: tuple[str, ...] = ("/",), most: int = 2000
) -> Iterator[tuple[str, Response]]:
    """Yield every page below `within` that links lead to; of a point's places one is enough."""
    seen: set[str] = set()
    todo = [start]
    while todo and most:
        most -= 1
        path = todo.pop(0)
        answer = browser.get(path)
        yield path, answer
        for link in page_of(answer).links:
            kind = link.partition("?")[0]
            if link.startswith(within) and kind not in seen:
                seen.add(kind)
                todo.append(link)
