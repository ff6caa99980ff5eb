"""What the core's lint says of MicroPython is so: measured in the vendored one."""

import builtins
import math

from tests.parity.engine import Engine
from tests.tooling.core_language import (
    ASCII_METHODS,
    MISSING_MATH,
    MISSING_METHODS,
    MISSING_NAMES,
)

PATH = "tests/core/test_of_the_harness.py"
TYPES = ("", b"", 1, 1.0, [], {}, set(), ())

SOURCE = """
import math
import builtins
TYPES = ("", b"", 1, 1.0, [], {{}}, set(), ())
def test_methods():
    for name in {methods}:
        for thing in TYPES:
            assert not hasattr(thing, name), name
def test_math():
    for name in {math}:
        assert not hasattr(math, name), name
def test_names():
    for name in {names}:
        assert not hasattr(builtins, name), name
def test_what_it_has():
    for name in {kept}:
        assert hasattr("", name) or hasattr(1, name) or hasattr({{}}, name), name
def test_differences():
    assert not "\\u0663".isdigit()
    assert not "\\u00e9".isalpha()
"""


def test_what_is_said_to_be_missing_is_missing(second: Engine) -> None:
    text = SOURCE.format(
        methods=sorted(MISSING_METHODS),
        math=sorted(MISSING_MATH),
        names=sorted(MISSING_NAMES),
        kept=["split", "partition", "to_bytes", "setdefault"],
    )
    report = second.run(PATH, text).report
    assert not report, report


def test_cpython_has_them_so_that_the_lint_is_needed() -> None:
    assert all(any(hasattr(thing, name) for thing in TYPES) for name in MISSING_METHODS)
    assert all(any(hasattr(thing, name) for thing in TYPES) for name in ASCII_METHODS)
    assert all(hasattr(math, name) for name in MISSING_MATH)
    assert all(hasattr(builtins, name) for name in MISSING_NAMES)
    assert "٣".isdigit()
    assert "é".isalpha()
