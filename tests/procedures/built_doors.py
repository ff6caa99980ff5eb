"""A door that really stands somewhere, and what a crew reads of it at each point.

Everything is exact geometry in whole nanometres, apart from the core's own checks and builder: the
frame and the panels are known to the last nanometre here, and only read through `reading`.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from app.core.kinds import Json
from app.core.record.events import new_event
from app.core.record.state import State
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from tests.bench.histories import History
from tests.core import doors
from tests.procedures import perfect_door
from tests.procedures.demo_book import KEY, PROCEDURE

IN = 25_400_000
POCKET = 5 * IN // 4


class Line:
    """A line through stations, straight between, level beyond the ends."""

    def __init__(self, xs: list[int], ys: list[int]) -> None:
        self.xs, self.ys = xs, ys

    def at(self, x: int) -> Fraction:
        """Return the height at x."""
        if x <= self.xs[0]:
            return Fraction(self.ys[0])
        if x >= self.xs[-1]:
            return Fraction(self.ys[-1])
        k = max(k for k, station in enumerate(self.xs) if station <= x)
        x1, x2 = self.xs[k], self.xs[k + 1]
        return self.ys[k] + Fraction(self.ys[k + 1] - self.ys[k]) * (x - x1) / (x2 - x1)


class BuiltDoor:
    """A frame, and panels on their rollers.

    tracks: {track: Line}; head: the line of the pocket's top over the innermost track; jambs:
    Lines over the height, offsets to the RIGHT. rollers: {letter: [left, right]}, how far the
    panel's bottom stands over the track at each axle. one turn of a screw lifts `turn`.
    """

    def __init__(
        self,
        drawing: Drawing,
        tracks: dict[int, Line],
        head: Line,
        jambs: tuple[Line, Line],
        turn: int = IN // 16,
    ) -> None:
        self.drawing = drawing
        self.tracks = tracks
        self.head = head
        self.jambs = jambs
        self.turn = turn
        start = drawing.length("stile_clearance") or 3 * IN // 8
        self.rollers = {panel.letter: [start, start] for panel in drawing.panels}
        self.wider = dict.fromkeys(self.rollers, 0)  # a panel's top less its bottom, 92 in apart
        self.grain = 1

    def axles(self, letter: str) -> tuple[int, int]:
        panel = self.drawing.panel(letter)
        apart = self.drawing.need("axle_distance")
        first = panel.left + (panel.width - apart) // 2
        return first, first + apart

    def foot(self, letter: str, x: int) -> Fraction:
        """Return how high the bottom of a panel stands at x, over the datum."""
        a, b = self.axles(letter)
        track = self.tracks[self.drawing.panel(letter).track]
        left, right = self.rollers[letter]
        low, high = track.at(a) + left, track.at(b) + right
        return low + (high - low) * (x - a) / (b - a)

    def slope(self, letter: str) -> Fraction:
        """Return the lean of a panel to the left, per height."""
        a, b = self.axles(letter)
        return (self.foot(letter, b) - self.foot(letter, a)) / (b - a)

    def clearance(self, letter: str, side: str) -> Fraction:
        panel = self.drawing.panel(letter)
        x = panel.left if side == "left" else panel.right
        return self.foot(letter, x) - self.tracks[panel.track].at(x)

    def play(self, letter: str, side: str) -> Fraction:
        """Return what is left over a panel in the head's pocket, over a stile."""
        panel = self.drawing.panel(letter)
        x = panel.left if side == "left" else panel.right
        return self._top(panel.track, x) - self.foot(letter, x) - panel.height

    def _top(self, track: int, x: int) -> Fraction:
        """Return the pocket's top over a track: it steps with the tracks, in the mean."""
        line, inner = self.tracks[track], self.tracks[1]
        rises = [line.at(station) - inner.at(station) for station in line.xs]
        return self.head.at(x) + sum(rises, Fraction(0)) / len(rises)

    def gap(self, number: int, y: int) -> Fraction:
        """Return a gap's width at a height: 1/4 in where nothing leans."""
        panels = self.drawing.panels
        left = self.jambs[0].at(y) - self.jambs[0].at(0)
        if number:
            left = self._edge(panels[number - 1].letter, y, 1)
        right = self.jambs[1].at(y) - self.jambs[1].at(0)
        if number < len(panels):
            right = self._edge(panels[number].letter, y, -1)
        return IN // 4 + right - left

    def _edge(self, letter: str, y: int, side: int) -> Fraction:
        """Return how far to the right a panel's edge stands at a height; side 1: its right one."""
        return -self.slope(letter) * y + Fraction(side * self.wider[letter] * y, 2 * 92 * IN)

    def panel_width(self, place: Place) -> Fraction:
        """Return a panel's width at its top or bottom, half of what it is wider off the drawing."""
        side = 1 if place.id.endswith("top") else -1
        return self.drawing.panel(place.panel).width + Fraction(side * self.wider[place.panel], 2)

    def taper(self, number: int, low: int, high: int) -> Fraction:
        return self.gap(number, high) - self.gap(number, low)

    def reading(self, point: Json, place: Place) -> int:
        """Return what is read, rounded to the grain."""
        value = self._exact(point, place)
        if value is None:
            return perfect_door.value(point, place, self.drawing)
        return round(value / self.grain) * self.grain

    def _exact(self, point: Json, place: Place) -> Fraction | None:
        read = READ_BY_PURPOSE.get(point["purpose"])
        return None if read is None else Fraction(read(self, place))

    def plumb_distance(self, place: Place) -> Fraction:
        """Return how far a meeting lead's stile is from the line that hangs in the gap."""
        lean = self.slope(place.panel) * (place.y or 0)
        return 2 * IN + (lean if self._meets(place.panel) == "right" else -lean)

    def gap_at(self, place: Place) -> Fraction:
        """Return a closing gap or an interlock at a place."""
        number = self._number(place) if place.panel else self._interlock(place)
        return self.gap(number, place.y or 0)

    def _meets(self, letter: str) -> str:
        leads = [panel.letter for panel in self.drawing.panels if panel.lead]
        return "right" if letter == leads[0] else "left"

    def _number(self, place: Place) -> int:
        letters = [panel.letter for panel in self.drawing.panels]
        k = letters.index(place.panel)
        return k if place.x == self.drawing.panels[k].left else k + 1

    def _interlock(self, place: Place) -> int:
        name = place.id.rpartition("-")[0]  # "A-B"
        return [panel.letter for panel in self.drawing.panels].index(name[0]) + 1


BEAM = 13 * IN  # every level line is read down from a beam
READ_BY_PURPOSE: dict[str, Callable[[BuiltDoor, Place], Fraction | int]] = {
    "track-inner": lambda door, place: BEAM - door.tracks[1].at(place.x or 0),
    "track-outer": lambda door, place: BEAM - door.tracks[max(door.tracks)].at(place.x or 0),
    "track-between": lambda door, place: BEAM - door.tracks[place.track or 1].at(place.x or 0),
    # before the sill is set, its bed: the tracks follow it
    "bed-room": lambda door, place: BEAM - door.tracks[1].at(place.x or 0),
    "bed-weather": lambda door, place: BEAM - door.tracks[max(door.tracks)].at(place.x or 0),
    "clear-height": lambda door, place: (
        door.head.at(place.x or 0) - door.tracks[1].at(place.x or 0)
    ),
    "left-jamb": lambda door, place: 6 * IN - door.jambs[0].at(place.y or 0),
    "right-jamb": lambda door, place: 6 * IN + door.jambs[1].at(place.y or 0),
    "gap-at-jamb": lambda door, place: door.gap_at(place),
    "interlock-gap": lambda door, place: door.gap_at(place),
    "clearance": lambda door, place: door.clearance(place.panel, place.side),
    "engagement": lambda door, place: POCKET - door.play(place.panel, place.side),
    "plumb-of-leads": lambda door, place: door.plumb_distance(place),
    "panel-width": lambda door, place: door.panel_width(place),
    "one-turn": lambda door, _place: door.turn,
}
DRAWN = {
    "stile_clearance": 3 * IN // 8,
    "stile_clearance_least": IN // 8,
    "stile_clearance_most": 5 * IN // 8,
    "head_engagement": IN // 4,
    "head_pocket": POCKET,
    "lift_play_least": IN // 8,
    "lift_play": 7 * IN // 8,
    "cross_fall": 0,
    "opening_width": 100 * IN,
    "opening_height": 97 * IN,
}


def drawing_data(tracks: list[int], kinds: str, leads: str, lock: str = "left") -> Json:
    """Return a drawing that gives what the model needs; panels of 48 by 92 in, axles 36 apart."""
    made = doors.data(tracks, kinds, leads, lock)
    made["lengths"].update({name: str(nm) for name, nm in DRAWN.items()})
    made["lengths"]["axle_distance"] = str(36 * IN)
    made.update({"number": "T-1", "revision": "A", "author": "", "date": "2026-03-01"})
    return made


def straight_door(data: Json, rise: int = 0, leans: tuple[int, int] = (0, 0)) -> BuiltDoor:
    """Return a door on level tracks but for `rise` in each 48 in, jambs leaning over 96 in."""
    drawing = Drawing(data)
    width = drawing.need("frame_width")
    ends = [0, rise * width // (48 * IN)]
    tracks = {panel.track: Line([0, width], ends) for panel in drawing.panels}
    clear = 92 * IN + 3 * IN // 8 + IN // 2
    head = Line([0, width], [clear, clear + ends[1]])
    jambs = (Line([0, 96 * IN], [0, leans[0]]), Line([0, 96 * IN], [0, leans[1]]))
    return BuiltDoor(drawing, tracks, head, jambs)


class ReadDoor:
    """What a crew has entered of a built door, by the shipped procedure."""

    def __init__(self, door: BuiltDoor, data: Json, procedure: Json = PROCEDURE) -> None:
        self.door = door
        body = {"procedure": PROCEDURE["id"], "version": PROCEDURE["version"], "drawing": data}
        draft = {
            "id": "issue", "device": "office-1", "opening": "o1", "seen": {},
            "at": "2026-03-01T08:00:00-05:00", "person": "nadia-ferrow",
            "kind": "opening.issued", "body": body,
        }  # fmt: skip
        issue = new_event([], draft)
        self.history = History(issue, {KEY: procedure}, ["web-1"], "built")

    def state(self) -> State:
        return self.history.state()

    def read_purposes(self, *purposes: str) -> None:
        """Read every point with one of these purposes, at all its places."""
        state = self.state()
        for step in state.steps:
            for point in step.data["points"]:
                if point["purpose"] in purposes:
                    panel = state.panel_for(point["id"], step.panel)
                    for place in state.places(point["id"], panel):
                        self._enter(point, panel, place)

    def _enter(self, point: Json, panel: str, place: Place) -> None:
        value = self.door.reading(point, place)
        body = {
            "point": point["id"], "panel": panel, "place": place.id, "text": "as it is",
            "quantity": point["quantity"], "value": str(value), "units": "in",
            "how": "down" if point["how"] == "level" else "plain",
        }  # fmt: skip
        self.history.enter("reading.taken", body)


FRAME_PURPOSES = (
    "panel-width",
    "panel-height",
    "panel-diagonal",
    "track-inner",
    "track-outer",
    "track-between",
    "clear-height",
    "left-jamb",
    "right-jamb",
)
HUNG_PURPOSES = (
    "one-turn",
    "clearance",
    "gap-at-jamb",
    "interlock-gap",
    "plumb-of-leads",
    "engagement",
)
