"""How many sheets a record takes: python -m tests.bench.sheets [FOLDER: the PDFs are kept there]

Doors from delivery to acceptance: those of tests/homeowner/twelve_doors.py. Aims: 12 sheets at
short depth, 20 at full depth, 6 more with 40 photos; no sheet with less than a third on it.
"""

import io
import sys
import tempfile
from pathlib import Path

from pypdf import PdfReader

from tests.homeowner.twelve_doors import doors


def main() -> None:
    """Print the counts."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    for door in doors():
        with tempfile.TemporaryDirectory() as kept:
            pdf = door.pdf(door.made(Path(kept)), Path(kept))
        count, size = len(PdfReader(io.BytesIO(pdf)).pages), len(pdf) / 1e6
        print(f"{door.name:30} {count:3} of {door.most} sheets {size:6.2f} MB", flush=True)
        if folder is not None:
            (folder / (door.name.replace(", ", "-").replace(" ", "-") + ".pdf")).write_bytes(pdf)


if __name__ == "__main__":
    main()
