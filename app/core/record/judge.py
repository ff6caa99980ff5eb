"""Checks of a step on an opening: readings in, verdicts out."""

from app.core.checks import base, index
from app.core.checks.base import Ask, Outcome
from app.core.checks.decide import errors_of, known_as
from app.core.errors import AppError
from app.core.kinds import Any, Callable, Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.record import clocks, spoken
from app.core.record.door_as_read import HUNG, DoorAsRead, door_as_read
from app.core.record.events import SPOILING_KINDS, has_seen
from app.core.record.ledger import reading_slot
from app.core.record.state import Reading, State, Step
from app.core.record.tools import instrument_of
from app.core.record.written import DISPUTED, judgement_of, written_verdict
from app.core.trade import verdicts
from app.core.trade.drawing import Drawing, title_of
from app.core.trade.instruments import MeasuringInstrument
from app.core.where.place import Place
from app.core.where.places import FULL, SHORT, zero_places

CONFLICT = "conflict"
MOST_ALTERNATIVES = 64


class Basis:
    """What a check on this opening rests on, whatever verdict comes of it.

    readings: ids of the live readings. The others are events, or None, and count for just these
    readings: conceded by the office, said (the code that it read out), look (a closer look).
    """

    def __init__(self, check: Json, panel: str, readings: "list[str]") -> None:
        self.check = check
        self.panel = panel
        self.readings = readings
        self.conceded: Json | None = None
        self.said: Json | None = None
        self.look: Json | None = None


class Result(Basis):
    """A check on this opening: its outcome, and what it rests on.

    verdict: the outcome's, or 'conflict' where readings that did not see each other give
    different verdicts. quantity: of what is measured, and of limits that hold for any quantity.
    settled_by: the closer look (gauge, or three readings) that decided what was too close to call.
    """

    def __init__(self, basis: Basis, outcome: Outcome, verdict: str) -> None:
        super().__init__(basis.check, basis.panel, basis.readings)
        self.conceded = basis.conceded
        self.said = basis.said
        self.look = basis.look
        self.outcome = outcome
        self.verdict = verdict
        self.quantity: str = outcome.quantity
        self.settled_by: Json | None = None  # the same, where it decided what was too close
        self.today = verdict  # as today's rules have it, where what was written says otherwise
        self.limits: list[Json] = []
        self.ask: Ask | None = None  # what it was given, once that was asked for
        self.clock: clocks.Clock | None = None  # of a check that is a clock

    @property
    def spoken(self) -> "Json | None":
        """Return the concession by voice where there is something to concede, or None."""
        return self.said if self.verdict in (verdicts.OUT, verdicts.CLOSE) else None

    @property
    def settled(self) -> bool:
        """Return whether the check bars nothing: within, out of reach and said so, or conceded.

        Provisionally, where the office has conceded by voice alone.
        """
        left = self.conceded is not None or self.spoken is not None
        return left or self.verdict in (verdicts.WITHIN, verdicts.UNREACHABLE)

    @property
    def provisional(self) -> "Json | None":
        """Return the spoken concession that still waits for the office's own word, or None."""
        return self.spoken if self.conceded is None else None


def results_of(state: State, step: Step) -> "list[Result]":
    """Return every check of a step with its verdict, in the procedure's order."""
    return [result_of(state, check, step.panel) for check in checks_of(state, step)]


def checks_of(state: State, step: Step) -> "list[Json]":
    """Return the checks of a step that are made on this opening, in the procedure's order.

    Not those that the door has no places for, nor those that need a point which is not asked, nor
    a rough one that a finer one stands for.
    """
    found: list[Json] = state.memory.answer("=made|" + step.key, _find_made, state, step)
    return found


def _find_made(state: State, step: Step) -> "list[Json]":
    every = [c for c in possible_checks(state, step) if are_points_asked(state, step, c)]
    return [check for check in every if finer_result(state, step, check) is None]


def finer_result(state: State, step: Step, check: Json) -> "Result | None":
    """Return the finer check that stands for a rough one (`finer`), once all its places are read.

    What is out is then out there, and conceded once. None before; where one of its places could
    not be reached while the others are within; where the drawing holds the two to other limits.
    """
    if not check.get("finer"):
        return None
    for other in possible_checks(state, step):
        if other["id"] != check["finer"] or not are_points_asked(state, step, other):
            continue
        result = result_of(state, other, step.panel)
        alike = _limit_values(state, other) == _limit_values(state, check)
        if alike and result.verdict not in (verdicts.MISSING, verdicts.UNREACHABLE):
            return result
    return None


def _limit_values(state: State, check: Json) -> "list[tuple[str, int | None]]":
    return [(limit["name"], limit["value"]) for limit in limits_of(state, check)]


def stood_for(state: State, step: Step) -> "list[tuple[Json, Result]]":
    """Return the rough checks of a step that a finer one stands for, each with that one."""
    every = [c for c in possible_checks(state, step) if are_points_asked(state, step, c)]
    pairs = [(check, finer_result(state, step, check)) for check in every]
    return [(check, finer) for check, finer in pairs if finer is not None]


def are_points_asked(state: State, step: Step, check: Json) -> bool:
    """Return whether every point that a check needs is asked on this opening."""
    return all([asked_in(state, step, point) for point in needed_points(check)])


def possible_checks(state: State, step: Step) -> "list[Json]":
    """Return the checks of a step that can be made on this door, whether asked or not."""
    found: list[Json] = state.memory.answer("=checks|" + step.key, _find_possible, state, step)
    return found


def _find_possible(state: State, step: Step) -> "list[Json]":
    return [check for check in step.data["checks"] if can_be_made(state, check, step.panel)]


def needed_points(check: Json) -> "list[str]":
    """Return the points that a check is not made without."""
    optional = index.spec_of(check["calc"]).optional
    return [check["points"][input] for input in _inputs_of(check) if input not in optional]


def asked_points(state: State, step: Step) -> "list[Json]":
    """Return the points of a step that are asked on this opening, in the procedure's order."""
    return [point for point in step.data["points"] if asked_in(state, step, point["id"])]


def asked_in(state: State, step: Step, point: str) -> bool:
    """Return whether a point is asked, on the panel of a step."""
    return is_asked(state, point, state.panel_for(point, step.panel))


def is_asked(state: State, point: str, panel: str) -> bool:
    """Return whether a point is asked on this opening. What was once answered stays asked; but a
    rough look that was spoiled is not taken again where a finer point is read in its place.

    "always"; "full": on an opening of full depth; "short": on one of short depth; {"until": checks}
    until one of those checks was out or too close to call: a finer point then takes its place;
    {"when": checks}: at full depth, and once one of those checks was that.
    """
    name = "=asked|" + point + "|" + panel
    return bool(state.memory.answer(name, _find_asked, state, point, panel))


def _find_asked(state: State, point: str, panel: str) -> bool:
    asked = state.point(point).get("asked", "always")
    rough = asked == SHORT or "until" in asked
    if rough and not state.is_answered(point, panel):
        return state.depth == SHORT and _first_out(state, asked, "until", panel) is None
    if rough:
        return not _is_taken_over(state, point, panel)
    if asked == "always" or state.depth == FULL or state.is_answered(point, panel):
        return True
    return asked != FULL and opened_by(state, point, panel) is not None


def _is_taken_over(state: State, point: str, panel: str) -> bool:
    """Return whether all that was read at a rough point is spoiled, and a finer point is asked.

    A finer point opens when a check is out that is made of the rough one, or that ends it.
    """
    if any([readings for _, readings in state.answers(point, panel)]):
        return False
    asked = state.point(point)["asked"]
    ends: list[str] = [] if asked == SHORT else list(asked["until"])
    for step in state.procedure["steps"]:
        of_it = [
            c for c in step["checks"] if point in [c["points"][input] for input in c["points"]]
        ]
        ends.extend([check["id"] for check in of_it])
    for step in state.procedure["steps"]:
        for finer in step["points"]:
            opening = finer.get("asked", "always")
            opened = [] if isinstance(opening, str) else opening.get("when", [])
            if any([id in ends for id in opened]) and is_asked(
                state, finer["id"], state.panel_for(finer["id"], panel)
            ):
                return True
    return False


def opened_by(state: State, point: str, panel: str) -> "Result | None":
    """Return the check, as it stands, for which a finer point has opened; None while it has not."""
    out = _first_out(state, state.point(point).get("asked", "always"), "when", panel)
    return None if out is None else result_of(state, out[0], out[1])


def _first_out(state: State, asked: Json, word: str, panel: str) -> "tuple[Json, str] | None":
    """Return the first check, and its panel, of those after a word that is or was out, or None."""
    if isinstance(asked, str):
        return None
    for step in state.steps:
        if step.panel and panel not in ("", step.panel):
            continue
        for check in step.data["checks"]:
            if check["id"] in asked.get(word, []) and was_out(state, check, step.panel):
                return check, step.panel
    return None


def was_out(state: State, check: Json, panel: str) -> bool:
    """Return whether a check is out or too close to call, or was, over what somebody had seen.

    By its readings and the limits of the drawing that was in force over them, whatever was
    conceded, looked at more closely, written or drawn since. Readings that were struck count for
    nothing, and so do those of an instrument that failed its check.
    """
    name = "=opener|" + check["id"] + "|" + panel
    return bool(state.memory.answer(name, _was_ever_out, state, check, panel))


def _was_ever_out(state: State, check: Json, panel: str) -> bool:
    if not can_be_made(state, check, panel):
        return False
    now = _live_inputs(state, check, panel)
    if _may_be_out(state, check, panel, now, state.drawing):
        return True
    slots: Json = {
        input: [
            (place, _slot_events(state, check["points"][input], panel, place))
            for place, _ in now[input]
        ]
        for input in _inputs_of(check)
    }
    entries = [event for input in _inputs_of(check) for _, here in slots[input] for event in here]
    revised = state.ledger.of_kind("drawing.revised")
    count = sum([len(readings) for input in now for _, readings in now[input]])
    if len(entries) == count and not revised:
        return False  # nothing was ever replaced, spoiled or redrawn: what is now is all there was
    spoiling = [event for kind in SPOILING_KINDS for event in state.ledger.of_kind(kind)]
    for event in entries + spoiling + revised:
        drawing = _drawing_seen(state, event)
        for itself in (False, True):
            live = _seen_readings(state, slots, event, itself)
            if _is_complete(check, live) and _may_be_out(state, check, panel, live, drawing):
                return True
    return False


def _drawing_seen(state: State, event: Json) -> Drawing:
    """Return the drawing that was in force for whoever made an event."""
    drawn = [e for e in state.ledger.unstruck("drawing") if _saw(event, e)]
    return Drawing((drawn[-1] if drawn else state.drawing_event)["body"]["drawing"])


def _slot_events(state: State, point: str, panel: str, place: Place) -> "list[Json]":
    slot = reading_slot(point, state.panel_for(point, panel), place.id)
    return state.ledger.unstruck(slot)


def _seen_readings(state: State, slots: Json, event: Json, itself: bool) -> Json:
    """Return the readings that were live for whoever made an event: before it, or with it."""
    out: Json = {}
    for input in slots:
        out[input] = []
        for place, entries in slots[input]:
            seen = [e for e in entries if (e is event and itself) or _saw(event, e)]
            live = [
                Reading(e, state.shift_of(e))
                for e in seen
                if not any([_saw(other, e) for other in seen]) and not state.stale_when(e, event)
            ]
            out[input].append((place, live))
    return out


def _saw(later: Json, earlier: Json) -> bool:
    return later is not earlier and has_seen(later, earlier)


def _is_complete(check: Json, live: Json) -> bool:
    optional = index.spec_of(check["calc"]).optional
    needed = [input for input in live if input not in optional]
    return all([readings for input in needed for _, readings in live[input]])


def _may_be_out(state: State, check: Json, panel: str, live: Json, drawing: Drawing) -> bool:
    """Return whether one way of choosing among readings puts a check out, or too close to call."""
    limits = _limits_drawn(state, drawing, check)
    for chosen in _reading_choices(live):
        outcome = _calculate(state, check, panel, live, chosen, limits)
        if outcome.verdict in (verdicts.OUT, verdicts.CLOSE):
            return True
    return False


def result_of(state: State, check: Json, panel: str) -> Result:
    """Return one check that can be made, with its verdict."""
    name = "=result|" + check["id"] + "|" + panel
    found: Result = state.memory.answer(name, judge_check, state, check, panel)
    return found


def can_be_made(state: State, check: Json, panel: str) -> bool:
    """Return whether this door has what the check looks at.

    No fixed panel, no meeting stile, no interlock yet at the first panel that is set: a
    point then has no places, and a check that needs it is not made.
    """
    points = needed_points(check)
    if not all([state.places(point, state.panel_for(point, panel)) for point in points]):
        return False
    return not clocks.is_clock(check) or clocks.is_asked(
        state, check, limits_of(state, check)[0]["value"]
    )


def is_about(check: Json, point: str) -> bool:
    """Return whether a point is what a check judges, not only something that it looks up."""
    spec = index.spec_of(check["calc"])
    inputs = [
        input for input in check["points"] if input not in spec.optional or input in spec.judged
    ]
    return any([check["points"][input] == point for input in inputs])


def judge_check(state: State, check: Json, panel: str) -> Result:
    """Return one check with its verdict over all live readings."""
    judged = _timed if clocks.is_clock(check) else _measured
    made = judged(state, basis_of(state, check, panel))
    if made.look is not None and made.verdict == verdicts.CLOSE:
        says = made.look["body"]["verdict"]
        if says in (verdicts.WITHIN, verdicts.OUT):  # what another version may say decides nothing
            made.settled_by, made.verdict = made.look, says
    _keep_to_what_was_written(state, made)
    return made


def basis_of(state: State, check: Json, panel: str) -> Basis:
    """Return what a check rests on, without judging it."""
    name = "=basis|" + check["id"] + "|" + panel
    found: Basis = state.memory.answer(name, _find_basis, state, check, panel)
    return found


def _find_basis(state: State, check: Json, panel: str) -> Basis:
    if clocks.is_clock(check):
        basis = Basis(check, panel, clocks.ids_of(state, _clock_of(state, check)))
    else:
        live = _live_inputs(state, check, panel)
        ids = [r.id for input in live for _, readings in live[input] for r in readings]
        basis = Basis(check, panel, ids)
    basis.look = _look(state, basis)
    basis.conceded = _concession_of(state, basis)
    basis.said = _said(state, basis)
    return basis


def _clock_of(state: State, check: Json) -> clocks.Clock:
    return clocks.clock_of(state, check, limits_of(state, check)[0]["value"])


def _timed(state: State, basis: Basis) -> Result:
    """Return a clock with its verdict, by the times that its acts claim."""
    limits = limits_of(state, basis.check)
    clock = _clock_of(state, basis.check)
    try:
        outcome = clocks.clock_outcome(state, clock)
    except base.Silent as silent:
        outcome = Outcome(verdicts.MISSING, [_ask_for(silent, limits, state)])
    made = Result(basis, outcome, outcome.verdict)
    made.limits, made.quantity, made.clock = limits, "duration", clock
    return made


def _measured(state: State, basis: Basis) -> Result:
    check = basis.check
    live = _live_inputs(state, check, basis.panel)
    limits = limits_of(state, check)
    outcome, verdict = _over_alternatives(state, check, basis.panel, live, limits)
    made = Result(basis, outcome, verdict)
    made.limits = limits
    made.quantity = state.point(check["points"][_inputs_of(check)[0]])["quantity"]
    return made


def _look(state: State, basis: Basis) -> "Json | None":
    """Return the closer look at just these readings, or None."""
    look = state.ledger.last("settled|" + basis.check["id"] + "|" + basis.panel)
    if look is None or not _same_readings(look["body"]["readings"], basis.readings):
        return None
    return look


def _keep_to_what_was_written(state: State, result: Result) -> None:
    """Let the office's written verdict over just this count in place of today's.

    It never shuts a gate that today's rules would open: OUT counts only where it is conceded.
    """
    result.today = result.verdict
    was = written_verdict(state, result.check["id"], result.panel, result.readings)
    conceded = result.conceded is not None or result.said is not None
    if was not in verdicts.VERDICTS or was == result.verdict:
        return
    if conceded or was in (verdicts.WITHIN, verdicts.UNREACHABLE):
        result.verdict = was
        now = result.outcome
        says = [Msg("It was judged by the rules of its day, and stays so judged.")]
        result.outcome = Outcome(
            was, says, None, now.value, now.low, now.high, 0, now.quantity, now.tilt
        )


def limits_of(state: State, check: Json) -> "list[Json]":
    """Return the limits in force: {"name", "value": int or None, "basis": {...}, "field", "point"}.

    point: where a crew types it from a data sheet, "" for most limits. The drawing's own limit
    for a check wins over the procedure's, and is shown as such.
    """
    return _limits_drawn(state, state.drawing, check)


def _limits_drawn(state: State, drawing: Drawing, check: Json) -> "list[Json]":
    out = []
    for name in _keys_in_order(check["limits"]):
        given = check["limits"][name]
        basis = check["basis"]
        drawn = drawing.limit(check["id"] + "." + name)
        field = given.get("drawing", "")
        typed = given.get("point", "")
        if drawn is not None:
            value: int | None = drawn
            basis = {"kind": "drawing", "text": ""}
        elif field:
            value = drawing.value(field)
            basis = {"kind": "drawing", "text": ""}
        elif typed:
            value = clocks.typed_time(state, check, typed)
        else:
            value = int(given["value"])
        out.append({"name": name, "value": value, "basis": basis, "field": field, "point": typed})
    return out


def _live_inputs(
    state: State, check: Json, panel: str
) -> "dict[str, list[tuple[Place, list[Reading]]]]":
    return {
        input: _live_readings(state, check["points"][input], panel) for input in _inputs_of(check)
    }


def _live_readings(state: State, point: str, panel: str) -> "list[tuple[Place, list[Reading]]]":
    return state.answers(point, state.panel_for(point, panel))


def _over_alternatives(
    state: State, check: Json, panel: str, live: Json, limits: "list[Json]"
) -> "tuple[Outcome, str]":
    """Judge every way of choosing among readings that did not see each other.

    All alike: the worse figure counts. Different verdicts: 'conflict'.
    """
    outcomes = [
        _calculate(state, check, panel, live, chosen, limits) for chosen in _reading_choices(live)
    ]
    worst = outcomes[0]
    for outcome in outcomes[1:]:
        if outcome.verdict != worst.verdict:
            return worst, CONFLICT
        if outcome.over > worst.over:
            worst = outcome
    return worst, worst.verdict


def _reading_choices(live: Json) -> "list[dict[str, Reading]]":
    """Return the ways to choose one reading a place: input|place -> reading."""
    ways: list[dict[str, Reading]] = [{}]
    for input in _keys_in_order(live):
        for place, readings in live[input]:
            if not readings:
                continue
            many = readings if len(ways) * len(readings) <= MOST_ALTERNATIVES else readings[-1:]
            key = input + "|" + place.id
            if len(many) > 1:
                ways = [_with_reading(way, key, reading) for way in ways for reading in many]
            else:
                for way in ways:
                    way[key] = many[0]
    return ways


def _with_reading(way: "dict[str, Reading]", key: str, reading: Reading) -> "dict[str, Reading]":
    out = dict(way)
    out[key] = reading
    return out


def _calculate(
    state: State,
    check: Json,
    panel: str,
    live: Json,
    chosen: "dict[str, Reading]",
    limits: "list[Json]",
) -> Outcome:
    calculation = index.load(check["calc"])[0]
    ask = ask_of(state, check, panel, live, chosen, limits)
    try:
        return calculation(ask)
    except base.Silent as silent:
        return Outcome(verdicts.MISSING, [_ask_for(silent, limits)])
    except AppError as error:  # the drawing is silent, or says what cannot be built
        return Outcome(verdicts.MISSING, [error.message])


def ask_of(
    state: State,
    check: Json,
    panel: str,
    live: Json,
    chosen: "dict[str, Reading]",
    limits: "list[Json]",
) -> Ask:
    """Return what the calculation is given."""
    where: dict[str, list[Place]] = {}
    taken: dict[str, dict[str, int]] = {}
    gone: dict[str, list[str]] = {}
    for input in _inputs_of(check):
        where[input] = [place for place, _ in live[input]]
        taken[input] = {}
        gone[input] = []
        for place, _ in live[input]:
            reading = chosen.get(input + "|" + place.id)
            if reading is not None and reading.reached:
                taken[input][place.id] = reading.height
            elif reading is not None:
                gone[input].append(place.id)
        point = state.point(check["points"][input])
        for place in zero_places(point, state.drawing, state.panel_for(point["id"], panel)):
            where[input].append(place)
            taken[input][place.id] = 0
    values = {limit["name"]: limit["value"] for limit in limits}
    spec = index.spec_of(check["calc"])
    settings = {
        name: check["settings"][name]
        if spec.settings.get(name) == "text"
        else int(check["settings"][name])
        for name in check["settings"]
    }
    errors = (
        _input_errors(state, check, where, taken, _tools_used(state, chosen))
        if state.guarded
        else None
    )
    door = (lambda: door_as_read(state, HUNG, values)) if spec.whole_door else None
    return Ask(where, taken, values, settings, state.drawing, gone, errors, panel, door)


def _input_errors(
    state: State,
    check: Json,
    where: "dict[str, list[Place]]",
    taken: "dict[str, dict[str, int]]",
    used: "dict[str, list[MeasuringInstrument]]",
) -> "dict[str, int]":
    """Return the expanded uncertainty of each input's readings (guard bands).

    By the instrument that a reading names, the worst of several; else by the point's tool.
    """
    out: dict[str, int] = {}
    for input in _inputs_of(check):
        point = state.point(check["points"][input])
        if point["quantity"] == "length":
            length = max([0] + [abs(taken[input][id]) for id in taken[input]])
            tools = used.get(input) or known_as(point["tool"])
            out.update(errors_of(input, tools, length, spread_of(where[input])))
    return out


def _tools_used(
    state: State, chosen: "dict[str, Reading]"
) -> "dict[str, list[MeasuringInstrument]]":
    """Return input -> the instruments that its readings name."""
    out: dict[str, list[MeasuringInstrument]] = {}
    for key in chosen:
        tool = state.tool_of(chosen[key].event)
        found = instrument_of(tool.facts) if tool is not None else None
        if found is not None:
            out.setdefault(key.partition("|")[0], []).append(found)
    return out


def spread_of(where: "list[Place]") -> int:
    """Return how far apart the places of a point lie: what a level or a laser is carried over."""
    xs = [place.x for place in where if place.x is not None]
    return max(xs) - min(xs) if xs else 0


def ask_for_check(state: State, check: Json, panel: str) -> Ask:
    """Return what a check is given now, the last of several live readings chosen at a place.

    A clock is given the moments of its start and its end; it must have both.
    """
    if clocks.is_clock(check):
        return clocks.ask_of(state, _clock_of(state, check))
    live = _live_inputs(state, check, panel)
    return ask_of(state, check, panel, live, _reading_choices(live)[-1], limits_of(state, check))


def door_at(state: State, stage: str) -> "DoorAsRead | None":
    """Return the whole door at a stage (door_as_read.py); None where no check judges it whole."""
    check = whole_door_check(state)
    if check is None:
        return None
    limits = {limit["name"]: limit["value"] for limit in limits_of(state, check)}
    return door_as_read(state, stage, limits)


def whole_door_check(state: State) -> "Json | None":
    """Return the check of the procedure that judges the whole door, or None."""
    for step in state.steps:
        for check in step.data["checks"]:
            if index.spec_of(check["calc"]).whole_door:
                found: Json = check
                return found
    return None


def _ask_for(silent: base.Silent, limits: "list[Json]", state: "State | None" = None) -> Msg:
    for limit in limits:
        if state is not None and limit["point"] and limit["value"] is None:
            return Msg("Type first: {point}", point=Msg(state.point(limit["point"])["title"]))
        if limit["name"] == silent.details["name"] and limit["field"]:
            return Msg(
                "The drawing does not give “{what}”. Ask the office.",
                what=Msg(title_of(limit["field"])),
            )
    return silent.message


def _concession_of(state: State, basis: Basis) -> "Json | None":
    """Return the concession that covers just these readings, where its rank allows one."""
    rank = basis.check["rank"]
    slot = "concession|" + basis.check["id"] + "|" + basis.panel
    given = state.ledger.last(slot)
    if given is None or given["kind"] != "concession.given" or rank == "never":
        return None
    if rank == "author" and not given["body"].get("answer"):
        return None
    return given if _same_readings(given["body"]["readings"], basis.readings) else None


def _said(state: State, basis: Basis) -> "Json | None":
    """Return the spoken concession of just these readings that the office has not refused.

    Every device comes to the same: whether the code was right is told by the office, which sets
    a wrong one aside. It hangs on no verdict, so that what a sign-off covers does not either.
    """
    said = [] if basis.check["rank"] == "never" else spoken_of(state, basis)
    if not said or is_refused(state, basis):
        return None
    number = number_of(state, basis)
    for event in said:
        given = judgement_of(state.ledger, event["id"])
        disputed = given is not None and given["body"]["result"] == DISPUTED
        if event["body"]["number"] == number and not disputed:
            return event
    return None


def spoken_of(state: State, basis: Basis) -> "list[Json]":
    """Return the spoken concessions of a check with just these readings, causes first."""
    slot = "spoken|" + basis.check["id"] + "|" + basis.panel
    here = state.ledger.filed(slot)
    return [event for event in here if _same_readings(event["body"]["readings"], basis.readings)]


def is_refused(state: State, basis: Basis) -> bool:
    """Return whether the office withdrew a spoken concession of just these readings."""
    slot = "concession|" + basis.check["id"] + "|" + basis.panel
    denials = [e for e in state.ledger.filed(slot) if e["kind"] == "concession.withdrawn"]
    said = spoken_of(state, basis)
    return any([has_seen(denial, event) for denial in denials for event in said])


def number_of(state: State, basis: Basis) -> str:
    """Return the number that is read out for a check with its present readings."""
    taken = [state.ledger.by_id[id] for id in basis.readings]
    return spoken.number_of(state.issue["opening"], basis.check["id"], basis.panel, taken)


def _same_readings(one: "list[str]", other: "list[str]") -> bool:
    return len(one) == len(other) and all([id in other for id in one])


def _inputs_of(check: Json) -> "list[str]":
    return _keys_in_order(check["points"])


def _keys_in_order(mapping: Any) -> "list[str]":
    """Return a mapping's keys in an order that does not hang on the interpreter."""
    return sort_by([name for name in mapping], lambda name: name)


def so_far(state: State, check: Json, panel: str) -> "Outcome | None":
    """Return what a check says of the places measured so far; None where that tells nothing yet."""
    result = result_of(state, check, panel)
    if result.verdict != verdicts.MISSING:
        return result.outcome
    tells = index.spec_of(check["calc"]).tells
    return _over_some(state, check, panel, "") if tells != base.ALL else None


def outcome_at(state: State, check: Json, panel: str, place: str) -> "Outcome | None":
    """Return what a check finds wrong at the place that was just read; None for nothing new.

    What it says of the place alone, where it tells that; else what it says of all so far, unless
    it says the same without the place: then that was said when it came.
    """
    now = so_far(state, check, panel)
    if now is None or now.verdict not in (verdicts.OUT, verdicts.CLOSE):
        return None
    if index.spec_of(check["calc"]).tells == base.EACH:
        alone = outcome_alone(state, check, panel, place)
        return alone if alone is not None and alone.verdict == now.verdict else None
    ask = _ask_kept(state, check, panel)
    if not any([ask.missing(input) for input in _inputs_of(check)]):
        return now
    before = _over_places(state, check, panel, lambda id: id != place, lacking=True)
    return now if before is None or before.verdict != verdicts.OUT else None


def outcome_alone(state: State, check: Json, panel: str, place: str) -> "Outcome | None":
    """Return what a check says of one place by itself; None where it needs more than one."""
    tells = index.spec_of(check["calc"]).tells
    return _over_some(state, check, panel, place) if tells == base.EACH else None


def _over_some(state: State, check: Json, panel: str, place: str) -> "Outcome | None":
    outcome = _over_places(state, check, panel, lambda id: place in ("", id))
    return outcome if outcome is not None and (outcome.verdict == verdicts.OUT or place) else None


def _over_places(
    state: State, check: Json, panel: str, taken: "Callable[[str], bool]", lacking: bool = False
) -> "Outcome | None":
    """Return what a check says of the measured places that `taken` names by their ids.

    lacking: also where an optional input has no reading yet.
    """
    whole = _ask_kept(state, check, panel)
    inputs = _inputs_of(check)
    where = {input: _measured_places(whole, input, taken) for input in inputs}
    if lacking:
        optional = index.spec_of(check["calc"]).optional
        inputs = [input for input in inputs if where[input] or input not in optional]
        where = {input: where[input] for input in inputs}
    if not all([where[input] for input in inputs]):
        return None
    nowhere: dict[str, list[str]] = {input: [] for input in inputs}
    ask = Ask(
        where, whole.readings, whole.limits, whole.settings, whole.drawing, nowhere, whole.errors,
        whole.panel,
    )  # fmt: skip
    calculation = index.load(check["calc"])[0]
    try:
        return calculation(ask)
    except base.Silent:
        return None


def _measured_places(ask: Ask, input: str, taken: "Callable[[str], bool]") -> "list[Place]":
    measured = ask.readings[input]
    return [place for place in ask.places[input] if place.id in measured and taken(place.id)]


def _ask_kept(state: State, check: Json, panel: str) -> Ask:
    """Return what a check is given now, kept beside its result; nobody may alter it."""
    result = result_of(state, check, panel)
    if result.ask is None:
        result.ask = ask_for_check(state, check, panel)
    found: Ask = result.ask
    return found
