"""Find WebKit with its driver and a screen for it, or install them from Debian's own packages.

WebKit is the engine of the browsers on many phones. Where it cannot be had, its tests are left out:
`left_out()` says so in one line, with the command.
"""

import os
import shutil
import subprocess

from tests.browser import debian

PACKAGES = ("webkit2gtk-driver", "gir1.2-webkit2-4.1", "python3-gi", "xvfb")
PROGRAMS = ("WebKitWebDriver", "Xvfb")
SYSTEM_PYTHON = "/usr/bin/python3"  # the one that Debian's python3-gi belongs to
ASK = "import gi; gi.require_version('WebKit2', '4.1'); from gi.repository import WebKit2"


def missing() -> list[str]:
    """Return what is not there."""
    found = [name for name in PROGRAMS if not shutil.which(name)]
    return found if _has_window() else [*found, "WebKit2 4.1 for " + SYSTEM_PYTHON]


def _has_window() -> bool:
    try:
        done = subprocess.run(
            [SYSTEM_PYTHON, "-c", ASK], capture_output=True, timeout=60, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def left_out() -> str:
    """Return one line that says what is left out and what to run; nothing where all is there."""
    lacking = missing()
    if not lacking:
        return ""
    return (
        f"Tests in WebKit are left out: no {', no '.join(lacking)}. "
        f"On Debian run as root: apt install {' '.join(PACKAGES)}"
    )


def find_or_install() -> str:
    """Install what is missing, where that can be done; returns what left_out() then says."""
    if missing():
        debian.install(*PACKAGES)
    return left_out()


def may_be_left_out() -> bool:
    """Return whether tests may go on without it: not where SILLBOOK_LEAVE_NOTHING_OUT is set."""
    return not os.environ.get("SILLBOOK_LEAVE_NOTHING_OUT")
