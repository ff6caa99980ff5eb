"""Room over the frame against the deflection that an engineer stated. No header is sized here.

Lengths are whole nanometres. What the header will do is an input with a name and a
date; this only takes it off the gaps that were measured.
"""

from app.core.errors import InputError
from app.core.quantity.dates import is_date
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import half_up, round_up
from app.core.trade.finding import INFORMATION, Finding
from app.core.trade.verdicts import OUT, WITHIN

RATIOS = (180, 240, 360, 480, 600, 720)
FLOOR_RATIO = 360  # the least that a code asks of a floor's live load (IBC table 1604.3, seen)
WHOLE = 100  # a creep factor of 1, in hundredths
PLACES = ("left", "middle", "right")


class Stated:
    """What the engineer stated: who, when, and how far the header will still come down.

    live: under load; creep: what dead load still adds after the door is set. Errors:
    InputError 'engineer-needed', 'date-needed' (a date like 2026-03-02), 'deflection-negative'.
    """

    def __init__(self, name: str, date: str, live: int, creep: int = 0) -> None:
        if not name.strip():
            raise InputError(
                "engineer-needed",
                Msg("Who stated the deflection? Without the engineer's name it does not count."),
            )
        if not is_date(date):
            raise InputError(
                "date-needed",
                Msg("When was it stated? Write the date like {example}.", example="2026-03-02"),
            )
        if live < 0 or creep < 0:
            raise InputError("deflection-negative", Msg("A deflection cannot be below zero."))
        self.name = name.strip()
        self.date = date
        self.live = live
        self.creep = creep

    @property
    def comes_down(self) -> int:
        """Return live deflection and creep together."""
        return self.live + self.creep


def creep_left(dead: int, factor: int) -> int:
    """Return what dead load still adds after the door is set, nanometres, rounded up.

    factor:  the engineer's creep factor in hundredths (150 is 1.5).
    Errors:  InputError 'creep-factor' under 1, 'deflection-negative'.
    Source:  (K - 1) x dead deflection.
    Example: creep_left(INCH // 8, 150) -> INCH // 16 (1/8 in dead, factor 1.5)
    """
    if factor < WHOLE:
        raise InputError("creep-factor", Msg("A creep factor is 1 or more."))
    if dead < 0:
        raise InputError("deflection-negative", Msg("A deflection cannot be below zero."))
    return round_up(dead * (factor - WHOLE), WHOLE)


def gap_remaining(gap: int, stated: Stated) -> int:
    """Return what is left of a gap when the header is down; below zero it bears on the frame.

    Example: gap_remaining(INCH // 4, Stated("R. Example", "2026-03-02", 3 * INCH // 16)) -> INCH
             // 16
    """
    return gap - stated.comes_down


def judge_head_gap(gaps: "dict[str, int]", stated: Stated, needed: int, span: int = 0) -> Finding:
    """Return whether the room over the frame outlasts the stated deflection, at every place.

    gaps:    "left", "middle", "right": measured over the frame, all three. needed: what has to
             remain (play or engagement). span: of the opening, for a warning; 0 without.
             The stated deflection is taken at the ends too: the careful side.
    Errors:  InputError 'gap-missing', 'needed-negative'.
    Source:  gap - live - creep >= needed.
    Example: judge_head_gap({"left": 3, "middle": 2, "right": 3}, Stated("R. Example",
             "2026-03-02", 1), 1).verdict -> "within" (on the line)
    """
    if needed < 0:
        raise InputError("needed-negative", Msg("What has to remain cannot be below zero."))
    for place in PLACES:
        if place not in gaps:
            raise InputError(
                "gap-missing",
                Msg(
                    "Measure over the frame at both ends and in the middle, never the jambs alone."
                ),
                place=place,
            )
    short = [place for place in PLACES if gap_remaining(gaps[place], stated) < needed]
    least = min([gaps[place] for place in PLACES])
    says = [_left_words(least, stated, needed)] + _against_span(span, gaps["middle"])
    if not short:
        return Finding(WITHIN, says, cautions=header_cautions())
    moves = [_lower_words(place, needed - gap_remaining(gaps[place], stated)) for place in short]
    return Finding(OUT, says, moves + [_ask_words()], header_cautions())


def _left_words(least: int, stated: Stated, needed: int) -> Msg:
    params = {
        "name": stated.name,
        "date": stated.date,
        "down": Len(stated.comes_down),
        "least": Len(least),
        "needed": Len(needed),
    }
    left = gap_remaining(least, stated)
    if left < 0:
        return Msg(
            "{name}, {date}: the header comes down {down}. The least gap is {least}: it would bear "
            "on the frame by {short}.",
            short=Len(-left),
            **params,
        )
    return Msg(
        "{name}, {date}: the header comes down {down}. Of the least gap, {least}, {left} remain; "
        "{needed} needed.",
        left=Len(left),
        **params,
    )


def _lower_words(place: str, by: int) -> Msg:
    if place == "middle":
        return Msg("Middle: {by} more room over the frame is needed.", by=Len(by))
    if place == "left":
        return Msg("LEFT end, you outside: {by} more room over the frame is needed.", by=Len(by))
    return Msg("RIGHT end, you outside: {by} more room over the frame is needed.", by=Len(by))


def _ask_words() -> Msg:
    return Msg(
        "Ask the engineer or the office: never cut or jack the header, and leave no shim "
        "between it and the frame."
    )


def ratio_warns(span: int, gap: int) -> bool:
    """Return whether span/360 is more than the gap, exactly.

    What a code allows a floor to come down may then be more than the room that is there.
    Example: ratio_warns(192 * INCH, INCH // 2) -> True (0.533 in)
    """
    return span > FLOOR_RATIO * gap


def _against_span(span: int, gap: int) -> "list[Msg]":
    if not span or not ratio_warns(span, gap):
        return []
    return [
        Msg(
            "A code may let a floor over this span come down by {most} (span/360), more than the "
            "{gap} that is there: make sure that the stated figure is for this header.",
            most=Len(at_ratio(span, FLOOR_RATIO)),
            gap=Len(gap),
        )
    ]


def at_ratio(span: int, ratio: int) -> int:
    """Return span / ratio, nanometres, half up. Errors: InputError 'span-needed'.

    Example: at_ratio(192 * INCH, 360) -> 13546667 (0.5333 in)
    """
    if span <= 0 or ratio <= 0:
        raise InputError("span-needed", Msg("Give the span of the opening."))
    return half_up(span, ratio)


def ratio_table(span: int) -> Finding:
    """Return span/180 to span/720 in words, to think with. Errors: InputError 'span-needed'.

    Example: ratio_table(192 * INCH).verdict -> "information"
    """
    rows = [
        Msg("span/{ratio}: {size}", ratio=ratio, size=Len(at_ratio(span, ratio)))
        for ratio in RATIOS
    ]
    return Finding(INFORMATION, rows, cautions=header_cautions())


def header_cautions() -> "list[Msg]":
    """Return the words that go with every figure about a header."""
    return [
        Msg(
            "This page never sizes a header and never says that one is enough: that is the "
            "engineer's. It takes the stated figure off the gap that was measured."
        ),
        Msg(
            "A door that hangs from its head loads the header; one that rolls on its sill does not."
        ),
    ]
