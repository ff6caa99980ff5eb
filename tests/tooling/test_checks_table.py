"""The table of checks is what the tests say, and every calculation is checked from outside."""

import sys
from pathlib import Path

import pytest

from app.calculations.registry import CALCULATIONS
from tests import checks_table
from tests.core import golden

OUTSIDE = ("published", "restated", "independent library")


@pytest.fixture(scope="module")
def made() -> str:
    return checks_table.table()


def test_table_is_up_to_date(made: str) -> None:
    kept = checks_table.TABLE.read_text(encoding="utf-8")
    assert made == kept, "run: python -m tests.checks_table --write"


@pytest.mark.parametrize("name", [made.name for made in CALCULATIONS])
def test_every_calculation_has_a_source_outside(made: str, name: str) -> None:
    assert f"\n## {name}\n" in made, "no golden row"
    section = made.partition(f"\n## {name}\n")[2].partition("\n## ")[0]
    assert any(f"| {status} |" in section for status in OUTSIDE)


def test_a_row_that_does_not_agree_fails() -> None:
    before = len(golden.ROWS)
    with pytest.raises(AssertionError):
        golden.checks("fit", "what", 5, 6, "a source", "published")
    with pytest.raises(AssertionError):
        golden.checks("fit", "what", 5, 5, "a source", "hearsay")
    with pytest.raises(AssertionError):
        golden.checks("fit", "what", 5, 5, "", "published")
    assert len(golden.ROWS) == before


def test_agreement_is_by_kind_and_tolerance() -> None:
    assert golden.agrees(1.0, 1.05, 0.05000001)
    assert not golden.agrees(1.0, 1.06, 0.05)
    assert not golden.agrees(True, 1, 0)
    assert not golden.agrees([1, 2], [1], 0)
    assert golden.agrees(["a", 2], ["a", 2], 0)


def test_lengths_in_the_table() -> None:
    assert checks_table._length(4762500) == "3/16 in"
    assert checks_table._length(-34925000) == "-1 3/8 in"
    assert checks_table._length(900000) == "0.9 mm"
    assert checks_table._length(304800000) == "12 in"


def test_drift_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    changed = tmp_path / "CHECKS.md"
    changed.write_text("something else")
    monkeypatch.setattr(checks_table, "TABLE", changed)
    monkeypatch.setattr(checks_table, "table", lambda: "the truth")
    assert checks_table.main([]) == 1
    assert checks_table.main(["--write"]) == 0
    assert checks_table.main([]) == 0
    assert "tests.checks_table" in sys.modules


def test_a_row_of_no_calculation_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    row = ("the-answer", "what", 1, 1, 0, "", "a source", "published")
    monkeypatch.setattr(checks_table, "rows", lambda: [("tests/x.py::test_x", row)])
    with pytest.raises(ValueError, match="the-answer"):
        checks_table.table()
