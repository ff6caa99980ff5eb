"""/record/ID: the completion record, made from the events of an opening and nothing else."""

from app.core.kinds import Any, Json
from app.core.pages import common, history, parts, queries, results, voice
from app.core.pages.opening import taken_in_notes
from app.core.pages.request import Page, Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.record import gate, judge, roles
from app.core.record.canonical import digest
from app.core.record.standing import opening_state, step_state
from app.core.record.state import State, Step
from app.homeowner import built, care, facts, limits, written
from app.homeowner.pictures import setout_pictures
from app.homeowner.receipts import Receipts, of_step
from app.homeowner.tables import (
    signatures,
    step_decisions,
    step_photos,
    step_tables,
    step_tasks,
    struck,
)


def get(request: Request) -> Page:
    """Return the record as it would be issued now; before acceptance it says what is missing."""
    id = request.parts[0]
    state = request.state(id)
    context = contents(request, id)
    context["page"] = common.page_frame(
        request, request.say(Msg("Completion record")), request.opening(id)
    )
    _place_photos(request, context["steps"])
    context["number"] = number(state)
    opening = request.opening(id)
    context["running"] = f"{opening['letter']} · {opening['room']} · {opening['address']}"
    context["stamp"] = {
        "made": request.say(Msg("Made {when}", when=common.time_words(request, request.now))),
        "digest": digest(hashes(state)),
        "revision": "",
        "standing": "",
        "good": False,
        "code": "",
        "verify": "",
        "address": "",
        "key": "",
    }
    context["draft"] = _draft(request, state)
    context["downloads"] = []
    context["changes"] = []
    return Page("record/record.html", context)


def _place_photos(request: Request, steps: list[Json]) -> None:
    """Say where the photos are that have reached the office."""
    for step in steps:
        for shown in step["photos"]:
            here = shown["sha256"] not in request.absent
            shown["href"] = "/photos/" + shown["sha256"] if here else ""


def hashes(state: State) -> list[str]:
    """Return the hash of every entry that a record rests on, causes first."""
    return [digest(event) for event in state.ledger.events]


def contents(request: Request, id: str, received: dict[str, str] | None = None) -> Json:
    """Return all that a record says, in one person's words: a template's context, no forms.

    received: when the office received each entry, by its id.
    """
    opening = request.opening(id)
    state = request.state(id)
    taken = history.all_readings(state)
    receipts = Receipts(request, state, received or {})
    return {
        "door": request.say(common.door_words(state)),
        "picture_of": drawings.elevation_picture(state.drawing, request.speaker),
        "facts": facts.facts(request, opening, state, taken),
        "result": facts.result(request, state),
        "open": _open(request, state),
        "concessions": _concessions(request, state),
        "corrected": _corrected(request, state),
        "taken_in": taken_in_notes(request, state),
        "accepted": _accepted(request, state),
        "accepted_words": _accepted_words(state),
        "care": care.of_door(request, state, opening),
        "words": care.words(request),
        "pictures": setout_pictures(request, state),
        "built": built.table(request, state),
        "steps": [_step(request, id, state, step, taken, receipts) for step in state.steps],
        "parts": [_part(request, part, stated) for part, stated in state.parts()],
        "queries": [queries.query_shown(request, q, answer) for q, answer in state.queries()],
        "left": _as_left(request, state),
        "struck": struck(request, id, state, taken),
        "instruments": facts.instruments(request, state),
        "people": facts.people(request, state),
        "signatures": signatures(request, state, receipts.of),
        "claims": [request.say(text) for text in limits.LIMITS],
        "cautions": _cautions(request, state),
    }


def number(state: State) -> str:
    """Return the record's number: the drawing's, and the head of what was recorded.

    The same entries give the same number, on every copy.
    """
    head = digest(hashes(state))
    drawn = str(state.drawing.data.get("number", ""))
    return (drawn + "-" if drawn else "") + head[:8].upper()


def _draft(request: Request, state: State) -> str:
    if opening_state(state) == "done":
        return ""
    return request.say(
        Msg(
            "Not complete: {progress}; not accepted yet.",
            progress=common.progress_words(request, state),
        )
    )


def _open(request: Request, state: State) -> list[Json]:
    out = []
    for step in state.steps:
        sign = gate.sign_of(state, step)
        if sign is None:
            text = Msg("{step} {title}: not signed", step=step.id, title=step.title)
            out.append(common.remark_of(request.say(text)))
        for words in common.why_not(sign):
            text = Msg("{step} {title}: {why}", step=step.id, title=step.title, why=words)
            out.append(common.remark_of(request.say(text)))
        out.extend(_out_of_reach(request, state, step))
    out.extend(voice.provisional_notes(request, state))
    for query, answer in state.queries():
        if answer is None:
            out.append(
                common.remark_of(
                    request.say(Msg("Query without an answer")), query["body"]["words"]
                )
            )
    return out


def _out_of_reach(request: Request, state: State, step: Step) -> list[Json]:
    out = []
    for point in step.data["points"]:
        panel = state.panel_for(point["id"], step.panel)
        for place in state.places(point["id"], panel):
            for reading in state.readings(point["id"], panel, place.id):
                if not reading.reached:
                    text = Msg(
                        "{point}, {place}: could not be reached",
                        point=Msg(point["title"]),
                        place=place.title,
                    )
                    out.append(common.remark_of(request.say(text), reading.why))
    return out


def _concessions(request: Request, state: State) -> list[Json]:
    out = []
    for step in state.steps:
        for result in judge.results_of(state, step):
            if result.conceded is not None:
                body = result.conceded["body"]
                text = Msg(
                    "{step} {check}: left as it is, permitted by {who}",
                    step=step.key,
                    check=Msg(result.check["title"]),
                    who=common.who_when(request, result.conceded),
                )
                words = [body["reason"], body.get("until", ""), body.get("answer", "")]
                out.append(common.remark_of(request.say(text), "; ".join(w for w in words if w)))
    return out


def _corrected(request: Request, state: State) -> list[Json]:
    out = []
    for event in state.ledger.of_kind("correction.made"):
        check = state.check(event["body"]["check"])
        title = Msg(check["title"]) if check is not None else event["body"]["check"]
        text = Msg(
            "{step} {check}: put right by {who}",
            step=event["body"]["step"],
            check=title,
            who=common.who_when(request, event),
        )
        out.append(common.remark_of(request.say(text), event["body"]["words"]))
    return out


def _accepted(request: Request, state: State) -> str:
    review = state.review()
    if review is None or opening_state(state) != "done":
        return ""
    return request.say(Msg("Accepted by {who}", who=common.who_when(request, review)))


def _accepted_words(state: State) -> str:
    review = state.review()
    return str(review["body"]["words"]) if review is not None else ""


def _step(
    request: Request, id: str, state: State, step: Step, taken: list[Json], receipts: Receipts
) -> Json:
    sign = gate.sign_of(state, step)
    kind = step_state(state, step)
    checks = [_check(request, id, state, step, r) for r in judge.results_of(state, step)]
    return {
        "id": step.id,
        "anchor": step.key.replace(":", "-"),
        "title": request.say(step.title),
        "state_text": common.state_text(request, state, step, kind),
        "good": sign is not None and sign.good,
        "signed": _signed(request, sign.event, receipts) if sign is not None else [],
        "entered": receipts.span(of_step(state, step)),
        "tasks": step_tasks(request, state, step),
        "decisions": step_decisions(request, state, step) + written.left_out(request, state, step),
        "checks": checks,
        "tables": step_tables(request, id, state, step, taken, receipts.remark),
        "photos": step_photos(request, state, step),
    }


def _signed(request: Request, event: Json, receipts: Receipts) -> list[str]:
    """Return who signed and when, how that was made sure of, and when it came in."""
    who = Msg("Signed by {who}", who=common.who_when(request, event))
    parts = [request.say(who), request.say(_made_sure(event)), receipts.of(event)]
    return ["; ".join(part for part in parts if part)]


def _made_sure(event: Json) -> Msg:
    if event["body"].get("confirmed") == "pin":
        return common.BY_PIN
    if event["device"].startswith(("web-", "office-")):
        return Msg("signed in under their own password")
    return Msg("on a phone that was paired for them")


CHECK_FIELDS = ("title", "mark", "picture", "says", "limit", "basis", "reason", "done", "profile")


def _check(request: Request, id: str, state: State, step: Step, result: judge.Result) -> Json:
    """Return a check as the record shows it: what was found, nothing to fill in.

    What was only written down is not within anything; of what was out of reach no picture shows
    the rest as if it were all.
    """
    shown = results.check_words(request, id, state, step, result)
    if facts.only_noted(result):
        shown["mark"] = {"kind": "info", "word": request.say(Msg("noted"))}
    if result.verdict == "unreachable":
        shown["picture"] = None
    return {name: shown[name] for name in CHECK_FIELDS}


def _part(request: Request, part: Json, stated: Json | None) -> Json:
    words = parts.STATES[stated["body"]["state"]] if stated is not None else Msg("not looked at")
    return {
        "mark": part["mark"],
        "what": part["what"],
        "count": str(part["count"]),
        "state_text": request.say(words),
    }


def _as_left(request: Request, state: State) -> Json | None:
    """Return the readings that say how the door was left."""
    rows = [
        [
            *_what_where(request, Msg(state.point(point)["title"]), place.title),
            history.value_text(request, reading.event, state),
        ]
        for point, panel, place in roles.places_of_role(state, roles.AS_LEFT)
        for reading in state.readings(point, panel, place.id)
    ]
    if not rows:
        return None
    heads = [request.say(words) for words in (Msg("What"), Msg("Where"), Msg("As left"))]
    says = [request.say(text) for text in care.COMPARE]
    return {"says": says, "heads": heads, "rows": rows}


def _what_where(request: Request, what: Msg, where: Any) -> list[str]:
    """Return both in words; where there is but one place, it has the name of what is measured."""
    said = [request.say(what), request.say(where)]
    return said if said[0] != said[1] else [said[0], "–"]


def _cautions(request: Request, state: State) -> list[str]:
    last = state.procedure["steps"][-1]
    return [request.say(Msg(text)) for text in last["cautions"]]
