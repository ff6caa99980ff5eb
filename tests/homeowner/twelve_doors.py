"""Twelve doors whose records are looked at: one to eight panels, photos, concessions, revisions.

For tests and the bench only. Drawings by chance of tests/stories/doors.py; all invented.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from app.core.kinds import Json
from app.core.record.judge import asked_points
from app.core.record.state import Step
from app.homeowner import snapshot, view
from app.homeowner.pdf import paper
from app.office.issue import reading
from app.store.photos import FolderPhotos
from tests.bench.record import with_photos
from tests.homeowner.finished import ABOUT, PROCEDURES, Finished, finished, revision_of
from tests.office.excepted_door import Excepted
from tests.procedures.demo_book import PROCEDURES as SHIPPED
from tests.procedures.demo_book import openings
from tests.stories.doors import whole_door

LONG = {
    "address": "1274 North Blackwater Reservoir Road, Building C, Saltgrass-on-the-Water",
    "room": "Great room and covered terrace, lake side, upper level",
    "company": "Quillfen Brothers Architectural Door and Glazing Installers",
}
# panels -> a seed of chance that draws a door that perfect readings of perfect_door.py finish
SEEDS = {1: 0, 2: 60, 3: 60, 4: 0, 5: 0, 6: 0, 7: 0, 8: 0}


class AsAsked(Finished):
    """A book of what its depth asks, and of nothing else."""

    def measure(self, step: Step) -> None:
        """Enter the readings of a step that are asked."""
        asked = asked_points(self.state, step)
        super().measure(Step({**step.data, "points": asked}, step.panel))


@dataclass(frozen=True)
class LookedAt:
    """A door, and how its record is printed."""

    name: str
    opening: Json
    size: str
    lang: str
    units: str
    photos: int = 0
    about: Json = field(default_factory=dict)
    book: type[Finished] = AsAsked
    revisions: int = 1

    @property
    def most(self) -> int:
        """Return how many sheets it may take: 12 at short depth, 20 at full; 6 for 40 photos."""
        at_depth = 12 if self.opening["depth"] == "short" else 20
        return at_depth + (6 if self.photos >= 40 else 0)

    def made(self, folder: Path) -> Json:
        """Return its snapshot; its photos are put into the folder."""
        book = finished(self.opening, self.book)
        events = with_photos(book, folder, self.photos) if self.photos else book.events
        made: Json | None = None
        for number in range(1, self.revisions + 1):
            where = {**ABOUT, **self.about}
            if number > 1:
                where["room"] += f", sheet {number}"
            made = snapshot.make(where, events, {**PROCEDURES, **SHIPPED}, made)
        assert made is not None
        return made

    def revision(self, made: Json) -> view.RecordRevision:
        """Return it as it is shown."""
        return revision_of(made, self.revisions)

    def pdf(self, made: Json, folder: Path) -> bytes:
        """Return its PDF."""
        return paper.make(
            self.revision(made), self.size, self.lang, self.units, FolderPhotos(folder)
        )


class Conceded(Excepted, AsAsked):
    """A door with what is out, conceded in writing, at the depth that is asked."""


def drawn(panels: int) -> Json:
    """Return a drawing with so many panels."""
    terms = reading.Terms("in", [], [])
    for seed in range(SEEDS[panels], SEEDS[panels] + 2000):
        texts = whole_door(Random(seed), 8)
        if sum(name.startswith("panel_") and name.endswith("_kind") for name in texts) != panels:
            continue
        read = reading.read_drawing(texts, terms)
        if not read.problems:
            return read.drawing
    raise AssertionError(f"chance draws no door of {panels} panels")


def doors() -> Iterator[LookedAt]:
    """Yield the twelve."""
    demo = openings()[0]
    short, full = {**demo, "depth": "short"}, {**demo, "depth": "full"}
    for panels in SEEDS:
        opening = {**(short if panels % 2 else full), "drawing": drawn(panels)}
        yield LookedAt(
            f"{panels} panels",
            opening,
            "letter" if panels % 2 else "a4",
            "es" if panels in (3, 6) else "en",
            ("in", "mm", "both")[panels % 3],
        )
    yield LookedAt("40 photos, short", short, "letter", "en", "in", photos=40)
    yield LookedAt("40 photos, full, Spanish, A4", full, "a4", "es", "mm", photos=40)
    yield LookedAt("long names, concessions", full, "letter", "en", "both", 0, LONG, Conceded)
    yield LookedAt("three revisions, Spanish", short, "a4", "es", "in", revisions=3)
