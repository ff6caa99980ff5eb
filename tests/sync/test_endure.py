"""The long runs of `python -m tests.endure`, in short; and that they notice a loss."""

import sqlite3
from pathlib import Path

import pytest

from tests import endure

pytestmark = pytest.mark.sqlite


@pytest.mark.long
def test_a_few_kills_and_a_short_soak(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    endure.kill_again_and_again(tmp_path / "kills", 3, 1)
    endure.soak(tmp_path / "soak", 3, 0.05, 0.3)
    said = capsys.readouterr().out
    assert "3 SIGKILLs" in said
    assert "all books alike" in said


def test_a_loss_is_noticed(tmp_path: Path) -> None:
    [phone] = endure.prepared(tmp_path, 1)
    phone.tick("op-0")
    endure.must_be_whole(tmp_path)
    with sqlite3.connect(tmp_path / "sillbook.db") as plain:
        for (name,) in plain.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'"):
            plain.execute(f"DROP TRIGGER {name}")
        plain.execute("UPDATE event SET body = replace(body, 'op-3', 'op-4')")
    with pytest.raises(endure.LossError):
        endure.must_be_whole(tmp_path)
