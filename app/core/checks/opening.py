"""Checks of the hole in the wall: does the frame go in, and where.

Offsets are distances from a plumb line inside the opening to the jamb: bigger is
farther from the middle. Arithmetic: core/trade/opening.py.
"""

from app.core.checks.as_drawn import opening_width
from app.core.checks.base import Ask, Outcome, Shims, Spec, not_measured, shim_len, size_len
from app.core.checks.compare import Figure, deciding_figure, verdict_reached
from app.core.errors import AppError, InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade import opening, packing
from app.core.trade.verdicts import MISSING
from app.core.where.place import Place


class _Height:
    """What was read at one height: the three places, and how far apart the plumb lines are."""

    def __init__(
        self, width: "tuple[Place, int]", left: "tuple[Place, int]", right: "tuple[Place, int]"
    ) -> None:
        self.places = [width[0], left[0], right[0]]
        self.between = opening.between_lines(width[1], left[1], right[1])


def fit(ask: Ask) -> Outcome:
    """Return whether the frame goes in with the gaps asked for, where to set it, and every shim.

    The frame is set plumb where its gaps are most even. Too tight is a place with less than
    `least` beside the frame there, too loose one with more than `most`.
    Errors: Silent where the drawing leaves a limit open; InputError 'drawing-silent'.
    Source: core/trade/opening.py.
    """
    left_over = not_measured(ask, "left", "right", "widths")
    if left_over:
        return left_over
    heights = _measured_heights(ask)
    if not heights:
        words = Msg("Measure the width at a height where both jambs were measured from plumb.")
        return Outcome(MISSING, [words], [words], missing=ask.places["widths"][:1])
    between = opening.middle_one([height.between for height in heights])
    doubt = _contradiction(heights, between, ask.limit("agree"))
    return doubt or _set_in(ask, between)


def frame_placed(ask: Ask) -> "Json | None":
    """Return the frame in its best place for a picture (drawings.opening), or None.

    None where something is not measured, the frame's height is not drawn, or tape and
    plumb disagree.
    """
    tall = ask.drawing.length("frame_height")
    if tall is None or fit(ask).missing:
        return None
    between = opening.middle_one([height.between for height in _measured_heights(ask)])
    found = _Set(ask, between)
    return {
        "frame_width": found.frame,
        "frame_height": tall,
        "least": ask.limit("least"),
        "most": ask.limit("most"),
        "places": [
            {"side": "left" if i < found.lefts else "right", "at": place.y or 0, "gap": gap}
            for i, (place, gap) in enumerate(found.gaps)
        ],
    }


def _measured_heights(ask: Ask) -> "list[_Height]":
    out = []
    for place, width in ask.series("widths"):
        left = _level_with(place, ask.series("left"))
        right = _level_with(place, ask.series("right"))
        if left and right:
            out.append(_Height((place, width), left, right))
    return out


def _level_with(place: Place, series: "list[tuple[Place, int]]") -> "tuple[Place, int] | None":
    for other, value in series:
        by_height = place.y is not None and other.y is not None
        if (place.y == other.y) if by_height else (place.side == other.side):
            return other, value
    return None


def _contradiction(heights: "list[_Height]", between: int, agree: int) -> "Outcome | None":
    """Return 'missing' with the height to measure again where tape and offsets contradict."""
    found = [height.between for height in heights]
    if max(found) - min(found) <= agree:
        return None
    off = [between - one for one in found]
    index = max(range(len(off)), key=lambda i: abs(off[i]))
    places = heights[index].places
    if len(heights) == 2:
        places = heights[0].places + heights[1].places
    says = [
        Msg(
            "These readings cannot all be right: the distance between the plumb lines comes"
            " out {least} at one height and {most} at another.",
            least=size_len(min(found)),
            most=size_len(max(found)),
        )
    ]
    unit = opening.burned_length(max(found) - min(found), agree)
    if unit:
        says.append(
            Msg(
                "It is almost exactly {unit} off: was the tape held at that mark?",
                unit=size_len(unit),
            )
        )
    again = Msg("Measure again: {places}.", places=[place.title for place in places])
    return Outcome(MISSING, says, [again], missing=places)


class _Set:
    """The frame in its best position: (place, gap) on both sides."""

    def __init__(self, ask: Ask, between: int) -> None:
        self.frame = ask.drawing.need("frame_width")
        lefts, rights = ask.series("left"), ask.series("right")
        self.lefts = len(lefts)
        left = [value for _, value in lefts]
        right = [value for _, value in rights]
        self.usable = opening.usable_width(between, left, right)
        x = opening.best_position(
            between, left, right, self.frame, ask.limit("least"), ask.limit("most")
        )
        gaps = opening.left_gaps(left, x) + opening.right_gaps(between, right, self.frame, x)
        self.gaps = list(zip([place for place, _ in lefts + rights], gaps))


def _set_in(ask: Ask, between: int) -> Outcome:
    least, most = ask.limit("least"), ask.limit("most")
    if least > most:
        raise InputError(
            "limits-crossed",
            Msg("The least gap is more than the greatest: nothing can be within. Ask the office."),
        )
    found = _Set(ask, between)
    gaps = [gap for _, gap in found.gaps]
    error = _gap_error(ask)
    decided = deciding_figure([Figure(gap, least, most, error) for gap in (min(gaps), max(gaps))])
    return Outcome(
        verdict_reached(decided.verdict, ask, "left", "right", "widths"),
        [_room_words(found)] + _shims_said(found, ask),
        _too_tight(found, least) + _too_loose(found, most),
        decided.value,
        decided.low,
        decided.high,
        decided.over,
    )


def _gap_error(ask: Ask) -> int:
    """Return the greatest error of a gap: a gap is half of what is left of the width."""
    return half_up(sum([ask.errors.get(input, 0) for input in ("left", "right", "widths")]), 2)


def _room_words(found: _Set) -> Msg:
    room = found.usable - found.frame
    usable, frame = size_len(found.usable), size_len(found.frame)
    if room < 0:
        return Msg(
            "Usable width {usable}, frame {frame}: the frame is {room} too wide.",
            usable=usable,
            frame=frame,
            room=size_len(-room),
        )
    return Msg(
        "Usable width {usable}, frame {frame}: {room} to share between both sides.",
        usable=usable,
        frame=frame,
        room=size_len(room),
    )


def shim_packs(found: _Set, ask: Ask) -> "list[tuple[Place, int, tuple[int, ...] | None]]":
    """Return (place, gap, shims of the box that fill it) where there is a gap to fill.

    Never thicker than the gap: a shim that is forced in bows the jamb. None: the box makes
    nothing that comes within its thinnest shim. Without a box it is the gap itself.
    """
    gaps = [(place, gap) for place, gap in found.gaps if gap >= 0]
    pieces = ask.settings.get("pieces", packing.PIECES)
    ladder = packing.Ladder(ask.drawing.shims, pieces, max([gap for _, gap in gaps] + [0]))
    out = []
    for place, gap in gaps:
        made = ladder.make(gap, packing.DOWN)
        out.append((place, gap, None if made is None else ladder.pieces(made)))
    return out


def shims_of(ask: Ask) -> "list[int] | None":
    """Return every shim that the frame takes at its jambs; None before all is measured."""
    if fit(ask).missing:
        return None
    found = _Set(ask, opening.middle_one([height.between for height in _measured_heights(ask)]))
    return [piece for _, _, pieces in shim_packs(found, ask) for piece in pieces or ()]


def jamb_shims(ask: Ask) -> Shims:
    """Return every shim that the frame takes at its jambs, and how it stands there."""
    pieces = int(ask.settings.get("pieces", packing.PIECES))
    return Shims("jambs", shims_of(ask), beside=frame_placed(ask), pieces=pieces)


def frame_picture(ask: Ask) -> "Json | None":
    """Return what the frame in its opening is drawn from; None as of frame_placed()."""
    try:
        frame = frame_placed(ask)
    except AppError:
        return None
    return {"frame": frame} if frame is not None else None


def _shims_said(found: _Set, ask: Ask) -> "list[Msg]":
    shims = [_shim_words(place, gap, pieces) for place, gap, pieces in shim_packs(found, ask)]
    return [Msg("Shims, frame in its best place: {list}.", list=shims)] if shims else []


def _shim_words(place: Place, gap: int, pieces: "tuple[int, ...] | None") -> Msg:
    if pieces is None:
        return Msg(
            "{place}: {gap}, which the box does not make", place=place.title, gap=size_len(gap)
        )
    if not pieces or pieces == (gap,):
        return Msg("{place}: {gap}", place=place.title, gap=size_len(gap))
    shims = [shim_len(piece) for piece in pieces]
    return Msg("{place}: {gap} (shims {shims})", place=place.title, gap=size_len(gap), shims=shims)


def _too_tight(found: _Set, least: int) -> "list[Msg]":
    return [
        Msg(
            "{place}: {cut} too tight. Take {cut} off what lines the opening there; never cut a"
            " post or header.",
            place=place.title,
            cut=size_len(least - gap),
        )
        for place, gap in found.gaps
        if gap < least
    ]


def _too_loose(found: _Set, most: int) -> "list[Msg]":
    return [
        Msg(
            "{place}: {pad} too wide. Pad it solid, {pad} thick.",
            place=place.title,
            pad=size_len(gap - most),
        )
        for place, gap in found.gaps
        if gap > most
    ]


# left, right: `how: plumb`, places at the same heights (place.y) on both jambs.
# widths: tape from jamb to jamb at those heights; one is enough, more are checked against each
# other within the limit `agree`. The frame's width is the drawing's frame_width.
# pieces: the most shims in one stack.
FIT_SPEC = Spec(
    {"left": "length", "right": "length", "widths": "length"},
    {"least": "length", "most": "length", "agree": "length"},
    {"pieces": "count"},
    ("pieces",),
    picture=frame_picture,
    shims=jamb_shims,
    limit_words={"least": "gap_least", "most": "gap_most"},
    as_drawn=opening_width,
)
