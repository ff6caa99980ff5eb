"""Typesets a source as a PDF, in a process of its own.

The typesetter keeps what it made in memory, some 80 MB for each record and up to a gigabyte. The
process ends and gives it back; meanwhile the office's pages go on.
"""

import json
import subprocess
import sys
import threading
from pathlib import Path

import typst

from app.core.kinds import Json
from app.settings import ROOT

AT_ONCE = threading.BoundedSemaphore(2)


def typeset(source: Path, fonts: list[Path], data: Json, made: int) -> bytes:
    """Return a source, with the pictures beside it, as PDF/A-3a and PDF/UA-1.

    fonts: the folders of those used, no others are. data: what the source is given. made: the
    time that the file says it was made, seconds since 1970. The same input gives the same bytes.

    Errors: subprocess.CalledProcessError where the source is wrong: a mistake of the program.
    """
    asked = {
        "source": str(source),
        "fonts": [str(folder) for folder in fonts],
        "data": json.dumps(data),
        "made": made,
    }
    command = [sys.executable, "-m", __name__]
    with AT_ONCE:
        done = subprocess.run(  # noqa: S603  (our own module, and data on its input)
            command, cwd=ROOT, input=json.dumps(asked).encode(), stdout=subprocess.PIPE, check=True
        )
    return done.stdout


def _compile(asked: Json) -> bytes:
    sheets = _Sheets(asked)
    data = json.loads(asked["data"])
    found = sheets.compiler(_filled(sheets, data) if "breaks" in data else data).compile(
        sheets.source,
        format="pdf",
        pdf_standards=["a-3a", "ua-1"],
        timestamp=asked["made"],
    )
    assert isinstance(found, bytes)  # noqa: S101  (a single file in memory was asked for)
    return found


class _Sheets:
    """A source with its fonts, to be set with one data after the other."""

    def __init__(self, asked: Json) -> None:
        self.source = Path(asked["source"])
        self.fonts = typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=asked["fonts"]
        )

    def compiler(self, data: Json) -> typst.Compiler:
        """Return the typesetter of the source with this data."""
        return typst.Compiler(
            self.source,
            root=self.source.parent,
            font_paths=self.fonts,
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data)},
        )

    def ends(self, data: Json) -> list[float]:
        """Return how far down its sheet each part ends: 0 at the top edge, 1 at the bottom."""
        found = json.loads(self.compiler(data).query("<part>", field="value"))
        return [float(part["share"]) for part in found]


LEAST = 1 / 3  # of a sheet, from its top edge: less than that and it looks forgotten
CLOSER = (0, 1, 2, 3, -1, -2)  # steps by which the lines may stand closer, or further apart


def _filled(sheets: _Sheets, data: Json) -> Json:
    """Return the data with "breaks" and "closer" such that no sheet stays nearly empty.

    The source says in metadata <part> how far down its sheet each part ends. A part that ends near
    the top of one is followed by the next at once; for the last, the lines move a little. That
    moves the ends of the other parts too, so each is looked at again.
    """
    for step in CLOSER:
        trial = {**data, "breaks": list(data["breaks"]), "closer": step}
        ends = sheets.ends(trial)
        for number in range(len(trial["breaks"])):
            if ends[number] < LEAST:
                trial["breaks"][number] = False
                ends = sheets.ends(trial)
        if ends[-1] >= LEAST:
            break
    return trial


if __name__ == "__main__":
    sys.stdout.buffer.write(_compile(json.loads(sys.stdin.buffer.read())))
