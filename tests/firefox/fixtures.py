"""A phone with Firefox that was paired once, copied for each test."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.firefox import setup
from tests.firefox.driver import Driver
from tests.phone.fixtures import Site
from tests.phone.line import Line
from tests.phone.office import Office
from tests.webkit.fixtures import WebKitSite
from tests.webkit.page import Page
from tests.webkit.phone import WebKitPhone


class FirefoxPhone(WebKitPhone):
    """One phone; its browser keeps all it has in its profile."""

    def __init__(self, profile: Path, address: str) -> None:
        super().__init__("", profile, address)

    def open(self, **_: object) -> Page:  # type: ignore[override]
        """Start the browser and return its page."""
        self._driver = Driver(self.profile)  # type: ignore[assignment]
        return self.page

    @property
    def page(self) -> Page:  # type: ignore[override]
        """The page that is open."""
        return Page(self.driver, self.address)  # type: ignore[arg-type]


@contextmanager
def site_of(folder: Path, line: Line) -> Iterator[Site]:
    """Run the office, the line and the phone of a folder."""
    office = Office(folder / "data", line)
    phone = FirefoxPhone(folder / "phone", line.address)
    made = WebKitSite(office, line, phone, folder, "")  # type: ignore[arg-type]
    line.heal()
    line.asked.clear()
    line.offered.clear()
    office.start()
    try:
        phone.open()
        yield made
    finally:
        phone.close()
        line.heal()
        office.stop()


@pytest.fixture(scope="session")
def paired(line: Line, demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the data of an office and the profile of Tobin's phone, paired with it."""
    left_out = setup.left_out()
    if left_out:
        pytest.skip(left_out)
    folder = tmp_path_factory.mktemp("firefox")
    shutil.copytree(demo_data, folder / "data")
    with site_of(folder, line) as made:
        made.phone.pair(made.code("tobin"))
    return folder


@pytest.fixture
def site(paired: Path, line: Line, tmp_path: Path) -> Iterator[Site]:
    """A copy of all that, running."""
    folder = tmp_path / "site"
    shutil.copytree(paired, folder, ignore=shutil.ignore_patterns("lock", ".parentlock"))
    with site_of(folder, line) as made:
        yield made
