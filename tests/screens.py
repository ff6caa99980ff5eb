"""python -m tests.screens: every page at three widths, in all themes and both languages.

Pictures go into build/screens, which git ignores. They are looked at, nothing is asserted.
Usage: python -m tests.screens [part of a name …]
With --readme instead: the six small pictures of README.md, into tests/pictures.
"""

import io
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from app.demo import company
from app.main import create_app
from app.settings import Settings
from tests.browser.chromium import launch
from tests.browser.models import SignIn
from tests.browser.server import serving
from tests.browser.states import FLOOR, HALF, NEW, PATHS, VIEWS, card_out, goes_to

OUT = Path(__file__).resolve().parents[1] / "build" / "screens"
WIDTHS = (320, 390, 1280)
THEMES = ("light", "dark", "sun")
LANGUAGES = ("en", "es")
HIGH = 844
HIGHEST = 12_000  # pixels of a page: a browser takes no picture of much more
SMALL = Path(__file__).resolve().parent / "pictures"
PHONE, DESK = (390, 844), (1100, 620)
README = (  # name, who looks, what shows it, width and height; what is entered comes last
    ("opening", "tobin", goes_to(HALF), PHONE),
    ("reading", "tobin", goes_to(NEW + "/next/A?point=panel-widths&place=B-top"), PHONE),
    ("step", "tobin", goes_to(FLOOR + "/step/B1"), PHONE),
    ("out", "tobin", card_out, PHONE),
    ("board", "nadia", goes_to("/office"), DESK),
    ("review", "nadia", goes_to("/office/o/quarry-steps-a"), DESK),
)


def looked_at() -> list[tuple[str, str]]:
    """Return (person, path) of every page; person is "" for nobody."""
    return list(dict.fromkeys((v.person, PATHS[v.show]) for v in VIEWS if v.show in PATHS))


def is_wanted(path: str, wanted: list[str]) -> bool:
    """Return whether a path has one of the words asked for, or none was asked for."""
    return not wanted or any(word in path for word in wanted)


def enter(context: BrowserContext, person: str, language: str) -> Page:
    """Return a page on which a person is signed in, reading this language."""
    page = context.new_page()
    if person:
        SignIn(page).as_(person)
        page.wait_for_load_state()
        page.goto("/me")
        page.locator(f"input[name=lang][value={language}], select[name=lang]").first.evaluate(
            """(field, language) => {
              if (field.matches('select')) field.value = language; else field.checked = true;
              field.form.requestSubmit();
            }""",
            language,
        )
        page.wait_for_load_state()
    return page


def take(page: Page, path: str, folder: Path, themes: tuple[str, ...]) -> None:
    """Take one page's pictures; the office and the record have one theme."""
    name = path.strip("/").replace("/", "_").replace("?", "_").replace("&", "_") or "root"
    for theme in themes if path.startswith("/field") else themes[:1]:
        page.evaluate("theme => localStorage.setItem('sillbook-theme', theme)", theme)
        page.goto(path)
        page.wait_for_load_state()
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": HIGH})
            high = page.evaluate("() => document.documentElement.scrollHeight")
            page.set_viewport_size({"width": width, "height": min(high, HIGHEST)})
            page.screenshot(path=str(folder / f"{name}.{theme}.{width}.png"))


@contextmanager
def demo_served() -> Iterator[tuple[Browser, str]]:
    """A browser, and the address of the invented company as it is when new."""
    data = Path(tempfile.mkdtemp()) / "data"
    database = create_app(Settings(data)).state.server.database
    company.load_company(database)
    database.close()
    with serving(data) as sillbook, sync_playwright() as playwright:
        browser = launch(playwright)
        yield browser, sillbook.address
        browser.close()
    shutil.rmtree(data.parent, ignore_errors=True)


PICTURES_STAND = """() => [...document.images].every(
  (image) => image.complete || !image.checkVisibility())"""


def take_readme() -> None:
    """Take the pictures of README.md, three fifths as large as on a screen."""
    SMALL.mkdir(exist_ok=True)
    with demo_served() as (browser, address):
        for name, person, show, (width, height) in README:
            context = browser.new_context(base_url=address)
            page = enter(context, person, "en")
            page.set_viewport_size({"width": width, "height": height})
            show(page)
            page.wait_for_load_state()
            page.wait_for_function(PICTURES_STAND)
            taken = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            less = taken.resize((width * 3 // 5, height * 3 // 5), Image.Resampling.LANCZOS)
            less.save(SMALL / f"{name}.webp", quality=80, method=6)
            print(name, (SMALL / f"{name}.webp").stat().st_size, flush=True)
            context.close()


def main(wanted: list[str]) -> None:
    """Take them all, or those whose path has one of the words asked for."""
    if wanted == ["--readme"]:
        take_readme()
        return
    with demo_served() as (browser, address):
        for language in LANGUAGES:
            folder = OUT / language
            folder.mkdir(parents=True, exist_ok=True)
            people = dict.fromkeys(person for person, _path in looked_at())
            for person in people:
                context = browser.new_context(base_url=address)
                page = enter(context, person, language)
                page.goto("/sign-in" if not person else "/me")
                for who, path in looked_at():
                    if who == person and is_wanted(path, wanted):
                        take(page, path, folder, THEMES)
                        print(language, person or "nobody", path, flush=True)
                context.close()


if __name__ == "__main__":
    main(sys.argv[1:])
