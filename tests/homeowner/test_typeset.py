"""The typesetter works in a process of its own, which ends: the office keeps none of its memory."""

import os
import subprocess
from pathlib import Path

import pytest

from app.homeowner.pdf import letters
from app.homeowner.pdf.typeset import typeset

SOURCE = """#set document(title: "Test", date: datetime(year: 2026, month: 3, day: 2))
#json(bytes(sys.inputs.data)).words
"""


def page(folder: Path, text: str) -> bytes:
    source = folder / "source.typ"
    source.write_text(text, "utf-8")
    return typeset(source, list(letters.FOLDERS), {"words": "Sill"}, 1_700_000_000)


def test_work_is_done_by_another_process_and_twice_the_same(tmp_path: Path) -> None:
    before = os.times()
    first = page(tmp_path, SOURCE)
    after = os.times()
    assert first.startswith(b"%PDF-")
    assert after.children_user + after.children_system > before.children_user + (
        before.children_system
    )
    assert page(tmp_path, SOURCE) == first


def test_wrong_source_ends_that_process_only(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(subprocess.CalledProcessError):
        page(tmp_path, "#missing-from-everything()")
    assert "missing-from-everything" in capfd.readouterr().err
