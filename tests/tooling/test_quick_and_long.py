"""What `make quick` chooses, what `make long` notes, and that nothing is in neither."""

import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests import long, quick

ROOT = Path(__file__).resolve().parents[2]
TESTS = {
    "tests/sync/test_push.py": "from app.sync import rules, reasons\n",
    "tests/sync/test_pull.py": "from app.store import news\n",
    "tests/office/test_board.py": "from app.office.board import (\n    desk,\n    finding,\n)\n",
    "tests/store/test_log.py": "import app.sync.rules_of_old\n",
    "tests/faults/test_pull.py": "from app.sync.rules import taken\n",
    "tests/core/test_order.py": "from app.core import order\n",
}


@pytest.mark.parametrize(
    ("changed", "chosen"),
    [
        ("app/sync/rules.py", ["tests/sync/test_push.py"]),
        ("app/store/news.py", ["tests/sync/test_pull.py"]),
        ("app/office/board/finding.py", ["tests/office/test_board.py"]),
        ("app/core/order.py", []),  # the core's tests run always
        ("tests/faults/test_pull.py", ["tests/faults/test_pull.py"]),
        ("templates/base.html", list(quick.PAGES)),
        ("README.md", []),
    ],
)
def test_what_is_chosen_for_a_change(changed: str, chosen: list[str]) -> None:
    assert quick.tests_of([changed], TESTS) == [*chosen, *quick.ALWAYS]


def test_what_always_runs_is_there() -> None:
    assert [path for path in (*quick.ALWAYS, *quick.PAGES) if not (ROOT / path).exists()] == []


def test_a_line_says_when_and_on_what_it_was_green() -> None:
    now = datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
    line = long.green_line(now, "0123456789ab", 1810, ["tests marked long", "2 stories"])
    assert line == "2026-03-02 08:05 UTC  0123456789ab  30 min  tests marked long, 2 stories\n"


def test_what_the_quick_ones_leave_out_is_what_the_long_ones_run() -> None:
    """`make test` runs all that is not marked, `make long` all that is."""
    options = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["pytest"]
    assert "-m 'not long'" in options["ini_options"]["addopts"]
    words = long.parts(1, 1)["tests marked long"]
    assert words[-2:] == ["-m", "long"]


def test_a_part_of_the_long_ones_can_be_left_out() -> None:
    assert len(long.parts(2, 2, kills=2, soak=1)) == long.PARTS
    assert list(long.parts(2, 0, tests=False)) == ["2 schedules of chance"]
    assert list(long.parts(0, 3, tests=False)) == ["3 stories of chance"]
