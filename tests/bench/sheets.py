"""How many sheets a record takes: python -m tests.bench sheets [FOLDER: the PDFs are kept there]

Doors of the demo from delivery to acceptance. Aims: 12 sheets at short depth, 20 at full depth, 6
more with 40 photos; no sheet with less than a third on it, but the last of a part.
"""

import io
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from pypdf import PdfReader

from app.core.kinds import Json
from app.core.record.judge import asked_points
from app.core.record.state import Step
from app.homeowner import snapshot
from app.homeowner.pdf import paper
from tests.bench.record import with_photos
from tests.homeowner.finished import ABOUT, PROCEDURES, Finished, finished, revision_of
from tests.procedures.demo_book import PROCEDURES as SHIPPED
from tests.procedures.demo_book import openings

LONG = {
    "address": "1274 North Blackwater Reservoir Road, Building C, Saltgrass-on-the-Water",
    "room": "Great room and covered terrace, lake side, upper level",
    "company": "Quillfen Brothers Architectural Door and Glazing Installers",
}


class AsAsked(Finished):
    """A book of what its depth asks, and of nothing else."""

    def measure(self, step: Step) -> None:
        """Enter the readings of a step that are asked."""
        asked = asked_points(self.state, step)
        super().measure(Step({**step.data, "points": asked}, step.panel))


def cases() -> Iterator[tuple[str, Json, str, str, str, int, Json]]:
    """Yield (name, opening, paper, language, units, photos, what is otherwise said of it)."""
    demo = openings()[0]
    short, full = {**demo, "depth": "short"}, {**demo, "depth": "full"}
    yield "short depth", short, "letter", "en", "in", 0, {}
    yield "full depth", full, "letter", "en", "in", 0, {}
    yield "full depth, A4, both units", full, "a4", "en", "both", 0, {}
    yield "short depth, Spanish, A4", short, "a4", "es", "mm", 0, {}
    yield "short depth, 40 photos", short, "letter", "en", "in", 40, {}
    yield "full depth, 40 photos", full, "letter", "en", "in", 40, {}
    yield "short depth, long names", short, "letter", "en", "in", 0, LONG


def main() -> None:
    """Print the counts."""
    folder = Path(sys.argv[-1]) if len(sys.argv) > 2 else None
    books: dict[str, Finished] = {}
    with tempfile.TemporaryDirectory() as kept:
        for name, opening, size, lang, units, photos, about in cases():
            if opening["depth"] not in books:
                books[opening["depth"]] = finished(opening, AsAsked)
            book = books[opening["depth"]]
            events = with_photos(book, Path(kept), photos) if photos else book.events
            made = snapshot.make({**ABOUT, **about}, events, {**PROCEDURES, **SHIPPED})
            pdf = paper.make(revision_of(made), size, lang, units, Path(kept))
            pages = PdfReader(io.BytesIO(pdf)).pages
            print(f"{name:34} {len(pages):3} sheets {len(pdf) / 1e6:6.2f} MB", flush=True)
            if folder is not None:
                (folder / (name.replace(", ", "-").replace(" ", "-") + ".pdf")).write_bytes(pdf)


if __name__ == "__main__":
    main()
