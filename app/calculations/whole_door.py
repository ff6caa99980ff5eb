"""The whole door: what every roller should be, whether the door can be finished, what mends it."""

from dataclasses import replace
from typing import Any

from app.calculations.asking import rising
from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import Field, choice, group, length, lengths, maybe, one, some
from app.calculations.limits import limit
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.quantity.units import half_up
from app.core.trade.door_model import door as model
from app.core.trade.door_model import words
from app.core.trade.door_model.bounds import LEFT, RIGHT
from app.core.trade.door_model.outlook import CAN, CANNOT, Outlook, outlook
from app.core.trade.door_model.plan import (
    SPARE,
    RollerPlan,
    exact_clearance,
    exact_engagement,
)
from app.core.trade.door_model.profile import Profile
from app.core.trade.verdicts import CLOSE, OUT, WITHIN

Given = dict[str, Any]
LETTERS = "ABCDEFGHIJKL"
VERDICT = {CAN: WITHIN, CANNOT: OUT}


def _line(rows: list[Given] | None, name: str, error: int) -> Profile:
    stations = [row["at"] for row in rows or []]
    rising(name, stations)
    return Profile(stations, [row["height"] for row in rows or []], error)


def _panel(given: Given, row: Given, letter: str) -> model.RigidPanel:
    """Return a panel; what it does not say of its own is that of the whole door."""
    panel = model.RigidPanel(letter, row["left"], row["width"], row["height"], row["axles"])
    error = given["track_error"]
    for name in ("track", "sill", "head"):
        line = _line(row[name] or given[name], name, error)
        setattr(panel, "lip" if name == "head" else name, line)
    if not (row["track"] or given["track"]):
        panel.track = panel.sill  # one survey serves both where only one was made
    panel.extensions = (row["left_roller"], row["right_roller"])
    panel.travel = (given["travel_least"], given["travel_most"])
    panel.slides, panel.wider, panel.racked = row["slides"], row["wider"], row["racked"]
    panel.width_error = given["width_error"]
    panel.plumbed = row["plumbed"]
    panel.fixed, panel.fastened = row["fixed"], row["fastened"]
    if row["turn_up"] and row["turn_down"]:
        panel.trial = (row["turn_up"], row["turn_down"])
    return panel


def _gaps(given: Given) -> list[model.Gap]:
    kinds = given["gaps"]
    count = len(given["panels"])
    if kinds is None:
        kinds = [model.REVEAL, *[model.INTERLOCK] * (count - 1), model.REVEAL]
    most: dict[str, int] = {model.INTERLOCK: given["interlock_most"]}
    reveal: int = given["reveal_most"]
    gaps = [model.Gap(kind, most.get(kind, reveal)) for kind in kinds]
    for row in given["measured"] or []:
        number = row["gap"]
        if not 1 <= number <= len(gaps):
            raise InputError(
                "gap-unknown",
                Msg("There is no gap {number}: they count from 1 at the LEFT.", number=number),
                field="measured",
            )
        gaps[number - 1].measured = row["high"] - row["low"]
        gaps[number - 1].error = given["gap_error"]
    return gaps


def _door(given: Given) -> model.Door:
    rows = given["panels"]
    panels = [_panel(given, row, LETTERS[k]) for k, row in enumerate(rows)]
    door = model.Door(panels, _gaps(given), given["low"], given["high"])
    for left, gap, right in zip(panels, door.gaps[1:], panels[1:], strict=False):
        if gap.kind == model.MEETING:
            left.meets, right.meets = RIGHT, LEFT
    jambs = [given["left_jamb"], given["right_jamb"]]
    lines = [_jamb(rows, given["jamb_error"]) for rows in jambs]
    door.jambs = (lines[0], lines[1])
    door.locks = given["lock"] or ""
    door.drawn.clearance = (given["clearance_least"], given["clearance_most"])
    door.drawn.engagement = given["engagement_least"]
    door.drawn.pocket = given["pocket"]
    door.drawn.play = (given["play_least"], given["play_most"])
    door.drawn.plumb = given["plumb_most"]
    return door


def _jamb(rows: list[Given] | None, error: int) -> Profile | None:
    if not rows:
        return None
    rising("jamb", [row["at"] for row in rows])
    return Profile([row["at"] for row in rows], [row["off"] for row in rows], error)


def _run(given: Given) -> Answer:
    door = _door(given)
    found = outlook(door, SPARE if given["hung"] else 0.0)
    shares = found.plan.shares
    return Answer(
        {
            "answer": found.answer,
            "share": (int(shares.share * 1000 + 0.5), 3) if shares.share < 1000 else None,
            "turns": [_turn(move) for move in found.plan.moves],
            "gaps": _gap_rows(found, door),
            "panels": [_stand(door, found.plan, k) for k in range(len(door.panels))],
            "changes": [words.change_words(change) for change in found.changes or []],
            "picture": (door, found.plan),
        },
        VERDICT.get(found.answer, CLOSE),
        words.outlook_words(found, door),
        words.remedy_words(found),
        words.cautions(),
    )


def _turn(move: Any) -> Given:
    turns = None
    if move.turns is not None:
        steps, parts = move.turns
        turns = (steps * 10000 // parts, 4)  # parts are 4, 8 or 16: exact
    return {"panel": move.letter, "roller": move.side, "rise": move.rise, "turns": turns}


def _gap_rows(found: Outlook, door: model.Door) -> list[Given]:
    return [
        {
            "gap": taper.number + 1,
            "kind": taper.kind,
            "taper": (taper.num, taper.den),
            "spread": spread,
            "within": taper.within,
            "words": words.taper_words(taper, door),
        }
        for taper, spread in zip(found.plan.tapers, found.spreads, strict=True)
    ]


def _stand(door: model.Door, plan: RollerPlan, k: int) -> Given:
    panel, ends = door.panels[k], plan.extensions[k]
    out: Given = {"panel": panel.letter, "left_roller": ends[0], "right_roller": ends[1]}
    for corner in (LEFT, RIGHT):
        out[corner + "_clearance"] = exact_clearance(panel, corner, ends)
        if panel.lip.xs:
            out[corner + "_engagement"] = exact_engagement(panel, corner, ends)
    return {
        name: half_up(value[0], value[1]) if isinstance(value, tuple) else value
        for name, value in out.items()
    }


def _stations(name: str, about: str) -> Field:
    rows = group(
        name,
        about,
        length("at", "position from the LEFT end of the frame"),
        length("height", "height over one level line", signed=True),
    )
    return maybe(replace(rows, most=60))


def _offsets(name: str, about: str) -> Field:
    rows = group(
        name,
        about,
        length("at", "height over the sill"),
        length("off", "how far its face stands to the RIGHT of a plumb line", signed=True),
    )
    return maybe(replace(rows, most=60))


_OWN = "; its own, else the whole door's"
_PANEL = (
    length("left", "where its left edge is, closed, from the LEFT end of the frame"),
    length("width", "width"),
    length("height", "height"),
    replace(lengths("axles", "roller axles from its left edge; the outer two count"), most=6),
    length("left_roller", "extension of the LEFT roller (or shim) now"),
    length("right_roller", "extension of the RIGHT one now"),
    maybe(
        length("slides", "how far it moves to stand open, below zero to the left", signed=True), "0"
    ),
    maybe(length("wider", "width at top less width at bottom", signed=True), "0"),
    maybe(length("racked", "how far its top stands to the right of square", signed=True), "0"),
    maybe(length("plumbed", "how far a meeting stile leans to the left, as measured", signed=True)),
    maybe(length("turn_up", "what one trial turn raised it, measured")),
    maybe(length("turn_down", "what one trial turn lowered it, measured")),
    maybe(one("fixed", "flag", "it does not slide: its rollers are shims"), False),
    maybe(one("fastened", "flag", "its shims are as they are"), False),
    _stations("track", "heights of its track" + _OWN),
    _stations("sill", "heights of the sill under it" + _OWN),
    _stations("head", "heights of the head guide's lower lip" + _OWN),
)

_TURNS = group(
    "turns",
    "what to turn, by this plan",
    one("panel", "text", "panel"),
    one("roller", "text", "left or right, seen from outside"),
    length("rise", "how far it goes up; below zero down"),
    one("turns", "decimal", "turns of the screw, by the trial turn"),
)
_GAP_ROWS = group(
    "gaps",
    "how each gap will taper",
    one("gap", "count", "number, from 1 at the LEFT"),
    one("kind", "text", "reveal, interlock or meeting"),
    length("taper", "high less low"),
    length("spread", "how unsure that is"),
    one("within", "flag", "whether it is within its limit"),
    one("words", "words", "the same in words"),
)
_STANDS = group(
    "panels",
    "how each panel will stand",
    one("panel", "text", "panel"),
    length("left_roller", "extension of the LEFT roller"),
    length("right_roller", "extension of the RIGHT roller"),
    length("left_clearance", "LEFT stile over the sill"),
    length("right_clearance", "RIGHT stile over the sill"),
    length("left_engagement", "LEFT stile in the head"),
    length("right_engagement", "RIGHT stile in the head"),
)

CALCULATIONS = (
    Calculation(
        "door-model",
        "The whole door: every roller, whether it can be finished, the least change that mends it",
        (
            "app.core.trade.door_model.outlook.outlook",
            "app.core.trade.door_model.plan.best_plan",
        ),
        (
            length("low", "height of the low place of the gaps"),
            length("high", "height of the high place of the gaps"),
            replace(group("panels", "panels from the LEFT, seen from outside", *_PANEL), most=12),
            maybe(
                replace(
                    some(
                        "gaps",
                        "choice",
                        "what is at the LEFT end, between panels, at the RIGHT end; left out: "
                        "reveals at both ends, interlocks between",
                        choices=(
                            model.REVEAL,
                            model.INTERLOCK,
                            model.MEETING,
                            model.POCKET,
                            model.FIXED,
                        ),
                    ),
                    most=13,
                )
            ),
            maybe(
                replace(
                    group(
                        "measured",
                        "gaps measured on the hung panels: they tell the leans",
                        one("gap", "count", "number, from 1 at the LEFT"),
                        length("low", "gap at the low place"),
                        length("high", "gap at the high place"),
                    ),
                    most=13,
                )
            ),
            _stations("track", "heights of the track under all panels; left out: the sill's"),
            _stations("sill", "heights of the sill under all panels"),
            _stations("head", "heights of the head guide's lower lip over all panels"),
            _offsets("left_jamb", "LEFT jamb"),
            _offsets("right_jamb", "RIGHT jamb"),
            maybe(choice("lock", "jamb of the lock, which is moved last", LEFT, RIGHT)),
            maybe(one("hung", "flag", "panels hang: turn little. Else presets, gaps even"), False),
            length("travel_least", "least extension of a roller"),
            length("travel_most", "greatest extension of a roller"),
            maybe(length("pocket", "depth of the head's pocket")),
            maybe(length("track_error", "how far a height may be off, by its instrument"), "0"),
            maybe(length("jamb_error", "how far a jamb's offset may be off"), "0"),
            maybe(length("width_error", "how far a panel's `wider` may be off"), "0"),
            maybe(length("gap_error", "how far a measured taper may be off"), "0"),
        ),
        (
            one("answer", "text", "can, cannot or close: whether the door can be finished"),
            one("share", "decimal", "part of its limit that the worst gap takes, at best"),
            _TURNS,
            _GAP_ROWS,
            _STANDS,
            one("changes", "sentences", "the least change of jamb heads and shims that mends it"),
            one("picture", "picture", "the door as it will close, as shapes"),
        ),
        "rigid panels, small turns: leans as a chain of differences; derived, confirmed with "
        "scipy linprog and exact rotation",
        _run,
        (
            limit("door-model", "reveal_most", "taper of a reveal or of meeting leads, most"),
            limit("door-model", "interlock_most", "taper of an interlock, most"),
            maybe(limit("door-model", "plumb_most", "lean of a meeting lead's own stile, most")),
            maybe(limit("door-model", "clearance_least", "stile over the sill, least")),
            maybe(limit("door-model", "clearance_most", "stile over the sill, most")),
            maybe(limit("door-model", "engagement_least", "panel in the head, least")),
            maybe(limit("door-model", "play_least", "panel can be lifted, least")),
            maybe(limit("door-model", "play_most", "panel can be lifted, most")),
        ),
    ),
)
