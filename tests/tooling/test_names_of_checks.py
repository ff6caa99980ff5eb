"""Names of calculations and of what procedures hold stand in their own files, nowhere else.

A calculation's name stands in checks/index.py and in procedures; all that pages and record must
know of it is in its Spec. The id of a task, decision, point, check or adjustment stands in its
procedure; what a point is for beyond its checks is its purpose. So another procedure, or another
check, needs no change elsewhere.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.calculations.registry import CALCULATIONS
from app.core.checks.index import CALCS, spec_of
from app.core.where.places import KINDS
from app.procedures.compiler import compile_file
from tests.tooling.sources import ROOT, python_files, tree_of

PROCEDURES = [compile_file(path) for path in (ROOT / "seed_data/procedures").glob("*.yaml")]
PARTS = ("tasks", "decisions", "points", "checks", "adjustments")
IDS = {
    part["id"]
    for procedure in PROCEDURES
    for step in procedure["steps"]
    for kind in PARTS
    for part in step[kind]
}
# Other things that have the same name: limits of calculations, kinds of places.
LIMITS = {limit for calc in CALCS for limit in spec_of(calc).limits}
MAY_NAME = {
    "app/core/checks/index.py": set(CALCS),
    "app/core/where/places.py": set(KINDS),
}
# The arithmetic by itself has a list of its own, and asks each check of it by its name.
BY_NAME = "app/calculations/"
LISTED = set(CALCS) | {calculation.name for calculation in CALCULATIONS}


def literals(tree: ast.AST) -> Iterator[ast.Constant]:
    """Yield the string literals of a tree, but for what stands in a Msg: that is text."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Msg":
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node
        yield from literals(node)


def names_in(tree: ast.AST, file: str) -> list[str]:
    """Return the names of calculations and of parts of procedures in a file, each with its line."""
    others = LIMITS | MAY_NAME.get(file, set()) | (LISTED if file.startswith(BY_NAME) else set())
    return [
        f"{file}:{node.lineno}: {node.value}"
        for node in literals(tree)
        if node.value in (set(CALCS) | IDS) - others
    ]


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", python_files("app"), ids=name_of)
def test_no_module_names_a_check_or_a_part_of_a_procedure(path: Path) -> None:
    assert names_in(tree_of(path), name_of(path)) == []


def test_the_rule_would_notice() -> None:
    code = (
        "if check['calc'] == 'level-local' or point == 'panel-labels':\n"
        "    say(Msg('noted'))\n"
        "LIMITS = {'alike': 1}\n"
    )
    found = ["app/x.py:1: level-local", "app/x.py:1: panel-labels"]
    assert names_in(ast.parse(code), "app/x.py") == found


def test_systems_of_doors_are_named_in_one_module() -> None:
    """A drawing's system is data: nothing else compares with one."""
    from app.core.trade.door_systems import SYSTEM_IDS

    named = {
        name_of(path)
        for path in python_files("app")
        for node in literals(tree_of(path))
        if node.value in SYSTEM_IDS
    }
    # where/ chooses panels: those that slide, those that are fixed
    own = {"app/core/trade/door_systems.py"}
    assert named - own == {"app/core/where/panels.py", "app/core/where/places.py"}
