"""Stripped sources: what goes, what stays, and that the core behaves the same without it."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from app.field.bundle import least_indented
from app.field.strip import compact_source, stripped_source
from app.templating.compiler import Family, compiled_modules

ROOT = Path(__file__).resolve().parents[2]

# source and what is left of it
ROWS = [
    ('"""A module."""\nx = 1\n', "\nx = 1\n"),
    ('def f():\n    """Does."""\n    return 1\n', "def f():\n\n    return 1\n"),
    ('def f():\n    """Only this."""\n', "def f():\n    pass\n"),
    ('class A:\n    """Only\n    this."""\n\nx = 1\n', "class A:\n    pass\n\n\nx = 1\n"),
    ('x = """kept\n    # kept  \n"""\n', 'x = """kept\n    # kept  \n"""\n'),
    ("x = 1  # why\n# all\ny = '#'\n", "x = 1\n\ny = '#'\n"),
    ("f(  # first\n    1,\n)\n", "f(\n    1,\n)\n"),
    ("def f(a: int, b: 'str' = 'x', *c: int, **d: int) -> None:\n    pass\n",
     "def f(a, b = 'x', *c, **d):\n    pass\n"),
    ("def f(a: 'dict[str, int]' = {1: 2}, *, b=lambda x, y: x) -> 'A | None': return {1: 2}\n",
     "def f(a = {1: 2}, *, b=lambda x, y: x): return {1: 2}\n"),
    ("def f(\n    a: 'list['\n    'int]',\n    b: int = 1,  # why\n) -> int:\n    return b\n",
     "def f(\n    a\n,\n    b = 1,\n):\n    return b\n"),
    ("x: int = 1\nself.y: 'list[str]' = []\na[1:2] = b\n", "x = 1\nself.y = []\na[1:2] = b\n"),
    ("class A:\n    x: int\n    y: int = 2\n", "class A:\n    pass\n    y = 2\n"),
    ("x = {1: 2}\nf = lambda a: a\nif x: y = 1\n", "x = {1: 2}\nf = lambda a: a\nif x: y = 1\n"),
    ("f'{x:>4} {y!r}'\ng = f'{x:02d}{ {1: 2}[1]:{w}}'\n",
     "f'{x:>4} {y!r}'\ng = f'{x:02d}{ {1: 2}[1]:{w}}'\n"),
    ("def f(a=f'{1:2}', b: int = f'{3:4}'): return f'{a:5}'\n",
     "def f(a=f'{1:2}', b = f'{3:4}'): return f'{a:5}'\n"),
    ("for a in b:  # why\n    'alone'\n    c(a)\n", "for a in b:\n\n    c(a)\n"),
    ("x = 1; 'y'\nprint('z')\n", "x = 1; 'y'\nprint('z')\n"),
    ("match x:\n    case 1: y\n", "match x:\n    case 1: y\n"),
    ("async def f(a: int) -> int:\n    return a", "async def f(a):\n    return a"),
    ("", ""),
    ("# only this", ""),
]  # fmt: skip


@pytest.mark.parametrize(("source", "left"), ROWS, ids=[str(n) for n in range(len(ROWS))])
def test_rows(source: str, left: str) -> None:
    assert stripped_source(source) == left


def core_files() -> list[Path]:
    return sorted((ROOT / "app" / "core").rglob("*.py"))


class Bare(ast.NodeTransformer):
    """A tree without docstrings and annotations: what a stripped source must parse to."""

    def visit_Expr(self, node: ast.Expr) -> "ast.AST | None":
        text = isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
        return None if text else self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value is None:
            return ast.Pass()
        return ast.Assign([node.target], self.visit(node.value), lineno=node.lineno)

    def visit_arg(self, node: ast.arg) -> ast.AST:
        node.annotation = None
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.returns = None
        self.generic_visit(node)
        node.body = node.body or [ast.Pass()]
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self.generic_visit(node)
        node.body = node.body or [ast.Pass()]
        return node


@pytest.mark.parametrize("path", core_files(), ids=lambda path: path.stem)
def test_the_core_means_the_same_on_the_same_lines(path: Path) -> None:
    """Python's own parser is the reference: the trees are equal but for what was taken out."""
    source = path.read_text(encoding="utf-8")
    left = stripped_source(source)
    assert ast.dump(ast.parse(left)) == ast.dump(Bare().visit(ast.parse(source)))
    assert left.count("\n") == source.count("\n")
    places = {(n.lineno, type(n)) for n in ast.walk(ast.parse(left)) if isinstance(n, ast.Call)}
    before = {(n.lineno, type(n)) for n in ast.walk(ast.parse(source)) if isinstance(n, ast.Call)}
    assert places <= before
    assert stripped_source(left) == left
    assert '"""' not in left


COMPACT = [
    ("f(\n    1,\n    a=2,\n)\ng()\n", "f(1,a=2,)\n\n\n\ng()\n"),
    ("x = 'a' 'b'\ny = '' \"c\"\n", "x='a' 'b'\ny='' \"c\"\n"),
    ("for a in 'bc':\n  if not a or 1: a = 1 if a else -1\n",
     "for a in 'bc':\n  if not a or 1:a=1 if a else-1\n"),
    ("x = f'{a:>4} {b!r}' if a else r'\\d'\n", "x=f'{a:>4} {b!r}'if a else r'\\d'\n"),
    ("x = 1 + \\\n    2\ny = 3\n", "x=1+2\n\ny=3\n"),
    ("", ""),
]  # fmt: skip


@pytest.mark.parametrize(("source", "left"), COMPACT, ids=[str(n) for n in range(len(COMPACT))])
def test_compact_rows(source: str, left: str) -> None:
    assert compact_source(source) == left


def test_a_text_over_several_lines_is_refused() -> None:
    with pytest.raises(ValueError, match="several lines"):
        compact_source('x = """a\nb"""\n')


def test_what_the_phone_runs_means_the_same_compact_with_each_statement_on_its_line() -> None:
    """Python's own parser is the reference."""
    core = [stripped_source(path.read_text(encoding="utf-8")) for path in core_files()]
    pages = compiled_modules(Family(ROOT / "templates")).values()
    for source in map(least_indented, [*core, *pages]):
        left = compact_source(source)
        before, after = ast.parse(source), ast.parse(left)
        assert ast.dump(after) == ast.dump(before)
        lines = [
            [node.lineno for node in ast.walk(tree) if isinstance(node, ast.stmt)]
            for tree in (before, after)
        ]
        assert lines[0] == lines[1]


@pytest.mark.long
def test_the_tests_of_the_core_pass_with_stripped_sources(tmp_path: Path) -> None:
    for path in [ROOT / "app" / "__init__.py", *core_files()]:
        copy = tmp_path / path.relative_to(ROOT)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_text(stripped_source(path.read_text(encoding="utf-8")), encoding="utf-8")
    for path in [ROOT / "tests" / "__init__.py", *sorted((ROOT / "tests" / "core").glob("*.py"))]:
        copy = tmp_path / path.relative_to(ROOT)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(path.read_bytes())
    where = "import app.core.entry as e, sys; sys.exit(e.__doc__ is not None)"
    assert subprocess.run([sys.executable, "-c", where], cwd=tmp_path, check=False).returncode == 0
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/core"]
    ran = subprocess.run(command, cwd=tmp_path, check=False, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stdout[-3000:]
