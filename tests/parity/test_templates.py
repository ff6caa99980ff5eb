"""The phone's pages are the server's pages, byte for byte, in a real browser.

Every template of the field, with every context that the tests meet and some made from them, is
rendered by Jinja2 here and by the compiled templates in MicroPython there.
"""

import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from fastapi.testclient import TestClient
from jinja2 import nodes

from app.core.placing import PlacingError
from app.field.bundle import core_sources as bundled
from app.main import create_app
from app.settings import Settings
from app.templating.compiler import Family, module_of
from tests.parity import contexts
from tests.parity.contexts import Case
from tests.parity.engine import Engine
from tests.parity.guessed import guessed
from tests.parity.pages import by_jinja, catalog_of, differences

DEMO_PAGES = 45
GUESSES = 16  # for each template


@pytest.fixture(scope="module")
def code() -> dict[str, str]:
    """What a phone carries."""
    return bundled()


@pytest.fixture(scope="module")
def catalog() -> dict[str, str]:
    return catalog_of(contexts.literals(Family()))


@pytest.fixture(scope="module")
def met(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> list[contexts.Met]:
    """Every context that samples, walks, the core's tests and the demo's pages meet."""
    data = tmp_path_factory.mktemp("pages") / "data"
    shutil.copytree(demo_data, data)
    with TestClient(create_app(Settings(data))) as client:
        demo = list(contexts.of_demo(client.app, DEMO_PAGES))
    assert len(demo) > DEMO_PAGES / 2
    return contexts.distinct(
        [*contexts.of_samples(), *contexts.of_walks(), *contexts.of_core_tests(), *demo]
    )


@pytest.fixture(scope="module")
def every(met: list[contexts.Met]) -> list[Case]:
    """What was met, what is made from it, and what the templates themselves ask for."""
    made = guessed(Family(), GUESSES)
    return contexts.cases(met) + [
        (name, context, contexts.SPEAKERS[at % 4]) for at, (name, context) in enumerate(made)
    ]


def test_pages_are_the_same_bytes(
    second: Engine, code: dict[str, str], every: list[Case], catalog: dict[str, str]
) -> None:
    assert differences(second, code, every, catalog) == []


def test_every_page_is_met_and_enough_of_it_is_sound(
    every: list[Case], catalog: dict[str, str]
) -> None:
    """No page of the field is left out, and not all that is made fails in both."""
    shown = {case[0] for case in every if not by_jinja(case, catalog)[1]}
    family = Family()
    extending = {name for name in family.trees if list(family.trees[name].find_all(nodes.Extends))}
    assert shown >= extending
    failed = [case for case in every if by_jinja(case, catalog)[1]]
    assert len(every) / 50 < len(failed) < len(every) / 3


# what is wrong, where, what stands there, what stands there instead (everywhere)
MUTANTS = [
    ("another escape", "app/core/placing.py", '"&#39;"', '"&#x27;"'),
    ("escaped twice", "app/core/placing.py", "return escaped(thing)", "return escaped('&')"),
    ("a literal changed", "pages/base.py", "<footer class=", "<footer  class="),
    ("a literal not translated", "pages/base.py", 'say("Skip to the work")', '"Skip to the work"'),
    ("a condition turned round", "pages/field_check.py", 'if context["check"]["asks"]', "if 0"),
    ("another condition", "pages/field_signing.py", 'if context["bars"]', 'if not context["bars"]'),
    ("a loop cut short", "pages/pieces.py", 'each(v_form["hidden"])', 'each(v_form["hidden"][1:])'),
    ("another field shown", "pages/field_reading.py", '["value"]', '["place"]'),
    ("a line lost", "pages/field_picture.py", 'put("</svg>\\n")', 'put("</svg>")'),
    ("undefined let pass", "app/core/placing.py", "return Gone(name)", 'return {"word": ""}'),
]


LATER = ("escaped twice", "a condition turned round", "another condition", "another field shown")


@pytest.mark.parametrize(
    ("what", "path", "old", "new"),
    [
        pytest.param(*row, id=row[0], marks=[pytest.mark.long] * (row[0] in LATER))
        for row in MUTANTS
    ],
)
def test_a_wrong_template_is_seen(
    second: Engine,
    code: dict[str, str],
    catalog: dict[str, str],
    what: str,
    path: str,
    old: str,
    new: str,
) -> None:
    assert old in code[path]
    wrong = {**code, path: code[path].replace(old, new)}
    cases = [(name, context, "hostile") for name, context in contexts.of_samples()]
    point = next(context for name, context, _ in cases if name == "field/point.html")
    bare = {**without_badges(point), "checks": [], "waiting": []}  # these ask what the badge is
    cases.append(("field/point.html", bare, "plain"))
    assert differences(second, wrong, cases, catalog, first=True) != []


def without_badges(thing: Any) -> Any:
    """Return a context that lacks what a macro is handed: a mistake in both."""
    if isinstance(thing, dict):
        return {key: without_badges(value) for key, value in thing.items() if key != "badge"}
    return [without_badges(value) for value in thing] if isinstance(thing, list) else thing


def test_every_line_of_every_template_is_reached(
    code: dict[str, str],
    every: list[Case],
    catalog: dict[str, str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No branch of a template goes without a context. Run here, where lines can be counted."""
    for path, text in code.items():
        if path.startswith("pages/"):
            (tmp_path / path).parent.mkdir(exist_ok=True)
            (tmp_path / path).write_text(text, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    reached = set(lines_reached(str(tmp_path), every, catalog))
    for name in [name for name in sys.modules if name.partition(".")[0] == "pages"]:
        monkeypatch.delitem(sys.modules, name)
    missed = []
    for path in sorted(tmp_path.rglob("*.py")):
        wanted = lines_of(compile(path.read_text(encoding="utf-8"), str(path), "exec"), top=True)
        lines = path.read_text(encoding="utf-8").splitlines()
        left = sorted(wanted - {number for file, number in reached if file == str(path)})
        missed += [f"{path.name}:{line}: {lines[line - 1].strip()}" for line in left]
    assert [line for line in missed if not ONLY_AS_PAGE.search(line)] == []


# A template that is included or imported is never a page of its own; pages of the field all name
# their own home.
ONLY_AS_PAGE = re.compile(
    r": (put\(\"/\"\)$|out ?= ?\[\]|root\(out\.append|return \"\"\.join|pass)"
)


def lines_of(made: CodeType, top: bool = False) -> set[int]:
    """Return the lines of all functions in a module's code."""
    found = set() if top else {line for _, _, line in made.co_lines() if line}
    found -= {made.co_firstlineno}
    for inside in made.co_consts:
        if isinstance(inside, CodeType):
            found |= lines_of(inside)
    return found


def lines_reached(
    folder: str, cases: list[Case], catalog: dict[str, str]
) -> Iterator[tuple[str, int]]:
    """Render the cases with the compiled templates here; yield (file, line) that were run."""
    found: set[tuple[str, int]] = set()

    def on_line(frame: FrameType, event: str, _: object) -> Any:
        found.add((frame.f_code.co_filename, frame.f_lineno))
        return on_line

    def on_call(frame: FrameType, event: str, _: object) -> Any:
        return on_line if frame.f_code.co_filename.startswith(folder) else None

    before = sys.gettrace()
    sys.settrace(on_call)
    try:
        for case in cases:
            rendered_here(case, catalog)
    finally:
        sys.settrace(before)
    yield from found


def rendered_here(case: Case, catalog: dict[str, str]) -> str:
    """Return a page of the compiled templates under CPython; "" where its context is wrong."""
    template, context, _ = case
    page: Any = __import__(f"pages.{module_of(template)}", None, None, ["render"])
    try:
        return str(page.render(context, lambda text: catalog.get(text, text)))
    except (KeyError, TypeError, IndexError, PlacingError):
        return ""
