"""/field/o/ID/step/KEY: a step's tasks, readings, checks, what bars it, and its sign-off.

Short, on two screens of a phone (step_short.py); with `?show=all` everything.
"""

from app.core.errors import InputError, MissingError, RefusedError
from app.core.kinds import Any, Json
from app.core.pages import (
    at_once,
    cautions,
    clocks,
    closer,
    common,
    outlook,
    owner,
    person,
    photo,
    planned,
    results,
    sheet,
    step_short,
    voice,
    working,
)
from app.core.pages.entering import measured_at
from app.core.pages.request import Page, Request, event_draft
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.course import things_left, timed_tasks
from app.core.record.standing import clocks_running, next_step, step_state
from app.core.record.state import State, Step
from app.core.where.places import FRAME_PARTS, LOCK, SHORT

STATEMENT = Msg("Seen, measured, complete.")


FEW_BARS = 3  # as many are listed; more are in the lists above already, and are folded up


def step_of_path(request: Request) -> "tuple[str, State, Step]":
    """Return the opening's id, its state and the step of the path."""
    id = request.parts[1]
    state = request.state(id)
    key = request.parts[3] if len(request.parts) > 3 else ""
    return id, state, state.step(key.replace("-", ":"))


def get(request: Request) -> Page:
    """Return a step's page."""
    id, state, step = step_of_path(request)
    opening = request.opening(id)
    following = next_step(state)
    title = step.id + " " + request.say(Msg(step.data["title"]))
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    panel_title = request.say(Msg("Panel {letter}", letter=step.panel)) if step.panel else ""
    row = common.step_row(request, id, state, step, following.key if following else "")
    row["title"] = request.say(Msg(step.data["title"]))
    barred = gate.bars_of(state, step)
    context = {
        "page": common.page_frame(request, (title + " " + panel_title).strip(), opening, back),
        "step": row,
        "clocks": clocks.clock_lines(request, clocks_running(state)),
        "go_on": _go_on(request, id, state, step),
        "panel_title": panel_title,
        "panels": _panels(request, id, state, step),
        "caution": cautions.cautions_line(request, id, state, step),
        "notes": [_moved_note(request, event) for event in state.adjustments(step.key)]
        + [common.remark_of(words) for words in _doubted_tools(request, state, step)],
        "decisions": [decision_shown(request, state, step, d) for d in step.data["decisions"]],
        "all": at_once.act_shown(
            request, state, "tasks.ticked", at_once.unsaid_tasks(state, step), step.key
        ),
        "tasks": [
            _task_shown(request, state, step, task)
            for task in state.tasks(step)
            if task["kind"] != "photo"
        ],
        "bars": [bar_shown(id, request, state, bar, step) for bar in barred],
        "signoff": signoff_form(request, state, step, barred),
        "signed": _signed_shown(request, state, step),
        "owner": owner.owner_section(request, state, step),
        "photos": photo.photo_section(request, state, step),
        "shop": common.path_of(id, "shop") if opening.get("shop") else "",
    }
    if request.query.get("show") == "all":
        context.update(_all_of(request, id, state, step))
        named = Msg("{step}, everything", step=(title + " " + panel_title).strip())
        context["page"] = common.page_frame(request, request.say(named), opening, back)
        return Page("field/step.html", context)
    context["points"] = [
        _point_shown(request, id, state, step, point)
        for point in judge.asked_points(state, step)
        if gate.places_unmeasured(state, point["id"], step.panel)
    ]
    context["outlook"] = outlook.outlook_answer(request, state, outlook.stage_of(state, step))
    context["whole"] = request.path + "?show=all"
    context["brief"] = step_short.short_part(request, id, state, step, context)
    return Page("field/step_short.html", context)


def _all_of(request: Request, id: str, state: State, step: Step) -> Json:
    """Return what the page that has everything shows beyond the short one."""
    found = results.all_shown(request, id, state, step, judge.results_of(state, step))
    checks, waiting = results.begun_and_waiting(found)
    points = [
        _point_shown(request, id, state, step, point)
        for point in step_short.asked_here(state, step)
    ]
    return {
        "about": request.say(Msg(step.data["about"])) if step.data.get("about") else "",
        "points": points,
        "out_text": _out_text(request, checks),
        "done_text": _done_text(request, points, checks),
        "checks": checks,
        "waiting": waiting,
        "stood_for": [
            {
                "title": request.say(Msg(check["title"])),
                "see": common.page_link(
                    "#check-" + finer.check["id"],
                    request.say(Msg("see: {point}", point=_read_for(state, finer))),
                ),
            }
            for check, finer in judge.stood_for(state, step)
        ],
        "outlook": outlook.outlook_section(request, state, outlook.stage_of(state, step)),
        "adjustments": [
            _adjustment_form(request, state, step, move) for move in step.data["adjustments"]
        ],
        "many_bars": len(gate.bars_of(state, step)) > FEW_BARS,
        "short": request.path,
    }


def _read_for(state: State, result: judge.Result) -> Msg:
    """Return what is read for a check: a finer one is often called as its rough one."""
    return Msg(state.point(judge.needed_points(result.check)[0])["title"])


def _out_text(request: Request, checks: "list[Json]") -> str:
    """Return how many checks need a hand; "" where none does. Those within are told in one line."""
    open_ones = len([check for check in checks if check["badge"]["kind"] != "within"])
    return request.say(Msg("To be put right: {count}", count=open_ones)) if open_ones else ""


def _done_text(request: Request, points: "list[Json]", checks: "list[Json]") -> str:
    """Return the one line for all that is done and within; "" where nothing is."""
    done = len([point for point in points if not point["open"]])
    within = len([check for check in checks if check["badge"]["kind"] == "within"])
    if not done and not within:
        return ""
    words = Msg("Done: {done}. Checks within: {within}.", done=done, within=within)
    return request.say(words)


def _go_on(request: Request, id: str, state: State, step: Step) -> "Json | None":
    """Return the way to the card of what comes next in the step; None where nothing is left."""
    left = len(things_left(state, step))
    if not left:
        return None
    words = Msg("Go on: {count} left", count=left)
    return common.page_link(common.card_path(id, step), request.say(words))


def _moved_note(request: Request, event: Json) -> Json:
    text = Msg("{what}: {who}", what=event["body"]["words"], who=common.who_when(request, event))
    return common.remark_of(request.say(text))


def _doubted_tools(request: Request, state: State, step: Step) -> "list[str]":
    """Return which instruments failed a check under readings of the step."""
    return working.doubt_words(request, state, [p["id"] for p in step.data["points"]], step.panel)


def _panels(request: Request, id: str, state: State, step: Step) -> "list[Json]":
    out = []
    for other in state.steps:
        if other.id == step.id and other.panel:
            kind = step_state(state, other)
            out.append(
                {
                    "href": common.step_path(id, other),
                    "letter": other.panel,
                    "state": kind,
                    "state_text": request.say(common.STEP_WORDS[kind]),
                    "here": other.key == step.key,
                }
            )
    return out


def decision_shown(request: Request, state: State, step: Step, decision: Json) -> Json:
    made = state.decided(step.key, decision["id"])
    form = request.make_form(
        "decide-" + decision["id"],
        "decide",
        state,
        ("choice", "name", "words"),
        decision=decision["id"],
    )
    chosen = form["typed"]["choice"] or (made["body"]["choice"] if made is not None else "")
    return {
        "id": decision["id"],
        "form": form,
        "text": request.say(Msg(decision["text"])),
        "choices": [
            common.form_choice(c["id"], request.say(Msg(c["text"])), c["id"] == chosen)
            for c in gate.choices_of(state, step, decision)
        ],
        "name": bool(decision.get("name")),
        "words": bool(decision.get("words")),
        "made": decision_words(request, decision, made),
        "made_words": made["body"].get("words", "") if made is not None else "",
        "sheet": sheet.link_to(request, step, decision),
    }


def decision_words(request: Request, decision: Json, made: "Json | None") -> str:
    """Return who decided what and when; "" before."""
    if made is None:
        return ""
    return decided_words(request, sheet.choice_words(decision, made["body"]["choice"]), made)


def decided_words(request: Request, chosen: Any, made: Json) -> str:
    """Return who decided what and when. chosen: the choice in words."""
    words = Msg("{choice}: {who}")
    name = made["body"].get("name", "")
    if name:
        words = Msg("{choice}: said by {name}, written down by {who}")
    who = common.who_when(request, made)
    return request.say(Msg(words.template, choice=chosen, name=name, who=who))


def _task_shown(request: Request, state: State, step: Step, task: Json) -> Json:
    event = state.task_done(step.key, task)
    form = request.make_form(
        "task-" + task["id"], "tick", state, (), task=task["id"], done="no" if event else "yes"
    )
    earlier = None
    if event is None and task["id"] in timed_tasks(state):
        earlier = request.make_form(
            "earlier-" + task["id"], "tick-earlier", state, ("at",), task=task["id"], done="yes"
        )
    return {
        "id": task["id"],
        "earlier": earlier,
        "form": form,
        "text": request.say(Msg(task["text"])),
        "done": event is not None,
        "by": common.done_by(request, event, event["body"].get("done_at", "")) if event else "",
    }


def _point_shown(request: Request, id: str, state: State, step: Step, point: Json) -> Json:
    kept = state.panel_for(point["id"], step.panel)
    where = state.places(point["id"], kept)
    left = gate.places_unmeasured(state, point["id"], step.panel)
    verdicts = [r for r in judge.results_of(state, step) if judge.is_about(r.check, point["id"])]
    worst = worst_of([r.verdict for r in verdicts])
    bad = [r for r in verdicts if r.verdict == worst and worst in ("out", "close", "conflict")]
    return {
        "id": point["id"],
        "href": common.point_path(id, point["id"], kept),
        "title": request.say(Msg(point["title"])),
        "tool": request.say(Msg(point["tool"])),
        "progress": request.say(
            Msg("{done} of {total}", done=len(where) - len(left), total=len(where))
        ),
        "done": not left,
        "open": bool(left) or bool(bad),
        "badge": common.verdict_badge(request, "missing" if left and not bad else worst),
        "worst": request.say(Msg(bad[0].check["title"])) if bad else "",
        "info": bool(point.get("info")),
        "opened": opened_words(request, state, point["id"], kept),
        "stale": any([_is_spoiled(state, point["id"], kept, place.id) for place in left]),
    }


def opened_words(request: Request, state: State, point: str, panel: str) -> str:
    """Return why a finer point is asked here; "" for one that is asked anyway."""
    result = judge.opened_by(state, point, panel) if state.depth == SHORT else None
    if result is None:
        return ""
    words = OPENED.get(result.verdict, Msg("because {check} was out or too close to call"))
    return request.say(Msg(words.template, check=Msg(result.check["title"])))


OPENED = {
    "out": Msg("because {check} is out"),
    "close": Msg("because {check} is too close to call"),
}


def _is_spoiled(state: State, point: str, panel: str, place: str) -> bool:
    from app.core.record.ledger import reading_slot

    return bool(state.ledger.live(reading_slot(point, panel, place)))


def worst_of(verdicts: "list[str]") -> str:
    """Return the worst of several verdicts; "none" where there is none."""
    for kind in ("out", "conflict", "close", "missing", "unreachable", "within"):
        if kind in verdicts:
            return kind
    return "none"


def _adjustment_form(request: Request, state: State, step: Step, move: Json) -> Json:
    name = "move-" + move["id"]
    form = request.make_form(name, "adjust", state, ("at",), adjustment=move["id"])
    at = form["typed"]["at"]
    asked = _wheres_asked(state, step, move)
    return {
        "id": move["id"],
        "form": form,
        "asks": bool(asked),
        "panels": [common.form_choice(v, request.say(words), v == at) for v, words in asked],
        "text": request.say(Msg(move["text"])),
        "stale": [request.say(title) for title in state.stale_titles(move)],
    }


def _wheres_asked(state: State, step: Step, move: Json) -> "list[tuple[str, Msg]]":
    """Return where something may have been moved, all of it first; [] where that is not asked."""
    if move.get("asks") == "frame":
        return [("", Msg("the whole frame"))] + [(part, PART_WORDS[part]) for part in FRAME_PARTS]
    if move.get("asks") == "jamb":
        return [("", Msg("both jambs"))] + [(part, PART_WORDS[part]) for part in FRAME_PARTS[:2]]
    if move.get("asks") == "lock":
        return _locks_asked(state, step, move)
    if move.get("asks") != "panel" or step.panel:
        return []
    letters = [panel.letter for panel in state.drawing.panels]
    return [("", Msg("every panel"))] + [
        (letter, Msg("panel {letter}", letter=letter)) for letter in letters
    ]


def _locks_asked(state: State, step: Step, move: Json) -> "list[tuple[str, Msg]]":
    """Return each lock, or each locking point read apart; [] where there is but one."""
    out: list[tuple[str, Msg]] = []
    for kind in ("locks", "lock-points"):
        for point in step.data["points"]:
            if point["id"] in move["stale"] and point["where"]["kind"] == kind:
                places = state.places(point["id"], step.panel)
                out = [(LOCK + place.id, place.title) for place in places]
    return [("", Msg("every lock"))] + out if len(out) > 1 else []


PART_WORDS = {
    "left-jamb": Msg("LEFT jamb, you outside"),
    "right-jamb": Msg("RIGHT jamb, you outside"),
    "head": Msg("the head"),
}


def moved_words(state: State, step: Step, move: Json, at: str) -> Msg:
    """Return what was moved, and where if that was said."""
    words = Msg(move["text"])
    for value, where in _wheres_asked(state, step, move):
        if at and value == at:
            return Msg("{what}: {where}", what=words, where=where)
    return words


def bar_shown(id: str, request: Request, state: State, bar: gate.Bar, step: Step) -> Json:
    href = ""
    if bar.point:
        href = common.point_path(id, bar.point, state.panel_for(bar.point, step.panel))
    elif bar.code.startswith("part"):
        href = common.path_of(id, "parts")
    elif bar.code.startswith("query"):
        href = common.path_of(id, "queries")
    elif bar.code == "photo-open":
        href = common.step_path(id, step) + "#photos-title"
    elif bar.code == "hold-before":
        href = common.step_path(id, state.step(bar.step))
    return common.page_link(href, request.say(bar.message))


def signoff_form(
    request: Request,
    state: State,
    step: Step,
    barred: "list[gate.Bar]",
    together: "list[Step] | None" = None,
) -> "Json | None":
    """Return the form that signs a step off; None while something bars it or it is signed.

    together: the panels of the step that it signs, in order, where they are several.
    """
    sign = gate.sign_of(state, step)
    if barred or (sign is not None and sign.good):
        return None
    steps = together or [step]
    digest = _digests_of(state, steps)
    keys = " ".join([one.key for one in steps])
    return {
        "form": request.make_form("sign", "sign", state, ("confirm",), digest=digest, steps=keys),
        "statement": request.say(STATEMENT),
        "name": request.person["name"],
        "shared": person.is_shared(request),
        "pin": person.has_pin(request, request.person["id"]),
    }


def _signed_shown(request: Request, state: State, step: Step) -> "Json | None":
    sign = gate.sign_of(state, step)
    if sign is None:
        return None
    text = Msg("Signed by {who}", who=common.who_when(request, sign.event))
    if sign.event["body"].get("confirmed") == "pin":
        text = Msg("{signed}, {how}", signed=text, how=common.BY_PIN)
    within = len([v for v in sign.event["body"]["verdicts"] if v["verdict"] == "within"])
    total = len(sign.event["body"]["verdicts"])
    return {
        "text": request.say(text),
        "good": sign.good,
        "why": [request.say(words) for words in common.why_not(sign)],
        "verdicts": request.say(
            Msg("{within} of {total} checks within as signed", within=within, total=total)
        ),
    }


def post_tick(request: Request) -> Page:
    """Tick a task, or take the tick back; one that was done earlier says when."""
    id, state, step = step_of_path(request)
    task = request.typed("task")
    kinds = {t["id"]: t["kind"] for t in state.tasks(step)}
    if task not in kinds:
        raise MissingError("task-unknown", Msg("There is no such task."))
    if kinds[task] == "photo":
        raise RefusedError("photo-needed", Msg("Take the photo, or say why there is none."))
    body = {"step": step.key, "task": task, "done": request.typed("done") == "yes"}
    if request.typed("act") == "tick-earlier":
        body["done_at"] = measured_at(request)
    return Page(location=request.address, drafts=[event_draft(request, id, "task.ticked", body)])


def post_all(request: Request) -> Page:
    """Tick all tasks that nobody touched, but for photos and tasks of rank never."""
    id, state, step = step_of_path(request)
    body = {"step": step.key, "tasks": at_once.unsaid_tasks(state, step), "done": True}
    return at_once.keep_all(request, id, state, "tasks.ticked", body)


def post_undo_all(request: Request) -> Page:
    """Take the ticks of one tap back."""
    id, state, _step = step_of_path(request)
    return at_once.undo_all(request, id, state, "tasks.ticked")


def post_decide(request: Request) -> Page:
    """Keep a decision: who said so is asked where the procedure asks it."""
    id, state, step = step_of_path(request)
    for decision in step.data["decisions"]:
        if decision["id"] == request.typed("decision"):
            body = _decided_shown(request, state, step, decision)
            return Page(
                location=request.address, drafts=[event_draft(request, id, "decision.made", body)]
            )
    raise MissingError("decision-unknown", Msg("There is no such decision."))


def _decided_shown(request: Request, state: State, step: Step, decision: Json) -> Json:
    chosen = request.typed("choice")
    if chosen not in [c["id"] for c in decision["choices"]]:
        raise InputError("choice-missing", Msg("Choose one."))
    sheet.must_be_true(state, step, decision, chosen)
    body: Json = {"step": step.key, "decision": decision["id"], "choice": chosen}
    if decision.get("name") and not (
        _answers_itself(decision, chosen) and not request.typed("name")
    ):
        body["name"] = request.required("name", Msg("Write the name of the person who said so."))
    if request.typed("words"):
        body["words"] = request.typed("words")
    return body


def _answers_itself(decision: Json, chosen: str) -> bool:
    """Return whether the readings decided: all is within, and nobody else had to say so."""
    return any([c["id"] == chosen and bool(c.get("within")) for c in decision["choices"]])


def post_correct(request: Request) -> Page:
    """Keep what was done about a check; its readings must then be taken again."""
    id, _state, step = step_of_path(request)
    check = request.typed("check")
    if check not in [c["id"] for c in step.data["checks"]]:
        raise MissingError("check-unknown", Msg("There is no such check."))
    words = request.required("words", Msg("Say what was done, and where."))
    body = {"step": step.key, "check": check, "panel": step.panel, "words": words}
    return Page(
        location=request.address, drafts=[event_draft(request, id, "correction.made", body)]
    )


def post_as_planned(request: Request) -> Page:
    """Keep that a check's remedy was carried out as planned."""
    id, state, step = step_of_path(request)
    return planned.keep_planned(request, id, state, step)


def post_adjust(request: Request) -> Page:
    """Keep that something was moved; the readings that it spoils must be taken again."""
    id, state, step = step_of_path(request)
    move = state.adjustment(request.typed("adjustment"))
    if move is None:
        raise MissingError("adjustment-unknown", Msg("There is no such adjustment."))
    at = request.typed("at")
    if at not in [""] + [value for value, _ in _wheres_asked(state, step, move)]:
        raise InputError("choice-missing", Msg("Choose one."))
    words = moved_words(state, step, move, at)
    body = {
        "step": step.key,
        "adjustment": move["id"],
        "panel": at or step.panel,
        "words": request.say(words),
    }
    return Page(
        location=request.address, drafts=[event_draft(request, id, "adjustment.made", body)]
    )


def post_photo(request: Request) -> Page:
    """Keep that a photo was taken for a task of this step."""
    id, _state, step = step_of_path(request)
    return photo.keep_photo(request, id, step)


def post_no_photo(request: Request) -> Page:
    """Keep why there is no photo for a task of this step."""
    id, _state, step = step_of_path(request)
    return photo.keep_none(request, id, step)


def _digests_of(state: State, steps: "list[Step]") -> str:
    return " ".join([gate.cover_of(state, step)["digest"] for step in steps])


def post_sign(request: Request) -> Page:
    """Sign a step off, if its gate is open and nothing changed since the page was shown.

    Where the form names several panels of the step, each gets a sign-off of its own.
    """
    id, state, step = step_of_path(request)
    keys = request.typed("steps").split(" ")
    steps = [
        one for one in state.steps if one.key == step.key or (one.id == step.id and one.key in keys)
    ]
    if state.ledger.by_id.get(request.form.get("id", "")) is None:
        _may_sign(request, id, state, steps)
    drafts = [_sign_draft(request, id, state, one) for one in steps[:1]]
    for at, one in enumerate(steps[1:]):
        draft = _sign_draft(request, id, state, one, "sign-" + one.key)
        # a hold point opens the way to the next panel: its sign-off, just made here, is seen
        draft["seen"][request.device] = state.heads.get(request.device, 0) + 1 + at
        drafts.append(draft)
    return Page(location=common.path_of(id), drafts=drafts)


def _sign_draft(request: Request, id: str, state: State, step: Step, name: str = "") -> Json:
    body = gate.sign_off_body(state, step)
    if person.is_shared(request):
        body["confirmed"] = "pin"
    return event_draft(request, id, "step.signed", body, name)


def _may_sign(request: Request, id: str, state: State, steps: "list[Step]") -> None:
    for at, step in enumerate(steps):
        barred = gate.bars_of(state, step, [one.key for one in steps[:at]])
        if barred:
            raise RefusedError(
                "gate-shut",
                Msg("{id} {title} cannot be signed yet.", id=step.id, title=step.title),
                reasons=[bar_shown(id, request, state, bar, step) for bar in barred],
            )
    if request.typed("confirm") != "yes":
        raise InputError("confirm-missing", Msg("Tick the statement first, then sign."))
    if person.is_shared(request):
        person.must_be_right(request, request.person["id"])
    if request.typed("digest") != _digests_of(state, steps):
        raise RefusedError(
            "changed-since",
            Msg("Something changed since this page was shown. Look at the step again, then sign."),
        )


POSTS = {
    "settle": closer.keep_closer,
    "tick": post_tick,
    "tick-earlier": post_tick,
    "all": post_all,
    "undo-all": post_undo_all,
    "decide": post_decide,
    "correct": post_correct,
    "as-planned": post_as_planned,
    "adjust": post_adjust,
    "sign": post_sign,
    "photo": post_photo,
    "no-photo": post_no_photo,
    "voice": voice.check_code,
}
