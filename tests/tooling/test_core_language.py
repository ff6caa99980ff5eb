"""The core keeps to the language that both interpreters speak alike."""

from pathlib import Path

import pytest

from tests.tooling.core_language import KINDS, offences, offences_of

ROOT = Path(__file__).resolve().parents[2]

GOOD = [
    "import json\nimport hashlib\nfrom app.core.order import sort_by\nimport app.core.errors",
    "sorted([2, 1])\n[2].sort()\nmin(rows, key=len)",
    "a, *b = [1, 2]\nf(*a, **b)",
    "x[1:2]\nreversed(x)",
    "f'{n:02d} {m!r} {k:>4}'",
    "n % 3\nx.title\nx.center",
    "class A(Exception):\n    def f(self, a: 'int | None' = None, *, b: str) -> str: ...",
    "isinstance(x, (int, str))",
    "hashlib.sha256(b'')\nmath.floor(1)",
    "'a b'.split(' ', 1)",
]

BAD = [
    ("from typing import Any", "import of typing"),
    ("import os.path", "import of os.path"),
    ("from app.store import tables", "import of app.store"),
    ("from . import words", "import of ."),
    ("import app.corely", "import of app.corely"),
    ("from dataclasses import dataclass", "import of dataclasses"),
    ("sorted(x, key=len)", "sorted with key"),
    ("x.sort(key=len)", "sort with key"),
    ("round(2.5)", "round"),
    ("f'{x:.1f}'", "format of a float"),
    ("f'{x:{w}.{p}f}'", "format of a float"),
    ("f'{x:g}'", "format of a float"),
    ("'%.1f' % x", "%-formatting"),
    ("'%s' % (x,)", "%-formatting"),
    ("'{:.1f}'.format(x)", "str.format"),
    ("match x:\n    case 1:\n        pass", "match"),
    ("[*a, 1]", "* in a display"),
    ("x = (*a, 1)", "* in a display"),
    ("{*a}", "* in a display"),
    ("def f():\n    return *a, 1", "* in a display"),
    ("{**a}", "** in a display"),
    ("def f(a, /): pass", "positional-only"),
    ("lambda a, /: a", "positional-only"),
    ("x[::-1]", "slice with a step"),
    ("x[1:2, ::2]", "slice with a step"),
    ("class A(B, C): pass", "more than one base"),
    ("class A(metaclass=B): pass", "class with keywords"),
    ("@thing\nclass A: pass", "a decorated class"),
    ("text.isdigit()", "ASCII only"),
    ("text.isalpha()", "ASCII only"),
    ("text.zfill(3)", "no .zfill()"),
    ("a.b.casefold()", "no .casefold()"),
    ("(5).bit_length()", "no .bit_length()"),
    ("zip(a, b, strict=True)", "zip with strict"),
    ("'a b'.split(maxsplit=1)", "no keywords"),
    ("math.isqrt(4)", "no math.isqrt"),
    ("hashlib.sha512(b'')", "no hashlib.sha512"),
    ("isinstance(x, int | str)", "isinstance with |"),
    ("try:\n    pass\nexcept RecursionError:\n    pass", "no RecursionError"),
    ("try:\n    pass\nexcept* ValueError:\n    pass", "except*"),
    ("async def f(): pass", "async"),
    ("print('x')", "neither reads nor writes"),
    ("open('x')", "neither reads nor writes"),
    ("def f():\n    global x\n    x = 1", "global"),
]


@pytest.mark.parametrize("text", GOOD)
def test_allowed(text: str) -> None:
    assert offences_of(text) == []


@pytest.mark.parametrize(("text", "reason"), BAD, ids=[row[0] for row in BAD])
def test_refused(text: str, reason: str) -> None:
    assert any(reason in why for _, why in offences_of("\n\n" + text)), offences_of(text)
    assert all(line >= 3 for line, _ in offences_of("\n\n" + text))


def test_only_the_names_for_annotations_may_ask_for_typing() -> None:
    assert offences_of("from typing import Any", KINDS) == []
    assert offences_of("from typing import Any", "app/core/quantity/messages.py")


def test_files_are_named(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "x.py").write_text("a = 1\nb = round(a)\n")
    wanted = "deep/x.py:2: round: use app.core.quantity.units.half_up"
    assert offences(tmp_path, tmp_path) == [wanted]


def test_the_core_keeps_to_its_language() -> None:
    assert "\n".join(offences(ROOT / "app" / "core", ROOT)) == ""
