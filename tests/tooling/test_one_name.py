"""A name stands for one thing: a class in app/, and a macro in a template.

A macro's name, or the name that it is imported by, hides a value of that name, in the template and
in what it includes and extends. Jinja2 says nothing; the compiler of the phone's pages refuses it
only when the bundle is made, and never sees the office's pages.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import BaseLoader, nodes

from app.templating.compiler.soundness import macro_references, name_faults
from app.templating.templates import FOLDER, template_environment
from tests.tooling.sources import ROOT, python_files, tree_of


def classes_twice(trees: dict[str, ast.Module]) -> list[str]:
    """Return the class names that stand twice, each with the files."""
    files: dict[str, list[str]] = {}
    for file, tree in trees.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                files.setdefault(node.name, []).append(file)
    return [f"{name}: {', '.join(where)}" for name, where in files.items() if len(where) > 1]


def test_no_class_name_stands_twice() -> None:
    trees = {path.relative_to(ROOT).as_posix(): tree_of(path) for path in python_files("app")}
    assert len(trees) > 100
    assert classes_twice(trees) == []


def test_a_class_name_that_stands_twice_is_found() -> None:
    one, two = "class Sheet: ...", "def f():\n    class Sheet: ...\nclass Door: ..."
    found = classes_twice({"a.py": ast.parse(one), "b.py": ast.parse(two)})
    assert found == ["Sheet: a.py, b.py"]


def template_trees(folder: Path) -> dict[str, nodes.Template]:
    """Return the syntax tree of every template, by its name."""
    parser = template_environment(BaseLoader())
    return {
        path.relative_to(folder).as_posix(): parser.parse(path.read_text(encoding="utf-8"))
        for path in folder.rglob("*.html")
    }


def reached_by(name: str, trees: dict[str, nodes.Template]) -> Iterator[str]:
    """Yield a template, and all that it includes or extends."""
    ahead, known = [name], set()
    while ahead:
        template = ahead.pop()
        if template not in known:
            known.add(template)
            yield template
            kinds = (nodes.Include, nodes.Extends)
            ahead += [node.template.value for node in trees[template].find_all(kinds)]


def hidden_values(trees: dict[str, nodes.Template]) -> list[str]:
    """Return the values that a macro's name hides: where, and which template brings the macro."""
    return sorted(
        {
            f"{reached}:{line}: {reason} ({name})"
            for name, tree in trees.items()
            for reached in reached_by(name, trees)
            for line, reason in name_faults(trees[reached], set(macro_references("", tree)))
        }
    )


def test_no_macro_hides_a_value() -> None:
    trees = template_trees(FOLDER)
    assert len(trees) > 100
    assert hidden_values(trees) == []


PIECES = "{% macro verdict(mark) %}{{ mark }}{% endmacro %}"
USE = '{% from "pieces.html" import verdict %}{{ verdict(a) }}'
MARKED = '{% from "pieces.html" import verdict as marked %}{{ marked(a) }}'


@pytest.mark.parametrize(
    ("page", "part", "where"),
    [
        (USE + "\n{{ verdict.title }}", "", ["page.html:2"]),
        (USE + '{% include "part.html" %}', "{{ verdict }}", ["part.html:1"]),
        (USE + "{% for verdict in all %}{% endfor %}", "", ["page.html:1"]),
        (MARKED + "\n{% if marked %}{% endif %}", "", ["page.html:2"]),
        ('{% import "pieces.html" as p %}{{ p.verdict(a) }}\n{{ p }}', "", ["page.html:2"]),
        (MARKED + "{{ verdict }}", "{{ verdict }}", []),
        (USE, "{{ verdict }}", []),
    ],
)
def test_a_value_that_a_macro_hides_is_found(page: str, part: str, where: list[str]) -> None:
    parser = template_environment(BaseLoader())
    sources = {"pieces.html": PIECES, "page.html": page, "part.html": part}
    trees = {name: parser.parse(text) for name, text in sources.items()}
    assert [line.rpartition(": ")[0] for line in hidden_values(trees)] == where


def roles_in(tree: ast.Module) -> list[str]:
    """Return the names of a module that say "role"."""
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    names |= {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
    names |= {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    names |= {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
    return sorted(name for name in names if {"role", "roles"} & set(name.lower().split("_")))


@pytest.mark.parametrize("folder", ["app/core", "app/calculations", "app/procedures"])
def test_a_role_is_what_a_person_may_do(folder: str) -> None:
    """As in access control; a point has a purpose, a calculation has inputs (DEVELOPERS.md)."""
    files = list(python_files(folder))
    assert len(files) > 5
    found = {path.name: names for path in files if (names := roles_in(tree_of(path)))}
    assert found == {}


def test_a_role_that_is_no_persons_is_found() -> None:
    code = "def _roles_of(role): return asked.role, ROLES, controller"
    assert roles_in(ast.parse(code)) == ["ROLES", "_roles_of", "role"]
