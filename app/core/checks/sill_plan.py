"""The ways to bring a surveyed sill within its limit, and the one that is advised.

A way is advised only after the sum under the head has been made: opening height, less
packing, pan and bed, is the room that the frame has. Where packing to the high point
does not leave it, packing is not advised and grinding is. Two lines are worked together,
their levels kept apart by the fall toward the weather side.
"""

from app.core.checks.base import Ask
from app.core.checks.sill_survey import HeadRoom, Survey
from app.core.kinds import Callable
from app.core.trade import packing
from app.core.trade.sill import cross_falls, worst_window


class Way:
    """One way to put a sill right: the work on each line, and what speaks for and against it."""

    def __init__(self, kind: str, works: "list[packing.Work]", ladder: packing.Ladder) -> None:
        self.kind = kind
        self.works = works
        self.ladder = ladder
        self.possible = all(work.possible for work in works)
        self.keeps_fall = True
        self.fits = True
        self.cures = True

    @property
    def good(self) -> bool:
        """Return whether this way can be advised."""
        return self.possible and self.keeps_fall and self.fits and self.cures


class SillPlan:
    """All ways for the lines of one check, worked out together.

    surveys: the line that the frame bears on first (the room side), then the other.
    cured:   tells from the heights of each line, after the work, whether the check is within.
    least:   the least fall that the work must leave at every common station.
    """

    def __init__(
        self,
        ask: Ask,
        surveys: "list[Survey]",
        fall: int,
        cured: "Callable[[list[list[int]]], bool]",
        least: int = 0,
    ) -> None:
        self.ask = ask
        self.surveys = surveys
        self.cured = cured
        self.least = least
        self.lines = [packing.Line(survey.heights, fall * i) for i, survey in enumerate(surveys)]
        self.level = packing.high_level(self.lines)
        self.head = HeadRoom(ask)
        self.head.look(surveys[0])
        self.ladder = self._ladder()
        self.pack = self._best("pack", self.level, self.ladder)
        self._rest: list[Way] | None = None
        self._sound: bool | None = None

    def _ladder(self) -> packing.Ladder:
        lowest = min([min(line.lifted()) for line in self.lines])
        pieces = self.ask.settings.get("pieces", packing.PIECES)
        return packing.Ladder(self.ask.drawing.shims, pieces, self.level - lowest)

    @property
    def sound(self) -> bool:
        """Return whether nothing need be done: the check is within and the frame fits."""
        if self._sound is None:
            room = self.head.top is None or self.level <= self.head.top
            self._sound = room and self.cured([survey.heights for survey in self.surveys])
        return self._sound

    @property
    def ways(self) -> "list[Way]":
        """Return every way, in the order in which one is advised; made once."""
        if self._rest is None:
            self._rest = self._others()
        return [self.pack] + self._rest

    def _others(self) -> "list[Way]":
        step = self.ladder.step
        most = None if self.head.top is None else self.head.top - step
        low = packing.grinding_level(self.lines, step // 2, most)
        fill = self._best("fill", self.level, packing.Ladder([], 0, 0))
        if low is None or low >= self.level:
            return [fill]
        grind = self._best("grind", low, self.ladder)
        # where rounding alone covers the difference, nothing is ground: no way of its own
        return [grind, fill] if [1 for work in grind.works if work.deepest] else [fill]

    def _best(self, kind: str, level: int, ladder: packing.Ladder) -> Way:
        """Return the way with the first rounding that serves, else with the first of all."""
        first = None
        for roundings in self._roundings():
            way = self._way(kind, level, ladder, roundings)
            if way.good:
                return way
            first = first or way
        return first  # type: ignore[return-value]

    def _roundings(self) -> "list[list[str]]":
        near = [packing.NEAREST for _ in self.lines]
        if len(self.lines) == 1:
            return [near, [packing.DOWN]]
        # To the nearest shim where the fall stands it; else nothing is rounded toward the room.
        return [near, [packing.UP, packing.DOWN]]

    def _way(self, kind: str, level: int, ladder: packing.Ladder, roundings: "list[str]") -> Way:
        pairs = zip(self.lines, roundings)
        works = [packing.work_line(line, level, ladder, rounding) for line, rounding in pairs]
        way = Way(kind, works, ladder)
        after = self.after(way)
        way.keeps_fall = self._least_fall(after) >= self.least
        way.fits = self.head.top is None or max(after[0]) <= self.head.top
        way.cures = self.cured(after)
        return way

    def after(self, way: Way) -> "list[list[int]]":
        """Return the heights of each line when the work of this way is done."""
        return [work.after(line.heights) for work, line in zip(way.works, self.lines)]

    def _least_fall(self, after: "list[list[int]]") -> int:
        if len(after) == 1:
            return self.least
        lines = [(survey.xs, heights) for survey, heights in zip(self.surveys, after)]
        falls = [fall for _, _, fall in cross_falls(lines[0], lines[1])]
        return min(falls) if falls else self.least

    @property
    def advised(self) -> "Way | None":
        """Return the way to go, None where there is nothing to do or no way is good.

        None too while the sum under the head is still to be made.
        """
        if self.sound or self.head.why is not None:
            return None
        if self.pack.good:
            return self.pack
        good = [way for way in self.ways if way.good]
        return good[0] if good else None

    def volume(self, way: Way) -> "tuple[int, int] | None":
        """Return the compound for a fill, cubic nanometres as (n, d); None: sill depth not drawn.

        Each of two lines stands for half the sill's depth.
        """
        width = self.ask.drawing.length("sill_depth")
        if width is None:
            return None
        twice = 0
        for survey, work in zip(self.surveys, way.works):
            depths = [pack or 0 for pack in work.packs]
            twice += packing.fill_volume(survey.xs, depths, width)[0]
        return twice, 2 * len(self.surveys)


def line_plan(ask: Ask, line: Survey) -> "SillPlan | None":
    """Return the plan for input "line"; None while the other line of the two is not surveyed."""
    surveys = [line]
    if ask.places.get("other"):
        other = Survey(ask, "other")
        if not other.complete:
            return None
        surveys = [other, line] if ask.settings.get("side") == "weather" else [line, other]
    mine = surveys.index(line)
    judge = _line_judge(ask, line)
    return SillPlan(ask, surveys, kept_fall(ask, surveys), lambda after: judge(after[mine]))


def _line_judge(ask: Ask, line: Survey) -> "Callable[[list[int]], bool]":
    """Return what tells whether a line of other heights at the same stations would be within."""
    most = ask.limits.get("most")
    over = ask.settings.get("over")
    if most is None:  # the room under the head is asked for, no limit of level
        return lambda _: True

    def within(heights: "list[int]") -> bool:
        # What is level enough over all is so within any length: the quick answer, mostly.
        if max(heights) - min(heights) <= most:
            return True
        return over is not None and not worst_window(line.xs, heights, int(over)).exceeds(most)

    return within


def kept_fall(ask: Ask, surveys: "list[Survey]") -> int:
    """Return how far apart two levels are kept: target, else drawing, else as found."""
    if len(surveys) < 2:
        return 0
    if ask.settings.get("fall") == "set":
        return _set_fall(ask, surveys)
    target = ask.limits.get("target")
    drawn = ask.drawing.length("cross_fall") if target is None else target
    return packing.fall_kept(surveys[0].heights, surveys[1].heights, drawn)


def _set_fall(ask: Ask, surveys: "list[Survey]") -> int:
    """Return the fall of a set sill: as found, inside what the drawing asks for."""
    found = packing.fall_kept(surveys[0].heights, surveys[1].heights, None)
    least, most = ask.drawing.length("sill_fall_least"), ask.drawing.length("sill_fall_most")
    if most is not None:
        found = min(found, most)
    return max(found, least or 0)
