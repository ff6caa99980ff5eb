"""What the months add up to, for the months and the crew that are asked for.

Times are of all crews together, whichever crew is asked for: a crew may be one person, and no
person is held against the clock.
"""

from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.store.learned_tables import LearnedDoor, LearnedMonth
from app.store.learning import ALL_CREWS, Month, sizes_in
from app.store.lessons import CHECK, CHECKS, DOOR, TIME, Lesson
from app.store.tables import Job

_CELL = (LearnedMonth.count, LearnedMonth.good)


@dataclass(frozen=True)
class AskedMonths:
    """Months from the first to the last, "" for open; a crew's id, "" for all."""

    first: str = ""
    last: str = ""
    crew: str = ""

    def months(self, table: Any) -> list[Any]:
        """Return what the months of a table's rows must fit."""
        out: list[Any] = [col(table.month) != ""]
        if self.first:
            out.append(col(table.month) >= self.first)
        if self.last:
            out.append(col(table.month) <= self.last)
        return out


@dataclass
class BuilderFloors:
    """The sill beds that one builder left: how many, how many out, highest to lowest of each."""

    builder: str
    count: int = 0
    out: int = 0
    sizes: list[int] = field(default_factory=list)


@dataclass
class DoorFigures:
    """All that is shown: sums by what was counted, checks by month and by crew, builders' floors.

    months: (month, doors, checks judged, within at first). crews: (id, the same).
    """

    sums: Month
    months: list[tuple[str, Lesson, Lesson]]
    crews: list[tuple[str, Lesson, Lesson]]
    floors: list[BuilderFloors]

    def of_kind(self, kind: str) -> list[tuple[str, str, str, Lesson]]:
        """Return (step, name, way, sum) of a kind, by step and name."""
        return [(*key[1:], one) for key, one in sorted(self.sums.items()) if key[0] == kind]

    def total(self, kind: str) -> Lesson:
        """Return a kind's count and good over all it was counted of."""
        rows = self.of_kind(kind)
        return Lesson(sum(one.count for *_, one in rows), sum(one.good for *_, one in rows))

    def checks_by_step(self) -> dict[str, Lesson]:
        """Return step -> its checks, how many judged and how many within at first."""
        out: dict[str, Lesson] = {}
        for step, _, _, one in self.of_kind(CHECK):
            kept = out.setdefault(step, Lesson())
            kept.count, kept.good = kept.count + one.count, kept.good + one.good
        return out


def figures_of(session: Session, asked: AskedMonths) -> DoorFigures:
    """Return the figures of what is asked for."""
    return DoorFigures(
        _sums_of(session, asked),
        _checks_by(session, asked, LearnedMonth.month),
        _checks_by(session, asked, LearnedMonth.crew),
        _floors_of(session, asked),
    )


def _sums_of(session: Session, asked: AskedMonths) -> Month:
    """Return the sums of a crew, with the times of all crews."""
    sums = _sums_where(session, asked, LearnedMonth.crew == (asked.crew or ALL_CREWS))
    if asked.crew:
        sums = {key: one for key, one in sums.items() if key[0] != TIME}
        all_crews = (LearnedMonth.crew == ALL_CREWS, LearnedMonth.kind == TIME)
        sums |= _sums_where(session, asked, *all_crews)
    return sums


def _sums_where(session: Session, asked: AskedMonths, *conditions: Any) -> Month:
    keys = (LearnedMonth.kind, LearnedMonth.step, LearnedMonth.name, LearnedMonth.way)
    sizes = func.aggregate_strings(col(LearnedMonth.sizes), " ")
    wanted = select(*keys, *map(func.sum, _CELL), sizes)  # type: ignore[call-overload]
    wanted = wanted.where(*asked.months(LearnedMonth), *conditions).group_by(*keys)
    return {
        tuple(key): Lesson(count, good, sorted(sizes_in(text or "")))
        for *key, count, good, text in session.connection().execute(wanted)
    }


def _checks_by(
    session: Session, asked: AskedMonths, column: Any
) -> list[tuple[str, Lesson, Lesson]]:
    """Return (value of the column, doors, checks) in the column's order."""
    wanted = select(column, LearnedMonth.kind, *map(func.sum, _CELL))  # type: ignore[call-overload]
    wanted = wanted.where(*asked.months(LearnedMonth), col(LearnedMonth.kind).in_((DOOR, CHECKS)))
    mine = LearnedMonth.crew == asked.crew if asked.crew else LearnedMonth.crew != ALL_CREWS
    wanted = wanted.where(mine).group_by(column, LearnedMonth.kind)
    out: dict[str, dict[str, Lesson]] = {}
    for value, kind, count, good in session.connection().execute(wanted):
        out.setdefault(value, {})[kind] = Lesson(count, good)
    return [
        (value, kinds.get(DOOR, Lesson()), kinds.get(CHECKS, Lesson()))
        for value, kinds in sorted(out.items())
    ]


def _floors_of(session: Session, asked: AskedMonths) -> list[BuilderFloors]:
    wanted = select(LearnedDoor.job, LearnedDoor.floor, LearnedDoor.floor_out).where(
        *asked.months(LearnedDoor), col(LearnedDoor.floor).is_not(None)
    )
    if asked.crew:
        wanted = wanted.where(LearnedDoor.crew == asked.crew)
    builders = dict(session.exec(select(Job.id, Job.builder)).all())
    out: dict[str, BuilderFloors] = {}
    for job, floor, is_out in session.exec(wanted):
        builder = " ".join(builders.get(job, "").split())
        kept = out.setdefault(builder.casefold(), BuilderFloors(builder))
        kept.count += 1
        kept.out += is_out
        kept.sizes.append(floor or 0)
    return sorted(out.values(), key=lambda one: (one.builder == "", one.builder.casefold()))


def months_counted(session: Session) -> list[str]:
    """Return the months that have doors, the last first."""
    wanted = select(LearnedMonth.month).where(LearnedMonth.kind == DOOR).distinct()
    return sorted((month for month in session.exec(wanted) if month), reverse=True)


@dataclass
class ProcedureTitles:
    """The trade's own words for what procedures name by ids: of their newest versions."""

    steps: dict[str, str] = field(default_factory=dict)
    checks: dict[str, str] = field(default_factory=dict)
    moves: dict[str, str] = field(default_factory=dict)


def titles_of(procedures: dict[str, Json]) -> ProcedureTitles:
    """Return the titles of steps, checks and adjustments in these procedures."""
    out = ProcedureTitles()
    for compiled in sorted(procedures.values(), key=lambda one: (one["version"], one["id"])):
        for step in compiled["steps"]:
            out.steps[step["id"]] = step["title"]
            out.checks.update({check["id"]: check["title"] for check in step["checks"]})
            out.moves.update({move["id"]: move["text"] for move in step["adjustments"]})
    return out
