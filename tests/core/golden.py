"""A golden row: asserted where it stands, and noted for the table of checks (tests/CHECKS.md).

Runs under both interpreters. The table is made by running the tests: tests/checks_table.py.
"""

INCH = 25400000
# Where an expected value comes from. "computed": worked out independently of the program from
# definitions and geometry, by hand or by another program; the source says which.
STATUSES = (
    "published",
    "restated",
    "independent library",
    "computed",
    "common practice",
    "from memory",
)
ROWS = []


def checks(calculation, what, expected, ours, source, status, tolerance=0, unit=""):
    """Assert that ours is expected, to the tolerance, and note the row.

    expected, ours: numbers, text, True or False, or lists of them; unit is for the table
    alone ("nm" is shown as inches or millimetres).
    """
    assert status in STATUSES, status
    assert source and what, calculation
    assert agrees(expected, ours, tolerance), (calculation, what, expected, ours, tolerance)
    ROWS.append((calculation, what, expected, ours, tolerance, unit, source, status))


def agrees(expected, ours, tolerance):
    """Return whether two values, or two lists of them, agree to a tolerance."""
    if isinstance(expected, (list, tuple)):
        pairs = zip(expected, ours)
        return len(expected) == len(ours) and all(agrees(a, b, tolerance) for a, b in pairs)
    if isinstance(expected, (str, bool)) or expected is None:
        return type(expected) is type(ours) and expected == ours
    return abs(ours - expected) <= tolerance


def inches(nm):
    """Return nanometres as inches, for a printed figure."""
    return nm / INCH


def half_digit(digits):
    """Return half of the last of so many decimals: the tolerance of a printed figure.

    A ten-thousand-millionth more is for the float that the figure is written in.
    """
    return 0.5 * 0.1**digits + 1e-10
