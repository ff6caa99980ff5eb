"""Find Firefox, or install it from Debian's own packages: `python -m tests.firefox.setup`.

Where it cannot be had its tests, which are all long, are left out: one line says so, with the
command.
"""

import os
import shutil
import sys

from tests.browser import debian
from tests.webkit.setup import may_be_left_out

PACKAGE = "firefox-esr"
NAMES = ("firefox-esr", "firefox")


def find() -> str | None:
    """Return the path of a Firefox; SILLBOOK_FIREFOX wins over all others."""
    named = os.environ.get("SILLBOOK_FIREFOX")
    if named:
        return shutil.which(named)
    return next(filter(None, map(shutil.which, NAMES)), None)


def left_out() -> str:
    """Return one line that says what is left out and what to run; nothing where it is there."""
    if find():
        return ""
    return (
        "Tests in Firefox are left out: there is none. "
        f"On Debian run as root: apt install {PACKAGE}   "
        "or set SILLBOOK_FIREFOX to the path of one."
    )


def find_or_install() -> str:
    """Install it where it is missing and that can be done; returns what left_out() then says."""
    if not find():
        debian.install(PACKAGE)
    return left_out()


def main() -> int:
    """Print whether the long tests will use it; returns 1 where it may not be left out but is."""
    told = find_or_install()
    print(told or "Long tests use Firefox too", file=sys.stderr if told else sys.stdout)
    return 1 if told and not may_be_left_out() else 0


if __name__ == "__main__":
    sys.exit(main())
