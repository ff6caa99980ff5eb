"""Random doors for the model of the whole door, and the same door as a linear programme.

The programme is written from door-model's equations with numpy and scipy alone: its unknowns are
the extensions of every roller, its bounds are set up at every position of every panel. It shares
no line with app/core/trade/door_model.
"""

import random
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.optimize import linprog

from app.core.trade.door_model.door import Door, DrawnLimits, Gap, RigidPanel
from app.core.trade.door_model.profile import Profile

INCH = 25_400_000
SIXTEENTH = INCH // 16


def whole(chance: random.Random, most: float) -> int:
    """Return a length of up to so many inches either way, to the nanometre."""
    return chance.randint(-round(most * INCH), round(most * INCH))


def rough_line(chance: random.Random, length: int, base: int, most: float) -> Profile:
    """Return a line read at chance stations, off a chance slope by up to `most` inches."""
    count = chance.randint(3, 12)
    xs = sorted(chance.sample(range(0, length, INCH), count))
    xs[0], xs[-1] = 0, length
    slope = whole(chance, most) / length
    return Profile(xs, [base + round(slope * x) + whole(chance, most) for x in xs])


def random_door(chance: random.Random, count: int | None = None) -> Door:
    """Return a door of 1 to 8 panels: rough tracks of their own, fixed panels, leads, pockets."""
    count = count or chance.randint(1, 8)
    width = chance.randint(30, 60) * INCH
    height = chance.randint(80, 120) * INCH
    step = width - 2 * INCH
    length = step * count + 4 * INCH
    rough = chance.choice((0.0, 0.01, 0.03, 0.0625))
    panels = []
    for k in range(count):
        panel = RigidPanel(
            "ABCDEFGH"[k], INCH // 4 + step * k, width, height, _axles(chance, width)
        )
        panel.extensions = (chance.randint(0, 3 * INCH // 4), chance.randint(0, 3 * INCH // 4))
        panel.travel = (0, 3 * INCH // 4)
        panel.track = rough_line(chance, length, 0, rough)
        panel.sill = rough_line(chance, length, 0, rough)
        panel.lip = rough_line(chance, length, height - INCH // 4, rough)
        panel.slides = chance.choice((0, chance.randint(-k, count - 1 - k) * step))
        if chance.random() < 0.4:
            panel.wider, panel.racked = whole(chance, 0.06), whole(chance, 0.03)
        if chance.random() < 0.25:
            panel.fixed, panel.slides = True, 0
            panel.fastened = chance.random() < 0.6
            if panel.fastened:
                panel.extensions = (chance.randint(0, INCH // 8), chance.randint(0, INCH // 8))
        panels.append(panel)
    gaps = [_end(chance)] + [Gap("interlock", SIXTEENTH * 2) for _ in panels[1:]] + [_end(chance)]
    if count > 1 and chance.random() < 0.4:
        at = chance.randint(1, count - 1)
        gaps[at] = Gap("meeting", SIXTEENTH)
        panels[at - 1].meets, panels[at].meets = "right", "left"
    door = Door(panels, gaps, 6 * INCH, height - 6 * INCH)
    door.jambs = (_jamb(chance, height), _jamb(chance, height))
    door.drawn = _drawn(chance)
    return door


def _axles(chance: random.Random, width: int) -> list[int]:
    axles = [chance.randint(3, 8) * INCH, width - chance.randint(3, 8) * INCH]
    return [axles[0], width // 2, axles[1]] if chance.random() < 0.1 else axles


def _end(chance: random.Random) -> Gap:
    return Gap(chance.choice(("reveal", "reveal", "reveal", "pocket")), SIXTEENTH)


def _jamb(chance: random.Random, height: int) -> Profile:
    ys = [0, height // 2, height]
    return Profile(ys, [whole(chance, 0.02), whole(chance, 0.1), whole(chance, 0.15)])


def _drawn(chance: random.Random) -> DrawnLimits:
    drawn = DrawnLimits()
    tight = (3 * INCH // 8, 3 * INCH // 8 + chance.choice((INCH // 64, INCH // 16)))
    usual = (INCH // 4, INCH // 2)
    drawn.clearance = chance.choice((tight, tight, usual, (INCH // 8, None), (None, None)))
    drawn.engagement = chance.choice((3 * INCH // 8, None))
    drawn.pocket = chance.choice((5 * INCH // 4, None))
    drawn.play = chance.choice(((INCH // 8, None), (INCH // 8, INCH), (None, None)))
    drawn.plumb = chance.choice((SIXTEENTH, None))
    return drawn


def height_at(profile: Profile, x: int) -> float:
    return float(np.interp(x, profile.xs, profile.ys))


class Programme:
    """A door as rows over the unknowns e1, e2 of each panel and, last, the share T."""

    def __init__(self, door: Door) -> None:
        self.door = door
        self.count = 2 * len(door.panels) + 1
        self.hard: list[tuple[list[float], float]] = []
        self.wanted: list[tuple[list[float], float, float]] = []  # |row + constant| <= T x limit
        for k, panel in enumerate(door.panels):
            if not (panel.fixed and panel.fastened):
                self._bounds(k, panel)
        self._tapers()

    def _row(self) -> list[float]:
        return [0.0] * self.count

    def _bounds(self, k: int, panel: RigidPanel) -> None:
        least, most = self.door.drawn.clearance
        p1, p2 = panel.axles[0], panel.axles[-1]
        for shift in self._positions(panel):
            x = panel.left + shift
            for u in (0, panel.width):
                b = (u - p1) / (p2 - p1)
                row = self._row()
                row[2 * k], row[2 * k + 1] = 1 - b, b
                foot = (1 - b) * height_at(panel.track, x + p1) + b * height_at(panel.track, x + p2)
                self._between(row, foot - height_at(panel.sill, x + u), least, most)
                engaged = foot + panel.height - height_at(panel.lip, x + u)
                drawn = self.door.drawn
                self._between(row, engaged, drawn.engagement, None)
                if drawn.pocket is not None:
                    self._between(row, engaged, None, drawn.pocket - (drawn.play[0] or 0))
                    if drawn.play[1] is not None:
                        self._between(row, engaged, drawn.pocket - drawn.play[1], None)

    def _between(self, row: list[float], constant: float, least: Any, most: Any) -> None:
        if least is not None:
            self.hard.append(([-v for v in row], constant - least))
        if most is not None:
            self.hard.append((row, most - constant))

    def _positions(self, panel: RigidPanel) -> set[int]:
        ends = sorted((0, panel.slides))
        out = set(ends)
        marks = [*panel.track.xs, *panel.sill.xs, *panel.lip.xs]
        offsets = (0, panel.width, panel.axles[0], panel.axles[-1])
        shifts = (x - panel.left - offset for x in marks for offset in offsets)
        return out | {shift for shift in shifts if ends[0] < shift < ends[1]}

    def _lean(self, k: int) -> tuple[list[float], float]:
        """Return the row and the constant of panel k's lean to the left over the gap's height."""
        panel = self.door.panels[k]
        p1, p2 = panel.axles[0], panel.axles[-1]
        scale = (self.door.high - self.door.low) / (p2 - p1)
        row = self._row()
        row[2 * k], row[2 * k + 1] = -scale, scale
        track = [height_at(panel.track, panel.left + p) for p in (p1, p2)]
        return row, (track[1] - track[0]) * scale

    def _tapers(self) -> None:
        door = self.door
        sway = []
        for jamb in door.jambs:
            assert jamb is not None
            sway.append(height_at(jamb, door.high) - height_at(jamb, door.low))
        last = len(door.panels)
        for k, gap in enumerate(door.gaps):
            if gap.kind in ("pocket", "fixed"):
                continue
            row, constant = self._row(), 0.0
            if k == 0:
                constant -= sway[0]
            else:
                left, base = self._lean(k - 1)
                row = [a + b for a, b in zip(row, left, strict=True)]
                constant += base - self._right_part(door.panels[k - 1])
            if k == last:
                constant += sway[1]
            else:
                right, base = self._lean(k)
                row = [a - b for a, b in zip(row, right, strict=True)]
                constant -= base + self._left_part(door.panels[k])
            self.wanted.append((row, constant, gap.most))
        for k, panel in enumerate(door.panels):
            if panel.meets and door.drawn.plumb is not None and not panel.fastened:
                row, constant = self._lean(k)
                own = self._right_part(panel) if panel.meets == "right" else -self._left_part(panel)
                self.wanted.append((row, constant - own, door.drawn.plumb))

    @staticmethod
    def _left_part(panel: RigidPanel) -> int:
        return panel.wider // 2 - panel.racked

    @staticmethod
    def _right_part(panel: RigidPanel) -> int:
        return panel.wider - panel.wider // 2 + panel.racked

    def _ranges(self) -> list[tuple[float, float | None]]:
        out: list[tuple[float, float | None]] = []
        for panel in self.door.panels:
            held = panel.fixed and panel.fastened
            out.extend([(e, e) if held else panel.travel for e in panel.extensions])
        return [*out, (0, None)]

    def least_share(self) -> float | None:
        """Return the least T, None where the hard bounds alone cannot be kept."""
        unit = 1e6  # lengths in millimetres keep the solver's own tolerances far below a nanometre
        a, b = [], []
        for row, right in self.hard:
            a.append(row)
            b.append(right / unit)
        for row, constant, limit in self.wanted:
            for sign in (1, -1):
                signed = [sign * v for v in row]
                signed[-1] = -limit / unit
                a.append(signed)
                b.append(-sign * constant / unit)
        cost = self._row()
        cost[-1] = 1.0
        ranges = [(lo / unit, None if hi is None else hi / unit) for lo, hi in self._ranges()]
        found = linprog(cost, A_ub=a or None, b_ub=b or None, bounds=ranges, options=TIGHT)
        return float(found.fun) if found.status == 0 else None

    def least_turning(self, shares: list[float]) -> float | None:
        """Return the least sum of all rollers' turning with wanted row k within shares[k]."""
        unit, count = 1e6, self.count - 1
        a, b = [], []
        for row, right in self.hard:
            a.append([*row[:-1], *[0.0] * count])
            b.append(right / unit)
        for (row, constant, limit), share in zip(self.wanted, shares, strict=True):
            for sign in (1, -1):
                a.append([*[sign * v for v in row[:-1]], *[0.0] * count])
                b.append((share * limit - sign * constant) / unit)
        now = [e for panel in self.door.panels for e in panel.extensions]
        for k in range(count):
            for sign in (1, -1):
                row = [0.0] * (2 * count)
                row[k], row[count + k] = sign, -1.0
                a.append(row)
                b.append(sign * now[k] / unit)
        ranges = [(lo / unit, None if hi is None else hi / unit) for lo, hi in self._ranges()[:-1]]
        cost = [0.0] * count + [1.0] * count
        found = linprog(cost, A_ub=a, b_ub=b, bounds=[*ranges, *[(0, None)] * count], options=TIGHT)
        return float(found.fun) * unit if found.status == 0 else None


TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


def exact_height(profile: Profile, x: int) -> Fraction:
    """Return the height at x, straight between stations, exactly."""
    if x <= profile.xs[0]:
        return Fraction(profile.ys[0])
    for (x1, y1), (x2, y2) in pairwise(zip(profile.xs, profile.ys, strict=True)):
        if x <= x2:
            return y1 + Fraction((y2 - y1) * (x - x1), x2 - x1)
    return Fraction(profile.ys[-1])
