"""The typesetter works in a process of its own, which ends: the office keeps none of its memory."""

import os
import subprocess
from pathlib import Path

import pytest

from app.core.kinds import Json
from app.homeowner.pdf import letters
from app.homeowner.pdf.typeset import LEAST, _filled, typeset

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


class LinesThatMove:
    """Three parts: the last ends too high until lines stand closer, and then the first one does."""

    def ends(self, data: Json) -> list[float]:
        """Return how far down its sheet each part ends."""
        closer, joined = data["closer"], not data["breaks"][0]
        first = 0.35 - 0.05 * closer
        return [first, first + 0.5 if joined else 0.5, 0.2 if closer == 0 else 0.6]


def test_lines_that_move_leave_no_other_part_nearly_empty() -> None:
    sheets = LinesThatMove()
    data = _filled(sheets, {"breaks": [True, True], "closer": 0})  # type: ignore[arg-type]
    for end, breaks in zip(sheets.ends(data), [*data["breaks"], True], strict=True):
        assert end >= LEAST or not breaks
