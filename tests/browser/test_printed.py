"""The owner's page printed: by Chromium, by Firefox, by WebKit.

Chromium and Firefox print by their drivers' command (WebDriver, 11.12 Print); WebKit's driver has
none, so there it is the engine's own print operation, as its windows use it. WebKit (2.50) sets
the foot of a table on the last sheet alone: there the door, revision and code stand once.
"""

import base64
import shutil
import subprocess
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser

from tests.browser.server import serving
from tests.demo.conftest import enter
from tests.firefox import setup as firefox
from tests.homeowner.conftest import make_link, served
from tests.homeowner.printed import print_faults
from tests.webkit import setup as webkit

LETTER = {"width": 21.59, "height": 27.94}  # centimetres
PRINT_IN_WEBKIT = Path(__file__).parents[1] / "webkit" / "printing.py"


@pytest.fixture(scope="module")
def owners_page(accepted: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of an owner's page, for as long as it is served."""
    data = tmp_path_factory.mktemp("printed") / "data"
    shutil.copytree(accepted, data)
    app = served(data)
    with TestClient(app):
        path, _, _ = make_link(enter(app, "supervisor"))
    with serving(data) as running:
        yield running.url(path)


def html_of(address: str) -> str:
    asked = urllib.request.Request(address, headers={"Accept-Language": "en"})
    with urllib.request.urlopen(asked, timeout=60) as answer:
        return str(answer.read().decode())


def test_chromium_prints_it(chromium: Browser, owners_page: str) -> None:
    context = chromium.new_context(locale="en-US")
    page = context.new_page()
    page.goto(owners_page)
    printed = page.pdf(format="Letter")
    context.close()
    assert print_faults(printed, html_of(owners_page)) == []


@pytest.mark.long
def test_firefox_prints_it(owners_page: str, tmp_path: Path) -> None:
    if left_out := firefox.left_out():
        pytest.skip(left_out)
    from tests.firefox.driver import Driver

    browser = Driver(tmp_path / "firefox")
    try:
        browser.get(owners_page)
        printed = base64.b64decode(browser.print_page(LETTER))
    finally:
        browser.close()
    assert print_faults(printed, html_of(owners_page)) == []


@pytest.mark.long
def test_webkit_prints_it(owners_page: str, tmp_path: Path) -> None:
    if left_out := webkit.left_out():
        pytest.skip(left_out)
    from tests.webkit.screen import environment, screen

    file = tmp_path / "printed.pdf"
    with screen() as display:
        done = subprocess.run(
            [webkit.SYSTEM_PYTHON, str(PRINT_IN_WEBKIT), owners_page, str(file)],
            env=environment(display, tmp_path / "profile"),
            capture_output=True,
            timeout=180,
            check=False,
        )
    assert done.returncode == 0, done.stderr.decode()
    assert print_faults(file.read_bytes(), html_of(owners_page), repeats_foot=False) == []
