"""The whole door as the model takes it: panels, the gaps between them, ends, what is drawn."""

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import INCH
from app.core.trade.door_model.profile import Profile

# what stands between two neighbours, or at an end
REVEAL, INTERLOCK, MEETING, POCKET, FIXED = "reveal", "interlock", "meeting", "pocket", "fixed"
GAPS = (REVEAL, INTERLOCK, MEETING)


class Gap:
    """What is at the left end, between two panels, or at the right end.

    kind: REVEAL at a jamb, INTERLOCK (its overlap tapers by the negative of the gap), MEETING
    of two leads; POCKET and FIXED at an end have no taper to judge. most: limit of the taper.
    measured: taper as measured on the hung panels (high less low), or None; then the jamb's
    readings and the panel's widths are not needed here. error: how far that may be off. follows:
    nobody read `measured`, it follows from the other gaps and both jambs.
    """

    def __init__(
        self, kind: str, most: int = 0, measured: "int | None" = None, error: int = 0
    ) -> None:
        self.kind = kind
        self.most = most
        self.measured = measured
        self.error = error
        self.follows = False

    @property
    def judged(self) -> bool:
        """Return whether its taper has a limit."""
        return self.kind in GAPS


class RigidPanel:
    """One panel, its rollers, and the track that it runs on.

    left: position of its left bottom corner, closed. axles: positions from its left edge,
    ascending; the outer two count. extensions: (left, right) as the rollers stand now.
    travel: least and most extension. track, sill, lip: Profiles of its own track, of the
    surface under it, of the head guide's lower lip (where that is unread, the head binds
    nothing). slides: how far it moves to stand open (below zero to the left), 0 for a fixed
    panel. wider: width at the high place less width at the low one; racked: how far its top
    stands to the right of square over that height; width_error: how far `wider` may be off.
    meets: "left" or "right" where that side meets another lead, else ""; plumbed: how far that
    side's stile leans to the left over the gap's height, as measured on the hung panel, or None.
    trial: (up, down), what one turn of a screw moves, or None. fixed: it does not slide; its
    extensions are shims. fastened: its shims are as they are.
    """

    def __init__(self, letter: str, left: int, width: int, height: int, axles: "list[int]") -> None:
        self.letter = letter
        self.left = left
        self.width = width
        self.height = height
        self.axles = axles
        self.extensions = (0, 0)
        self.travel = (0, 0)
        self.track = Profile([], [])
        self.sill = Profile([], [])
        self.lip = Profile([], [])
        self.slides = 0
        self.wider = 0
        self.racked = 0
        self.width_error = 0
        self.meets = ""
        self.plumbed: int | None = None
        self.trial: tuple[int, int] | None = None
        self.fixed = False
        self.fastened = False

    @property
    def first(self) -> int:
        """Return where the left of the two axles that count is, from the left edge."""
        return self.axles[0]

    @property
    def apart(self) -> int:
        """Return the distance between the two axles that count."""
        return self.axles[-1] - self.axles[0]

    @property
    def held(self) -> bool:
        """Return whether its lean is given: a fixed panel that is fastened."""
        return self.fixed and self.fastened

    @property
    def left_part(self) -> int:
        """Return how far the top of its left stile stands out to the left of square."""
        return self.wider // 2 - self.racked

    @property
    def right_part(self) -> int:
        """Return how far the top of its right stile stands out to the right of square."""
        return self.wider - self.wider // 2 + self.racked

    def rise(self, shift: int = 0) -> float:
        """Return how much higher the track is under the right axle, the panel moved by shift."""
        x = self.left + shift + self.first
        return self.track.height(x + self.apart) - self.track.height(x)

    def exact_rise(self) -> "tuple[int, int]":
        """Return rise() of the closed panel as (numerator, denominator)."""
        x = self.left + self.first
        n1, d1 = self.track.exact_height(x)
        n2, d2 = self.track.exact_height(x + self.apart)
        return n2 * d1 - n1 * d2, d1 * d2


class DrawnLimits:
    """What the drawing allows; None where it is silent: that does not bind, and is said.

    clearance: (least, most) under a stile; engagement: least in the head; pocket: depth of the
    head's pocket; play: (least, most) that a panel can be lifted; plumb: most that a meeting
    lead's own stile leans over the height between the gap's places.
    """

    def __init__(self) -> None:
        self.clearance: tuple[int | None, int | None] = (None, None)
        self.engagement: int | None = None
        self.pocket: int | None = None
        self.play: tuple[int | None, int | None] = (None, None)
        self.plumb: int | None = None

    @property
    def engaged(self) -> "tuple[int | None, int | None]":
        """Return least and most engagement: play is the pocket's depth less the engagement."""
        least, most = self.engagement, None
        if self.pocket is not None:
            play_least, play_most = self.play
            most = self.pocket - (play_least or 0)
            if play_most is not None and (least is None or self.pocket - play_most > least):
                least = self.pocket - play_most
        return least, most


class Door:
    """A whole door.

    panels: RigidPanels from the left. gaps: one Gap at each end and between neighbours.
    low, high: the heights that gaps are measured at. jambs: (left, right) Profiles over the
    height of how far the jamb's face stands to the RIGHT of a plumb line, None at a pocket.
    slope: (rise, run) of the track at most, where nobody read it.
    locks: the jamb of the lock, "left" or "right", which is moved last; "" where leads meet.
    """

    def __init__(self, panels: "list[RigidPanel]", gaps: "list[Gap]", low: int, high: int) -> None:
        self.panels = panels
        self.gaps = gaps
        self.low = low
        self.high = high
        self.jambs: tuple[Profile | None, Profile | None] = (None, None)
        self.drawn = DrawnLimits()
        self.slope = (INCH // 16, 48 * INCH)
        self.locks = ""

    @property
    def apart(self) -> int:
        """Return the height between the low and the high place of a gap."""
        return self.high - self.low

    def jamb_lean(self, side: int) -> "tuple[int, int]":
        """Return how far a jamb leans to the left over that height, exactly; side 0 left, 1 right.

        A jamb that nobody read counts as plumb.
        """
        jamb = self.jambs[side]
        if jamb is None:
            return 0, 1
        n1, d1 = jamb.exact_height(self.low)
        n2, d2 = jamb.exact_height(self.high)
        return n1 * d2 - n2 * d1, d1 * d2

    def panel(self, letter: str) -> RigidPanel:
        """Return a panel by its letter; raises InputError 'panel-unknown'."""
        for panel in self.panels:
            if panel.letter == letter:
                return panel
        raise InputError(
            "panel-unknown", Msg("There is no panel {letter}.", letter=letter), letter=letter
        )


def must_be_whole(door: Door) -> None:
    """Raise an InputError where the door cannot be worked out; return else.

    Codes: 'panels-none', 'door-gaps', 'door-heights', 'door-axles', 'door-end', 'door-limit'.
    """
    if not door.panels:
        raise _question("panels-none", Msg("The door has no panels."))
    if len(door.gaps) != len(door.panels) + 1:
        raise _question(
            "door-gaps", Msg("Give what is at each end and between each two panels, in order.")
        )
    if door.high <= door.low:
        raise _question("door-heights", Msg("The high place of a gap is above the low one."))
    for panel in door.panels:
        _must_stand(panel)
    for k, gap in enumerate(door.gaps):
        _must_close(gap, at_end=k in (0, len(door.panels)))


def _must_stand(panel: RigidPanel) -> None:
    axles = panel.axles
    rising = all([a < b for a, b in zip(axles, axles[1:])])
    if len(axles) < 2 or not rising or axles[0] < 0 or axles[-1] > panel.width:
        raise _question(
            "door-axles",
            Msg(
                "Panel {letter} needs two roller axles, from its left edge to the right.",
                letter=panel.letter,
            ),
        )
    if panel.travel[0] > panel.travel[1]:
        raise _question(
            "door-travel",
            Msg(
                "Panel {letter}: its rollers' least extension is over the most.",
                letter=panel.letter,
            ),
        )


def _must_close(gap: Gap, at_end: bool) -> None:
    if gap.kind not in ((REVEAL, POCKET, FIXED) if at_end else (INTERLOCK, MEETING)):
        raise _question(
            "door-end",
            Msg("An end is a reveal, a pocket or fixed; two panels hook at an interlock or meet."),
        )
    if gap.judged and gap.most <= 0:
        raise _question("door-limit", Msg("Each gap needs a limit for its taper, above zero."))


def _question(code: str, message: Msg) -> InputError:
    return InputError(code, message)


def spread_of_lean(door: Door, panel: RigidPanel) -> float:
    """Return how unsure a panel's lean is that follows from its track, over the gap's height.

    Two readings each off by the instrument's error, and between stations no more than a track
    hides that never slopes more than door.slope.
    Such as 0.073 in over 84 in, for 1/64 in at each of two axles that are 36 in apart.
    """
    rise, run = door.slope
    hidden = hidden_at(panel.track, panel.left + panel.first, door.slope)
    other = hidden_at(panel.track, panel.left + panel.axles[-1], door.slope)
    steep = rise * (float(panel.apart) / run)
    by_slope = steep if hidden is None or other is None else min(steep, hidden + other)
    return (2 * panel.track.error + by_slope) * (float(door.apart) / panel.apart)


def hidden_at(profile: Profile, x: int, slope: "tuple[int, int]") -> "float | None":
    """Return how far a line may be off the straight between its stations at x, None: unread."""
    far = profile.unread(x)
    return None if far is None else slope[0] * (float(far) / slope[1])
