"""python -m tests.checks_table [--write]: the table of golden checks, made by running the tests.

Every test file that uses tests/core/golden.py is imported here and its tests run one after
another, in this process: nothing depends on how pytest spreads its workers.
"""

import ast
import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from app.calculations.registry import CALCULATIONS
from tests.core import golden

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "tests" / "CHECKS.md"
# Parts of the core that are checked like a calculation and are none.
BESIDES = ("amounts-typed", "verdicts-shown")
MICRO_INCH = 25400000 // 64

HEAD = """# Checks against the world outside

Made by running the tests: `python -m tests.checks_table --write`. A difference fails `make test`.
Status: *published* (the source was read), *restated* (a public page that restates it was read),
*independent library*, *computed* (independently, from definitions and geometry), *common practice*
(no source), *from memory* (not verified).
"""


def files() -> list[Path]:
    """Return the test files with golden rows, in order."""
    return [
        path
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        if "tests.core.golden import" in path.read_text(encoding="utf-8")
    ]


def tests_of(path: Path) -> list[str]:
    """Return the names of a file's tests with golden rows; one that takes fixtures is an error."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    tests = [one for one in body if isinstance(one, ast.FunctionDef) and _is_test(one)]
    for one in tests:
        if one.args.args and "checks(" in ast.unparse(one):
            raise ValueError(f"{path}: {one.name} takes fixtures, golden rows cannot")
    return [one.name for one in tests if not one.args.args]


def _is_test(one: ast.FunctionDef) -> bool:
    return one.name.startswith("test_")


def rows() -> list[tuple[str, Any]]:
    """Return (test, row) of every golden row; raises what a failing test raises."""
    return [pair for path in files() for pair in _rows_of(path)]


def _rows_of(path: Path) -> Iterator[tuple[str, Any]]:
    where = path.relative_to(ROOT).as_posix()
    module = importlib.import_module(where.removesuffix(".py").replace("/", "."))
    for name in tests_of(path):
        before = len(golden.ROWS)
        getattr(module, name)()
        for row in golden.ROWS[before:]:
            yield f"{where}::{name}", row


def table() -> str:
    """Return the text of tests/CHECKS.md."""
    found = rows()
    names = [made.name for made in CALCULATIONS] + list(BESIDES)
    unknown = {row[0] for _, row in found} - set(names)
    if unknown:
        raise ValueError(f"golden rows of no calculation: {sorted(unknown)}")
    return HEAD + "".join(_section(name, found) for name in names)


def _section(name: str, found: list[tuple[str, Any]]) -> str:
    lines = [_line(test, row) for test, row in found if row[0] == name]
    if not lines:
        return ""
    head = "| check | expected | ours | tolerance | status | source | test |\n"
    return f"\n## {name}\n\n{head}|---|---|---|---|---|---|---|\n" + "".join(lines)


def _line(test: str, row: Any) -> str:
    _, what, expected, ours, tolerance, unit, source, status = row
    short = test.removeprefix("tests/")
    values = [_shown(value, unit) for value in (expected, ours)]
    exact = _shown(tolerance, unit) if tolerance else "exact"
    cells = [what, *values, exact, status, source, f"`{short}`"]
    return "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |\n"


def _shown(value: Any, unit: str) -> str:
    if isinstance(value, (list, tuple)):
        return ", ".join(_shown(one, unit) for one in value) or "none"
    if isinstance(value, (str, bool)) or value is None:
        return str(value)
    if unit == "nm":
        return _length(value)
    # nine digits: the last ones of a float may differ from machine to machine
    text = f"{value:.9g}" if isinstance(value, float) else str(value)
    return f"{text} {unit}".rstrip()


def _length(value: float) -> str:
    """Return nanometres as inches where they are whole 64ths, else as millimetres."""
    nm = round(value)
    if nm % MICRO_INCH or abs(nm) < MICRO_INCH:
        return f"{nm / 10**6:.6f}".rstrip("0").rstrip(".") + " mm"
    whole, part = divmod(abs(nm) // MICRO_INCH, 64)
    sign = "-" if nm < 0 else ""
    if not part:
        return f"{sign}{whole} in"
    down = part & -part
    fraction = f"{part // down}/{64 // down}"
    return f"{sign}{whole} {fraction} in" if whole else f"{sign}{fraction} in"


def main(words: list[str]) -> int:
    """Write the table, or say whether it is up to date."""
    made = table()
    if "--write" in words:
        TABLE.write_text(made, encoding="utf-8")
        return 0
    if TABLE.exists() and TABLE.read_text(encoding="utf-8") == made:
        return 0
    print("tests/CHECKS.md is out of date: python -m tests.checks_table --write")
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
