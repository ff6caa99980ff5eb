"""What one accepted door teaches, by its entries alone, replayed in the order of their causes.

A check's *first verdict* is what the program told when its points were first all read, before
anybody measured again; *out* counts as soon as it is told. An entry that was struck as a mistake
counts as never made. Today's rules judge. No person is named in what comes out.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from app.core.checks.base import SAME, Outcome
from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.quantity.moments import DAY, moment_of
from app.core.quantity.units import MINUTE
from app.core.record import judge, visits
from app.core.record.clocks import claimed_moment
from app.core.record.door_as_read import BED_ROOM, BED_WEATHER
from app.core.record.fold import carried_forward
from app.core.record.gate import sign_of
from app.core.record.predicted import predicted_gaps
from app.core.record.state import State, Step
from app.core.trade.verdicts import CLOSE, MISSING, OUT, WITHIN

READ = ("reading.taken", "reading.unreachable")
JUDGED = (WITHIN, CLOSE, OUT, judge.CONFLICT)
# Kinds of facts, and what stands in them.
DOOR = "door"  # count: 1; good: whether it came back for a service visit
CHECKS = "checks"  # all of them together, as each by itself
CHECK = "check"  # step, name: the check; good: within at first
OUT_BY = "out"  # the same, way: quantity; good: more than the most; sizes: by how much, minus: less
TILT = "tilt"  # the same where it was out and leans; good: the bubble right or outside
TIME = "time"  # step; sizes: minutes from its first reading to its sign-off
REMEDY = "remedy"  # step, name: check or adjustment; way: what was done
GAP = "gap"  # good: as near as was predicted; sizes: measured less predicted, nanometres
BACK = "back"  # name: what a visit was traced to; sizes: days after acceptance
# Ways of a remedy.
PLANNED, IN_WORDS, MOVED, GAUGED, READ_THRICE, CONCEDED = (
    "planned", "words", "moved", "gauge", "three readings", "conceded",
)  # fmt: skip

Key = tuple[str, str, str, str]  # kind, step, name, way


@dataclass
class Lesson:
    """What is counted under one key: how many, how many of them well, amounts."""

    count: int = 0
    good: int = 0
    sizes: list[int] = field(default_factory=list)


@dataclass
class DoorLessons:
    """All that one door teaches; floor: see LearnedDoor."""

    month: str
    crew: str
    floor: int | None
    floor_out: bool
    lessons: dict[Key, Lesson]


@dataclass
class FirstVerdict:
    """A check as the program first told it; outcome: with the figures of the first full reading."""

    step: Step
    check: Json
    verdict: str
    outcome: Outcome
    whole: bool  # all of its places were read


def lessons_of(state: State) -> DoorLessons | None:
    """Return what an accepted door teaches; None where its entries cannot all be read."""
    review = state.review()
    if review is None or not state.judged:
        return None
    firsts, floors = first_verdicts(state)
    lessons: dict[Key, Lesson] = {}
    door = _lesson_at(lessons, DOOR)
    door.count, door.good = 1, int(bool(visits.visits_of(state)))
    for first in firsts:
        _count_verdict(lessons, first)
    _count_times(lessons, state)
    _count_remedies(lessons, state)
    _count_gaps(lessons, state)
    _count_visits(lessons, state, review)
    floor = max(floors.values(), default=None)
    floor_out = any(_judges_bed(state, first) for first in firsts if first.verdict != WITHIN)
    return DoorLessons(review["at"][:7], state.plan()["crew"], floor, floor_out, lessons)


def _lesson_at(
    lessons: dict[Key, Lesson], kind: str, step: str = "", name: str = "", way: str = ""
) -> Lesson:
    return lessons.setdefault((kind, step, name, way), Lesson())


def first_verdicts(final: State) -> tuple[list[FirstVerdict], dict[str, int]]:
    """Return each check as it was first told, and the sill bed as it was first read.

    The second is purpose -> from the highest spot to the lowest, nanometres.
    """
    firsts: dict[tuple[str, str], FirstVerdict] = {}
    floors: dict[str, int] = {}
    taken: list[Json] = []
    state: State | None = None
    concerned: dict[str, list[tuple[Step, Json]]] = {}
    steps: list[Step] = []
    for event in _entries_that_count(final):
        taken.append(event)
        state = carried_forward(state, taken, final.procedures, {})
        if state.steps is not steps:
            steps, concerned = state.steps, _checks_by_act(state)
        for name in _acts_of(event):
            for step, check in concerned.get(name, []):
                if _is_of_panel(state, step, event):
                    _hear_verdict(firsts, state, step, check)
        if event["kind"] in READ:
            _hear_floor(floors, state, event["body"]["point"])
    judged = [first for first in firsts.values() if first.verdict in JUDGED]
    return judged, floors


def _entries_that_count(final: State) -> Iterator[Json]:
    """Yield the entries that count, from the issue on, causes first; none that was struck."""
    ledger, issued = final.ledger, False
    for event in ledger.events:
        issued = issued or event["kind"] == "opening.issued"
        if issued and ledger.counts(event) and event["id"] not in ledger.removed:
            yield event


def _checks_by_act(state: State) -> dict[str, list[tuple[Step, Json]]]:
    """Return "point|id" or "task|id" -> the checks that an entry about it may settle."""
    out: dict[str, list[tuple[Step, Json]]] = {}
    for step in state.steps:
        for check in step.data["checks"]:
            if spec_of(check["calc"]).notes:
                continue  # it judges nothing
            acts = check.get("clock") or {
                input: {"point": point} for input, point in check["points"].items()
            }
            for act in acts.values():
                for sort in ("point", "task"):
                    if sort in act:
                        out.setdefault(f"{sort}|{act[sort]}", []).append((step, check))
    return out


def _acts_of(event: Json) -> list[str]:
    body = event["body"]
    if event["kind"] in READ:
        return ["point|" + body["point"]]
    if event["kind"] == "task.ticked":
        return ["task|" + body["task"]]
    return ["task|" + task for task in body["tasks"]] if event["kind"] == "tasks.ticked" else []


def _is_of_panel(state: State, step: Step, event: Json) -> bool:
    body = event["body"]
    if "point" not in body or body["point"] not in state.points:
        return True
    return bool(state.panel_for(body["point"], step.panel) == body["panel"])


def _hear_verdict(
    firsts: dict[tuple[str, str], FirstVerdict], state: State, step: Step, check: Json
) -> None:
    """Note what is told of a check now, unless its first full reading was told before."""
    before = firsts.get((step.key, check["id"]))
    if before is not None and before.whole:
        return
    if not judge.can_be_made(state, check, step.panel):
        return
    if not judge.are_points_asked(state, step, check):
        return
    result = judge.result_of(state, check, step.panel)
    verdict, outcome, whole = result.verdict, result.outcome, result.verdict != MISSING
    if not whole:
        early = None if check.get("clock") else judge.so_far(state, check, step.panel)
        if before is not None or early is None or early.verdict != OUT:
            return
        verdict, outcome = OUT, early
    if before is not None and before.outcome.over > outcome.over:
        outcome = before.outcome
    verdict = OUT if before is not None else verdict
    firsts[(step.key, check["id"])] = FirstVerdict(step, check, verdict, outcome, whole)


def _hear_floor(floors: dict[str, int], state: State, id: str) -> None:
    purpose = state.points[id].get("purpose", "") if id in state.points else ""
    if purpose not in (BED_ROOM, BED_WEATHER) or purpose in floors:
        return
    answers = state.answers(id, "")
    if not all(readings for _, readings in answers):
        return
    heights = [
        readings[-1].height
        for place, readings in answers
        if readings[-1].reached and place.side != "closing"
    ]
    if len(heights) > 1:
        floors[purpose] = max(heights) - min(heights)


def _judges_bed(state: State, first: FirstVerdict) -> bool:
    """Return whether a check judges the sill bed itself, not the instrument over it."""
    spec = spec_of(first.check["calc"])
    if first.check.get("clock") or spec.apart == SAME:
        return False
    judged = [point for input, point in first.check["points"].items() if input not in spec.optional]
    return any(state.points[id].get("purpose") in (BED_ROOM, BED_WEATHER) for id in judged)


def _count_verdict(lessons: dict[Key, Lesson], first: FirstVerdict) -> None:
    for key in ((CHECK, first.step.id, first.check["id"]), (CHECKS,)):
        lesson = _lesson_at(lessons, *key)
        lesson.count += 1
        lesson.good += first.verdict == WITHIN
    outcome = first.outcome
    if first.verdict != OUT or not outcome.over:
        return
    short = outcome.low is not None and outcome.value is not None and outcome.value < outcome.low
    out = _lesson_at(lessons, OUT_BY, first.step.id, first.check["id"], outcome.quantity)
    out.count += 1
    out.good += not short
    out.sizes.append(-outcome.over if short else outcome.over)
    if outcome.tilt:
        tilt = _lesson_at(lessons, TILT, first.step.id, first.check["id"])
        tilt.count += 1
        tilt.good += outcome.tilt > 0


def _count_times(lessons: dict[Key, Lesson], state: State) -> None:
    """Count how long each step took from its first reading to the sign-off that stands."""
    begun: dict[str, int] = {}
    for event in _entries_that_count(state):
        if event["kind"] in READ and event["body"]["point"] in state.points:
            step = state.step_of_point[event["body"]["point"]]["id"]
            panel = event["body"]["panel"]
            moment = claimed_moment(state, event)
            if moment is not None:
                begun.setdefault(step + (":" + panel if panel else ""), moment)
    for step in state.steps:
        sign = sign_of(state, step)
        end = moment_of(sign.event["at"]) if sign is not None else None
        start = begun.get(step.key)
        if start is not None and end is not None and end >= start:  # else a clock was set back
            lesson = _lesson_at(lessons, TIME, step.id)
            lesson.count += 1
            lesson.sizes.append((end - start) // MINUTE)


def _count_remedies(lessons: dict[Key, Lesson], state: State) -> None:
    def count_one(event: Json, name: str, way: str) -> None:
        step = event["body"]["step"].partition(":")[0]
        _lesson_at(lessons, REMEDY, step, event["body"][name], way).count += 1

    for event in state.ledger.of_kind("correction.made"):
        count_one(event, "check", PLANNED if "places" in event["body"] else IN_WORDS)
    for event in state.ledger.of_kind("adjustment.made"):
        count_one(event, "adjustment", MOVED)
    for event in state.ledger.of_kind("close.settled"):
        by_gauge = event["body"]["by"] == "gauge"
        count_one(event, "check", GAUGED if by_gauge else READ_THRICE)
    for step in state.steps:
        for result in judge.results_of(state, step):
            if result.conceded is not None:
                _lesson_at(lessons, REMEDY, step.id, result.check["id"], CONCEDED).count += 1


def _count_gaps(lessons: dict[Key, Lesson], state: State) -> None:
    for gap in predicted_gaps(state):
        if gap.measured is not None and gap.off is not None:
            lesson = _lesson_at(lessons, GAP)
            lesson.count += 1
            lesson.good += gap.off <= gap.spread
            lesson.sizes.append(gap.measured - gap.predicted)


def _count_visits(lessons: dict[Key, Lesson], state: State, review: Json) -> None:
    accepted = moment_of(review["at"])
    for begun in visits.visits_of(state):
        signed = visits.signed_of(state, begun["id"])
        lesson = _lesson_at(lessons, BACK, "", signed["body"]["trace"] if signed else "")
        lesson.count += 1
        at = moment_of(begun["at"])
        if at is not None and accepted is not None:
            lesson.sizes.append(max(0, (at - accepted) // DAY))
