"""Clocks: the time that something must stand at least, or may take at most, from act to act.

A clock is a check of a compiled procedure with a field `clock`, which names the act that starts
it and the act that ends it:

    {"start": {"task": id, "step": id}, "end": {"point": id, "place": id}}   or {"adjustment": id}

Its limit is "least" (go on after) or "most" (be done before). When an act was done is what the
clock of its device claims, or the time that a person typed. A claim orders nothing: which act came
first goes by cause. A clock that was seen to be set back meanwhile puts the figure in doubt.
"""

from app.core.checks import base, index
from app.core.checks.base import Ask, Outcome
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Qty, When
from app.core.quantity.moments import moment_of, moment_text, offset_of
from app.core.quantity.units import MINUTE
from app.core.record.events import has_seen
from app.core.record.ledger import ANY
from app.core.record.state import State
from app.core.record.taken import origin_of
from app.core.trade.verdicts import MISSING, UNREACHABLE
from app.core.where.place import Place

SLACK = 2 * MINUTE  # phones that take their time from a network differ by less
TYPED_SLACK = 5 * MINUTE  # so late a crew enters what it did just now


class Clock:
    """A clock as the entries leave it.

    sort: "least" or "most". lasts: milliseconds, None where nobody has given them. start, end: the
    acts that count, None where they are still to come. started, ended: their moments, milliseconds
    since 1970. apart: see contradicts().
    back: by how much a device's clock was set back meanwhile, 0 within SLACK.
    early: whether its end was entered, but before the start that counts: it must be done again.
    """

    def __init__(self, check: Json, lasts: "int | None") -> None:
        self.check = check
        self.sort: str = sort_of(check)
        self.lasts = lasts
        self.start: Json | None = None
        self.end: Json | None = None
        self.started: int | None = None
        self.ended: int | None = None
        self.back = 0
        self.early = False
        self.gave_up = False  # the place of its start or of its end is out of reach
        self.apart: int | None = None  # by their entries, where typed times contradict those

    @property
    def runs(self) -> bool:
        """Return whether it was started, not ended yet, and it is known how long it lasts."""
        return (
            self.started is not None
            and self.end is None
            and self.lasts is not None
            and not self.gave_up
        )

    def holds(self, time: int) -> bool:
        """Return whether a time is long enough, or short enough, milliseconds."""
        lasts = self.lasts or 0
        return time >= lasts if self.sort == "least" else time <= lasts

    @property
    def over_at(self) -> "int | None":
        """Return the moment at which it is over; None while that is not known."""
        known = self.started is not None and self.lasts is not None
        return (self.started or 0) + (self.lasts or 0) if known else None

    @property
    def since(self) -> str:
        """Return when it was started as a claimed time, by the hours of that place."""
        if self.started is None or self.start is None:
            return ""
        return moment_text(self.started, self.start["at"])

    @property
    def until(self) -> str:
        """Return when it is over as a claimed time, by the hours of the place it was started at."""
        if self.over_at is None or self.start is None:
            return ""
        return moment_text(self.over_at, self.start["at"])


def is_clock(check: Json) -> bool:
    """Return whether a check of a compiled procedure is a clock."""
    return bool(check.get("clock"))


def sort_of(check: Json) -> str:
    """Return "least" or "most": which of the two a clock has as its limit."""
    return "least" if "least" in check["limits"] else "most"


def is_asked(state: State, check: Json, lasts: "int | None") -> bool:
    """Return whether a clock has any use on this opening.

    None where it must stand 0 min, or waits for something that was never done (a bed that
    nobody filled).
    """
    if lasts == 0 and sort_of(check) == "least":
        return False
    start = check["clock"]["start"]
    return "adjustment" not in start or bool(_live_acts(state, check, "start"))


def typed_time(state: State, check: Json, point: str) -> "int | None":
    """Return how long a clock lasts where a crew types that from a data sheet: the worse counts."""
    values = [
        reading.value
        for _place, readings in state.answers(point, "")
        for reading in readings
        if reading.value is not None
    ]
    if not values:
        return None
    return max(values) if sort_of(check) == "least" else min(values)


def clock_of(state: State, check: Json, lasts: "int | None") -> Clock:
    """Return a clock with the acts that count.

    Of several that did not see each other the worse counts: the shortest time for "least", the
    longest for "most". An end that the start had seen came before it, and ends nothing.
    """
    clock = Clock(check, lasts)
    longest = clock.sort == "most"
    clock.start = _first_or_last(_live_acts(state, check, "start"), longest)
    clock.gave_up = bool(_gave_up(state, check, "start") or _gave_up(state, check, "end"))
    if clock.start is None:
        return clock
    clock.started = claimed_moment(state, clock.start)
    ends = _live_acts(state, check, "end")
    if not is_typed(clock.start):
        start = clock.start  # what it had seen came before it; one reading may be both
        later = [end for end in ends if end["id"] == start["id"] or not has_seen(start, end)]
        clock.early = bool(ends) and not later
        ends = later
    clock.end = _first_or_last(ends, not longest)
    if clock.end is not None:
        clock.ended = claimed_moment(state, clock.end)
    if not (is_typed(clock.start) and clock.end is not None and is_typed(clock.end)):
        clock.back = _set_back(state, clock.start, clock.end)
    if clock.end is not None and (is_typed(clock.start) or is_typed(clock.end)):
        apart = entries_apart(clock.start, clock.end["at"])
        if clock.started is not None and clock.ended is not None:
            clock.apart = apart if contradicts(clock.ended - clock.started, apart) else None
    return clock


def entries_apart(start: Json, at: str) -> "int | None":
    """Return the time from the entry of a start to another entry's, made at `at`."""
    first, last = moment_of(start["at"]), moment_of(at)
    return None if first is None or last is None else last - first


def contradicts(typed: int, apart: "int | None") -> bool:
    """Return whether a time that was typed is not the time between two entries.

    Example: contradicts(60 * MINUTE, 10 * MINUTE) -> True
    """
    return apart is not None and abs(typed - apart) > TYPED_SLACK


def typed_says(state: State, clock: Clock) -> "list[Msg]":
    """Return what is to be said of typed times and durations that the entries contradict."""
    out = []
    if clock.apart is not None:
        words = Msg("Times were typed: the entries are {apart} apart.", apart=_time(clock.apart))
        if clock.apart < 0:
            words = Msg("Times were typed: its end was entered before its start.")
        out.append(words)
    typed = clock.check["clock"].get("typed")
    if typed and clock.start is not None and clock.end is not None:
        apart = entries_apart(clock.start, clock.end["at"])
        for reading in state.readings(typed["point"], "", typed["place"]):
            if reading.value is not None and contradicts(reading.value, apart):
                words = Msg("Typed: {typed}. The entries are {apart} apart.")
                parts = {"typed": _time(reading.value), "apart": _time(apart or 0)}
                out.append(Msg(words.template, **parts))
    return out


def _time(ms: int) -> Qty:
    return Qty("duration", ms)


def _first_or_last(events: "list[Json]", first: bool) -> "Json | None":
    """Return the act that claims the earliest or the latest time."""
    found: Json | None = None
    for event in events:
        if found is None or (_claim(event) < _claim(found)) == first:
            found = event
    return found


def _claim(event: Json) -> int:
    return moment_of(claimed_text(event)) or 0


def _live_acts(state: State, check: Json, input: str) -> "list[Json]":
    """Return the entries of an act that count: not taken back, struck or spoiled."""
    act = check["clock"][input]
    if "point" in act:
        live = [reading.event for reading in state.readings(act["point"], "", act["place"])]
        return [event for event in live if event["kind"] == "reading.taken"]
    if "task" in act:
        live = state.ledger.live("task|" + act["step"] + "|" + act["task"])
        live = [event for event in live if event["body"]["done"]]
    else:
        made = state.ledger.of_kind("adjustment.made")
        live = [event for event in made if event["body"]["adjustment"] == act["adjustment"]]
    return [event for event in live if not state.is_act_spoiled(check, input, event)]


def _gave_up(state: State, check: Json, input: str) -> "list[Json]":
    """Return the entries that say an act's place is out of reach, where it has no other."""
    act = check["clock"][input]
    if "point" not in act:
        return []
    live = [reading.event for reading in state.readings(act["point"], "", act["place"])]
    gone = [event for event in live if event["kind"] == "reading.unreachable"]
    return gone if len(gone) == len(live) else []


def is_typed(event: Json) -> bool:
    """Return whether a person typed when an act was done; else its entry's time counts."""
    return bool(event["body"].get("measured_at") or event["body"].get("done_at"))


def claimed_text(event: Json) -> str:
    """Return when an act was done, as a claimed time with its offset.

    Example: a reading entered at 11:05 with measured_at "2026-03-02T10:15" ->
             "2026-03-02T10:15:00-05:00"
    """
    at: str = event["at"]
    typed: str = event["body"].get("measured_at") or event["body"].get("done_at") or ""
    if not typed:
        return at
    return typed if moment_of(typed) is not None else typed + ":00" + offset_of(at)


def claimed_moment(state: State, event: Json) -> "int | None":
    """Return the same as milliseconds since 1970; None for what is no time.

    What the office took in counts at the time of the one who had entered it first.
    """
    origin = origin_of(state.ledger, event["id"])
    if origin is not None and not is_typed(event):
        return moment_of(origin["body"]["at"])
    return moment_of(claimed_text(event))


def _set_back(state: State, start: Json, end: "Json | None") -> int:
    """Return by how much a device's clock was seen to be set back from start to end.

    What a device enters later, and what has seen the start, cannot be earlier; what the end has
    seen cannot be later. It may have been more: what is seen is the least.
    """
    begun = moment_of(start["at"])
    over = moment_of(end["at"]) if end is not None else None
    latest: dict[str, int] = {}
    worst = 0
    if end is None:
        state.memory.note(ANY)  # whatever comes while it runs may show it
    for event in state.ledger.events:
        inside = event is start or has_seen(event, start)
        if not inside or not (end is None or event is end or has_seen(end, event)):
            continue
        at = moment_of(event["at"])
        if at is None:
            continue
        before = latest.get(event["device"], at)
        worst = max(worst, before - at, (begun or at) - at, at - (over if over is not None else at))
        latest[event["device"]] = max(before, at)
    return worst if worst > SLACK else 0


def act_title(procedure: Json, act: Json) -> Msg:
    """Return what is done to start or end a clock, in words."""
    for kind, many, words in _ACTS:
        for step in procedure["steps"] if kind in act else ():
            for one in step[many]:
                if one["id"] == act[kind]:
                    return _with_place(Msg(one[words]), one, act)
    return Msg("")


_ACTS = (
    ("task", "tasks", "text"),
    ("point", "points", "title"),
    ("adjustment", "adjustments", "text"),
)


def _with_place(title: Msg, one: Json, act: Json) -> Msg:
    for item in one.get("where", {}).get("items", []):
        if item["id"] == act.get("place"):
            return Msg("{point}, {place}", point=title, place=Msg(item["title"]))
    return title


def clock_outcome(state: State, clock: Clock) -> Outcome:
    """Return what the time of a clock comes to; MISSING until it was started and ended."""
    sides = clock.check["clock"]
    if clock.lasts is None:
        raise base.Silent(clock.sort)
    if clock.gave_up:
        return Outcome(UNREACHABLE, [Msg("No place could be reached.")])
    if clock.start is None:
        act = act_title(state.procedure, sides["start"])
        return Outcome(MISSING, [Msg("Starts with: {act}", act=act)])
    if clock.started is None or (clock.end is not None and clock.ended is None):
        return Outcome(MISSING, [Msg("The time of an entry cannot be read. Run it again.")])
    if clock.end is None:
        when = When(clock.until)
        words = Msg("Waiting until {when}.", when=when)
        if clock.sort == "most":
            words = Msg("Until {when}.", when=when)
        if clock.early:
            act = act_title(state.procedure, sides["end"])
            words = Msg("From {when} on, do this again: {act}", when=when, act=act)
            if clock.sort == "most":
                words = Msg("By {when}, do this again: {act}", when=when, act=act)
        return Outcome(MISSING, [words])
    found: Outcome = index.load(clock.check["calc"])[0](ask_of(state, clock))
    found.says = found.says + typed_says(state, clock)
    return found


def ask_of(state: State, clock: Clock) -> Ask:
    """Return what the calculation of a clock with a start and an end is given."""
    sides = clock.check["clock"]
    taken = {"start": clock.started or 0, "end": clock.ended or 0}
    where = {input: [Place(input, act_title(state.procedure, sides[input]))] for input in taken}
    read = {input: {input: taken[input]} for input in taken}
    limits = {clock.sort: clock.lasts}
    settings = clock.check["settings"]
    return Ask(where, read, limits, settings, state.drawing, None, {"end": clock.back})


def ids_of(state: State, clock: Clock) -> "list[str]":
    """Return the entries that a clock rests on: every live act, and the time that was typed."""
    check = clock.check
    ids = []
    for input in ("start", "end"):
        acts = _live_acts(state, check, input) + _gave_up(state, check, input)
        ids.extend([event["id"] for event in acts])
    time = check["points"].get("time")
    typed = check["clock"].get("typed")
    if typed:
        ids.extend([r.id for r in state.readings(typed["point"], "", typed["place"])])
    for _place, readings in state.answers(time, "") if time else ():
        ids.extend([reading.id for reading in readings])
    return ids
