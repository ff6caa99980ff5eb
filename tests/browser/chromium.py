"""Starts the Chromium that the browser tests drive.

Which one it is, setup.py says (SILLBOOK_CHROMIUM wins). Standard library only when
imported, so that the set-up can use it before Playwright is there.
"""

import os
from typing import TYPE_CHECKING

from tests.browser import setup

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserType, Playwright

FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


class NoBrowser(Exception):
    """There is no Chromium here; the text says what to do."""


def is_root() -> bool:
    """Return whether this process is root's: Chromium's sandbox then refuses to start."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def launch(playwright: "Playwright") -> "Browser":
    """Start Chromium without a window; raises NoBrowser. The caller closes it."""
    path = setup.find()
    if path is None:
        raise NoBrowser("no usable Chromium: run `python -m tests.browser.setup`")
    return launch_at(playwright.chromium, path)


def launch_at(kind: "BrowserType", path: str) -> "Browser":
    """Start the Chromium that lies there, without a window. The caller closes it."""
    return kind.launch(
        executable_path=path, headless=True, args=list(FLAGS), chromium_sandbox=not is_root()
    )
