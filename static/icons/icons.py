"""Makes the PNG icons from sillbook.svg.

Python -m static.icons.icons (needs Chromium, see tests/browser).
"""

import io
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SIZES = (180, 192, 512)  # home screens of the two kinds of phones; the largest for splash screens
COLOURS = 32  # of a palette: a few plain ones, and what lies between them at an edge


def main() -> None:
    """Draw every size with the browser that the tests use."""
    sys.path.insert(0, str(ROOT))
    # after the path: the script may be started from anywhere
    from PIL import Image  # noqa: PLC0415
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    from tests.browser.chromium import launch  # noqa: PLC0415

    drawing = (HERE / "sillbook.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        browser = launch(playwright)
        for size in SIZES:
            page = browser.new_page(viewport={"width": size, "height": size})
            page.set_content(f'<body style="margin:0">{drawing}</body>')
            page.locator("svg").evaluate(
                "(svg, size) => { svg.setAttribute('width', size); "
                "svg.setAttribute('height', size); "
                "svg.style.display = 'block'; }",
                size,
            )
            drawn = Image.open(io.BytesIO(page.screenshot()))
            small = drawn.convert("RGB").quantize(COLOURS)
            small.save(HERE / f"sillbook-{size}.png", optimize=True)
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
