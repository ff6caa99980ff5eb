"""Imports point one way: the core knows nobody, main knows all."""

from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

from tests.tooling.sources import imports_of, module_of, python_files

# Part of the house -> the parts it may know besides itself. The longest name that fits counts.
MAY_KNOW = {
    "app": set(),
    "app.core": set(),
    "app.setup": set(),
    "app.settings": set(),
    "app.packing": set(),
    "app.procedures": {"app.core"},
    "app.words": {"app.core"},
    "app.words.collect": {"app.core", "app.templating", "app.procedures", "app.words"},
    "app.store": {"app.core", "app.settings"},
    "app.demo": {"app.core", "app.settings", "app.store", "app.procedures", "app.access"},
    # The templates' language and compiler; the pages of all other parts use them.
    "app.templating": {"app.core"},
    "app.field": {"app.core"},
    "app.field.server": {"app.core", "app.store", "app.access", "app.templating", "app.words"},
    # The phone gets the words of what it gets: program, pages, procedures.
    "app.field.bundle": {
        "app.core",
        "app.packing",
        "app.field",
        "app.templating",
        "app.procedures",
        "app.words",
        "app.words.collect",
    },
    "app.field.bundle_server": {
        "app.core",
        "app.access",
        "app.packing",
        "app.field",
        "app.field.bundle",
    },
    "app.access": {
        "app.core",
        "app.packing",
        "app.settings",
        "app.store",
        "app.templating",
        "app.words",
    },
    "app.calculations": {"app.core", "app.settings"},
    "app.calculations.server": {"app.core", "app.access", "app.calculations"},
    # What leaves the office: it speaks to people, and gives owners their links.
    "app.outbox": {
        "app.core",
        "app.settings",
        "app.store",
        "app.access",
        "app.homeowner",
        "app.templating",
    },
    "app.running": {"app.core", "app.settings", "app.store", "app.sync"},
    "app.signing": {"app.core", "app.settings", "app.store", "app.access"},
    "app.sync": {"app.core", "app.settings", "app.store", "app.access"},
    # The office shows the record and makes its review of the same tables.
    # It looks at what phones sent, keeps procedures, and asks which languages there are.
    "app.office": {
        "app.core",
        "app.store",
        "app.access",
        "app.field.server",
        "app.homeowner",
        "app.outbox",
        "app.sync",
        "app.words",
        "app.procedures",
    },
    # What other programs ask of the office.
    "app.api": {
        "app.core",
        "app.store",
        "app.access",
        "app.homeowner",
        "app.office",
        "app.outbox",
        "app.sync",
    },
    "app.homeowner": {
        "app.core",
        "app.settings",
        "app.store",
        "app.access",
        "app.signing",
        "app.words",
    },
}
KNOW_ALL = {"app.main", "app.cli", "app.openapi"}


# Inside the core: who stands on whom, lowest first. A part knows those below it, never one above.
CORE_RANKS = (
    ("app.core.kinds", "app.core.order", "app.core.placing"),
    ("app.core.errors", "app.core.quantity"),  # an error carries a message
    ("app.core.trade",),
    ("app.core.where",),
    ("app.core.pictures",),
    ("app.core.checks",),
    ("app.core.record",),
    ("app.core.layout",),  # what readings tell of material is part of it
    ("app.core.pages",),
    ("app.core.entry",),
    ("app.core.phone",),
)


def rank_of(module: str) -> int:
    """Return the rank of a module of the core; one that has none is an error."""
    return next(
        rank
        for rank, parts in enumerate(CORE_RANKS)
        if any(_within(module, part) for part in parts)
    )


def imported_from_above(path: Path) -> list[str]:
    """Return what a module of the core imports, at its top or in a function, from a higher rank."""
    own = rank_of(module_of(path))
    wanted = {module for module in imports_of(path) if _within(module, "app.core")}
    return sorted(m for m in wanted if m != "app.core" and rank_of(m) > own)


# What lists and keeps openings asks the record how one stands, never a page of the core.
KNOW_NO_PAGE = ("app.calculations", "app.procedures", "app.store", "app.templating", "app.words")


def pages_imported(path: Path) -> list[str]:
    """Return the pages of the core that a file imports, and what answers requests with them."""
    above = rank_of("app.core.pages")
    wanted = {module for module in imports_of(path) if _within(module, "app.core")}
    return sorted(m for m in wanted if m != "app.core" and rank_of(m) >= above)


def circles(imports: dict[str, set[str]]) -> list[list[str]]:
    """Return the modules that import one another, directly or round about; [] where none do."""
    sorter = TopologicalSorter(imports)
    try:
        sorter.prepare()
    except CycleError as error:
        return [list(error.args[1])]
    return []


def modules_imported(path: Path, modules: set[str]) -> set[str]:
    """Return the modules that a file imports; `from a.b import c` is a.b.c only where that is one.

    A package's own name in front of a module is no import of its __init__: those are empty.
    """
    own = module_of(path)
    found = {name if name in modules else name.rpartition(".")[0] for name in imports_of(path)}
    return {name for name in found & modules if name != own}


def part_of(module: str) -> str:
    """Return the part of the house that a module belongs to."""
    fits = [part for part in MAY_KNOW | dict.fromkeys(KNOW_ALL) if _within(module, part)]
    return max(fits, key=len)


def _within(module: str, part: str) -> bool:
    return module == part or module.startswith(part + ".")


def wrong_imports(path: Path) -> list[str]:
    """Return what a file imports against the rule."""
    own = part_of(module_of(path))
    if own in KNOW_ALL:
        return []
    wanted = {module for module in imports_of(path) if _within(module, "app")}
    return sorted(m for m in wanted if part_of(m) not in {own, *MAY_KNOW[own]})


@pytest.mark.parametrize("path", python_files("app"), ids=module_of)
def test_imports_point_one_way(path: Path) -> None:
    assert wrong_imports(path) == []


CORE_FILES = [path for path in python_files("app/core") if module_of(path) != "app.core"]


@pytest.mark.parametrize("path", CORE_FILES, ids=module_of)
def test_core_imports_from_below_only(path: Path) -> None:
    assert imported_from_above(path) == []


@pytest.mark.parametrize("part", KNOW_NO_PAGE)
def test_what_keeps_openings_imports_no_page(part: str) -> None:
    found = {module_of(path): pages_imported(path) for path in python_files(part.replace(".", "/"))}
    assert {name: pages for name, pages in found.items() if pages} == {}


def test_no_module_imports_itself_round_about() -> None:
    files = {module_of(path): path for path in python_files("app")}
    found = {name: modules_imported(path, set(files)) for name, path in files.items()}
    assert circles(found) == []


def test_rules_of_ranks_would_notice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.tooling.sources.ROOT", tmp_path)
    path = tmp_path / "app" / "core" / "checks" / "bad.py"
    path.parent.mkdir(parents=True)
    path.write_text(
        "from app.core.trade import sill\ndef f(name):\n    from app.core.record import judge\n"
        "    return __import__('app.core.pages.' + name)\n"
    )
    assert imported_from_above(path) == ["app.core.pages", "app.core.record.judge"]
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}})
    assert circles({"a": {"b"}, "b": {"c"}, "d": {"a"}}) == []


def test_rule_would_notice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A core module that asks the store, at the top or inside a function, is caught."""
    monkeypatch.setattr("tests.tooling.sources.ROOT", tmp_path)
    path = tmp_path / "app" / "core" / "bad.py"
    path.parent.mkdir(parents=True)
    path.write_text(
        "def f():\n    from app.store import log\n    import app.main\n    return log\n"
    )
    assert wrong_imports(path) == ["app.main", "app.store.log"]


def test_nobody_in_the_program_imports_tests() -> None:
    for path in python_files("app", "migrations"):
        assert not any(_within(module, "tests") for module in imports_of(path)), path
