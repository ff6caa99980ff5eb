"""The harness can fail: each way in which a file can be wrong under MicroPython is reported."""

import pytest

from tests.parity import __main__ as command
from tests.parity.engine import Engine
from tests.parity.sources import sources, test_names

PATH = "tests/core/test_of_the_harness.py"

# (what is wrong, source, what the report must say)
FAILING = [
    ("an assertion", "def test_sum():\n    assert 1 + 1 == 3\n", ["test_sum", "AssertionError"]),
    (
        "an assertion in a helper of the tests",
        "from tests.core.expect import refused\n"
        "def test_refusal():\n    refused('no-such', int, '1')\n",
        ["test_refusal", "not refused: returned 1", "in refused"],
    ),
    (
        "what only MicroPython lacks",
        "def test_zeros():\n    assert '7'.zfill(3) == '007'\n",
        ["test_zeros", "AttributeError", "assert '7'.zfill(3)"],
    ),
    ("an import that is not there", "import typing\ndef test_a():\n    pass\n", ["ImportError"]),
    ("no test at all", "def helper():\n    pass\n", ["there is no test in it"]),
    ("a test that is gone", "def test_a():\n    pass\ndel test_a\n", ["not there in MicroPython"]),
    ("syntax", "def test_a():\n    match 1:\n        case 1: pass\n", ["SyntaxError"]),
    ("leaving", "import sys\ndef test_a():\n    sys.exit(0)\n", ["SystemExit"]),
    (
        "one of two",
        "def test_good():\n    print('seen')\ndef test_bad():\n    raise ValueError('x')\n",
        ["test_bad", "ValueError: x", "printed:\nseen"],
    ),
]


@pytest.mark.parametrize(("what", "text", "says"), FAILING, ids=[row[0] for row in FAILING])
def test_failure_is_reported(second: Engine, what: str, text: str, says: list[str]) -> None:
    report = second.run(PATH, text).report
    for words in says:
        assert words in report, f"{what}: {report}"


def test_a_good_file_reports_nothing(second: Engine) -> None:
    result = second.run(PATH, "def test_a():\n    assert 2**70 == 1180591620717411303424\n")
    assert result.report == ""
    assert [name for name, _, _ in result.tests] == ["test_a"]


def test_it_is_micropython_that_runs(second: Engine) -> None:
    text = "import sys\ndef test_a():\n    assert sys.implementation.name == 'micropython'\n"
    assert second.run(PATH, text).report == ""


def test_a_failure_in_the_core_names_its_file_and_line(second: Engine) -> None:
    text = "from app.core.order import sort_by\ndef test_a():\n    sort_by([1, 'a'], str.lower)\n"
    assert "app/core/order.py" in second.run(PATH, text).report


def test_a_test_that_never_ends_is_stopped_and_the_next_file_runs(second: Engine) -> None:
    endless = second.run(PATH, "def test_a():\n    while True:\n        pass\n", limit_ms=1500)
    assert "stopped after 1500 ms" in endless.report
    assert second.run(PATH, "def test_a():\n    pass\n").report == ""


def test_files_do_not_see_what_other_files_left(second: Engine) -> None:
    second.run(PATH, "import app.core.order as o\ndef test_a():\n    o.left = 1\n")
    text = "import app.core.order as o\ndef test_a():\n    assert not hasattr(o, 'left')\n"
    assert second.run(PATH, text).report == ""


def test_sources_hold_the_core_and_its_tests_and_nothing_else() -> None:
    for path in sources():
        inside = path.startswith(("app/core/", "tests/core/"))
        assert inside or path in ("app/__init__.py", "tests/__init__.py")
    assert "app/core/order.py" in sources()


def test_names_are_those_at_the_top_in_order() -> None:
    text = "def test_b(): pass\nclass A:\n    def test_c(self): pass\ndef test_a(): pass\n"
    assert test_names(text) == ["test_b", "test_a"]


def test_an_unknown_file_is_said(second: Engine) -> None:
    with pytest.raises(FileNotFoundError, match="is not a test file"):
        second.run("tests/core/test_that_nobody_wrote.py")


def test_command_prints_a_failing_result(
    second: Engine, capsys: pytest.CaptureFixture[str]
) -> None:
    command.shown(second.run(PATH, FAILING[0][1]))
    out = capsys.readouterr().out
    for words in ("FAILED", f"{PATH}::test_sum", "AssertionError"):
        assert words in out
