"""The tables of what doors teach, each with its chart; the page and the CSV are made of the same.

A share stands with what it is a share of. Nothing is charted that rests on fewer than FEW.
"""

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from app.core.kinds import Json
from app.core.pages.visit import OTHER_TRACES
from app.core.quantity.messages import Len, Msg, Plural, Qty
from app.core.quantity.speaker import MONTHS, Speaker
from app.core.quantity.units import MINUTE, half_up
from app.office.learn.charts import FEW, ChartBar, bar_chart
from app.office.learn.figures import BuilderFloors, DoorFigures, ProcedureTitles
from app.store import lessons as taught
from app.store.lessons import Lesson

WAYS = {
    taught.PLANNED: Msg("put right as planned"),
    taught.IN_WORDS: Msg("put right in the crew's own way"),
    taught.MOVED: Msg("moved"),
    taught.GAUGED: Msg("decided with a gauge"),
    taught.READ_THRICE: Msg("decided by three readings"),
    taught.CONCEDED: Msg("conceded by the office"),
}
NO_BUILDER, NO_CREW = Msg("No builder named"), Msg("No crew planned")


@dataclass(frozen=True)
class TableCell:
    """A cell: its words on the page, and what stands in the CSV."""

    text: str
    plain: str


@dataclass
class LessonTable:
    """One table. columns: (name in the CSV, words); rows: cells, as many as there are columns.

    named: whether what stands first are names that people gave.
    """

    name: str
    title: Msg
    about: Msg
    columns: Sequence[tuple[str, Msg]]
    rows: list[list[TableCell]] = field(default_factory=list)
    chart: Json | None = None
    named: bool = False


@dataclass(frozen=True)
class TableWords:
    """What tables say things with: the reader's language and units, titles, names of crews."""

    speaker: Speaker
    titles: ProcedureTitles
    crews: dict[str, str]

    def say(self, thing: object) -> str:
        """Return a thing in the reader's words."""
        return self.speaker.say(thing)

    def word(self, text: str) -> TableCell:
        """Return a cell of words."""
        return TableCell(text, text)

    def number(self, count: int) -> TableCell:
        """Return a cell of a number."""
        return TableCell(str(count), str(count))

    def share(self, good: int, count: int) -> TableCell:
        """Return a cell of a share, with what it is a share of: 87 % (104 of 120)."""
        if not count:
            return TableCell("–", "")
        words = Msg(
            "{share} % ({good} of {count})", share=percent(good, count), good=good, count=count
        )
        return TableCell(self.say(words), f"{good / count:.4f}")

    def amount(self, quantity: str, value: float | None) -> TableCell:
        """Return a cell of an amount in base units; a length stands in the CSV in millimetres."""
        if value is None:
            return TableCell("–", "")
        whole = half_up(int(2 * value), 2)
        if quantity == "length":
            return TableCell(self.say(Len(whole)), f"{value / 10**6:.3f}")
        return TableCell(self.say(Qty(quantity, whole)), self.say(Qty(quantity, whole)))

    def time(self, minutes: float) -> TableCell:
        """Return a cell of a time; minutes stand in the CSV."""
        text = self.say(Qty("duration", half_up(int(2 * minutes), 2) * MINUTE))
        return TableCell(text, f"{minutes:.1f}")

    def step(self, id: str) -> str:
        """Return a step as it is called everywhere: B1 Substrate and opening."""
        title = self.titles.steps.get(id, "")
        return f"{id} {self.say(Msg(title))}" if title else id

    def check(self, id: str) -> str:
        """Return a check's title."""
        return self.say(Msg(self.titles.checks.get(id, id)))

    def month(self, month: str) -> str:
        """Return a month as people read it: Mar 2026."""
        number = month[5:7]
        if not (number.isdigit() and 1 <= int(number) <= 12):
            return month
        return f"{self.say(Msg(MONTHS[int(number) - 1]))} {month[:4]}"


def percent(good: int, count: int) -> int:
    """Return a share in whole percent, half up; nothing short of all is 100, nothing above 0 is 0.

    Example: percent(2, 3) -> 67; percent(999, 1000) -> 99; percent(1, 1000) -> 1
    """
    whole = half_up(100 * good, count)
    if 0 < good < count:
        return max(1, min(99, whole))
    return whole


def middle_half(sizes: Sequence[int]) -> tuple[float, float, float]:
    """Return the first quarter, the middle and the third quarter of amounts, in order.

    Source:  the inclusive method of Python's statistics.quantiles (Hyndman and Fan's type 7).
    Example: middle_half([1, 2, 3, 4, 5]) -> (2, 3, 4)
    """
    if len(sizes) == 1:
        return (sizes[0],) * 3
    low, middle, high = statistics.quantiles(sizes, n=4, method="inclusive")
    return low, middle, high


def all_tables(figures: DoorFigures, words: TableWords) -> list[LessonTable]:
    """Return every table, in the order of the page."""
    makers: Sequence[Callable[[DoorFigures, TableWords], LessonTable]] = (
        months_table,
        steps_table,
        checks_table,
        crews_table,
        remedies_table,
        times_table,
        predictions_table,
        floors_table,
        returns_table,
    )
    return [make(figures, words) for make in makers]


_FIRST = ("within_first", Msg("Within at first"))
_JUDGED = ("checks", Msg("Checks"))
_DOORS = ("doors", Msg("Doors"))


def _share_chart(words: TableWords, about: Msg, rows: Sequence[tuple[str, Lesson]]) -> Json | None:
    bars = [
        ChartBar(label, f"{percent(one.good, one.count)} %", half_up(1000 * one.good, one.count))
        for label, one in rows
        if one.count >= FEW
    ]
    return bar_chart(words.speaker, about, bars)


def months_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how many checks were within at first, by the month of acceptance."""
    table = LessonTable(
        "months",
        Msg("Within at first, by month"),
        Msg("Each door counts in the month in which the office accepted it."),
        (("month", Msg("Month")), _DOORS, _JUDGED, _FIRST),
    )
    for month, doors, checks in figures.months:
        row = [TableCell(words.month(month), month), words.number(doors.count)]
        table.rows.append(
            [*row, words.number(checks.count), words.share(checks.good, checks.count)]
        )
    shares = [
        (words.month(month), checks)
        for month, doors, checks in figures.months[-12:]
        if doors.count >= FEW
    ]
    table.chart = _share_chart(words, table.title, shares)
    return table


def steps_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how many checks were within at first, by step."""
    table = LessonTable(
        "steps",
        Msg("Within at first, by step"),
        Msg("A check counts once a door, or once a panel where its step is signed for each panel."),
        (("step", Msg("Step")), _JUDGED, _FIRST),
    )
    steps = [(words.step(step), one) for step, one in sorted(figures.checks_by_step().items())]
    for title, one in steps:
        row = [words.word(title), words.number(one.count), words.share(one.good, one.count)]
        table.rows.append(row)
    enough = figures.total(taught.DOOR).count >= FEW
    table.chart = _share_chart(words, table.title, steps if enough else [])
    return table


def checks_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return the checks: within at first, how far out, which way; those most often out first."""
    table = LessonTable(
        "checks",
        Msg("Checks that were out at first"),
        Msg(
            "How far out: beyond the limit, by the first full reading. Checks that were always "
            "within at first stand in the CSV alone."
        ),
        (
            ("check", Msg("Check")), ("step", Msg("Step")), _JUDGED, _FIRST,
            ("middle_out", Msg("Out by, middle")), ("most_out", Msg("Out by, at most")),
            ("way", Msg("Which way")),
        ),
    )  # fmt: skip
    rows = _checks_by_title(figures, words)
    for title, step, one in rows:
        sizes = sorted(abs(size) for size in one.out.sizes)
        table.rows.append(
            [
                words.word(title),
                words.word(words.step(step)),
                words.number(one.all.count),
                words.share(one.all.good, one.all.count),
                words.amount(one.quantity, statistics.median(sizes) if sizes else None),
                words.amount(one.quantity, sizes[-1] if sizes else None),
                words.word(_way_words(words, one.out, one.tilt)),
            ]
        )
    worst = [
        (f"{title} ({step})", Lesson(one.all.count, one.all.count - one.all.good))
        for title, step, one in rows
        if one.all.good < one.all.count and one.all.count >= FEW
    ]
    worst.sort(key=lambda row: -row[1].good / row[1].count)
    about = Msg("How often checks were not within at first")
    table.chart = _share_chart(words, about, worst[:10])
    return table


@dataclass
class _CheckSums:
    """A check's sums: judged, out by how much of which quantity, the way it leans."""

    all: Lesson = field(default_factory=Lesson)
    out: Lesson = field(default_factory=Lesson)
    tilt: Lesson = field(default_factory=Lesson)
    quantity: str = ""


def _checks_by_title(figures: DoorFigures, words: TableWords) -> list[tuple[str, str, _CheckSums]]:
    """Return (title, step, sums), most often out first.

    What is asked roughly and then in detail under one title in a step is one check to a reader.
    """
    found: dict[tuple[str, str], _CheckSums] = {}
    for step, name, _, one in figures.of_kind(taught.CHECK):
        sums = found.setdefault((words.check(name), step), _CheckSums())
        _add_sum(sums.all, one)
    for step, name, quantity, one in figures.of_kind(taught.OUT_BY):
        sums = found.setdefault((words.check(name), step), _CheckSums())
        if sums.quantity in ("", quantity):
            sums.quantity = quantity
            _add_sum(sums.out, one)
    for step, name, _, one in figures.of_kind(taught.TILT):
        _add_sum(found.setdefault((words.check(name), step), _CheckSums()).tilt, one)
    rows = [(title, step, sums) for (title, step), sums in found.items()]
    return sorted(rows, key=lambda row: (row[2].all.good - row[2].all.count, row[1], row[0]))


def _add_sum(to: Lesson, one: Lesson) -> None:
    to.count += one.count
    to.good += one.good
    to.sizes.extend(one.sizes)


def _way_words(words: TableWords, out: Lesson, tilt: Lesson) -> str:
    says = []
    if out.good < out.count:
        says.append(Msg("{count} below the least", count=out.count - out.good))
        if out.good:
            says.append(Msg("{count} above the most", count=out.good))
    if tilt.good < tilt.count:
        count = tilt.count - tilt.good
        says.append(Msg("bubble to the left or the room: {count}", count=count))
    if tilt.good:
        says.append(Msg("bubble to the right or outside: {count}", count=tilt.good))
    return words.say(says) if says else "–"


def crews_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how many checks were within at first, by crew, in the order of their names."""
    table = LessonTable(
        "crews",
        Msg("Within at first, by crew"),
        Msg("By the crew that the door was planned for. Doors differ: look at the floors as well."),
        (("crew", Msg("Crew")), _DOORS, _JUDGED, _FIRST),
        named=True,
    )
    named = [
        (words.crews.get(crew, crew) if crew else words.say(NO_CREW), doors, checks)
        for crew, doors, checks in figures.crews
    ]
    named.sort(key=lambda row: row[0].casefold())
    for name, doors, checks in named:
        row = [words.word(name), words.number(doors.count), words.number(checks.count)]
        table.rows.append([*row, words.share(checks.good, checks.count)])
    shares = [(name, checks) for name, doors, checks in named if doors.count >= FEW]
    table.chart = _share_chart(words, table.title, shares)
    return table


def remedies_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return what was done about checks, most often first."""
    table = LessonTable(
        "remedies",
        Msg("What was done about it"),
        Msg("Every time: a check that took three rounds stands here three times."),
        (("step", Msg("Step")), ("check", Msg("Check")), ("done", Msg("What was done")),
         ("times", Msg("Times"))),
    )  # fmt: skip
    rows = figures.of_kind(taught.REMEDY)
    rows.sort(key=lambda row: (-row[3].count, row[0], row[1], row[2]))
    for step, name, way, one in rows:
        moved = way == taught.MOVED
        done = Msg(words.titles.moves.get(name, name)) if moved else WAYS.get(way, Msg(way))
        about = "–" if moved else words.check(name)
        cells = [words.word(part) for part in (words.step(step), about, words.say(done))]
        table.rows.append([*cells, words.number(one.count)])
    return table


def times_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how long steps took from their first reading to the sign-off that stands."""
    table = LessonTable(
        "times",
        Msg("From the first reading of a step to its sign-off"),
        Msg(
            "By the clocks of the phones, nights and waits for a cure included; of all crews "
            "together. Half of all lie between the two outer figures."
        ),
        (("step", Msg("Step")), ("sign_offs", Msg("Sign-offs")),
         ("quarter", Msg("A quarter below")), ("middle", Msg("Middle")),
         ("three_quarters", Msg("A quarter above"))),
    )  # fmt: skip
    rows = [(step, one) for step, _, _, one in figures.of_kind(taught.TIME) if one.sizes]
    spreads = [(step, one, middle_half(one.sizes)) for step, one in rows]
    for step, one, spread in spreads:
        row = [words.word(words.step(step)), words.number(one.count)]
        table.rows.append([*row, *(words.time(minutes) for minutes in spread)])
    shown = [row for row in spreads if row[1].count >= FEW]
    longest = max((spread[2] for *_, spread in shown), default=0) or 1
    bars = [
        ChartBar(words.step(step), words.time(middle).text, int(1000 * high / longest),
            int(1000 * low / longest), int(1000 * middle / longest))
        for step, _, (low, middle, high) in shown
    ]  # fmt: skip
    table.chart = bar_chart(words.speaker, table.title, bars)
    return table


def predictions_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how far the gaps on hung panels were from what the door model had predicted."""
    table = LessonTable(
        "predictions",
        Msg("Gaps as predicted, and as measured"),
        Msg("Predicted from the frame before panels hung; measured less predicted, over each gap."),
        (("gaps", Msg("Gaps")), ("as_near", Msg("As near as predicted")),
         ("middle_off", Msg("Off by, middle")), ("most_off", Msg("Off by, at most"))),
    )  # fmt: skip
    one = figures.sums.get((taught.GAP, "", "", ""), Lesson())
    if one.sizes:
        off = sorted(abs(size) for size in one.sizes)
        row = [words.number(one.count), words.share(one.good, one.count)]
        middle = words.amount("length", statistics.median(off))
        table.rows.append([*row, middle, words.amount("length", off[-1])])
    if one.count >= FEW:
        table.chart = bar_chart(words.speaker, table.title, _bins_of(words, one.sizes))
    return table


_BIN = 25_400_000 // 32  # nanometres: 1/32 in, what a gauge read to 1/64 can tell apart
_OUTERMOST = 3


def _bins_of(words: TableWords, sizes: Sequence[int]) -> list[ChartBar]:
    """Return a bar for each 1/32 in of difference, the outermost with all beyond."""
    counts = dict.fromkeys(range(-_OUTERMOST, _OUTERMOST + 1), 0)
    for size in sizes:
        at = half_up(size, _BIN)
        counts[max(-_OUTERMOST, min(_OUTERMOST, at))] += 1
    return [
        ChartBar(words.say(_bin_words(at)), str(count), half_up(1000 * count, len(sizes)))
        for at, count in sorted(counts.items())
    ]


def _bin_words(at: int) -> Msg:
    size = Len(abs(at) * _BIN)
    if at == 0:
        return Msg("as predicted")
    if abs(at) == _OUTERMOST:
        return (
            Msg("{size} wider or more", size=size) if at > 0
            else Msg("{size} narrower or more", size=size)
        )  # fmt: skip
    return Msg("{size} wider", size=size) if at > 0 else Msg("{size} narrower", size=size)


def floors_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return how far builders' floors were out, as first read."""
    table = LessonTable(
        "floors",
        Msg("Floors as builders left them"),
        Msg("From the highest spot of the sill bed to the lowest, as it was first read."),
        (("builder", Msg("Builder")), _DOORS, ("out", Msg("Out at first")),
         ("middle", Msg("Highest to lowest, middle")), ("most", Msg("Highest to lowest, at most"))),
        named=True,
    )  # fmt: skip
    for one in figures.floors:
        middle = words.amount("length", statistics.median(one.sizes))
        table.rows.append(
            [
                words.word(one.builder or words.say(NO_BUILDER)),
                words.number(one.count),
                words.share(one.out, one.count),
                middle,
                words.amount("length", max(one.sizes)),
            ]
        )
    table.chart = _floors_chart(words, table.title, figures.floors)
    return table


def _floors_chart(words: TableWords, about: Msg, floors: Sequence[BuilderFloors]) -> Json | None:
    shown = [one for one in floors if one.count >= FEW]
    spreads = [(one, middle_half(one.sizes)) for one in shown]
    longest = max((spread[2] for _, spread in spreads), default=0) or 1
    bars = [
        ChartBar(one.builder or words.say(NO_BUILDER), words.amount("length", middle).text,
            int(1000 * high / longest), int(1000 * low / longest), int(1000 * middle / longest))
        for one, (low, middle, high) in spreads
    ]  # fmt: skip
    return bar_chart(words.speaker, about, bars)


def returns_table(figures: DoorFigures, words: TableWords) -> LessonTable:
    """Return what service visits were traced to, most often first."""
    doors = figures.total(taught.DOOR)
    table = LessonTable(
        "returns",
        Msg("What comes back"),
        Plural(
            "{back} of {count} door came back for a service visit.",
            "{back} of {count} doors came back for a service visit.",
        ).of(doors.count, back=doors.good)
        if doors.count
        else Msg("How many doors came back for a service visit, and what that was traced to."),
        (("traced_to", Msg("Comes from")), ("visits", Msg("Visits")),
         ("middle_days", Msg("Days after acceptance, middle"))),
    )  # fmt: skip
    rows = figures.of_kind(taught.BACK)
    rows.sort(key=lambda row: (-row[3].count, row[1]))
    for _, trace, _, one in rows:
        days = statistics.median(one.sizes) if one.sizes else None
        middle = TableCell("–", "") if days is None else TableCell(f"{days:g}", f"{days:g}")
        title = words.word(_trace_words(words, trace))
        table.rows.append([title, words.number(one.count), middle])
    return table


def _trace_words(words: TableWords, trace: str) -> str:
    if not trace:
        return words.say(Msg("not signed yet"))
    return words.say(OTHER_TRACES[trace]) if trace in OTHER_TRACES else words.step(trace)
