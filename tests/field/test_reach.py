"""What a module needs, and what that needs in turn."""

from app.field.bundle import ROOT, core_sources
from app.field.reach import reached_sources

SOURCES = {
    "a/__init__.py": "",
    "a/b.py": "import json\nfrom a.c import x\n",
    "a/c.py": "def f():\n    from a import d\n    return __import__('a.p.' + name)\n",
    "a/d.py": "import a.b",
    "a/e.py": "",
    "a/p/__init__.py": "",
    "a/p/one.py": "import a.q.deep",
    "a/p/two.py": "",
    "a/q/__init__.py": "import a.f",
    "a/q/deep.py": "",
    "a/f.py": "",
}


def test_what_is_imported_anywhere_is_reached_and_its_packages() -> None:
    assert reached_sources(["a/b.py"], SOURCES) == set(SOURCES) - {"a/e.py"}


def test_what_nobody_imports_is_not() -> None:
    assert reached_sources(["a/e.py"], SOURCES) == {"a/e.py", "a/__init__.py"}


def test_the_phone_gets_every_page_of_the_core() -> None:
    paths = set(core_sources())
    for folder in ("pages", "checks", "where"):
        for path in (ROOT / "app" / "core" / folder).glob("*.py"):
            assert path.relative_to(ROOT).as_posix() in paths
