"""An office and two phones on which schedules are carried out, one after the other."""

import functools
import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Error, Page, sync_playwright

from app.core.kinds import Json
from app.store import backup
from tests.browser.chromium import launch
from tests.faults.random import broken, door
from tests.faults.random.invariant import Found, Outcome, judge
from tests.phone.office import ROOT

HERE = Path(__file__).parent
SCRIPTS = ("line", "phone", "actions", "run")


class Keeper:
    """The process that starts offices: see keeper.py."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.random.keeper"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    @functools.cached_property
    def address(self) -> str:
        """Where its offices are; known once it has loaded what they need."""
        return f"http://127.0.0.1:{self._read()}"

    def _read(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline().strip()

    def order(self, line: str) -> None:
        """Give an order, and wait until it is done."""
        assert self.address
        assert self._process.stdin is not None
        self._process.stdin.write(line + "\n")
        self._process.stdin.flush()
        if self._read() != "done":
            raise RuntimeError("the keeper of the offices is gone")

    def close(self) -> None:
        """End it, and the office."""
        self.order("quit")
        self._process.communicate(timeout=30)


class Site:
    """Two phones in one page, one office; each schedule starts from the same state."""

    def __init__(self, browser: Browser, keeper: Keeper, folder: Path) -> None:
        self.browser = browser
        self.keeper = keeper
        self.folder = folder
        self.template, self.data = folder / "template", folder / "data"
        self.copy, self.image = folder / "copy", folder / "image"
        self.page: Page | None = None
        self.procedure = door.KNOWN

    def prepare(self) -> None:
        """Pair the phones with a new office, and keep how all that stands."""
        self.keeper.order(f"warm {self.data}")
        codes = door.new_office(self.data)
        self.keeper.order(f"start {self.data}")
        self.page = self._open(codes)
        self.keeper.order("stop")
        shutil.copytree(self.data, self.template)
        self.keeper.order(f"start {self.data}")

    def _open(self, codes: list[str]) -> Page:
        context = self.browser.new_context(base_url=self.keeper.address, bypass_csp=True)
        context.set_default_timeout(0)
        page = context.new_page()
        page.goto("/health")
        page.expose_function("office", self._order)
        script = "\n".join((HERE / f"{name}.js").read_text("utf-8") for name in SCRIPTS)
        page.add_script_tag(content=script)
        page.evaluate("([codes, known]) => begin(office, codes, known)", [codes, self.procedure])
        return page

    def break_with(self, variant: str) -> None:
        """From now on office or phones are broken in one way; with no name they are whole."""
        assert self.page is not None
        self.keeper.order(f"break {variant}")
        self.kill()
        self.page.evaluate("(breaks) => breakWith(breaks)", broken.PHONES.get(variant, {}))

    def _order(self, order: str) -> None:
        ORDERS[order](self)

    def run(self, schedule: Json) -> Outcome:
        """Carry out a schedule from the start, and judge what came of it."""
        assert self.page is not None
        for folder in (self.copy, self.image):
            shutil.rmtree(folder, ignore_errors=True)
        try:
            told = self.page.evaluate("(schedule) => run.schedule(schedule)", schedule)
        except Error as error:
            self.kill()
            return Outcome([Found("stuck", str(error).splitlines()[0])], {})
        return judge(json.loads(told), self.data, self.procedure)

    def kill(self) -> None:
        """Kill the office; it is back at once."""
        self.keeper.order("kill")
        self.keeper.order(f"start {self.data}")

    def back_up(self) -> None:
        """Copy the data as the command does, while the office runs."""
        shutil.rmtree(self.copy, ignore_errors=True)
        backup.back_up(self.data, self.copy)

    def restore(self) -> None:
        """Put the last copy back as the command does; without one, what was there at the start."""
        self.keeper.order("kill")
        backup.restore_copy(self.data, self.copy if self.copy.exists() else self.template)
        self.keeper.order(f"start {self.data}")

    def take_image(self) -> None:
        """Copy the whole machine while it is off: the file beside the database too."""
        self.keeper.order("kill")
        shutil.rmtree(self.image, ignore_errors=True)
        shutil.copytree(self.data, self.image)
        self.keeper.order(f"start {self.data}")

    def put_image_back(self) -> None:
        """Put the whole machine back as it was: nothing but its phones can know."""
        self.keeper.order("kill")
        shutil.rmtree(self.data)
        shutil.copytree(self.image if self.image.exists() else self.template, self.data)
        self.keeper.order(f"start {self.data}")


ORDERS = {
    "kill": Site.kill,
    "back up": Site.back_up,
    "restore": Site.restore,
    "image": Site.take_image,
    "image back": Site.put_image_back,
}


@contextmanager
def opened(browser: Browser, folder: Path, keeper: Keeper | None = None) -> Iterator[Site]:
    """Give a site that is ready, in a browser that runs."""
    keeper = keeper or Keeper()
    try:
        site = Site(browser, keeper, folder)
        site.prepare()
        yield site
        assert site.page is not None
        site.page.context.close()
    finally:
        keeper.close()


@contextmanager
def alone(folder: Path, variant: str = "") -> Iterator[Site]:
    """Give a site in a browser of its own."""
    keeper = Keeper()  # it loads while the browser starts
    with sync_playwright() as playwright:
        browser = launch(playwright)
        try:
            with opened(browser, folder, keeper) as site:
                if variant:
                    site.break_with(variant)
                yield site
        finally:
            browser.close()
