"""Find a Chromium for the browser tests, or install one; and WebKit (tests/webkit/setup.py).

`python -m tests.browser.setup` prints its path; where there is none and none
can be installed, one line says what the owner must do, and the status is 1.
Without WebKit its tests are left out, which one line says too.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.browser import debian
from tests.webkit import setup as webkit

# The same engine without a window's work: a fifth quicker. It shows no messages, and its workers do
# not outlive what phones do to them.
SHELL = "chromium-headless-shell"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
PLACES = (
    "/usr/bin/chromium",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
)


def is_usable(path: str | None) -> bool:
    """Return whether the file is a browser that starts (some are mere signposts)."""
    if not path or not Path(path).exists():
        return False
    try:
        done = subprocess.run([path, "--version"], capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def playwrights_own() -> str | None:
    """Return where Playwright keeps its own Chromium, or would keep it."""
    ask = (
        "from playwright.sync_api import sync_playwright as s\n"
        "with s() as p: print(p.chromium.executable_path)"
    )
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=False)
    return done.stdout.strip() or None


def find(whole: bool = False) -> str | None:
    """Return the path of a usable Chromium; SILLBOOK_CHROMIUM wins over all others.

    whole: one that does all that a phone's does, not the quicker one for pages.
    """
    named = os.environ.get("SILLBOOK_CHROMIUM")
    if named:
        return named if is_usable(named) else None
    names = NAMES if whole else (SHELL, *NAMES)
    for path in (*(shutil.which(name) for name in names), *PLACES):
        if path and is_usable(path):
            return path
    own = playwrights_own()
    return own if is_usable(own) else None


def install_from_debian() -> None:
    """Install Debian's chromium, where this is root on such a system."""
    debian.install("chromium", "fonts-liberation", SHELL)
    if not find(whole=True):
        debian.install("chromium", "fonts-liberation")  # an older system has no SHELL


def install_playwrights_own() -> None:
    """Let Playwright fetch its own Chromium."""
    print("Installing Playwright's chromium", flush=True)
    subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=False)


def find_or_install() -> str | None:
    """Return a usable Chromium, installing one where there is none; None where that fails."""
    found = find()
    if found or os.environ.get("SILLBOOK_CHROMIUM"):
        return found
    for install in (install_from_debian, install_playwrights_own):
        install()
        found = find()
        if found:
            return found
    return None


def main() -> int:
    """Print which browsers the tests will use; returns the exit status."""
    return max(chromium_is_there(), webkit_is_there())


def chromium_is_there() -> int:
    """Print which Chromium the tests will use; returns 0, or 1 where there is none."""
    found = find_or_install()
    if found:
        print("Browser tests use", found)
        return 0
    named = os.environ.get("SILLBOOK_CHROMIUM")
    if named:
        print(f"SILLBOOK_CHROMIUM={named} does not start: name another.", file=sys.stderr)
    else:
        print(
            "The tests need Chromium. As root run: apt install chromium   "
            "or set SILLBOOK_CHROMIUM to the path of one.",
            file=sys.stderr,
        )
    return 1


def webkit_is_there() -> int:
    """Print whether the tests will use WebKit; returns 1 where it may not be left out but is."""
    told = webkit.find_or_install()
    print(told or "Browser tests use WebKit too", file=sys.stderr if told else sys.stdout)
    return 1 if told and not webkit.may_be_left_out() else 0


if __name__ == "__main__":
    sys.exit(main())
