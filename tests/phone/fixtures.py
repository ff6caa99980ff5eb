"""A phone that was paired once, copied for each test: the pairing itself is tested by itself."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.phone.device import Device, code_for
from tests.phone.line import Line
from tests.phone.office import Office


@dataclass
class Site:
    """An office, the line to it, and a phone that is paired and on."""

    office: Office
    line: Line
    phone: Device
    folder: Path
    browser: Browser

    def another(self, name: str) -> Device:
        """Return a phone that is new, and off."""
        return Device(self.browser.browser_type, self.folder / name, self.line.address)

    def copy_of_phone(self, name: str) -> Device:
        """Return a copy of the phone, which must be off."""
        shutil.copytree(self.phone.profile, self.folder / name)
        return self.another(name)

    def code(self, person: str) -> str:
        """Make a pairing code at the office, from a computer of its own."""
        context = self.browser.new_context(base_url=self.line.address)
        try:
            return code_for(context.new_page(), person)
        finally:
            context.close()


@pytest.fixture(scope="session")
def line() -> Iterator[Line]:
    """The one address that all phones of this process know: what is paired belongs to it."""
    made = Line()
    yield made
    made.close()


@pytest.fixture(scope="session")
def paired(
    line: Line, demo_data: Path, chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """A folder with the data of an office and the profile of Tobin's phone, paired with it."""
    folder = tmp_path_factory.mktemp("paired")
    shutil.copytree(demo_data, folder / "data")
    office = Office(folder / "data", line)
    office.start()
    made = Site(
        office,
        line,
        Device(chromium.browser_type, folder / "phone", line.address),
        folder,
        chromium,
    )
    try:
        made.phone.open()
        made.phone.pair(made.code("tobin"))
    finally:
        made.phone.close()
        office.stop()
    return folder


@pytest.fixture
def site(paired: Path, line: Line, chromium: Browser, tmp_path: Path) -> Iterator[Site]:
    """A copy of all that, running."""
    folder = tmp_path / "site"
    shutil.copytree(paired, folder)
    office = Office(folder / "data", line)
    phone = Device(chromium.browser_type, folder / "phone", line.address)
    line.heal()
    line.asked.clear()
    line.offered.clear()
    office.start()
    made = Site(office, line, phone, folder, chromium)
    try:
        phone.open()
        yield made
    finally:
        phone.close()
        line.heal()
        office.stop()
