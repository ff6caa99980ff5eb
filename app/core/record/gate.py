"""The gate: what bars the sign-off of a step, and the sign-off itself.

A sign-off covers, by digest, the live readings, ticks, decisions, corrections,
adjustments, concessions and parts that the step rests on, with the version of the
procedure and the event of the drawing since which nothing that the step rests on was
changed (rests.py). It is *true* when its digest and an open gate hold over exactly what
its signer had seen; else it is *disputed*. It *holds* while the digest over everything
known equals its own; else it is *broken*, and heals if they agree again.
"""

from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Msg
from app.core.record import events as ev
from app.core.record import rules
from app.core.record.canonical import digest
from app.core.record.clocks import Clock
from app.core.record.fold import carried_forward
from app.core.record.judge import (
    CONFLICT,
    Result,
    asked_points,
    basis_of,
    is_asked,
    possible_checks,
    results_of,
)
from app.core.record.ledger import ANY
from app.core.record.rests import drawing_of, procedure_of
from app.core.record.state import State, Step
from app.core.record.written import TRUE, accepted_with, judged_by, judgement_of, over
from app.core.trade.verdicts import CLOSE, MISSING, OUT, WITHIN

HERE = "here"


class Bar:
    """One thing that bars a sign-off: a code, words, and where to put it right."""

    def __init__(self, code: str, message: Msg, point: str = "", step: str = "") -> None:
        self.code = code
        self.message = message
        self.point = point
        self.step = step


class Sign:
    """A sign-off as it stands: event, true (when signed), holds (now), why not."""

    def __init__(self, event: Json, true: bool, why: "list[Msg]") -> None:
        self.event = event
        self.true = true
        self.why = why

    @property
    def holds(self) -> bool:
        """Return whether nothing has changed since under what was signed."""
        return not self.why

    @property
    def good(self) -> bool:
        """Return whether later steps may rest on it."""
        return self.true and self.holds


def bars_of(state: State, step: Step, signed_first: "list[str] | None" = None) -> "list[Bar]":
    """Return all that bars the sign-off of a step; empty when the gate is open.

    signed_first: keys of steps that are signed in the same act, before this one.
    """
    if not state.judged:
        words = Msg("Entries from a newer version of Sillbook are here. Update before signing.")
        return [Bar("newer-entries", words)]
    cancelled = state.cancelled()
    if cancelled is not None:
        words = Msg("The office cancelled it: {reason}", reason=cancelled["body"]["reason"])
        return [Bar("opening-cancelled", words)]
    out = holds_before(state, step, signed_first)
    out.extend(_open_tasks(state, step))
    out.extend(_open_decisions(state, step))
    out.extend(_unmeasured_points(state, step))
    for result in results_of(state, step):
        out.extend(_check_bars(state, step, result))
    out.extend(_open_queries(state, step))
    out.extend(_missing_parts(state, step))
    return out


def holds_before(state: State, step: Step, signed_first: "list[str] | None" = None) -> "list[Bar]":
    """Return the first bar of a step where an earlier hold point is not signed; else []."""
    out = []
    besides = signed_first or []
    for before in state.steps:
        if before.key == step.key:
            break
        sign = sign_of(state, before)
        if before.hold and before.key not in besides and (sign is None or not sign.good):
            words = Msg("Sign off first: {step} {title}.", step=before.id, title=before.title)
            out.append(Bar("hold-before", words, step=before.key))
    return out[:1]


def signed_together(state: State, step: Step) -> "list[Step]":
    """Return the panels of a step that one look signs with this one, in order, itself among them.

    Only what is all done and within goes together: what was conceded is looked at by itself. Each
    panel keeps a sign-off of its own, made after those before it.
    """
    if not _is_all_within(state, step):
        return [step]
    out: list[Step] = []
    for other in state.steps:
        if other.id != step.id:
            continue
        sign = sign_of(state, other)
        is_signed = sign is not None and sign.good
        keys = [one.key for one in out]
        if not is_signed and _is_all_within(state, other) and not bars_of(state, other, keys):
            out.append(other)
    return out


def _is_all_within(state: State, step: Step) -> bool:
    return all([result.verdict == WITHIN for result in results_of(state, step)])


def _open_tasks(state: State, step: Step) -> "list[Bar]":
    out = []
    for task in state.tasks(step):
        if state.task_done(step.key, task) is None:
            words, code = Msg("Not ticked: {task}", task=Msg(task["text"])), "task-open"
            if task["kind"] == "photo":
                words, code = Msg("No photo yet: {task}", task=Msg(task["text"])), "photo-open"
            out.append(Bar(code, words, step=step.key))
    return out


def _open_decisions(state: State, step: Step) -> "list[Bar]":
    out = []
    for decision in step.data["decisions"]:
        made = state.decided(step.key, decision["id"])
        if made is None:
            out.append(Bar("decision-open", Msg("Not decided: {what}", what=Msg(decision["text"]))))
        elif not _opens_gate(decision["choices"], made["body"]["choice"]):
            out.append(
                Bar("decision-bars", Msg("Decided against: {what}", what=Msg(decision["text"])))
            )
        elif not _opens_gate(choices_of(state, step, decision), made["body"]["choice"]):
            words = Msg("A check is not within: decide again. {what}", what=Msg(decision["text"]))
            out.append(Bar("decision-unfit", words))
    return out


def _opens_gate(choices: "list[Json]", choice: str) -> bool:
    return any([c["opens"] for c in choices if c["id"] == choice])


def choices_of(state: State, step: Step, decision: Json) -> "list[Json]":
    """Return the choices of a decision that are true: none of "within" while a check is not."""
    if not any([choice.get("within") for choice in decision["choices"]]):
        return list(decision["choices"])
    doubtful = any([r.verdict in (OUT, CLOSE, CONFLICT) for r in results_of(state, step)])
    return [one for one in decision["choices"] if not (doubtful and one.get("within"))]


def _unmeasured_points(state: State, step: Step) -> "list[Bar]":
    out = []
    for point in asked_points(state, step):
        if point.get("info"):
            continue
        left = places_unmeasured(state, point["id"], step.panel)
        if left:
            words = Msg(
                "{point}: {count} still to measure.", point=Msg(point["title"]), count=len(left)
            )
            out.append(Bar("not-measured", words, point=point["id"], step=step.key))
    return out


def places_unmeasured(state: State, point: str, panel: str) -> "list[Any]":
    """Return the places of a point that have no live answer; none where it is not asked."""
    kept = state.panel_for(point, panel)
    if not is_asked(state, point, kept):
        return []
    return [place for place, readings in state.answers(point, kept) if not readings]


def _check_bars(state: State, step: Step, result: Result) -> "list[Bar]":
    if result.settled:
        return []
    title = Msg(result.check["title"])
    if result.verdict == MISSING:
        if result.clock is not None:
            return _clock_bars(step, result, result.clock)
        if result.outcome.missing:
            here = [point["id"] for point in step.data["points"]]
            points = [result.check["points"][input] for input in result.check["points"]]
            left = any([places_unmeasured(state, point, step.panel) for point in points])
            if left and all([point in here for point in points]):
                return []  # said once, at the point; readings that contradict each other bar
        words = Msg(
            "{check}: not measured. {says}", check=title, says=_first_sentence(result.outcome.says)
        )
        return [Bar("check-missing", words, point=_first_point(result))]
    shape = _WORDS[result.verdict]
    if result.clock is not None and result.verdict == CLOSE:
        shape = _CLOCK_IN_DOUBT
    return [Bar("check-" + result.verdict, Msg(shape, check=title), step=step.key)]


def _clock_bars(step: Step, result: Result, clock: Clock) -> "list[Bar]":
    """Return the bar of a clock that has no figure yet; none where its own acts say it already."""
    act = clock.check["clock"]["start"]
    if clock.start is None and act.get("step", step.id) == step.id and clock.lasts is not None:
        return []  # said once, at the act that starts it
    words = Msg(
        "{check}: {says}",
        check=Msg(result.check["title"]),
        says=_first_sentence(result.outcome.says),
    )
    point: str = "" if clock.lasts is not None else result.check["points"].get("time", "")
    if clock.early:
        point = clock.check["clock"]["end"].get("point", "")
    return [Bar("clock-runs" if clock.runs else "check-missing", words, point=point, step=step.key)]


_CLOCK_IN_DOUBT = Msg("{check}: clock in doubt. Run it again, or ask the office.").template


_WORDS = {
    OUT: "{check}: out of tolerance.",
    CLOSE: "{check}: too close to call with this instrument. Use a gauge, or read it three times.",
    CONFLICT: "{check}: two readings disagree. Measure again or strike the wrong one.",
}
# the catalogue of words is collected from literals inside Msg("…")
_COLLECTED = (
    Msg("{check}: out of tolerance."),
    Msg("{check}: too close to call with this instrument. Use a gauge, or read it three times."),
    Msg("{check}: two readings disagree. Measure again or strike the wrong one."),
)


def _first_point(result: Result) -> str:
    for input in sort_by([input for input in result.check["points"]], lambda input: input):
        found: str = result.check["points"][input]
        return found
    return ""


def _first_sentence(says: "list[Msg]") -> "Msg | str":
    return says[0] if says else ""


def _open_queries(state: State, step: Step) -> "list[Bar]":
    out = []
    for query, answer in state.queries():
        barred = step.id in query["body"]["bars"]
        if barred and (answer is None or answer["body"]["answer"] == "wait"):
            words = Msg("Waits for the office: {query}", query=query["body"]["words"])
            out.append(Bar("query-open", words))
    return out


def _missing_parts(state: State, step: Step) -> "list[Bar]":
    out = []
    unknown = [part for part, stated in state.parts() if stated is None]
    if unknown and step.data.get("parts"):
        words = Msg("Not looked at: {part}", part=unknown[0]["what"])
        if len(unknown) > 1:
            words = Msg("Parts not looked at: {count}", count=len(unknown))
        out.append(Bar("part-unknown", words))
    unsaid = [] if step.data.get("parts") else [p for p in unknown if p["step"] == step.id]
    return out + [_part_bar(part) for part in unsaid] + short_parts(state, step)


def short_parts(state: State, step: Step) -> "list[Bar]":
    """Return a bar for each part of a step that somebody said is short, damaged or wrong."""
    return [
        _part_bar(part)
        for part, stated in state.parts()
        if part["step"] == step.id and stated is not None and stated["body"]["state"] != HERE
    ]


def _part_bar(part: Json) -> Bar:
    return Bar("part-bars", Msg("Part not here or not right: {part}", part=part["what"]))


def cover_of(state: State, step: Step) -> Json:
    """Return what a sign-off of this step covers now: ids and versions, and their digest."""
    return dict(state.memory.answer("=cover|" + step.key, _make_cover, state, step))


def _make_cover(state: State, step: Step) -> Json:
    ids = _covered_ids(state, step)
    body = {
        "step": step.key,
        "drawing": drawing_of(state, step),
        "procedure": procedure_of(state, step),
        "covers": sort_by(_unique_ids(ids), lambda id: id),
    }
    return {
        "step": step.key,
        "drawing": body["drawing"],
        "procedure": body["procedure"],
        "covers": body["covers"],
        "digest": digest(body),
    }


def _covered_ids(state: State, step: Step) -> "list[str]":
    ids = []
    for point in step.data["points"]:
        kept = state.panel_for(point["id"], step.panel)
        for place in state.places(point["id"], kept):
            ids.extend([reading.id for reading in state.readings(point["id"], kept, place.id)])
        ids.extend([tie["id"] for tie in state.ties(point["id"], kept)])
    # every check that the door has places for: what a check opens hangs on verdicts, this does not
    for check in possible_checks(state, step):
        # none of it hangs on a verdict: under other rules a sign-off covers the same
        basis = basis_of(state, check, step.panel)
        ids.extend(basis.readings)
        # the office's word on a spoken concession confirms what was signed, and changes nothing
        ids.extend(_id_list(basis.said or basis.conceded) + _id_list(basis.look))
        ids.extend([e["id"] for e in state.corrections(check["id"], step.panel)])
    for task in step.data["tasks"]:
        ids.extend(_id_list(state.task_done(step.key, task)))
    for decision in step.data["decisions"]:
        ids.extend(_id_list(state.decided(step.key, decision["id"])))
    for part, stated in state.parts():
        if part["step"] == step.id or step.data.get("parts"):
            ids.extend(_id_list(stated))
    ids.extend([e["id"] for e in state.adjustments(step.key)])
    return ids


def _id_list(event: "Json | None") -> "list[str]":
    return [] if event is None else [event["id"]]


def _unique_ids(ids: "list[str]") -> "list[str]":
    seen: dict[str, bool] = {}
    out = []
    for id in ids:
        if id not in seen:
            seen[id] = True
            out.append(id)
    return out


def verdicts_of(state: State, step: Step) -> "list[Json]":
    """Return the verdicts of a step, as a sign-off carries them."""
    return [{"check": r.check["id"], "verdict": r.verdict} for r in results_of(state, step)]


def sign_off_body(state: State, step: Step) -> Json:
    """Return the body of a sign-off of this step: what it covers, and how that was judged."""
    out = cover_of(state, step)
    out.update(judged_by(state, verdicts_of(state, step)))
    return out


def verdict_lines(state: State, step: Step) -> "list[Json]":
    """Return the verdicts of a step as the office writes them: with what each was judged over."""
    return [verdict_line(state, step, result) for result in results_of(state, step)]


def verdict_line(state: State, step: Step, result: Result) -> Json:
    """Return one verdict as the office writes it."""
    return {
        "check": result.check["id"],
        "panel": result.panel,
        "verdict": result.verdict,
        "over": over(state, step, result.readings),
    }


def sign_of(state: State, step: Step) -> "Sign | None":
    """Return the sign-off of a step as it stands over everything known, or None."""
    found: Sign | None = state.memory.answer("=sign|" + step.key, _find_sign, state, step)
    return found


def _find_sign(state: State, step: Step) -> "Sign | None":
    event = state.ledger.last("sign|" + step.key)
    if event is None:
        return None
    return Sign(event, was_true(state, event), _why_broken(state, step, event))


def changed_by_office(state: State, step: Step, event: Json) -> "list[Msg]":
    """Return what the office did to a step since it was signed, in its words."""
    why = []
    returned = state.review()
    if returned is not None and _returned_at(returned, step) and not ev.has_seen(event, returned):
        why.append(Msg("The office returned it: {words}", words=returned["body"]["words"]))
    now = cover_of(state, step)
    if now["drawing"] != event["body"]["drawing"]:
        since = [
            one["body"]["why"]
            for one in state.ledger.of_kind("drawing.revised")
            if not ev.has_seen(event, one)
        ]
        words = Msg("The drawing was changed after it was signed.")
        if since:
            told = "; ".join(since)
            words = Msg("The drawing was changed after it was signed: {words}", words=told)
        why.append(words)
    if now["procedure"] != event["body"]["procedure"]:
        why.append(Msg("The procedure was changed after it was signed."))
    return why


def _why_broken(state: State, step: Step, event: Json) -> "list[Msg]":
    """Return why a sign-off no longer holds; empty while it does."""
    why = changed_by_office(state, step, event)
    now = cover_of(state, step)
    if now["digest"] == event["body"]["digest"]:
        return why
    signed = event["body"]["covers"]
    new = [id for id in now["covers"] if id not in signed]
    gone = [id for id in signed if id not in now["covers"]]
    if new:
        why.append(Msg("Entries came that it does not cover: {count}.", count=len(new)))
    if gone:
        why.append(
            Msg("Entries that it covers and that no longer count: {count}.", count=len(gone))
        )
        why.extend(_doubted_tools(state, gone))
    return why or [Msg("What was signed is not what is recorded.")]


def _doubted_tools(state: State, gone: "list[str]") -> "list[Msg]":
    """Return which instruments failed a check under readings that a sign-off covers."""
    out: list[Msg] = []
    names: list[str] = []
    for id in gone:
        event = state.ledger.by_id.get(id)
        if event is None or event["kind"] != "reading.taken" or state.ledger.is_struck(event):
            continue
        tool = state.tool_of(event)
        if tool is None or tool.name in names or state.doubted_by(event) is None:
            continue
        names.append(tool.name)
        out.append(Msg("{name} failed its check: what it measured counts no more.", name=tool.name))
    return out


def _returned_at(review: Json, step: Step) -> bool:
    """Return whether the office's last word returned the opening at this step."""
    body = review["body"]
    return bool(body["result"] == "returned" and body.get("step") == step.key)


def was_true(state: State, event: Json) -> bool:
    """Return whether a sign-off's digest and gate held over exactly what its signer had seen.

    As the office judged it; before that, as today's rules have it.
    """
    given = judgement_of(state.ledger, event["id"])
    review = accepted_with(state.ledger, event)
    if given is not None and review is not None and not given["body"].get("reason"):
        # accepted before all of its past was here: that was judged first
        given = given if ev.has_seen(review, given) else None
    if given is not None:
        return bool(given["body"]["result"] == TRUE)
    return review is not None or is_true_today(state, event)


def is_true_today(state: State, event: Json) -> bool:
    """Return what today's rules say of a sign-off.

    It depends on the event's own past alone, so it is worked out once, and kept for other
    states too (state.truths) as soon as all of that past is here. Earlier sign-offs come
    first, so that the state of one past never has to ask for another's.
    """
    for sign in state.ledger.kinds.get("step.signed", []):
        id = sign["id"]
        if id not in state.truths and id not in state.unsure:
            kept = state.truths if past_is_here(state, sign) else state.unsure
            kept[id] = _true_when_signed(state, sign)
    id = event["id"]
    if id in state.truths:
        return state.truths[id]
    state.memory.note(ANY)  # until all of its past is here, whatever comes may change it
    return state.unsure[id]


def past_is_here(state: State, sign: Json, devices: str = "") -> bool:
    """Return whether every event that the signer had seen has arrived.

    devices: how the ids of those devices begin that are asked for; "" for all.
    """
    counted: dict[str, int] = {}
    for other in state.ledger.events:
        if ev.has_seen(sign, other):
            counted[other["device"]] = counted.get(other["device"], 0) + 1
    seen = sign["seen"]
    asked = [device for device in seen if device.startswith(devices)]
    return all([counted.get(device, 0) == seen[device] for device in asked])


def _past_state(state: State, seen: "list[Json]") -> State:
    """Return the state of what a signer had seen, causes first.

    Carried forward from the past of the sign-off before where that one is the beginning of this,
    as it is while nobody works offline beside another: one fold for all sign-offs.
    """
    before = state.past
    state.past = None
    if state.unsure or not _begins_with(before, seen):
        return State(seen, state.procedures, state.truths, state.unsure)
    state.past = carried_forward(before, seen, state.procedures, state.truths)
    return state.past


def _begins_with(before: "State | None", seen: "list[Json]") -> bool:
    """Return whether a state is of the first of these events."""
    if before is None:
        return True
    done = before.ledger.events
    return len(done) <= len(seen) and all(
        [done[at]["id"] == seen[at]["id"] for at in range(len(done))]
    )


def _true_when_signed(state: State, sign: Json) -> bool:
    seen = [other for other in state.ledger.events if ev.has_seen(sign, other)]
    try:
        past = _past_state(state, seen)
        step = past.step(sign["body"]["step"])
    except AppError:  # a past without an issue, or of another door: it was signed over nothing
        return False
    return is_sound(past, step, sign)


def is_sound(past: State, step: Step, sign: Json) -> bool:
    """Return whether a sign-off is true over a past; by the same rules its verdicts must be ours.

    By other rules it may have come to other verdicts: ours count, and its own are only noted.
    """
    body = sign["body"]
    same = body["rules"] != rules.RULES or body["verdicts"] == verdicts_of(past, step)
    return same and cover_of(past, step)["digest"] == body["digest"] and not bars_of(past, step)
