"""What every check is made of.

A check is named in a procedure (YAML) by `calc:`; index.py says which module
has it. A calculation is a plain function `calc(ask: Ask) -> Outcome` with a Spec
beside it, from which the procedure compiler refuses what does not fit.
Arithmetic lives in core/trade (numbers in, numbers out); the functions here
only fetch readings, call it, and put the result into words.
"""

from app.core.checks.as_drawn import DrawnPlace
from app.core.errors import AppError
from app.core.kinds import Any, Callable, Json
from app.core.quantity.messages import Len, Msg
from app.core.trade.drawing import Drawing
from app.core.trade.verdicts import MISSING, OUT, UNREACHABLE, WITHIN
from app.core.where.place import Place

SIXTY_FOURTH = 25400000 // 64  # nanometres


class Ask:
    """All that a calculation may look at.

    places: input -> [Place] in order. readings: input -> {place id: whole base units};
    level readings are already heights above the reference line (a laser read down
    has been turned round). unreachable: input -> [place id]. limits: name -> whole
    base units, or None where the drawing is silent. settings: plain values of the
    YAML (ints in base units, or str). errors: input -> instrument's greatest error,
    nanometres (0 under simple acceptance). door: returns the whole door as it was drawn and
    read (record/door_as_read.py); only for a calculation whose Spec says whole_door.
    """

    def __init__(
        self,
        places: "dict[str, list[Place]]",
        readings: "dict[str, dict[str, int]]",
        limits: "dict[str, int | None]",
        settings: "dict[str, Any]",
        drawing: Drawing,
        unreachable: "dict[str, list[str]] | None" = None,
        errors: "dict[str, int] | None" = None,
        panel: str = "",
        door: "Callable[[], Any] | None" = None,
    ) -> None:
        self.places = places
        self.readings = readings
        self.limits = limits
        self.settings = settings
        self.drawing = drawing
        self.unreachable = unreachable or {}
        self.errors = errors or {}
        self.panel = panel
        self.door = door

    def series(self, input: str) -> "list[tuple[Place, int]]":
        """Return the measured places of an input with their values, in the order of the places."""
        taken = self.readings.get(input, {})
        return [(place, taken[place.id]) for place in self.places[input] if place.id in taken]

    def missing(self, input: str) -> "list[Place]":
        """Return the places of an input that are neither measured nor said to be out of reach."""
        taken = self.readings.get(input, {})
        gone = self.unreachable.get(input, [])
        return [p for p in self.places[input] if p.id not in taken and p.id not in gone]

    def limit(self, name: str) -> int:
        """Return a limit; raises Silent where the drawing leaves it open."""
        value = self.limits.get(name)
        if value is None:
            raise Silent(name)
        return value


class Silent(AppError):
    """A limit that only the drawing can give, and it does not."""

    def __init__(self, name: str) -> None:
        AppError.__init__(
            self,
            "limit-silent",
            Msg("The drawing does not give this limit. Ask the office."),
            name=name,
        )


class Outcome:
    """What a calculation found.

    verdict: one of VERDICTS. says: sentences with the figures. remedies: sentences that
    say exactly what to do, empty when within. over: by how much it is out, base units.
    quantity: of `value`, `low`, `high` and `over` ("length" unless said). value: the
    figure that decided. low, high: the limits that it was judged against, None where there
    is none. tilt: None, or which side is high in thousandths of the
    limit (-1000 left/room side … 1000 right/weather side) for the vial's bubble.
    missing: places still to measure.
    """

    def __init__(
        self,
        verdict: str,
        says: "list[Msg]",
        remedies: "list[Msg] | None" = None,
        value: "int | None" = None,
        low: "int | None" = None,
        high: "int | None" = None,
        over: int = 0,
        quantity: str = "length",
        tilt: "int | None" = None,
        missing: "list[Place] | None" = None,
    ) -> None:
        self.verdict = verdict
        self.says = says
        self.remedies = remedies or []
        self.value = value
        self.low = low
        self.high = high
        self.over = over
        self.quantity = quantity
        self.tilt = tilt
        self.missing = missing or []


# How much of its places a calculation needs before its verdict says anything.
ALL = "all"
SOME = "some"  # a part is enough for OUT: more readings cannot make it better
EACH = "each"  # so is a single place

# How far a level or laser is carried between the readings whose difference is judged.
WHOLE = "whole"  # over all places
OVER = "over"  # over the check's own setting `over`: any one foot
SAME = "same"  # not at all: it comes back to one mark


class Shims:
    """What material follows from a check's readings.

    sizes: thickness of each shim, None while something is still to be measured; of: "sill" or
    "jambs". compound: nm³ that filling takes instead, 0 for none. beside: the frame in its best
    place, for a picture, or None. pieces: the most shims in one stack, None where it is not said.
    """

    def __init__(
        self,
        of: str,
        sizes: "list[int] | None",
        compound: int = 0,
        beside: "Json | None" = None,
        pieces: "int | None" = None,
    ) -> None:
        self.of = of
        self.sizes = sizes
        self.compound = compound
        self.beside = beside
        self.pieces = pieces


class Spec:
    """What a calculation takes, and all that pages and record must know of it.

    points: {input: quantity}. limits: {name: quantity}. optional: names of inputs,
    limits and settings that may be left out of the YAML. settings: {name: quantity or "text"}.

    tells: ALL, SOME or EACH. readings: of how many readings a figure is the difference (2), or 1:
    what an instrument must serve. apart: WHOLE, OVER or SAME. gauged: whether a go or no-go gauge
    as thick as the limit can settle a close one. notes: whether it only asks that something is
    written down. drawn: whether it holds readings against a value of the drawing (setting
    `field`). limit_words: limit name -> the words that it has here (limit_words.py).

    ways: returns the ways to put it right, [{"title": Msg, "advised": bool, "says": [Msg]}].
    picture: returns what the picture of the readings is drawn from once none is missing, or None:
    {"floor": see drawings.floor_profile} or {"frame": see drawings.opening}.
    shims: returns what material follows. asks_shims: whether the check is named as still to be
    finished before that is known; not where another check of the same readings is named.

    limits_of: input -> the limits that a reading in it is held to, where it is not all of them.
    idle: returns the limits that say nothing at this door, as it is drawn and read.
    needs: fields of the drawing that it cannot do without, besides its limits and setting `field`.
    aims: limits that are only aimed at: it does without them.
    judged: optional inputs that are judged, not only looked up, where a door has places for them.
    whole_door: whether what it says hangs on everything that the door model is made of.
    head_room: whether it makes the sum under the head.
    touched: returns where the remedies are carried out: input of a line -> positions from LEFT.
    turned: returns the letters of the panels that they are carried out at, [] if elsewhere too,
    None where nothing can be carried out.
    as_drawn: what it would find at a place of a door as drawn, of readings as they are; off_line:
    the same of readings off a level line (as_drawn.py); None where nothing tells.
    """

    def __init__(
        self,
        points: "dict[str, str]",
        limits: "dict[str, str]",
        settings: "dict[str, str] | None" = None,
        optional: "tuple[str, ...]" = (),
        tells: str = ALL,
        readings: int = 2,
        apart: str = WHOLE,
        gauged: bool = False,
        notes: bool = False,
        drawn: bool = False,
        limit_words: "dict[str, str] | None" = None,
        ways: "Callable[[Ask], list[Json]] | None" = None,
        picture: "Callable[[Ask], Json | None] | None" = None,
        shims: "Callable[[Ask], Shims] | None" = None,
        asks_shims: bool = True,
        touched: "Callable[[Ask], dict[str, list[int]]] | None" = None,
        turned: "Callable[[Ask], list[str] | None] | None" = None,
        judged: "tuple[str, ...]" = (),
        whole_door: bool = False,
        head_room: bool = False,
        limits_of: "dict[str, tuple[str, ...]] | None" = None,
        as_drawn: "Callable[[DrawnPlace], int | None] | None" = None,
        off_line: "Callable[[DrawnPlace], int | None] | None" = None,
        idle: "Callable[[Ask], list[str]] | None" = None,
        needs: "tuple[str, ...]" = (),
        aims: "tuple[str, ...]" = (),
    ) -> None:
        self.points = points
        self.limits = limits
        self.settings = settings or {}
        self.optional = optional
        self.tells = tells
        self.readings = readings
        self.apart = apart
        self.gauged = gauged
        self.notes = notes
        self.drawn = drawn
        self.limit_words = limit_words or {}
        self.ways = ways
        self.picture = picture
        self.shims = shims
        self.asks_shims = asks_shims
        self.touched = touched
        self.turned = turned
        self.judged = judged
        self.whole_door = whole_door
        self.head_room = head_room
        self.limits_of = limits_of or {}
        self.idle = idle
        self.needs = needs
        self.aims = aims
        self.as_drawn = as_drawn
        self.off_line = off_line


def not_measured(ask: Ask, *inputs: str) -> "Outcome | None":
    """Return the outcome 'missing' naming the places still to measure, or None if all are in."""
    left = []
    for input in inputs:
        left.extend(ask.missing(input))
    if not left:
        return None
    return Outcome(
        MISSING,
        [Msg("Still to measure: {places}.", places=[place.title for place in left[:6]])],
        missing=left,
    )


def within_or_out(within: bool, ask: Ask, *inputs: str) -> str:
    """Return WITHIN or OUT; UNREACHABLE where it is within but a place was out of reach."""
    if not within:
        return OUT
    for input in inputs:
        if ask.unreachable.get(input):
            return UNREACHABLE
    return WITHIN


def size_len(nm: int) -> Len:
    """Return a length to be shown as a size."""
    return Len(nm)


def shim_len(nm: int) -> Len:
    """Return a shim to be shown as fine as it is: thin ones come in 1/64 in too."""
    return Len(nm, "size", None if nm % (2 * SIXTY_FOURTH) == 0 else SIXTY_FOURTH)


def position_len(nm: int) -> Len:
    """Return a length to be shown as a position."""
    return Len(nm, "place")
