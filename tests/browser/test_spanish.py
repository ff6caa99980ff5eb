"""A crew that reads Spanish: its pages on the narrowest phone, from sign-in to a reading.

320 px and text at 200 %: WCAG 2.2, 1.4.10 Reflow and 1.4.4 Resize Text (published).
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.fixtures import PATIENCE
from tests.browser.models import PASSWORDS, SEEN
from tests.browser.server import Sillbook

WIDE = "() => document.scrollingElement.scrollWidth - document.documentElement.clientWidth"
DOOR = "/field/o/saltgrass-a"
PATHS = [
    "/field", DOOR, DOOR + "/drawing", DOOR + "/setout", DOOR + "/parts", DOOR + "/queries",
    DOOR + "/history", DOOR + "/sheet/B1/b1-builder", DOOR + "/step/A", DOOR + "/step/B1",
    DOOR + "/step/C",
    DOOR + "/step/D", DOOR + "/step/E-A", DOOR + "/step/F", DOOR + "/step/I", DOOR + "/step/J",
    DOOR + "/point/sill-length", DOOR + "/point/sill-room", DOOR + "/point/safety-marks",
    "/field/status", "/field/help", "/me",
]  # fmt: skip


@pytest.fixture(scope="module")
def ines(chromium: Browser, sillbook: Sillbook) -> Iterator[Page]:
    """The demo's installer who reads Spanish, signed in through the Spanish page."""
    context = chromium.new_context(
        viewport={"width": 320, "height": 700}, base_url=sillbook.address, locale="es-MX"
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto("/sign-in")
    assert page.evaluate(WIDE) <= 0
    page.get_by_label("Nombre").fill("ines")
    page.get_by_label("Contraseña").fill(PASSWORDS["ines"])
    page.get_by_role("button", name="Entrar").click()
    expect(page.get_by_role("button", name="Salir")).to_be_visible(timeout=SEEN)
    yield page
    context.close()


@pytest.mark.parametrize("path", PATHS)
def test_no_page_scrolls_sideways(ines: Page, path: str) -> None:
    answer = ines.goto(path)
    assert answer is not None
    assert answer.status == 200
    assert ines.locator("html").get_attribute("lang") == "es"
    for fold in ines.locator("details").all():
        fold.evaluate("fold => { fold.open = true; }")
    assert ines.evaluate(WIDE) <= 0
    ines.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    assert ines.evaluate(WIDE) <= 0, "with text twice as large"


def test_a_reading_is_entered_in_spanish(ines: Page) -> None:
    ines.goto(DOOR + "/point/sill-length")
    ines.locator("input[name=value]").fill("6090")
    ines.get_by_role("button", name="Guardar", exact=True).first.click()
    expect(ines.get_by_role("status")).to_contain_text("Guardado: 6090 mm", timeout=SEEN)


def test_language_changes_without_scripts(chromium: Browser, sillbook: Sillbook) -> None:
    context = chromium.new_context(base_url=sillbook.address, java_script_enabled=False)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto("/sign-in")
    page.get_by_label("Name").fill("tobin")
    page.get_by_label("Password").fill(PASSWORDS["tobin"])
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="Language and units").click()
    page.get_by_label("Español").check()
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Idioma y unidades", timeout=SEEN)
    page.get_by_label("English").check()
    page.get_by_role("button", name="Guardar").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Language and units", timeout=SEEN)
    context.close()
