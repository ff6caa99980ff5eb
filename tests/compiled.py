"""python -m tests.compiled: have pytest compile the modules of all tests, for the workers to come.

Each worker would do it by itself, all of them at the same time. `make test` does it beside the
check of types, which leaves a core free. It fails where a test cannot be collected.
"""

import contextlib
import io
import sys

import pytest


def main() -> int:
    """Collect all tests, run none; returns pytest's status, and says why where it is not 0."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = pytest.main(["--collect-only", "-q"])
    if status:
        print(said.getvalue())
    return int(status)


if __name__ == "__main__":
    sys.exit(main())
