"""What is handed to the second interpreter: sources, by path from the project's root."""

import ast
from pathlib import Path

from app.field.strip import stripped_source

ROOT = Path(__file__).resolve().parents[2]
CORE_TESTS = ROOT / "tests" / "core"


def sources() -> dict[str, str]:
    """Return {path: text} of the core, of its tests, and of the packages they stand in.

    The core is handed over as a phone gets it: stripped, line for line.
    """
    core = [ROOT / "app" / "__init__.py", *sorted((ROOT / "app" / "core").rglob("*.py"))]
    tests = [ROOT / "tests" / "__init__.py", *sorted(CORE_TESTS.rglob("*.py"))]
    found = {_name(path): stripped_source(path.read_text(encoding="utf-8")) for path in core}
    return {**found, **{_name(path): path.read_text(encoding="utf-8") for path in tests}}


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_files() -> list[str]:
    """Return the paths of every test file of the core, in order."""
    return [path.relative_to(ROOT).as_posix() for path in sorted(CORE_TESTS.rglob("test_*.py"))]


def test_names(text: str) -> list[str]:
    """Return the names of the test functions at the top of a source, in order."""
    body = ast.parse(text).body
    return [
        node.name
        for node in body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]


test_files.__test__ = False  # type: ignore[attr-defined]  # names that pytest would collect
test_names.__test__ = False  # type: ignore[attr-defined]
