"""The whole door as it was drawn and read so far: what the door model (core/trade) is given.

Points are found by their purpose (`purpose:` of the procedure). Each panel runs on its own track,
with the readings on that track. A track between the innermost and the outermost that was not read
with them is taken as straight between these two. What was not read widens the spread, and is said.
Where the drawing is silent nothing is filled in: it is named.

Stages: OPENING, the opening as found, with a frame set plumb on the sill bed as it is; FRAME, the
frame before panels hang; HUNG, the gaps measured on the hung panels, which tell their leans.
"""

from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.record.state import Reading, State
from app.core.record.tools import instrument_of
from app.core.trade import frame, moving
from app.core.trade.door_model.door import (
    INTERLOCK,
    MEETING,
    POCKET,
    REVEAL,
    Door,
    Gap,
    RigidPanel,
)
from app.core.trade.door_model.profile import Profile
from app.core.trade.drawing import Drawing, Panel, title_of
from app.core.trade.instruments import INSTRUMENTS, uncertainty_of_difference
from app.core.trade.lift_and_slide import (
    LIFT_FIELDS,
    drawn_lift,
    lowered_clearance,
    lowered_play,
)
from app.core.where.place import Place

OPENING, FRAME, HUNG = "opening", "frame", "hung"

TRACK_INNER = "track-inner"  # heights along the innermost track
TRACK_OUTER = "track-outer"  # heights along the outermost track
TRACK_BETWEEN = "track-between"  # heights along every track between these two, by place.track
CLEAR_HEIGHT = "clear-height"  # from the sill up into the head, along the frame
LEFT_JAMB = "left-jamb"  # the frame's jambs off plumb, side to side
RIGHT_JAMB = "right-jamb"
PANEL_WIDTH = "panel-width"  # a panel's width, at top and bottom
PANEL_HEIGHT = "panel-height"
PANEL_DIAGONAL = "panel-diagonal"
CLOSING_GAP = "gap-at-jamb"
INTERLOCK_GAP = "interlock-gap"
MEETING_PLUMB = "plumb-of-leads"  # closing stile of each meeting lead off plumb
STILE_CLEARANCE = "clearance"
ENGAGEMENT = "engagement"  # of both stiles in the head
TRIAL_TURN = "one-turn"  # what one turn of a roller's screw lifted
FIXED_SCREWS = "fixed-screws"  # counted: the fixed panel is fastened
BED_ROOM = "bed-room"  # the sill bed as surveyed, room side
BED_WEATHER = "bed-weather"

DOOR_PURPOSES = (
    TRACK_INNER,
    TRACK_OUTER,
    TRACK_BETWEEN,
    CLEAR_HEIGHT,
    LEFT_JAMB,
    RIGHT_JAMB,
    PANEL_WIDTH,
    PANEL_HEIGHT,
    PANEL_DIAGONAL,
    CLOSING_GAP,
    INTERLOCK_GAP,
    MEETING_PLUMB,
    STILE_CLEARANCE,
    ENGAGEMENT,
    TRIAL_TURN,
    FIXED_SCREWS,
    BED_ROOM,
    BED_WEATHER,
)
FARTHEST_TURN = 25400000  # nm: rollers are looked for so far from where they stand


class DoorAsRead:
    """A door for the model, or what is still missing for one.

    door: None where something is missing. missing: what is to be read or asked for, in words.
    taken: what was taken for given, in words. turns: the list of rollers, once it was asked for;
    turned: the panels that it turns, [] where it moves more than rollers, None where nothing.
    """

    def __init__(self) -> None:
        self.door: Door | None = None
        self.missing: list[Msg] = []
        self.taken: list[Msg] = []
        self.turns: list[Msg] | None = None
        self.turned: list[str] | None = None


def door_as_read(state: State, stage: str, limits: "dict[str, int | None]") -> DoorAsRead:
    """Return the whole door at a stage; nobody may alter it.

    limits: of the check of the whole door: reveal, interlock, plumb, clearance_least,
    clearance_most; what is silent is None.
    """
    key = stage + str(sort_by([(name, limits[name]) for name in limits], lambda pair: pair[0]))
    found: DoorAsRead = state.memory.answer("=door|" + key, _build_door, state, stage, limits)
    return found


def _build_door(state: State, stage: str, limits: "dict[str, int | None]") -> DoorAsRead:
    return _Builder(state, stage, limits).build()


class _Builder:
    """Puts one door together."""

    def __init__(self, state: State, stage: str, limits: "dict[str, int | None]") -> None:
        self.state = state
        self.drawing: Drawing = state.drawing
        self.stage = stage
        self.limits = limits
        self.out = DoorAsRead()
        self.series: dict[str, list[tuple[Place, Reading]]] = {}
        self.lists: dict[str, list[list[tuple[Place, Reading]]]] = {}  # the same, point by point
        self.tools: dict[str, str] = {}  # purpose -> kind of instrument that its point asks for
        # each is worked out once: a door of eight panels is built on a phone between two taps
        self.lines: dict[str, Profile | None] = {}
        self.errors: dict[tuple[str, int, int], int] = {}
        self.lips: dict[int, Profile] = {}
        self.by_panel: dict[str, dict[str, dict[str, int]]] = {}
        self._gather()

    def build(self) -> DoorAsRead:
        """Return the door, or what is missing for it."""
        axles = self._drawn("axle_distance")
        for field in ("reveal", "interlock"):
            if self.limits.get(field) is None:
                self.out.missing.append(Msg("The procedure gives no limit for this check."))
        heights = self._gap_heights()
        tracks = self._tracks()
        if not tracks:
            self.out.missing.append(Msg("Read the track along the sill."))
        jambs = self._jambs()
        if self.out.missing or heights is None or axles is None:
            return self.out
        panels = [self._panel(panel, axles, heights, tracks) for panel in self.drawing.panels]
        door = Door(panels, self._gaps(), heights[0], heights[1])
        door.jambs = jambs
        locks = moving.lock_jambs(self.drawing)
        door.locks = locks[0] if len(locks) == 1 else ""
        self._limit(door)
        for left, gap, right in zip(panels, door.gaps[1:], panels[1:]):
            if gap.kind == MEETING:
                left.meets, right.meets = "right", "left"
        if self.stage == HUNG:
            self._measure_gaps(door)
            self._measure_plumb(door)
            self._infer_end(door)
        self.out.door = door
        return self.out

    def _gather(self) -> None:
        """Find the last live reading at every place of every purpose that the model takes."""
        state = self.state
        for step in state.steps:
            for point in step.data["points"]:
                purpose = point.get("purpose", "")
                if purpose not in DOOR_PURPOSES:
                    continue
                self.tools[purpose] = point["tool"]
                panel = state.panel_for(point["id"], step.panel)
                here = []
                for place, readings in state.answers(point["id"], panel):
                    reached = [reading for reading in readings if reading.reached]
                    if reached and place.side != "closing":
                        here.append((place, reached[-1]))
                self.series.setdefault(purpose, []).extend(here)
                self.lists.setdefault(purpose, []).append(here)

    def _read(self, purpose: str) -> "list[tuple[Place, Reading]]":
        return self.series.get(purpose, [])

    def _one_line(self, purpose: str) -> "list[tuple[Place, Reading]]":
        """Return the readings of the last point of a purpose that was read at two places.

        Two points of one purpose are two surfaces, or two set-ups of the instrument: heights of
        both in one line would be steps that are not there.
        """
        found: list[tuple[Place, Reading]] = []
        for here in self.lists.get(purpose, []):
            found = here if len(here) > 1 else found
        return found

    def _error(self, purpose: str, length: int = 0, apart: int = 0) -> int:
        """Return how far the difference of two readings of a purpose may be off, halved."""
        key = (purpose, length, apart)
        if key not in self.errors:
            self.errors[key] = self._worst_error(purpose, length, apart)
        return self.errors[key]

    def _worst_error(self, purpose: str, length: int, apart: int) -> int:
        tools = []
        for _, reading in self._read(purpose):
            used = self.state.tool_of(reading.event)
            tool = instrument_of(used.facts) if used is not None else None
            if tool is not None and tool not in tools:
                tools.append(tool)
        if not tools:
            tools = [tool for tool in INSTRUMENTS if tool.id == self.tools.get(purpose)]
        worst = [uncertainty_of_difference(tool, length, length, apart) for tool in tools]
        return half_up(max(worst + [0]), 2)

    def _drawn(self, field: str) -> "int | None":
        """Return a length of the drawing; where it is silent that is missing."""
        found = self.drawing.length(field)
        if found is None:
            self._ask_for(field, self.out.missing)
        return found

    def _ask_for(self, field: str, into: "list[Msg]") -> None:
        into.append(
            Msg("The drawing does not give “{what}”. Ask the office.", what=Msg(title_of(field)))
        )

    def _gap_heights(self) -> "tuple[int, int] | None":
        """Return the heights of the low and the high place of the gaps, wherever they are read."""
        for purpose in (CLOSING_GAP, INTERLOCK_GAP):
            ys = [place.y for place in self._places(purpose) if place.y is not None]
            if len(ys) > 1 and max(ys) > min(ys):
                return min(ys), max(ys)
        self.out.missing.append(Msg("The procedure reads no gap low and high."))
        return None

    def _places(self, purpose: str) -> "list[Place]":
        state = self.state
        return [
            place
            for step in state.steps
            for point in step.data["points"]
            if point.get("purpose") == purpose
            for place in state.places(point["id"], state.panel_for(point["id"], step.panel))
        ]

    def _tracks(self) -> "dict[int, Profile]":
        """Return the heights along each track that a panel runs on; {} where none was read."""
        purposes = (BED_ROOM, BED_WEATHER) if self.stage == OPENING else (TRACK_INNER, TRACK_OUTER)
        inner, outer = [self._line(purpose) for purpose in purposes]
        count = self.drawing.count("tracks") or 1
        known = [line for line in (inner, outer) if line is not None]
        if not known:
            return {}
        tracks: dict[int, Profile] = {}
        for track in [
            n for n in range(1, count + 1) if n in [p.track for p in self.drawing.panels]
        ]:
            between = self._track_between(track)
            if inner is not None and (track == 1 or count == 1):
                tracks[track] = inner
            elif outer is not None and track == count:
                tracks[track] = outer
            elif between is not None:
                tracks[track] = between
            elif len(known) == 2:
                tracks[track] = _between(known[0], known[1], track - 1, count - 1)
            else:
                tracks[track] = known[0].guess()
        if any([tracks[track].guessed for track in tracks]):
            self.out.taken.append(
                Msg("Tracks that were not read are taken as straight between those that were.")
            )
        return tracks

    def _line(self, purpose: str) -> "Profile | None":
        """Return the heights along the sill as read for a purpose; None below two stations."""
        if purpose not in self.lines:
            self.lines[purpose] = self._line_as_read(purpose)
        return self.lines[purpose]

    def _track_between(self, track: int) -> "Profile | None":
        """Return the heights along a track as read with the innermost one, or None.

        The points of both purposes go in pairs: what was read on another surface, or from another
        set-up, is not mixed.
        """
        if self.stage == OPENING:
            return None
        used = [n for n, here in enumerate(self.lists.get(TRACK_INNER, [])) if len(here) > 1]
        pairs = self.lists.get(TRACK_BETWEEN, [])
        if not used or used[-1] >= len(pairs):
            return None
        here = [pair for pair in pairs[used[-1]] if pair[0].track == track]
        return self._profile(TRACK_BETWEEN, here)

    def _line_as_read(self, purpose: str) -> "Profile | None":
        return self._profile(purpose, self._one_line(purpose))

    def _profile(self, purpose: str, here: "list[tuple[Place, Reading]]") -> "Profile | None":
        at = {place.x: reading.height for place, reading in here if place.x is not None}
        xs = sort_by([x for x in at], lambda x: x)
        apart = self.drawing.length("axle_distance") or 0
        error = self._error(purpose, apart=apart)
        return Profile(xs, [at[x] for x in xs], error) if len(xs) > 1 else None

    def _jambs(self) -> "tuple[Profile | None, Profile | None]":
        """Return both jambs, None at a pocket; before the frame stands both are taken as plumb."""
        out: list[Profile | None] = []
        for side, purpose in (("left", LEFT_JAMB), ("right", RIGHT_JAMB)):
            if moving.pocketed_panels(self.drawing, side):
                out.append(None)
            elif self.stage == OPENING:
                out.append(Profile([], []))
            else:
                out.append(self._jamb(purpose, 1 if side == "right" else -1))
        if self.stage == OPENING:
            self.out.taken.append(Msg("The frame's jambs are taken as plumb: they are shimmed."))
        return out[0], out[1]

    def _jamb(self, purpose: str, sign: int) -> "Profile | None":
        # a plumb line inside the opening: bigger is farther from its middle
        at = {
            place.y: sign * reading.height
            for place, reading in self._one_line(purpose)
            if place.y is not None
        }
        ys = sort_by([y for y in at], lambda y: y)
        if len(ys) < 2:
            left = purpose == LEFT_JAMB
            self.out.missing.append(
                Msg("Read the LEFT jamb low and high.")
                if left
                else Msg("Read the RIGHT jamb low and high.")
            )
            return None
        return Profile(ys, [at[y] for y in ys], self._error(purpose, apart=ys[-1] - ys[0]))

    def _panel(
        self,
        drawn: Panel,
        axles: int,
        heights: "tuple[int, int]",
        tracks: "dict[int, Profile]",
    ) -> RigidPanel:
        widths = self._of_panel(PANEL_WIDTH, drawn.letter)
        tall = self._of_panel(PANEL_HEIGHT, drawn.letter)
        width, height = drawn.width, drawn.height
        if "top" in widths and "bottom" in widths:
            width = half_up(widths["top"] + widths["bottom"], 2)
        if tall:
            height = half_up(sum([tall[side] for side in tall]), len(tall))
        first = (width - axles) // 2
        out = RigidPanel(drawn.letter, drawn.left, width, height, [first, first + axles])
        out.track = out.sill = tracks[drawn.track]
        out.fixed = not drawn.slides
        out.fastened = out.fixed and bool(self._of_panel(FIXED_SCREWS, drawn.letter))
        out.slides = self._slides(drawn)
        over = heights[1] - heights[0]
        if "top" in widths and "bottom" in widths:
            out.wider = half_up((widths["top"] - widths["bottom"]) * over, height)
            out.width_error = 2 * self._error(PANEL_WIDTH, width)
        else:
            self._take(Msg("Panels that were not measured are taken as drawn, and square."))
        diagonals = self._of_panel(PANEL_DIAGONAL, drawn.letter)
        if "rising" in diagonals and "falling" in diagonals:
            num, den = frame.head_shift(diagonals["rising"], diagonals["falling"], [width])
            out.racked = half_up(num * over, den * height)
        self._stand(out)
        return out

    def _take(self, words: Msg) -> None:
        if words not in self.out.taken:
            self.out.taken.append(words)

    def _of_panel(self, purpose: str, letter: str) -> "dict[str, int]":
        """Return side -> reading of a panel; a diagonal's side is "rising" or "falling"."""
        if purpose not in self.by_panel:
            found: dict[str, dict[str, int]] = {}
            for place, reading in self._read(purpose):
                side = place.side
                if purpose == PANEL_DIAGONAL:
                    side = "rising" if place.id.endswith("low-left-high-right") else "falling"
                found.setdefault(place.panel, {})[side] = reading.height
            self.by_panel[purpose] = found
        return self.by_panel[purpose].get(letter, {})

    def _slides(self, drawn: Panel) -> int:
        """Return how far a panel moves to stand open, below zero to the left."""
        left, right = moving.room_on_track(self.drawing, drawn)
        way = moving.end_of(self.drawing, drawn)
        return -max(left, 0) if way == "left" else max(right, 0) if way == "right" else 0

    def _stand(self, panel: RigidPanel) -> None:
        """Put a panel on its rollers: by its clearances as read, else at the drawn height.

        An extension is how high the panel's bottom stands over the track at an axle.
        """
        nominal = self.drawing.length("stile_clearance") or 0
        ends = [nominal, nominal]
        read = self._of_panel(STILE_CLEARANCE, panel.letter) if self.stage == HUNG else {}
        if "left" in read and "right" in read:
            corners = []
            for side, x in (("left", panel.left), ("right", panel.left + panel.width)):
                n, d = panel.sill.exact_height(x)
                corners.append((n + read[side] * d, d))
            for k, axle in enumerate((panel.first, panel.axles[-1])):
                n, d = _along(corners[0], corners[1], axle, panel.width)
                tn, td = panel.track.exact_height(panel.left + axle)
                ends[k] = half_up(n * td - tn * d, d * td)
        panel.extensions = (ends[0], ends[1])
        panel.travel = (min(ends) - FARTHEST_TURN, max(ends) + FARTHEST_TURN)
        turn = self._trial_of(panel.letter)
        if turn:
            panel.trial = (turn, turn)
        if self.stage != OPENING:
            panel.lip = self._lip(panel)

    def _trial_of(self, letter: str) -> int:
        """Return what one turn lifts a panel; as at another one where only that was tried, else 0.

        The rollers of a door have screws of one kind (common practice, no source).
        """
        every = [panel.letter for panel in self.drawing.panels]
        for one in [letter] + every:
            turn = self._of_panel(TRIAL_TURN, one)
            tried = [abs(turn[side]) for side in turn if turn[side]]
            if tried:
                return tried[-1]
        return 0

    def _lip(self, panel: RigidPanel) -> Profile:
        """Return the head guide's lower lip over a panel's track.

        The sill's innermost track and the clear heights over it; the pocket's depth less. Where
        the drawing gives none the line is the pocket's top (see _limit). Stiles whose engagement
        was read say where the lip is.
        """
        track = self.drawing.panel(panel.letter).track
        if track not in self.lips:
            self.lips[track] = self._lip_by_heights(panel)
        lip = self.lips[track]
        engaged = self._of_panel(ENGAGEMENT, panel.letter) if self.stage == HUNG else {}
        drawn = self.drawing.length("head_pocket") is not None
        if drawn and "left" in engaged and "right" in engaged:
            return self._lip_by_engagement(panel, lip, engaged)
        return lip

    def _lip_by_heights(self, panel: RigidPanel) -> Profile:
        under = self._line(TRACK_INNER)
        pocket = self.drawing.length("head_pocket") or 0
        at: dict[int, int] = {}
        if under is not None:
            shift = self._above_innermost(panel, under) - pocket
            for place, reading in self._read(CLEAR_HEIGHT):
                if place.x is not None:
                    n, d = under.exact_height(place.x)
                    at[place.x] = half_up(n, d) + reading.height + shift
        xs = sort_by([x for x in at], lambda x: x)
        return Profile(xs, [at[x] for x in xs], self._error(CLEAR_HEIGHT))

    def _above_innermost(self, panel: RigidPanel, under: Profile) -> int:
        """Return how much higher a panel's track lies than the innermost one, in the mean.

        The head is taken to step with the tracks.
        """
        if panel.track is under:
            return 0
        xs = panel.track.xs
        both = [(panel.track.exact_height(x), under.exact_height(x)) for x in xs]
        rises = [half_up(a * d - c * b, b * d) for (a, b), (c, d) in both]
        return half_up(sum(rises), len(rises))

    def _lip_by_engagement(
        self, panel: RigidPanel, lip: Profile, engaged: "dict[str, int]"
    ) -> Profile:
        from app.core.trade.door_model.plan import exact_clearance

        spots = []
        for side, x in (("left", panel.left), ("right", panel.left + panel.width)):
            n, d = exact_clearance(panel, side, panel.extensions)
            sn, sd = panel.sill.exact_height(x)
            top = half_up(n * sd + sn * d, d * sd) + panel.height
            n, d = lip.exact_height(x)
            spots.append((x, top - engaged[side], top - engaged[side] - half_up(n, d)))
        if not lip.xs:
            return Profile([x for x, _, _ in spots], [y for _, y, _ in spots], lip.error)
        (x1, _, off1), (x2, _, off2) = spots
        # beyond the panel as it stands closed its own error goes on, and does not grow
        moved = {
            x: half_up((y + off1) * (x2 - x1) + (off2 - off1) * (min(max(x, x1), x2) - x1), x2 - x1)
            for x, y in zip(lip.xs, lip.ys)
        }
        moved.update({x: y for x, y, _ in spots})
        xs = sort_by([x for x in moved], lambda x: x)
        return Profile(xs, [moved[x] for x in xs], lip.error)

    def _gaps(self) -> "list[Gap]":
        reveal, interlock = self.limits["reveal"] or 0, self.limits["interlock"] or 0
        panels = self.drawing.panels
        out = [self._end("left", reveal)]
        for left, right in zip(panels, panels[1:]):
            meets = left.track == right.track
            out.append(Gap(MEETING, reveal) if meets else Gap(INTERLOCK, interlock))
        out.append(self._end("right", reveal))
        return out

    def _end(self, side: str, reveal: int) -> Gap:
        pocketed = bool(moving.pocketed_panels(self.drawing, side))
        return Gap(POCKET) if pocketed else Gap(REVEAL, reveal)

    def _limit(self, door: Door) -> None:
        """Set what the drawing allows; where it is silent that is said, and nothing binds."""
        drawn, limits, drawing = door.drawn, self.limits, self.drawing
        drawn.clearance = (limits.get("clearance_least"), limits.get("clearance_most"))
        drawn.plumb = limits.get("plumb")
        play_most = drawing.length("lift_play")
        drawn.pocket = drawing.length("head_pocket")
        drawn.engagement = drawing.length("head_engagement")
        drawn.play = (drawing.length("lift_play_least") or 0, play_most)
        lift = drawn_lift(drawing)
        if lift is not None:
            # the door is taken with its panels lowered, as it closes
            drawn.clearance = (lowered_clearance(drawn.clearance[0], lift), drawn.clearance[1])
            drawn.play = lowered_play(drawn.play, lift)
        if drawn.pocket is None:
            # the lip stands for the pocket's top: what is "engaged" is the play below zero
            drawn.pocket, drawn.engagement = 0, None
        given = [
            ("stile_clearance_least", limits.get("clearance_least")),
            ("stile_clearance_most", drawn.clearance[1]),
            ("head_engagement", drawing.length("head_engagement")),
            ("head_pocket", drawing.length("head_pocket")),
            ("lift_play", play_most),
        ]
        for field, value in given + [(field, drawing.length(field)) for field in LIFT_FIELDS]:
            if value is None and drawing.asks(field):
                self._ask_for(field, self.out.taken)

    def _measure_gaps(self, door: Door) -> None:
        """Give each gap that was read low and high its taper."""
        by_gap: dict[int, dict[str, tuple[int, int]]] = {}
        for purpose in (CLOSING_GAP, INTERLOCK_GAP):
            for place, reading in self._read(purpose):
                number = self._number(place, purpose)
                if number is not None and place.y is not None and place.side in ("low", "high"):
                    by_gap.setdefault(number, {})[place.side] = (place.y, reading.height)
        error = max(self._error(CLOSING_GAP), self._error(INTERLOCK_GAP))
        for number, ends in by_gap.items():
            if "low" in ends and "high" in ends:
                (y1, low), (y2, high) = ends["low"], ends["high"]
                gap = door.gaps[number]
                gap.measured = half_up((high - low) * door.apart, y2 - y1)
                gap.error = 2 * error

    def _number(self, place: Place, purpose: str) -> "int | None":
        """Return which gap, counted from the left jamb, a place is at."""
        panels = self.drawing.panels
        if purpose == INTERLOCK_GAP:
            at = 0
            for k, (left, right) in enumerate(zip(panels, panels[1:])):
                if left.track != right.track:
                    if place.x == self.drawing.interlocks[at]:
                        return k + 1
                    at += 1
            return None
        for k, panel in enumerate(panels):
            if panel.letter == place.panel and place.x is not None:
                return k if abs(place.x - panel.left) < abs(panel.right - place.x) else k + 1
        return None

    def _measure_plumb(self, door: Door) -> None:
        for panel in door.panels:
            if not panel.meets:
                continue
            at = self._of_panel(MEETING_PLUMB, panel.letter)
            if "low" in at and "high" in at:
                # the line hangs in the gap: a top that is farther from it leans away
                away = at["high"] - at["low"]
                panel.plumbed = away if panel.meets == "right" else -away

    def _infer_end(self, door: Door) -> None:
        """Where all gaps but one end's were read, that one follows: the tapers add up."""
        judged = [k for k, gap in enumerate(door.gaps) if gap.judged]
        unread = [k for k in judged if door.gaps[k].measured is None]
        whole = len(judged) == len(door.gaps)
        if not whole or len(unread) != 1 or unread[0] not in (0, len(door.panels)):
            return
        n1, d1 = door.jamb_lean(0)
        n2, d2 = door.jamb_lean(1)
        widths = sum([panel.wider for panel in door.panels])
        read = sum([gap.measured or 0 for gap in door.gaps])
        gap = door.gaps[unread[0]]
        gap.follows = True
        gap.measured = half_up(n1 * d2 - n2 * d1, d1 * d2) - widths - read
        jambs = [jamb.error for jamb in door.jambs if jamb is not None]
        gap.error = (
            2 * sum(jambs)
            + sum([panel.width_error for panel in door.panels])
            + sum([one.error for one in door.gaps])
        )


def _along(
    first: "tuple[int, int]", last: "tuple[int, int]", at: int, length: int
) -> "tuple[int, int]":
    """Return the height at a place between two, exactly, as (num, den)."""
    (n1, d1), (n2, d2) = first, last
    return n1 * d2 * (length - at) + n2 * d1 * at, d1 * d2 * length


def _between(inner: Profile, outer: Profile, part: int, whole: int) -> Profile:
    """Return a line that lies `part` of `whole` from one to another, at the stations of both."""
    xs = inner.xs
    if xs != outer.xs:
        stations = dict.fromkeys(inner.xs + outer.xs, True)
        xs = sort_by([x for x in stations], lambda x: x)
    ys = []
    for x in xs:
        n1, d1 = inner.exact_height(x)
        n2, d2 = outer.exact_height(x)
        ys.append(half_up(n1 * d2 * (whole - part) + n2 * d1 * part, d1 * d2 * whole))
    return Profile(xs, ys, max(inner.error, outer.error)).guess()
