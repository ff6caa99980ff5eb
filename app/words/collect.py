"""Collects everything that is to be translated.

`python -m app.words.collect` prints the English templates that a catalogue lacks, and those in
it that nothing uses any more; its exit status is 1 where there are any.
"""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from jinja2 import nodes

from app.core.kinds import Json
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS
from app.procedures.compiler import compile_file
from app.procedures.parts import TOOLS
from app.templating.templates import Templates
from app.words.catalogs import catalog, languages

ROOT = Path(__file__).resolve().parents[2]


def collected(root: Path = ROOT) -> dict[str, list[str]]:
    """Return {English template: files that use it, sorted}, of the program and what it ships."""
    found: dict[str, set[str]] = {}
    for where, text in _all(root):
        if any(char.isalpha() for char in text):  # what has no letters is said as it is
            found.setdefault(text, set()).add(where)
    return {text: sorted(found[text]) for text in sorted(found)}


def _all(root: Path) -> Iterator[tuple[str, str]]:
    for path in (root / "app").rglob("*.py"):
        for text in of_python(path.read_text(encoding="utf-8")):
            yield path.relative_to(root).as_posix(), text
    for path in (root / "templates").rglob("*.html"):
        for text in of_template(path.read_text(encoding="utf-8")):
            yield path.relative_to(root).as_posix(), text
    for path in (root / "seed_data" / "procedures").glob("*.yaml"):
        for text in of_procedure(compile_file(path)):
            yield path.relative_to(root).as_posix(), text
    for text in of_tables():
        yield "app/core/trade/drawing.py", text


def of_python(source: str) -> list[str]:
    """Return the literals that stand as the template of a Msg, in order.

    Example: of_python('Msg("a" " {n}", n=1); Msg("b" if x else "c")') -> ["a {n}", "b", "c"]
    """
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    return [text for call in calls if _called(call) == "Msg" for text in _first(call)]


def _called(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _first(call: ast.Call) -> list[str]:
    return _literals(call.args[0]) if call.args else []


def _literals(node: ast.expr) -> list[str]:
    if isinstance(node, ast.IfExp):
        return [*_literals(node.body), *_literals(node.orelse)]
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    return []


def of_template(source: str) -> list[str]:
    """Return the literals that a template translates, in order."""
    tree = Templates().environment.parse(source)
    found = [node for node in tree.find_all(nodes.Filter) if node.name == "t"]
    return [node.node.value for node in found if isinstance(node.node, nodes.Const)]


def of_procedure(procedure: Json) -> list[str]:
    """Return the texts of a compiled procedure that a person reads, in order."""
    return [procedure["title"], *(text for step in procedure["steps"] for text in _of_step(step))]


def _of_step(step: Json) -> Iterator[str]:
    yield from (step["title"], step["about"], *step["cautions"])
    yield from _texts(step["tasks"])
    for decision in step["decisions"]:
        yield decision["text"]
        yield from _texts(decision["choices"])
    for point in step["points"]:
        yield from _of_point(point)
    for check in step["checks"]:
        remedy = check["settings"].get("remedy", "")
        yield from (check["title"], check["reason"], remedy)
    yield from _texts(step["adjustments"])


def _of_point(point: Json) -> Iterator[str]:
    yield from (point["title"], point["hint"])
    yield from _texts(point["choices"])
    yield from (item["title"] for item in point["where"].get("items", []))


def _texts(things: list[Json]) -> list[str]:
    return [thing["text"] for thing in things]


def of_tables() -> list[str]:
    """Return the titles of the drawing's fields, and the tools."""
    titles: list[Any] = [row[1] for row in (*LENGTHS, *COUNTS)]
    return [*titles, *(row[2] for row in AMOUNTS), *TOOLS]


def main() -> int:
    """Print what each catalogue lacks (+) and has too much (-); return the exit status."""
    wanted = collected()
    wrong = 0
    for lang in languages():
        have = catalog(lang)
        lines = [f"+ {text!r}  {wanted[text][0]}" for text in wanted if text not in have]
        lines += [f"- {text!r}" for text in have if text not in wanted]
        sys.stdout.write("".join(f"{lang} {line}\n" for line in lines))
        wrong += len(lines)
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
