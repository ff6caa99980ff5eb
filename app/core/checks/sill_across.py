"""The check across the sill: never toward the room, enough toward the weather side."""

from app.core.checks.as_drawn import fallen_line, opening_height
from app.core.checks.base import SOME, Ask, Outcome, Spec, not_measured, size_len, within_or_out
from app.core.checks.sill_plan import SillPlan, kept_fall
from app.core.checks.sill_survey import Survey
from app.core.checks.sill_words import head_sums, sill_remedies
from app.core.kinds import Any
from app.core.quantity.messages import Msg
from app.core.quantity.units import round_up
from app.core.trade.sill import cross_falls
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE
from app.core.where.place import Place

# fall = room height less weather height at every common station, one set-up for both lines.
# least: 0 means never toward the room. target: the fall that packing aims at (the drawing's
# cross_fall unless said).
CROSS_FALL_SPEC = Spec(
    {"room": "length", "weather": "length", "heights": "length"},
    {"least": "length", "most": "length", "target": "length"},
    {"pieces": "count", "fall": "text"},
    ("heights", "most", "target", "pieces", "fall"),
    tells=SOME,
    as_drawn=opening_height,
    off_line=fallen_line,
    aims=("target",),
)


def cross_fall(ask: Ask) -> Outcome:
    """Return whether the sill falls toward the weather side, enough and not too much."""
    least = ask.limit("least")
    left = not_measured(ask, "room", "weather")
    room = Survey(ask, "room")
    weather = Survey(ask, "weather")
    falls = cross_falls((room.xs, room.heights), (weather.xs, weather.heights))
    if not falls:
        return left or _no_common(ask)
    worst = _worst_fall(falls, least, _most_fall(ask))
    error = ask.errors.get("room", 0) + ask.errors.get("weather", 0)
    verdict = _fall_verdict(ask, worst[3], error, left)
    plan = fall_plan(ask, room, weather) if verdict == OUT and not left else None
    says = [_fall_said(room.places[worst[0]], worst[2])] + (left.says if left else [])
    return Outcome(
        verdict,
        says + (head_sums(plan) if plan else []),
        _fall_remedies(verdict, plan),
        value=worst[2],
        low=least,
        high=_most_fall(ask),
        over=max(0, worst[3]) if verdict == OUT else 0,
        tilt=_fall_tilt(worst[2], least, _most_fall(ask)),
        missing=left.missing if left else [],
    )


def _most_fall(ask: Ask) -> "int | None":
    """Return the greatest fall, None where the procedure sets none; a silent drawing is asked."""
    return ask.limit("most") if "most" in ask.limits else None


def _no_common(ask: Ask) -> Outcome:
    if ask.unreachable.get("room") or ask.unreachable.get("weather"):
        return Outcome(UNREACHABLE, [Msg("No station could be reached on both lines.")])
    return Outcome(MISSING, [Msg("The two lines have no station in common.")])


def _worst_fall(falls: Any, least: int, most: "int | None") -> "tuple[int, int, int, int]":
    """Return the station with the greatest excess: (room, weather, fall, excess over its limit)."""
    found = None
    for i, j, fall in falls:
        excess = least - fall if most is None else max(least - fall, fall - most)
        if found is None or excess > found[3]:
            found = (i, j, fall, excess)
    return found  # type: ignore[return-value]


def _fall_verdict(ask: Ask, excess: int, error: int, left: "Outcome | None") -> str:
    if excess > error:
        return OUT
    if left:
        return MISSING
    if error and excess + error > 0:
        return CLOSE
    return within_or_out(True, ask, "room", "weather")


def _fall_said(place: Place, fall: int) -> Msg:
    if fall < 0:
        return Msg(
            "{place}: {size} LOWER on the ROOM side.", place=place.title, size=size_len(-fall)
        )
    if fall == 0:
        return Msg("{place}: level across.", place=place.title)
    return Msg("{place}: {size} lower on the WEATHER side.", place=place.title, size=size_len(fall))


def _fall_tilt(fall: int, least: int, most: "int | None") -> "int | None":
    """Return the bubble between the two limits, to the side that is high; None with one limit."""
    if most is None or most <= least:
        return None
    off = least + most - 2 * fall  # above zero: the weather side is higher than halfway
    room = most - least
    shown = round_up(abs(off) * 1000, room) if abs(off) > room else abs(off) * 1000 // room
    return shown if off >= 0 else -shown


def _fall_remedies(verdict: str, plan: "SillPlan | None") -> "list[Msg]":
    if verdict != OUT:
        return []
    if plan is None:
        return [Msg("Finish the survey before anything is shimmed: the high point may still come.")]
    return sill_remedies(plan, ["room", "weather"])


def fall_plan(ask: Ask, room: Survey, weather: Survey) -> SillPlan:
    """Return the plan that packs two lines to levels kept apart by the fall."""
    least = ask.limit("least")
    most = _most_fall(ask)
    fall = max(least, kept_fall(ask, [room, weather]))
    fall = fall if most is None else min(fall, most)

    def cured(after: "list[list[int]]") -> bool:
        falls = cross_falls((room.xs, after[0]), (weather.xs, after[1]))
        return _worst_fall(falls, least, most)[3] <= 0

    return SillPlan(ask, [room, weather], fall, cured, least)
