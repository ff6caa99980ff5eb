"""python -m tests.bench.templates: how long a long page takes, here and in MicroPython.

A page of 250 readings (templates/field/history.html), in a worker of a headless Chromium. The
figures are printed and never asserted.
"""

import json
import sys
import time
from statistics import median
from typing import Any

from playwright.sync_api import sync_playwright

from app.core.quantity.speaker import Speaker
from app.field.bundle import core_sources
from app.templating.templates import render_page
from tests.browser.chromium import launch
from tests.pages.samples import ALL
from tests.parity.engine import Engine, engine
from tests.parity.pages import RUNNER

ROWS = 250
TIMES = 20


def long_page() -> tuple[str, dict[str, Any]]:
    """Return the sample of all readings with as many rows as the bench wants."""
    template, context = ALL["history"]
    group = context["groups"][0]
    readings = [group["readings"][at % len(group["readings"])] for at in range(ROWS)]
    return template, {**context, "groups": [{**group, "readings": readings}]}


def there(second: Engine, count: int) -> int:
    """Return the milliseconds for a page made count times in a new interpreter."""
    case = [*long_page(), "plain"]
    work = {"cases": [case] * count, "catalog": {}, "whole": False}
    task = {"sources": core_sources(), "runner": RUNNER, "module": json.dumps(work), "wanted": []}
    return int(second.page.evaluate("task => self.runFile(task, 120000)", task)["ms"])


def here() -> float:
    """Return the milliseconds for a page by Jinja2 here."""
    template, context = long_page()
    start = time.perf_counter()
    render_page(template, context, Speaker())
    return (time.perf_counter() - start) * 1000


def main() -> None:
    """Print the figures."""
    here()
    size = len(render_page(*long_page(), Speaker()).encode())
    print(f"a page of {ROWS} rows, {size} bytes")
    print(f"Jinja2, here:            {median(here() for _ in range(TIMES)):7.1f} ms")
    with sync_playwright() as playwright:
        browser = launch(playwright)
        with engine(browser) as second:
            first = median(there(second, 1) for _ in range(5))
            many = there(second, TIMES + 1)
        browser.close()
    print(f"MicroPython, first page: {first:7.1f} ms (with the import of its modules)")
    print(f"MicroPython, next pages: {(many - first) / TIMES:7.1f} ms")


if __name__ == "__main__":
    sys.exit(main())
