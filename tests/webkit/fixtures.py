"""A phone with WebKit that was paired once, copied for each test."""

import http.cookiejar
import re
import shutil
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.models import PASSWORDS
from tests.phone.fixtures import Site
from tests.phone.line import Line
from tests.phone.office import Office
from tests.webkit import setup
from tests.webkit.phone import WebKitPhone
from tests.webkit.screen import screen

CODE = re.compile(r'<strong class="code"[^>]*>\s*([A-Z0-9-]+)\s*<')


class WebKitSite(Site):
    """An office, the line to it, and a phone with WebKit that is paired and on."""

    def another(self, name: str) -> WebKitPhone:
        """Return a phone that is new, and off."""
        return WebKitPhone(str(self.browser), self.folder / name, self.line.address)

    def code(self, person: str) -> str:
        """Make a pairing code at the office, with forms that no browser sends."""
        return code_for(self.line.address, person)


def code_for(address: str, person: str) -> str:
    """Sign in at the office and make a pairing code for oneself."""
    asks = urllib.request.build_opener(
        urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    )
    ours = {"Sec-Fetch-Site": "same-origin", "Origin": address}

    def post(path: str, **form: str) -> str:
        body = urllib.parse.urlencode(form).encode()
        request = urllib.request.Request(address + path, body, ours)
        with asks.open(request, timeout=60) as answer:
            return str(answer.read().decode())

    post("/sign-in", name=person, password=PASSWORDS[person])
    found = CODE.search(post("/pair/new"))
    assert found is not None
    return found[1]


@pytest.fixture(scope="session")
def display() -> Iterator[str]:
    """A screen for WebKit; without WebKit its tests are left out, with the reason."""
    left_out = setup.left_out()
    if left_out:
        pytest.skip(left_out)
    with screen() as name:
        yield name


@pytest.fixture(scope="session")
def paired(
    line: Line, demo_data: Path, display: str, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """A folder with the data of an office and the profile of Tobin's phone, paired with it."""
    folder = tmp_path_factory.mktemp("webkit")
    shutil.copytree(demo_data, folder / "data")
    with on(folder, line, display) as made:
        made.phone.pair(made.code("tobin"))
    return folder


@pytest.fixture
def site(paired: Path, line: Line, display: str, tmp_path: Path) -> Iterator[Site]:
    """A copy of all that, running."""
    folder = tmp_path / "site"
    shutil.copytree(paired, folder)
    with on(folder, line, display) as made:
        yield made


class on:  # noqa: N801 (reads as a word: with on(folder, …))
    """Office, line and phone of a folder, running as long as this lasts."""

    def __init__(self, folder: Path, line: Line, display: str) -> None:
        phone = WebKitPhone(display, folder / "phone", line.address)
        office = Office(folder / "data", line)
        self._made = WebKitSite(office, line, phone, folder, display)  # type: ignore[arg-type]

    def __enter__(self) -> WebKitSite:
        made = self._made
        made.line.heal()
        made.line.asked.clear()
        made.line.offered.clear()
        made.office.start()
        try:
            made.phone.open()
        except BaseException:
            made.office.stop()
            raise
        return made

    def __exit__(self, *_: object) -> None:
        self._made.phone.close()
        self._made.line.heal()
        self._made.office.stop()
