"""Finds the Chromium that the browser tests drive, and starts it.

Looked for in this order: the file that SILLBOOK_CHROMIUM names, Debian's
/usr/bin/chromium, the browser that Playwright keeps for itself. Standard library
only when imported, so that the set-up can ask before Playwright is there.
"""

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright

VARIABLE = "SILLBOOK_CHROMIUM"
DEBIAN = Path("/usr/bin/chromium")
FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
_ASK = (
    "from playwright.sync_api import sync_playwright as s\n"
    "with s() as p: print(p.chromium.executable_path)"
)


class NoBrowser(Exception):
    """There is no Chromium here; the text says what to do."""


def find() -> "Path | None":
    """Return the Chromium to use, or None where there is none.

    Errors: NoBrowser where SILLBOOK_CHROMIUM names something that cannot be run:
    a wrong wish is said, not quietly passed over.
    """
    wished = os.environ.get(VARIABLE)
    if wished:
        if not _runs(Path(wished)):
            raise NoBrowser(f"{VARIABLE} is {wished}, which is not a program that can be run")
        return Path(wished)
    return DEBIAN if _runs(DEBIAN) else playwrights_own()


def playwrights_own() -> "Path | None":
    """Return the browser that Playwright has installed for this user, or None.

    Playwright is asked in a process of its own: it cannot be started twice in one thread.
    """
    asked = subprocess.run(
        [sys.executable, "-c", _ASK], capture_output=True, text=True, timeout=60, check=False
    )
    path = Path(asked.stdout.strip() or "/nowhere")
    return path if _runs(path) else None


def _runs(path: Path) -> bool:
    return path.is_file() and os.access(path, os.X_OK)


def is_root() -> bool:
    """Return whether this process is root's: Chromium's sandbox then refuses to start."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def launch(playwright: "Playwright") -> "Browser":
    """Start Chromium without a window; raises NoBrowser. The caller closes it."""
    path = find()
    if path is None:
        raise NoBrowser("no Chromium found: run `make test` once, which installs it")
    return playwright.chromium.launch(
        executable_path=path, headless=True, args=list(FLAGS), chromium_sandbox=not is_root()
    )
