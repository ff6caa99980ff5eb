"""python -m tests.parity [tests/core/test_order.py …]: run them (or all) under MicroPython."""

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.chromium import NoBrowser, launch
from tests.parity.engine import Result, engine
from tests.parity.sources import ROOT, test_files


def shown(result: Result) -> None:
    """Print one file's results."""
    for name, failure, ms in result.tests:
        print(f"{'FAILED' if failure else 'ok':7}{ms:6} ms  {result.path}::{name}")
    if result.report:
        print(result.report)


def main(arguments: list[str]) -> int:
    """Run the files; returns 0 when every test passed."""
    named = [Path(name).resolve().relative_to(ROOT).as_posix() for name in arguments]
    failed = 0
    with sync_playwright() as playwright:
        browser = launch(playwright)
        with engine(browser) as second:
            for path in named or test_files():
                result = second.run(path)
                shown(result)
                failed += bool(result.report)
        browser.close()
    print(f"{failed} file(s) failed" if failed else "all passed under MicroPython")
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except (NoBrowser, FileNotFoundError, ValueError) as error:
        sys.exit(str(error))
