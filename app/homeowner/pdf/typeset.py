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
    """Return a source, with the pictures beside it, as PDF/A-2a and PDF/UA-1.

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
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=asked["fonts"]
    )
    source = Path(asked["source"])
    compiler = typst.Compiler(root=source.parent, font_paths=fonts, ignore_system_fonts=True)
    found = compiler.compile(
        source,
        format="pdf",
        sys_inputs={"data": asked["data"]},
        pdf_standards=["a-2a", "ua-1"],
        timestamp=asked["made"],
    )
    assert isinstance(found, bytes)  # noqa: S101  (a single file in memory was asked for)
    return found


if __name__ == "__main__":
    sys.stdout.buffer.write(_compile(json.loads(sys.stdin.buffer.read())))
