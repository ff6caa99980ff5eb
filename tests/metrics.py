"""python -m tests.metrics: the shape of the code, a row for each folder, as a table.

Read by `ast` and `tokenize` alone. A line of code is one that holds something other than a
comment or a docstring. A name of one word has no underscore between letters. A body is the
lines of code of a function from its first statement to its last; methods and functions inside
others count as functions, names with two underscores on both sides and tests do not.
"""

import ast
import io
import sys
import tokenize
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[1]
FOLDERS = ("app", "migrations", "static", "tests")
_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}
HEAD = ("folder", "files", "lines", "functions", "per 1,000", "one word", "body", "file", "remarks")


@dataclass
class Shape:
    """What was counted in some files."""

    files: list[int] = field(default_factory=list)  # lines of code of each
    functions: list[str] = field(default_factory=list)  # their names
    bodies: list[int] = field(default_factory=list)  # lines of code of each function
    classes: list[str] = field(default_factory=list)
    comments: int = 0

    def add(self, other: "Shape") -> None:
        """Count another's too."""
        self.files += other.files
        self.functions += other.functions
        self.bodies += other.bodies
        self.classes += other.classes
        self.comments += other.comments


def measure(source: str) -> Shape:
    """Return the shape of one module's source."""
    tree = ast.parse(source)
    tokens = list(tokenize.generate_tokens(io.StringIO(source).readline))
    code = {
        line
        for token in tokens
        if token.type not in _NO_CODE
        for line in range(token.start[0], token.end[0] + 1)
    }
    code -= set(_docstring_lines(tree))
    shape = Shape(files=[len(code)])
    shape.comments = sum(token.type == tokenize.COMMENT for token in tokens)
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            shape.classes.append(node.name)
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and _is_named(node.name):
            shape.functions.append(node.name)
            body = range(node.body[0].lineno, (node.end_lineno or 0) + 1)
            shape.bodies.append(sum(line in code for line in body))
    return shape


def _is_named(name: str) -> bool:
    return not name.startswith(("__", "test_"))


def _docstring_lines(tree: ast.Module) -> Iterable[int]:
    """Every string that stands as a statement: docstrings, and those after a constant."""
    for node in ast.walk(tree):
        text = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        if text and isinstance(node.value.value, str):
            yield from range(node.lineno, (node.end_lineno or 0) + 1)


def is_one_word(name: str) -> bool:
    """Return whether a name is one word: `found`, `_told`, not `job_page`."""
    return "_" not in name.strip("_")


def folder_of(path: Path) -> str:
    """Return the row that a file belongs to: the core's folders each have one."""
    parts = path.parent.parts
    return "/".join(parts[: 3 if parts[:2] == ("app", "core") else 2])


def shapes_by_folder(root: Path = ROOT) -> dict[str, Shape]:
    """Return the shape of each folder, in order of names."""
    shapes: dict[str, Shape] = {}
    for top in FOLDERS:
        for path in sorted((root / top).rglob("*.py")):
            folder = folder_of(path.relative_to(root))
            shape = measure(path.read_text(encoding="utf-8"))
            shapes.setdefault(folder, Shape()).add(shape)
    return dict(sorted(shapes.items()))


def totals(shapes: dict[str, Shape]) -> dict[str, Shape]:
    """Return the shape of the program, of the tests and of both together."""
    sums = {"program": Shape(), "tests": Shape(), "all": Shape()}
    for folder, shape in shapes.items():
        sums["tests" if folder.split("/")[0] == "tests" else "program"].add(shape)
        sums["all"].add(shape)
    return sums


def names_used_twice(shape: Shape) -> dict[str, int]:
    """Return the names that more than one class has, with how many have it."""
    return {name: n for name, n in sorted(Counter(shape.classes).items()) if n > 1}


def ninth_tenth(numbers: list[int]) -> int:
    """Return the value that nine in ten do not exceed; 0 of nothing."""
    return sorted(numbers)[max(0, -(-9 * len(numbers) // 10) - 1)] if numbers else 0


def row(name: str, shape: Shape) -> tuple[str, ...]:
    """Return a row of the table as texts."""
    lines = sum(shape.files)
    one_word = sum(map(is_one_word, shape.functions))
    return (
        name,
        f"{len(shape.files):,}",
        f"{lines:,}",
        f"{len(shape.functions):,}",
        f"{1000 * len(shape.functions) / lines:.0f}" if lines else "-",
        f"{100 * one_word / len(shape.functions):.0f} %" if shape.functions else "-",
        f"{median(shape.bodies):.0f} / {ninth_tenth(shape.bodies)}" if shape.bodies else "-",
        f"{median(shape.files):.0f} / {max(shape.files)}",
        f"{100 * shape.comments / lines:.1f}" if lines else "-",
    )


def table(rows: list[tuple[str, ...]]) -> str:
    """Return rows in columns: names to the left, figures to the right."""
    widths = [max(len(cells[i]) for cells in rows) for i in range(len(rows[0]))]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if i else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(cells, widths, strict=True))
        )
        for cells in rows
    )


def main() -> int:
    """Print the table, and the classes that share a name; returns the exit status."""
    shapes = shapes_by_folder()
    sums = totals(shapes)
    print(table([HEAD, *(row(*item) for item in (*shapes.items(), *sums.items()))]))
    print(
        "\nlines: of code, without comments, docstrings and blanks. per 1,000: functions in as many"
        "\nlines. one word: functions' names of one word. body: median / nine in ten do not exceed."
        "\nfile: median / largest, in lines of code. remarks: comments in 100 lines of code."
    )
    for kind in ("program", "tests"):
        twice = names_used_twice(sums[kind])
        said = ", ".join(f"{name} {n}" for name, n in twice.items()) or "none"
        print(f"\nnames of more than one class, {kind}: {len(twice)}: {said}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
