"""What came of what a trainer planted: found or not, put right or not, read right or not.

Of one opening alone. Nobody is named and nobody is ranked.
"""

from app.core.kinds import Json
from app.core.record import events as ev
from app.core.record.judge import asked_points, checks_of, result_of
from app.core.record.practised import Simulated, at_table
from app.core.record.state import State, Step
from app.core.trade.planted import PlantedFault
from app.core.trade.verdicts import OUT
from app.core.where.place import Place


class FaultStory:
    """One planted fault.

    asked: whether any place is asked where it shows. out: checks that told it, [] where none did.
    reading: the entry in which it showed most, or None. rounds: corrections about it.
    mended: whether the last one left nothing out. signed: keys of steps that were signed while it
    stood and in which it shows.
    """

    def __init__(self, fault: PlantedFault) -> None:
        self.fault = fault
        self.asked = False
        self.out: list[Json] = []
        self.reading: Json | None = None
        self.rounds = 0
        self.mended = False
        self.signed: list[str] = []


class Misread:
    """A reading that is not what the instrument showed: the entry, place, and that, base units."""

    def __init__(self, event: Json, place: Place, shown: int) -> None:
        self.event = event
        self.place = place
        self.shown = shown

    @property
    def off(self) -> int:
        """Return how much more was entered than shown."""
        return int(self.event["body"]["value"]) - self.shown


def fault_stories(state: State) -> "list[FaultStory]":
    """Return what came of each planted fault, in the order in which they were planted."""
    simulated = Simulated(state)
    return [_story_of(simulated, fault) for fault in simulated.faults]


def _story_of(simulated: Simulated, fault: PlantedFault) -> FaultStory:
    state = simulated.state
    out = FaultStory(fault)
    places = simulated.places_of(fault)
    points = [point for point, _, _ in places]
    about = [one for one in simulated.corrections if simulated.mends(one, fault)]
    out.asked = any(
        [point["id"] in points for s in state.steps for point in asked_points(state, s)]
    )
    out.rounds = len(about)
    before = _seen_by(state, about[0]) if about else state
    out.out = checks_out(before, points)
    out.reading = _showing(before, simulated, fault)
    out.mended = bool(about) and not checks_out(state, points) and _all_read(state, places)
    out.signed = [
        sign["body"]["step"]
        for sign in state.ledger.of_kind("step.signed")
        if _shows_in(state, sign["body"]["step"], points)
        and not any([ev.has_seen(sign, one) for one in about])
    ]
    return out


def _seen_by(state: State, event: Json) -> State:
    """Return the opening as whoever made an entry had seen it."""
    seen = [one for one in state.ledger.events if ev.has_seen(event, one)]
    return State(seen, state.procedures)


def checks_out(state: State, points: "list[str]") -> "list[Json]":
    """Return the checks that are out and look at one of these points, each once."""
    out: list[Json] = []
    for step in state.steps:
        for check in checks_of(state, step):
            looks = [check["points"][input] for input in check["points"]]
            if check in out or not any([point in points for point in looks]):
                continue
            if result_of(state, check, step.panel).verdict == OUT:
                out.append(check)
    return out


def _showing(state: State, simulated: Simulated, fault: PlantedFault) -> "Json | None":
    """Return the live reading at the place where a fault shows most; None where none was read."""
    best, most = None, 0
    for point, panel, place in simulated.places_of(fault):
        size = abs(simulated.effect(fault, point, place))
        for reading in state.readings(point, panel, place.id):
            if reading.reached and size > most:
                best, most = reading.event, size
    return best


def _all_read(state: State, places: "list[tuple[str, str, Place]]") -> bool:
    """Return whether each place is read again that was read before."""
    return all(
        [
            state.readings(point, panel, place.id)
            for point, panel, place in places
            if state.is_answered(point, panel)
        ]
    )


def _shows_in(state: State, key: str, points: "list[str]") -> bool:
    for step in state.steps:
        if step.key == key:
            return any([point["id"] in points for point in asked_points(state, step)])
    return False


def misreads(state: State) -> "list[Misread]":
    """Return the readings that are not what the instrument showed; [] where none is simulated."""
    if not at_table(state):
        return []
    simulated = Simulated(state)
    out = []
    for event in state.ledger.of_kind("reading.taken"):
        place = simulated.place_of(event["body"])
        shown = simulated.shown_to(event)
        if place is None or shown is None or event["id"] in state.ledger.removed:
            continue
        if int(event["body"]["value"]) != shown:
            out.append(Misread(event, place, shown))
    return out


def is_over(state: State) -> bool:
    """Return whether the trainee may see the debrief: every step was signed, or was reviewed."""
    signed = [sign["body"]["step"] for sign in state.ledger.of_kind("step.signed")]
    return state.review() is not None or all([step.key in signed for step in state.steps])


def step_named(state: State, key: str) -> "Step | None":
    """Return a step by its key, None where the procedure has it no more."""
    for step in state.steps:
        if step.key == key:
            return step
    return None
