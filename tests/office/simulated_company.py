"""A company whose truth is known: doors of chance as they are learned, and each fact by itself.

For tests and benches. Every fact is noted one by one as it is drawn, in plain lists, so that shares
and medians can be worked out by another library.
"""

import random
from collections import defaultdict
from dataclasses import dataclass, field

from sqlmodel import Session

from app.store import learning, lessons
from app.store.learned_tables import LearnedDoor
from app.store.lessons import DoorLessons, Key, Lesson
from app.store.tables import Crew, Job, Opening

INCH = 25_400_000
BUILDERS = ("Fennick Timber Frames", "Ellory Harbor Builders", "")


@dataclass
class Truth:
    """Each fact by itself. checks: (month, crew, step, check, within at first)."""

    doors: list[tuple[str, str]] = field(default_factory=list)
    checks: list[tuple[str, str, str, str, bool]] = field(default_factory=list)
    outs: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    times: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    floors: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    gaps: list[tuple[int, bool]] = field(default_factory=list)


class SimulatedCompany:
    """Doors of so many crews over a year, by checks and steps of a procedure."""

    def __init__(self, procedure: dict[str, list[str]], crews: int, seed: int = 1) -> None:
        """procedure: step -> its checks."""
        self.procedure = procedure
        self.crews = [f"crew-{n:02}" for n in range(crews)]
        self.chance = random.Random(seed)
        self.truth = Truth()

    def door(self, n: int) -> tuple[str, DoorLessons]:
        """Return the job and the lessons of one more door."""
        chance, truth = self.chance, self.truth
        month, crew = f"2026-{n % 12 + 1:02}", chance.choice(self.crews)
        at = n % len(BUILDERS)
        found: dict[Key, Lesson] = {(lessons.DOOR, "", "", ""): Lesson(1, 0)}
        truth.doors.append((month, crew))
        for step, checks in self.procedure.items():
            for check in checks:
                self._judge(found, month, crew, step, check)
            minutes = int(chance.lognormvariate(5, 1))
            truth.times[step].append(minutes)
            found[lessons.TIME, step, "", ""] = Lesson(1, 0, [minutes])
        gap = found[lessons.GAP, "", "", ""] = Lesson()
        for _ in range(4):
            off = int(chance.gauss(0, INCH / 40))
            truth.gaps.append((off, near := abs(off) < INCH // 32))
            gap.count, gap.good = gap.count + 1, gap.good + near
            gap.sizes.append(off)
        floor = int(abs(chance.gauss(0, (at + 1) * INCH / 8)))
        truth.floors[BUILDERS[at]].append(floor)
        return f"job-{at}", DoorLessons(month, crew, floor, floor > INCH // 4, found)

    def _judge(
        self, found: dict[Key, Lesson], month: str, crew: str, step: str, check: str
    ) -> None:
        within = self.chance.random() < 0.9
        self.truth.checks.append((month, crew, step, check, within))
        found[lessons.CHECK, step, check, ""] = Lesson(1, int(within))
        total = found.setdefault((lessons.CHECKS, "", "", ""), Lesson())
        total.count, total.good = total.count + 1, total.good + within
        if not within:
            size = self.chance.randrange(1, INCH)
            self.truth.outs[check].append(size)
            found[lessons.OUT_BY, step, check, "length"] = Lesson(1, 1, [size])

    def keep(self, session: Session, count: int) -> None:
        """Put crews, jobs, openings and so many doors into a database."""
        for crew in self.crews:
            session.add(Crew(id=crew, name=crew.replace("crew", "Crew")))
        for at, builder in enumerate(BUILDERS):
            session.add(Job(id=f"job-{at}", title=f"Job {at}", address="-", builder=builder))
        session.flush()
        made = [(f"learned-{n:06}", *self.door(n)) for n in range(count)]
        rows = [{"id": id, "job": job, "letter": "A", "room": ""} for id, job, _ in made]
        session.connection().execute(Opening.__table__.insert(), rows)  # type: ignore[attr-defined]
        learning.keep_doors(session, {id: kept_door(id, job, one) for id, job, one in made})


def kept_door(opening: str, job: str, taught: DoorLessons, seq: int = 1) -> LearnedDoor:
    """Return a door as it is kept."""
    return LearnedDoor(
        opening=opening, seq=seq, month=taught.month, crew=taught.crew, job=job,
        floor=taught.floor, floor_out=taught.floor_out, facts=learning.facts_text(taught.lessons),
    )  # fmt: skip
