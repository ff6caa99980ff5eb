"""Cards that are answered by a tap: parts, tasks, a clock, what is out, the sign-off."""

from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.pages import at_once, clocks, common, outlook, owner, planned, results
from app.core.pages import step as step_page
from app.core.pages.request import VISIT, Page, Request
from app.core.pages.step import bar_shown, moved_words, signoff_form, step_of_path
from app.core.quantity.messages import Msg
from app.core.quantity.moments import moment_of
from app.core.record import gate, judge
from app.core.record.concerned import adjustments_of
from app.core.record.course import Thing, tasks_together, things_left, things_ready
from app.core.record.door_as_read import HUNG
from app.core.record.standing import clocks_running, next_step
from app.core.record.state import State, Step
from app.core.trade.verdicts import CLOSE, MISSING, OUT

DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"]  # keys of a PIN
MOST_BARS = 4
MOST_MOVES = 3  # adjustments that a card offers; the step's page has them all


# ---- parts and tasks


def parts_card(request: Request, id: str, state: State) -> Json:
    """Return the parts list as a card: one tap says that all is here that nobody spoke of."""
    unsaid = at_once.unsaid_parts(state)
    form = request.make_form("parts", "all-parts", state, ())
    form["text"] = request.say(at_once.all_words("parts.stated", len(unsaid)))
    return {
        "form": form,
        "parts": [
            {"mark": part["mark"], "count": str(part["count"]), "what": part["what"]}
            for part, stated in state.parts()
            if stated is None
        ],
        "by_line": common.path_of(id, "parts"),
    }


def post_all_parts(request: Request) -> Page:
    """Keep that all parts are here of which nobody said anything; then the next card."""
    id, state, _step = step_of_path(request)
    body = {"marks": at_once.unsaid_parts(state), "state": "here"}
    page = at_once.keep_all(request, id, state, "parts.stated", body)
    page.location = request.path + "?after=" + Thing("parts", "").key
    return page


def tasks_card(request: Request, state: State, step: Step, after: str) -> Json:
    """Return the tasks that go together: one tap for all of them, or each by itself."""
    together = tasks_together(state, step, after)
    open_ones = [
        task
        for task in state.tasks(step)
        if task["id"] in together and state.task_done(step.key, task) is None
    ]
    form = request.make_form("tasks", "all-tasks", state, (), after=after)
    form["text"] = request.say(at_once.all_words("tasks.ticked", len(open_ones)))
    return {
        "form": form,
        "tasks": [
            {
                "text": request.say(Msg(task["text"])),
                "form": request.make_form(
                    "task-" + task["id"], "tick", state, (), task=task["id"], done="yes"
                ),
            }
            for task in open_ones
        ],
    }


def post_all_tasks(request: Request) -> Page:
    """Tick all tasks that go together and are open; then the next card."""
    id, state, step = step_of_path(request)
    after = request.typed("after")
    together = tasks_together(state, step, after)
    open_ones = [
        task["id"]
        for task in state.tasks(step)
        if task["id"] in together and state.task_done(step.key, task) is None
    ]
    body = {"step": step.key, "tasks": open_ones, "done": True}
    page = at_once.keep_all(request, id, state, "tasks.ticked", body)
    page.location = request.path + "?after=" + Thing("tasks", after, step.panel).key
    return page


# ---- clocks


def clock_ahead(state: State, now: str, thing: Thing) -> "Json | None":
    """Return the clock that must run out before a thing is done; None where none runs now."""
    if state.visit is not None:
        return None
    for running in clocks_running(state):
        check = state.check(running["id"])
        end = check["clock"]["end"] if check is not None else {}
        ends_here = end.get("task") == thing.id or (
            end.get("point") == thing.id
            and thing.place is not None
            and end.get("place") == thing.place.id
        )
        over = (moment_of(now) or 0) >= (moment_of(running["until"]) or 0)
        if ends_here and running["sort"] == "least" and not over:
            return running
    return None


def clock_card(request: Request, state: State, running: Json, thing: Thing) -> Json:
    """Return the card of a clock that is waited for; it goes on by itself when it is over."""
    named = "task=" + thing.id
    if thing.place is not None:
        named = "point=" + thing.id + "&place=" + thing.place.id
    return {
        "kind": "clock",
        "clock": clocks.clock_lines(request, [running])[0],
        "clocks": clocks.clock_lines(
            request, [one for one in clocks_running(state) if one["id"] != running["id"]]
        ),
        "now": request.path + "?" + named,
        "now_text": request.say(Msg("Read early") if thing.place else Msg("Tick early")),
        "again": request.path,
    }


# ---- what is out


def has_plan(check: Json) -> bool:
    """Return whether a check is put right by a plan of a whole line, or of the whole door."""
    spec = spec_of(check["calc"])
    return spec.touched is not None or spec.whole_door


def ripe_plan(
    request: Request, id: str, state: State, step: Step, kept: "Json | None"
) -> "Json | None":
    """Return the plan that a reading has completed, as a card: it is out, and all of it is read."""
    if kept is None or kept["kind"] != "reading.taken":
        return None
    for result in judge.results_of(state, step):
        points = [result.check["points"][input] for input in result.check["points"]]
        if result.verdict != OUT or result.settled or kept["body"]["point"] not in points:
            continue
        if has_plan(result.check) and not _unread(state, step, points):
            form = planned.planned_form(request, state, step, result)
            if form is not None:
                return _out_shown(request, id, state, step, result, form)
    return None


def _unread(state: State, step: Step, points: "list[str]") -> bool:
    """Return whether any of these points is asked in this step and not read everywhere."""
    here = [point["id"] for point in judge.asked_points(state, step)]
    return any([p in here and gate.places_unmeasured(state, p, step.panel) for p in points])


def out_of_step(request: Request, id: str, state: State, step: Step) -> "Json | None":
    """Return the first check that needs a hand once all is read: what to do, and one tap for it.

    Those with a plan come first: their work may put the others right.
    """
    bad = [r for r in judge.results_of(state, step) if _needs_hand(state, step, r)]
    forms = [planned.planned_form(request, state, step, result) for result in bad]
    ranked = [p for p in zip(bad, forms) if p[1] is not None] + [
        p for p in zip(bad, forms) if p[1] is None
    ]
    return _out_shown(request, id, state, step, *ranked[0]) if ranked else None


def _needs_hand(state: State, step: Step, result: judge.Result) -> bool:
    """Return whether a check is out or too close to call, or its readings contradict each other."""
    if result.settled or result.clock is not None or result.verdict != MISSING:
        return result.verdict in (OUT, CLOSE) and not result.settled
    points = [result.check["points"][input] for input in result.check["points"]]
    return bool(result.outcome.remedies) and not _unread(state, step, points)


def _out_shown(
    request: Request,
    id: str,
    state: State,
    step: Step,
    result: judge.Result,
    form: "Json | None",
) -> Json:
    outcome = result.outcome
    whole_door = spec_of(result.check["calc"]).whole_door
    seen = outlook.outlook_section(request, state, HUNG, on_card=True) if whole_door else None
    return {
        "title": request.say(Msg(result.check["title"])),
        "badge": common.verdict_badge(request, result.verdict),
        "says": [request.say(words) for words in outcome.says[: None if whole_door else 1]],
        "remedies": [request.say(words) for words in outcome.remedies],
        "limit": results.limit_text(request, result),
        "basis": results.basis_text(request, state, result),
        "picture": seen["picture"] if seen is not None else None,
        "planned": form,
        "undo": None,
        "moves": [] if form is not None else moves_of(request, state, step, result.check),
        "check": common.step_path(id, step) + "?show=all#check-" + result.check["id"],
        "ask_office": asking_path(id, step, result.check),
    }


def asking_path(id: str, step: Step, check: Json, reading: str = "") -> str:
    """Return the path where the office is asked about a check that is out; "" at a visit.

    reading: id of the entry that is out, where one is.
    """
    if VISIT in id:
        return ""
    named: str = "?step=" + step.key.replace(":", "-") + "&check=" + check["id"]
    return common.path_of(id, "queries") + named + ("&reading=" + reading if reading else "")


def moves_of(request: Request, state: State, step: Step, check: Json) -> "list[Json]":
    """Return a form for each adjustment that puts a check right, up to three."""
    out = []
    for move in adjustments_of(step, check)[:MOST_MOVES]:
        jamb = check["settings"].get("jamb", "") if move.get("asks") in ("frame", "jamb") else ""
        at = jamb + "-jamb" if jamb in ("left", "right") else ""  # the check knows which
        form = request.make_form(
            "move-" + move["id"], "adjust", state, (), adjustment=move["id"], at=at
        )
        words = Msg(move["text"]) if at else moved_words(state, step, move, at)
        out.append({"text": request.say(words), "form": form})
    return out


def post_planned(request: Request) -> Page:
    """Keep that a remedy was carried out as planned; then the first thing to be measured again."""
    id, state, step = step_of_path(request)
    page = planned.keep_planned(request, id, state, step)
    page.location = request.path
    return page


def post_adjust(request: Request) -> Page:
    """Keep what was moved to put a check right; then the first thing to be measured again."""
    page = step_page.post_adjust(request)
    page.location = request.path
    return page


# ---- the end of a step


def end_card(request: Request, id: str, state: State, step: Step) -> Json:
    """Return the card when nothing is left: what is out, what else bars, or the sign-off."""
    sign = gate.sign_of(state, step)
    signed = sign is not None and sign.good
    out = None if signed else out_of_step(request, id, state, step)
    bars = gate.bars_of(state, step)
    before = [state.step(bar.step) for bar in bars if bar.code == "hold-before"]
    following = next_step(state)
    onward = before[0] if before else (following if signed else None)
    kind = "out" if out is not None else ("sign" if not bars and not signed else "end")
    together = gate.signed_together(state, step) if kind == "sign" else [step]
    reopened = _reopened_panel(state, step) if kind == "sign" else None
    return {
        "kind": kind,
        "out": out,
        "read_first": common.card_path(id, reopened) if reopened is not None else "",
        "bars": [bar_shown(id, request, state, bar, step) for bar in bars[:MOST_BARS]],
        "signed": signed,
        "only_before": bars != [] and len(before) == len(bars),
        "signoff": None if bars else signoff_form(request, state, step, [], together),
        "sign_title": step.id + " " + request.say(_title_of(together)),
        "digits": DIGITS,
        "first_sign": not _has_signed(request, state),
        "sums": _sums(request, state, together),
        "owner": owner.path_of(id) if step.key == state.steps[-1].key else "",
        "here": common.step_path(id, step),
        "onward": common.card_path(id, onward) if onward is not None else "",
        "onward_text": onward.id + " " + request.say(onward.title) if onward is not None else "",
        "opening": common.path_of(id),
        "ask_office": common.path_of(id, "queries") + "?step=" + step.key.replace(":", "-")
        if bars
        else "",
    }


def _has_signed(request: Request, state: State) -> bool:
    """Return whether this person signed a step of this opening before."""
    signs = state.ledger.of_kind("step.signed")
    return any([event["person"] == request.person["id"] for event in signs])


def _reopened_panel(state: State, step: Step) -> "Step | None":
    """Return another panel's step that was signed, was opened again and has something to do now.

    What a move spoiled at several panels is read at all of them; then one look signs them.
    """
    for other in state.steps:
        sign = gate.sign_of(state, other) if other.id == step.id else None
        if other.key == step.key or sign is None or sign.good:
            continue
        if things_ready(state, other, things_left(state, other)):
            return other
    return None


def _title_of(steps: "list[Step]") -> Msg:
    """Return the words of a step, with the letters of its panels that are signed together."""
    if len(steps) == 1:
        return steps[0].title
    letters = ", ".join([step.panel for step in steps])
    return Msg("{title}, panels {letters}", title=Msg(steps[0].data["title"]), letters=letters)


def end_of_visit(request: Request, id: str, state: State, step: Step) -> Json:
    """Return the card when a service visit has nothing left in a step: what is out, and onward."""
    out = out_of_step(request, id, state, step)
    onward = onward_of_visit(id, state)
    return {
        "kind": "out" if out is not None else "end",
        "out": out,
        "later": onward,
        "bars": [],
        "signed": False,
        "owner": "",
        "here": common.path_of(id),
        "onward": onward,
        "onward_text": request.say(Msg("service visit")),
        "opening": common.path_of(id),
        "ask_office": "",
    }


def onward_of_visit(id: str, state: State) -> str:
    """Return the path of what a visit measures next; its own page where nothing is left."""
    for step in state.steps:
        if things_left(state, step):
            return common.card_path(id, step)
    return common.path_of(id)


def _sums(request: Request, state: State, steps: "list[Step]") -> "list[str]":
    """Return why it is signed again, and what sign-offs cover.

    Readings and tasks are counted where not all of them are there: one out of reach, say.
    """
    done, total, ticked, tasks = 0, 0, 0, 0
    found = []
    for step in steps:
        counted = common.count_measured(state, step) + common.count_ticks(state, step)
        done, total = done + counted[0], total + counted[1]
        ticked, tasks = ticked + counted[2], tasks + counted[3]
        found.extend(judge.results_of(state, step))
    within = len([r for r in found if r.verdict == "within"])
    words = [
        Msg("{within}/{checks} within", within=within, checks=len(found))
        if (done, ticked) == (total, tasks)
        else Msg("Readings {done}/{total}, tasks {ticked}/{tasks}, checks within {within}/{checks}",
            done=done, total=total, ticked=ticked, tasks=tasks, within=within, checks=len(found))
    ]  # fmt: skip
    for result in found:
        if result.verdict == "within":
            continue
        shape = Msg("{check}: {verdict}")
        if result.conceded is not None:
            shape = Msg("{check}: {verdict}, conceded")
        title = Msg(result.check["title"])
        words.append(Msg(shape.template, check=title, verdict=common.VERDICT_WORDS[result.verdict]))
    foretold = _foretold(request, state, steps[0])
    return _why_again(request, state, steps) + [request.say(one) for one in words] + foretold


def _why_again(request: Request, state: State, steps: "list[Step]") -> "list[str]":
    """Return what the office did since these steps were signed, each thing once."""
    out: list[str] = []
    for step in steps:
        sign = gate.sign_of(state, step)
        changed = [] if sign is None else gate.changed_by_office(state, step, sign.event)
        said = [request.say(words) for words in changed]
        out.extend([words for words in said if words not in out])
    return out


MOST_PRESETS = 4  # of rollers and shims; the step's page has them all


def _foretold(request: Request, state: State, step: Step) -> "list[str]":
    """Return whether the door can be finished as it stands, and what to do first; [] once it hangs.

    Who works by the cards reads it here, before a panel is lifted: it bars nothing.
    """
    stage = outlook.stage_of(state, step)
    hung = [one for one in state.steps if outlook.stage_of(state, one) == HUNG]
    hangs = any([gate.sign_of(state, one) is not None for one in hung])
    told = stage not in ("", HUNG) and not hangs
    seen = outlook.outlook_section(request, state, stage) if told else None
    if seen is None or seen["waits"]:
        return []
    answer: list[str] = [seen["answer"]]
    return answer + list(seen["do"])[:MOST_PRESETS]
