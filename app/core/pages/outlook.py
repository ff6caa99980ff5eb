"""What the door model says of this door: before panels hang, as a warning and a preset.

It never bars. A few words first; what to do, why and the picture stand behind a fold.
"""

from app.core.checks.index import spec_of
from app.core.checks.sill import ways_compared
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.order import sort_by
from app.core.pages import common
from app.core.pages.request import Request
from app.core.pictures.closing import closing, closing_on_card
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import INCH, half_up
from app.core.record import judge
from app.core.record.door_as_read import (
    BED_ROOM,
    BED_WEATHER,
    FRAME,
    HUNG,
    LEFT_JAMB,
    OPENING,
    RIGHT_JAMB,
    DoorAsRead,
)
from app.core.record.state import State, Step
from app.core.trade.door_model.bounds import LEFT, RIGHT
from app.core.trade.door_model.door import MEETING, Door
from app.core.trade.door_model.outlook import CAN, CANNOT, Outlook, outlook
from app.core.trade.door_model.plan import SPARE, exact_clearance
from app.core.trade.door_model.words import (
    again_words,
    answer_words,
    change_words,
    fine,
    outlook_words,
    preset_words,
)
from app.core.trade.lift_and_slide import keep_shims
from app.core.trade.verdicts import MISSING, OUT

LEAST_SHIM = INCH // 64  # no thinner shim is in a box; common practice, no source
KINDS = {CAN: "within", CANNOT: "out"}
TITLES = {
    OPENING: Msg("The door on this opening"),
    FRAME: Msg("The door in this frame"),
    HUNG: Msg("The door as it will close"),
}


def stage_of(state: State, step: Step) -> str:
    """Return which stage of the door a step ends; "" for none."""
    purposes = [point.get("purpose", "") for point in step.data["points"]]
    check = judge.whole_door_check(state)
    if check is None:
        return ""
    if check["id"] in [one["id"] for one in step.data["checks"]]:
        return HUNG
    if LEFT_JAMB in purposes or RIGHT_JAMB in purposes:
        return FRAME
    return OPENING if BED_ROOM in purposes or BED_WEATHER in purposes else ""


class Foreseen:
    """What the model says of the door at a stage, before it is said to anybody.

    found: None where it has nothing to say yet; waits: what it lacks.
    """

    def __init__(self, read: DoorAsRead) -> None:
        self.read = read
        self.found: Outlook | None = None
        self.waits: list[Msg] = read.missing


def foreseen_at(state: State, stage: str) -> "Foreseen | None":
    """Return what the model says at a stage; None where no check judges the door as a whole."""
    found: Foreseen | None = state.memory.answer("=outlook|" + stage, _foresee, state, stage)
    return found


def _foresee(state: State, stage: str) -> "Foreseen | None":
    read = judge.door_at(state, stage)
    if read is None:
        return None
    out = Foreseen(read)
    if read.door is None:
        return out
    try:
        out.found = outlook(read.door, SPARE if stage == HUNG else 0.0)
    except AppError as error:
        out.waits = [error.message]
    return out


def outlook_section(
    request: Request, state: State, stage: str, on_card: bool = False
) -> "Json | None":
    """Return what the model says at a stage, for a page; None before there is enough to say."""
    seen = foreseen_at(state, stage) if stage else None
    if seen is None:
        return None
    door, found = seen.read.door, seen.found
    if door is None:
        return _waiting(request, seen, stage) if stage == FRAME else None
    if stage == HUNG and not any([gap.measured is not None for gap in door.gaps]):
        return None
    if found is None:
        return _waiting(request, seen, stage)
    plan = found.mended or found.plan
    draw = closing_on_card if on_card else closing
    do: list[Msg] = state.memory.answer("=outlook-do|" + stage, _to_do, state, stage)
    why: list[Msg] = state.memory.answer("=outlook-why|" + stage, _why, state, stage)
    return {
        "title": request.say(TITLES[stage]),
        "kind": KINDS.get(found.answer, "close"),
        # once it hangs, the check of the whole door says how it is
        "answer": request.say(_answer_at(found, stage)) if stage != HUNG else "",
        "do": [request.say(words) for words in do],
        "why": [request.say(words) for words in why],
        "picture": draw(door, plan, request.speaker) if found.mended is None else None,
        "waits": [],
    }


def outlook_answer(request: Request, state: State, stage: str) -> "Json | None":
    """Return the answer alone; None before there is one, and once the door hangs."""
    seen = foreseen_at(state, stage) if stage not in ("", HUNG) else None
    if seen is None or seen.found is None:
        return None
    return {
        "kind": KINDS.get(seen.found.answer, "close"),
        "answer": request.say(_answer_at(seen.found, stage)),
    }


def outlook_line(request: Request, state: State) -> "Json | None":
    """Return the answer in one line, with its step, for the opening's page; None where none is due.

    The frame's where it was read, else the opening's; none once the door hangs and was measured.
    """
    check = judge.whole_door_check(state)
    if check is None or judge.result_of(state, check, "").verdict != MISSING:
        return None
    for stage in (FRAME, OPENING):
        seen = foreseen_at(state, stage)
        if seen is None or seen.read.door is None:
            continue
        line = outlook_answer(request, state, stage)
        if line is None:
            return None
        for step in state.steps:
            if stage_of(state, step) == stage:
                line["href"] = common.step_path(request.parts[1], step)
                return line
    return None


def _answer_at(found: Outlook, stage: str) -> Msg:
    if stage != OPENING:
        return answer_words(found)
    if found.answer == CAN:
        return Msg("Door can be finished on this bed.")
    if found.answer == CANNOT:
        return Msg("On this sill bed as found, the door cannot be finished.")
    return Msg("Too close to say whether this sill bed will do as found.")


def _to_do(state: State, stage: str) -> "list[Msg]":
    seen = foreseen_at(state, stage)
    if seen is None or seen.found is None or stage == HUNG:
        return []  # once it hangs, the check of the whole door lists it
    found = seen.found
    again = _read_again(found)
    if stage == OPENING:
        return again + cheapest_correction(state)
    if found.changes and found.mended is not None:
        return [change_words(change) for change in found.changes] + [
            preset_words(move) for move in found.mended.moves
        ]
    return again + [preset_words(move) for move in found.plan.moves]


def _read_again(found: Outlook) -> "list[Msg]":
    """Return what to read so that the answer gets surer; [] where it is sure already."""
    if found.answer in (CAN, CANNOT):
        return []
    return [again_words(kind, name) for kind, name in found.again]


def cheapest_correction(state: State) -> "list[Msg]":
    """Return the one way that puts every check of the sill bed right; [] where none is out."""
    compared = _ways_of_bed(state)
    for kind in ("pack", "grind", "fill"):
        ways = [way for ways in compared for way in ways if way["kind"] == kind and way["good"]]
        if compared and len(ways) == len(compared):
            places = max([way["places"] for way in ways])
            return [Msg(ONE_WAY[kind].template, count=places)]
    if compared:
        return [Msg("No one way puts every check of the sill bed right. Ask the office.")]
    return []


ONE_WAY = {
    "pack": Msg("Cheapest for every check at once: shim. Places to work: {count}."),
    "grind": Msg("Cheapest for every check at once: grind, then shim. Places to work: {count}."),
    "fill": Msg("Cheapest for every check at once: fill with compound. Places to work: {count}."),
}


def _ways_of_bed(state: State) -> "list[list[Json]]":
    """Return the ways of each check of the sill bed that is out."""
    out = []
    for step in state.steps:
        if stage_of(state, step) != OPENING:
            continue
        for result in judge.results_of(state, step):
            spec = spec_of(result.check["calc"])
            if spec.ways is not None and result.verdict == OUT:
                ask = judge.ask_for_check(state, result.check, step.panel)
                out.append(ways_compared(ask))
    return out


def _bed_words(door: Door, found: Outlook) -> "list[Msg]":
    """Return what a sill bed does to reveals and clearance, if the sill is set on it as found."""
    turned = [
        abs(ends[1] - ends[0] - panel.extensions[1] + panel.extensions[0])
        for panel, ends in zip(door.panels, found.plan.extensions)
    ]
    clear = [
        half_up(n, d)
        for panel, ends in zip(door.panels, found.plan.extensions)
        for corner in (LEFT, RIGHT)
        for n, d in [exact_clearance(panel, corner, ends)]
    ]
    return [
        Msg("Rollers then even the reveals: {rise} at most.", rise=fine(max(turned))),
        Msg(
            "Stiles stand {least} to {most} over the sill.",
            least=fine(min(clear)),
            most=fine(max(clear)),
        ),
    ]


def _why(state: State, stage: str) -> "list[Msg]":
    """Return what the answer rests on: what is unsure, and what was taken for given."""
    seen = foreseen_at(state, stage)
    if seen is None or seen.found is None or seen.read.door is None:
        return []
    read, door, found = seen.read, seen.read.door, seen.found
    if stage == HUNG:
        return read.taken + _keep_words(state, door)
    said = _read_again(found)  # stands before the fold
    rest = [words for words in outlook_words(found, door)[1:] if words not in said]
    if stage == OPENING:
        rest = rest if found.answer != CAN else []
        return _bed_words(door, found) + _head_room(state) + rest + read.taken
    return rest + read.taken


def _keep_words(state: State, door: Door) -> "list[Msg]":
    """Return which keeps of several locking points are shimmed, as the lock's gap tapers."""
    heights = sort_by(state.drawing.locks, lambda height: height)
    ends = {"left": door.gaps[0], "right": door.gaps[-1]}
    closing = [ends[door.locks]] if door.locks else [g for g in door.gaps if g.kind == MEETING]
    if len(heights) < 2 or not closing or closing[0].measured is None:
        return []
    shims = keep_shims(closing[0].measured, door.apart, heights)
    return [
        Msg(
            "Locking point {y} up: its keep takes {size} more shim than the least.",
            y=Len(height, "place"),
            size=fine(size),
        )
        for height, size in zip(heights, shims)
        if size >= LEAST_SHIM
    ]


def _head_room(state: State) -> "list[Msg]":
    """Return the sum under the head, as its own check makes it."""
    out: list[Msg] = []
    for step in state.steps:
        for result in judge.results_of(state, step):
            spec = spec_of(result.check["calc"])
            if spec.head_room and result.verdict != MISSING:
                out.extend(result.outcome.says)
    return out


def _waiting(request: Request, seen: Foreseen, stage: str) -> Json:
    return {
        "title": request.say(TITLES[stage]),
        "kind": "missing",
        "answer": "",
        "do": [],
        "why": [],
        "picture": None,
        "waits": [request.say(words) for words in seen.waits],
    }
