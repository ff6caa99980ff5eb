"""Practice at a table: what an instrument shows at a place of a door that stands nowhere.

The door is as drawn, but for what was planted (`practice` of the issue; trade/planted.py). A
correction mends what it is about, by what was entered: where the trainee misread, the shim or the
turn was wrong by as much, and the instrument shows that the next time.

    shown = as drawn + planted and not mended + what the last correction got wrong there

It is a function of the entries, the procedure and the drawing, on a phone as at the office.
"""

from app.core.checks.as_drawn import GAP, LINE, DrawnPlace, field_at
from app.core.checks.base import Spec
from app.core.checks.index import spec_of
from app.core.kinds import Any, Json
from app.core.quantity.units import INCH, half_up
from app.core.record import door_as_read as purposes
from app.core.record import events as ev
from app.core.record.judge import limits_of
from app.core.record.ledger import reading_slot
from app.core.record.state import State
from app.core.trade.drawing import Drawing, Panel
from app.core.trade.instruments import division_of
from app.core.trade.planted import PlantedFault
from app.core.where.place import Place

SHOWS = INCH // 64  # a fault that moves a reading by less is not to be seen in it
WARM = 20 * 9000  # 1/9000 degree Celsius


def at_table(state: State) -> bool:
    """Return whether this opening is practised on at a table: then instruments are simulated."""
    practice = state.practice
    return practice is not None and practice["way"] == ev.TABLE


def faults_of(state: State) -> "list[PlantedFault]":
    """Return what was planted, as far as this version knows it."""
    planted = [PlantedFault(one) for one in (state.practice or {}).get("faults", [])]
    return [fault for fault in planted if fault.known]


class Simulated:
    """The instruments at one opening."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.drawing: Drawing = state.drawing
        self.faults = faults_of(state)
        self.corrections = state.ledger.of_kind("correction.made")

    def shown(self, point: str, panel: str, place: Place, units: str) -> "int | None":
        """Return what the instrument shows now, as it divides; None where none is simulated."""
        exact = self.exact(point, panel, place, self.corrections, self._reads_down(point))
        return None if exact is None else divided(self.state.point(point), exact, units)

    def shown_to(self, event: Json) -> "int | None":
        """Return what the instrument showed to whoever entered this reading."""
        body = event["body"]
        place = self.place_of(body)
        if place is None:
            return None
        down = body.get("how") == "down"
        exact = self.exact(body["point"], body["panel"], place, self.seen_by(event), down)
        if exact is None:
            return None
        return divided(self.state.point(body["point"]), exact, body.get("units", "in"))

    def seen_by(self, event: Json) -> "list[Json]":
        """Return the corrections that an entry has seen."""
        return [one for one in self.corrections if ev.has_seen(event, one)]

    def place_of(self, body: Json) -> "Place | None":
        if body["point"] not in self.state.points:
            return None
        for place in self.state.places(body["point"], body["panel"]):
            if place.id == body["place"]:
                return place
        return None

    def exact(
        self, point: str, panel: str, place: Place, corrections: "list[Json]", down: bool
    ) -> "int | None":
        """Return what the place measures after these corrections, before it is read off.

        down: whether it is read down from a beam, so that a bigger reading is lower.
        """
        base = self.as_drawn(point, place, down)
        if base is None:
            return None
        left = self.not_mended(corrections)
        effects = [self.effect(fault, point, place) for fault in left]
        # of a swept line the greatest gap is read, not all of them together
        more = max([0] + effects) if self.is_swept(point) else sum(effects)
        more = -more if down else more
        mine = [one for one in corrections if self._covers(one, point, panel, place)]
        return base + more + (self._misread(mine[-1], point, panel, place) if mine else 0)

    def _misread(self, correction: Json, point: str, panel: str, place: Place) -> int:
        """Return what was read wrong there when it was corrected: the correction is off by that."""
        slot = reading_slot(point, panel, place.id)
        for event in reversed(self.state.ledger.unstruck(slot)):
            if event["kind"] == "reading.taken" and ev.has_seen(correction, event):
                shown = self.shown_to(event)
                return 0 if shown is None else shown - int(event["body"]["value"])
        return 0

    def _covers(self, correction: Json, point: str, panel: str, place: Place) -> bool:
        """Return whether a correction moved what is measured at a place."""
        body = correction["body"]
        check = self.state.check(body["check"])
        if check is None or point not in [check["points"][input] for input in check["points"]]:
            return False
        if body["panel"] and panel and body["panel"] != panel:
            return False
        return "places" not in body or point + "|" + place.id in body["places"]

    def not_mended(self, corrections: "list[Json]") -> "list[PlantedFault]":
        """Return the faults that none of these corrections is about."""
        return [
            fault
            for fault in self.faults
            if not any([self.mends(one, fault) for one in corrections])
        ]

    def mends(self, correction: Json, fault: PlantedFault) -> bool:
        """Return whether a correction is about a place where a fault shows."""
        return any(
            [
                self._covers(correction, point, panel, place)
                for point, panel, place in self.places_of(fault)
            ]
        )

    def places_of(self, fault: PlantedFault) -> "list[tuple[str, str, Place]]":
        """Return (point, panel, place) of each place where a fault is to be seen, in order."""
        name = "=planted|" + fault.kind + "|" + fault.at + "|" + str(fault.size)
        found: list[tuple[str, str, Place]] = self.state.memory.answer(
            name, self._find_places, fault
        )
        return found

    def _find_places(self, fault: PlantedFault) -> "list[tuple[str, str, Place]]":
        state = self.state
        return [
            (point["id"], state.panel_for(point["id"], step.panel), place)
            for step in state.steps
            for point in step.data["points"]
            if point.get("purpose", "") in _EFFECTS or self.is_swept(point["id"])
            for place in state.places(point["id"], state.panel_for(point["id"], step.panel))
            if abs(self.effect(fault, point["id"], place)) >= SHOWS
        ]

    # ---- what a fault does to a reading

    def effect(self, fault: PlantedFault, point: str, place: Place) -> int:
        """Return how much more a place measures for a fault; of a height how much higher it is."""
        data = self.state.point(point)
        if self.is_swept(point):
            return fault.swept_gap(int(data["straightedge"]), self.drawing)
        found = _EFFECTS.get(data.get("purpose", ""))
        if found is None:
            return 0
        more: int = found(_Spot(fault, self.drawing, place))
        return more

    def is_swept(self, point: str) -> bool:
        """Return whether a straightedge is swept along a line of the floor there."""
        return "straightedge" in self.state.point(point)

    def _reads_down(self, point: str) -> bool:
        """Return whether heights are read down from a beam here, as far as that is chosen."""
        if self.state.point(point)["how"] != "level":
            return False
        return (self.state.how_read(point, "") or self.state.usual_way()) != "up"

    # ---- what stands as drawn

    def as_drawn(self, point: str, place: Place, down: bool = False) -> "int | None":
        """Return what a place of the door as drawn measures; None where nothing tells it."""
        data = self.state.point(point)
        if data["quantity"] not in _USUAL:
            return None
        for step in self.state.steps:
            for check in step.data["checks"]:
                for input in check["points"]:
                    if check["points"][input] == point:
                        limits = {one["name"]: one["value"] for one in limits_of(self.state, check)}
                        settings = check.get("settings") or {}
                        asked = DrawnPlace(self.drawing, data, settings, limits, input, place, down)
                        value = _wanted_by(spec_of(check["calc"]), asked)
                        if value is not None:
                            return value
        if data["how"] != "plain":
            return LINE
        if data.get("near", ""):
            return field_at(self.drawing, data["near"], place)
        return _USUAL[data["quantity"]]


_USUAL: "dict[str, int]" = {
    "length": GAP,
    "count": 0,
    "fraction": 500_000,
    "temperature": WARM,
    "force": 0,
}


def _wanted_by(spec: Spec, asked: DrawnPlace) -> "int | None":
    """Return what a check wants to find, None where it does not say."""
    known = spec.as_drawn if asked.plain else spec.off_line
    return known(asked) if known is not None else None


def division(point: Json, units: str) -> int:
    """Return the smallest division of a point's instrument, base units.

    Example: of a tape in inches 1/16 in: 1587500 nm.
    """
    if point["quantity"] != "length":
        return _DIVISIONS.get(point["quantity"], 1)
    if units == "in" and point["tool"] in ("gauge", "feeler"):
        return INCH // 64
    usual = INCH // 32 if units == "in" else 500_000
    own = division_of(point["tool"], units)
    # what is read off a line is read with a rule: of the reader's units
    return own if own and (units == "in" or own % 100_000 == 0) else usual


def divided(point: Json, exact: int, units: str) -> int:
    """Return a size as the point's instrument shows it, to its nearest division."""
    part = division(point, units)
    return half_up(exact, part) * part


# of other instruments: half a per cent, one degree, half a pound, one
_DIVISIONS = {"fraction": 5_000, "temperature": 5_000, "force": 22_241_108_076_302_500}


class _Spot:
    """A fault, and a place where it may show."""

    def __init__(self, fault: PlantedFault, drawing: Drawing, place: Place) -> None:
        self.fault = fault
        self.drawing = drawing
        self.x = place.x or 0
        self.y = place.y or 0
        self.place = place

    @property
    def panel(self) -> Panel:
        return self.drawing.panel(self.place.panel)

    def corner(self) -> int:
        """Return how much higher a bottom corner of the panel stands."""
        return self.fault.lift(self.panel, self.drawing, self.place.side)

    def corner_at(self) -> int:
        """Return where that corner is."""
        return self.panel.left if self.place.side == "left" else self.panel.right

    def stile_out(self, panel: Panel, side: str) -> int:
        return self.fault.stile_out(panel, self.drawing, side, self.y)


def _clear_height(spot: _Spot) -> int:
    return spot.fault.head(spot.x, spot.drawing) - spot.fault.track(spot.x)


def _panel_width(spot: _Spot) -> int:
    return spot.fault.wider(spot.panel, spot.panel.height if spot.place.side == "top" else 0)


def _panel_diagonal(spot: _Spot) -> int:
    return spot.fault.diagonal(spot.panel, spot.place.id.endswith("high-right"))


def _closing_gap(spot: _Spot) -> int:
    """Of a panel's stile to the jamb; where two leads meet, to the other lead."""
    panel, panels = spot.panel, spot.drawing.panels
    near_left = abs(spot.x - panel.left) < abs(panel.right - spot.x)
    side, other, step = ("left", "right", -1) if near_left else ("right", "left", 1)
    at = [one.letter for one in panels].index(panel.letter) + step
    stile = spot.stile_out(panel, side)
    if 0 <= at < len(panels):
        return -stile - spot.stile_out(panels[at], other)
    return spot.fault.jamb(side, spot.y, spot.drawing) - stile


def _interlock_gap(spot: _Spot) -> int:
    panels = spot.drawing.panels
    pairs = [pair for pair in zip(panels, panels[1:]) if pair[0].track != pair[1].track]
    for (left, right), x in zip(pairs, spot.drawing.interlocks):
        if x == spot.place.x:
            return -spot.stile_out(left, "right") - spot.stile_out(right, "left")
    return 0


def _clearance(spot: _Spot) -> int:
    return spot.corner() - spot.fault.track(spot.corner_at())


def _engagement(spot: _Spot) -> int:
    return spot.corner() - spot.fault.head(spot.corner_at(), spot.drawing)


_EFFECTS: "dict[str, Any]" = {
    purposes.TRACK_INNER: lambda spot: spot.fault.track(spot.x),
    purposes.TRACK_OUTER: lambda spot: spot.fault.track(spot.x),
    purposes.TRACK_BETWEEN: lambda spot: spot.fault.track(spot.x),
    purposes.BED_ROOM: lambda spot: spot.fault.bed(spot.x, spot.drawing),
    purposes.BED_WEATHER: lambda spot: spot.fault.bed(spot.x, spot.drawing),
    purposes.LEFT_JAMB: lambda spot: spot.fault.jamb("left", spot.y, spot.drawing),
    purposes.RIGHT_JAMB: lambda spot: spot.fault.jamb("right", spot.y, spot.drawing),
    purposes.CLEAR_HEIGHT: _clear_height,
    purposes.PANEL_WIDTH: _panel_width,
    purposes.PANEL_DIAGONAL: _panel_diagonal,
    purposes.CLOSING_GAP: _closing_gap,
    purposes.INTERLOCK_GAP: _interlock_gap,
    purposes.STILE_CLEARANCE: _clearance,
    purposes.ENGAGEMENT: _engagement,
}
