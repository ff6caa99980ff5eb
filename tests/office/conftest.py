"""The demo company, served from a copy of its own, with a browser of the office."""

import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from tests.demo.conftest import enter


@pytest.fixture
def app(demo_data: Path, tmp_path: Path) -> Iterator[FastAPI]:
    shutil.copytree(demo_data, tmp_path / "data")
    made = create_app(Settings(tmp_path / "data"))
    with TestClient(made):
        yield made


@pytest.fixture
def office(app: FastAPI) -> TestClient:
    """A browser in which the supervisor is signed in."""
    return enter(app, "supervisor")


@pytest.fixture
def keeper(app: FastAPI) -> TestClient:
    """A browser in which the administrator is signed in."""
    return enter(app, "administrator")


class Fields(HTMLParser):
    """What a browser would send of the first form with this action, by name."""

    def __init__(self, html: str, action: str) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self._action = action
        self._here = False
        self._area = self._select = ""
        self.feed(html)

    def handle_starttag(self, tag: str, found: list[tuple[str, str | None]]) -> None:
        attrs = {name: value or "" for name, value in found}
        if tag == "form":
            self._here = attrs["action"] == self._action and not self.values
        if not self._here:
            return
        if tag == "input" and (attrs.get("type") != "checkbox" or "checked" in attrs):
            self.values[attrs["name"]] = attrs.get("value", "")
        elif tag == "textarea":
            self._area = attrs["name"]
            self.values[self._area] = ""
        elif tag == "select":
            self._select = attrs["name"]
            self.values[self._select] = ""
        elif tag == "option" and "selected" in attrs:
            self.values[self._select] = attrs["value"]

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        elif tag == "form":
            self._here = False

    def handle_data(self, data: str) -> None:
        if self._area:
            self.values[self._area] += data


def fields(html: str, action: str) -> dict[str, str]:
    """Return the fields of a form, filled as the page shows them."""
    return Fields(html, action).values


def errors(html: str) -> dict[str, str]:
    """Return the summary of errors: id of the field -> words."""
    found = re.search(r'class="error-summary".*?</ul>', html, re.DOTALL)
    listed = re.findall(r'<a href="#([^"]+)">([^<]*)</a>', found[0]) if found else []
    return dict(listed)
