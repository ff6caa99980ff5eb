"""The project's own Python files, and what they import."""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def python_files(*folders: str) -> list[Path]:
    """Return the Python files below folders of the project."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def module_of(path: Path) -> str:
    """Return the dotted name of a file."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def tree_of(path: Path) -> ast.Module:
    """Return the syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def imports_of(path: Path) -> set[str]:
    """Return the modules that a file imports anywhere in it; `from a import b` counts as a and a.b.

    __import__("a.b" + …) counts as a.b.
    """
    found: set[str] = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"relative import in {path}"
            found |= {f"{node.module}.{name.name}" for name in node.names}
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found |= _by_name(node) if node.func.id == "__import__" else set()
    return found


def _by_name(call: ast.Call) -> set[str]:
    """Return what `__import__("a.b." + …)` or `__import__("a.b")` reaches: a.b."""
    wanted = call.args[0]
    if isinstance(wanted, ast.BinOp):
        wanted = wanted.left
    if isinstance(wanted, ast.Constant) and isinstance(wanted.value, str):
        return {wanted.value.rstrip(".")}
    return set()
