"""Every worked example in a docstring of the core's arithmetic is run.

Form: "Example: call(…) -> value (remark)"; several stand apart by "; ". The call and the value
are Python, with the names of the module, of units.py and of instruments.py; DOOR is a drawing
from tests/core/doors.py. A float agrees to the digits that are written; a text may stand
without quotes.
"""

import ast
import importlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.core.kinds import Json
from app.core.quantity import units
from app.core.trade import instruments
from tests.core import doors

ROOT = Path(__file__).resolve().parents[2]
CORE = ROOT / "app" / "core"
FILES = [
    *sorted((CORE / "trade").rglob("*.py")),
    *[CORE / name for name in ("quantity/measure.py", "quantity/units.py", "checks/decide.py")],
]
# from "Example:" to the end, an empty line, or the next heading
EXAMPLE = re.compile(r"\bExample:\s+(.*?)(?=\n\s*\n|\n\s*[A-Z][a-z]+:\s|\Z)", re.DOTALL)


def documented(path: Path) -> Iterator[tuple[str, str]]:
    """Return (name, docstring) of everything public in a file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node.name, ast.get_docstring(node) or ""


def examples_in(docstring: str) -> list[str]:
    """Return the examples of a docstring, one text each."""
    return [
        part
        for found in EXAMPLE.findall(docstring)
        for part in split(" ".join(found.split()).removesuffix("."))
    ]


def split(text: str) -> list[str]:
    """Return the examples in a text; "; " inside brackets does not part them."""
    out: list[str] = []
    for part in text.split("; "):
        if out and out[-1].count("(") != out[-1].count(")"):
            out[-1] += "; " + part
        else:
            out.append(part)
    return out


def told_apart(text: str) -> tuple[str, str]:
    """Return call and value; raises ValueError where a text is not an example that can be run."""
    call, arrow, right = text.partition(" -> ")
    if not arrow or "(" not in call:
        raise ValueError(f"not of the form call(…) -> value: {text}")
    ends = [found.start() for found in re.finditer(r" \(", right)] + [len(right)]
    for end in ends:
        try:
            ast.parse(right[:end], mode="eval")
        except SyntaxError:
            continue
        return call, right[:end]
    return call, right


def names_of(path: Path) -> Json:
    """Return what an example may name."""
    where = path.relative_to(ROOT).as_posix().removesuffix(".py").replace("/", ".")
    known = {**vars(units), **vars(instruments)}
    return {**known, **vars(importlib.import_module(where)), "DOOR": doors.four()}


def agrees(ours: Any, value: str, names: Json) -> bool:
    """Return whether a result is what an example says."""
    try:
        due = eval(value, names)  # noqa: S307  (texts of our own docstrings)
    except (SyntaxError, NameError):
        due = value
    return same(ours, due, value)


def same(ours: Any, due: Any, value: str) -> bool:
    if isinstance(due, tuple) and isinstance(ours, tuple) and len(ours) == len(due):
        return all(same(a, b, repr(b)) for a, b in zip(ours, due, strict=True))
    if isinstance(due, float) and not isinstance(ours, bool):
        digits = len(value.rstrip(")").partition(".")[2])
        return bool(abs(ours - due) <= 0.5 * 0.1**digits + 1e-12)
    return bool(ours == due)


CASES = [
    pytest.param(path, text, id=f"{path.stem}.{name}")
    for path in FILES
    for name, docstring in documented(path)
    for text in examples_in(docstring)
]


@pytest.mark.parametrize(("path", "text"), CASES)
def test_example_holds(path: Path, text: str) -> None:
    call, value = told_apart(text)
    names = names_of(path)
    ours = eval(call, names)  # noqa: S307
    assert agrees(ours, value, names), f"{call} is {ours!r}"


def test_there_are_many() -> None:
    assert len(CASES) > 100


@pytest.mark.parametrize("text", ["two people, 20 kg each -> 26.67 kg", "f(1) is 2", "words"])
def test_what_cannot_be_run_fails(text: str) -> None:
    with pytest.raises((ValueError, SyntaxError)):
        eval(told_apart(text)[0], {})  # noqa: S307


def test_what_is_wrong_fails() -> None:
    assert not agrees(3, "4", {})
    assert not agrees(1.26, "1.2", {})
    assert agrees(1.24, "1.2", {})
    assert agrees("68 °F", "68 °F", {})
    assert not agrees("69 °F", "68 °F", {})
    assert told_apart("f(1) -> (1, 2) (a pair)") == ("f(1)", "(1, 2)")
    assert split("f(1) -> 2; g(3; 4) -> 5") == ["f(1) -> 2", "g(3; 4) -> 5"]
