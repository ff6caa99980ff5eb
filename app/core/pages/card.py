"""/field/o/ID/next[/STEP]: one card, one thing: what comes next in a step, until none is left.

The card is stateless. After a reading was kept it shows the next thing, with the verdict as a
band; where the reading is out, the card stays with it and says what to do.
"""

from app.core.checks.base import SAME
from app.core.checks.index import spec_of
from app.core.checks.rows import drawn_at
from app.core.errors import AppError
from app.core.kinds import Any, Json
from app.core.pages import (
    cautions,
    clocks,
    common,
    history,
    nights,
    photo,
    planned,
    point,
    results,
    step,
    tap_cards,
)
from app.core.pages.entering import asked_back, reading_form, unreachable_form
from app.core.pages.request import Page, Request, amount_of
from app.core.pages.step import opened_words
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.record import gate, judge
from app.core.record.course import Thing, thing_after, things_left, things_of, things_ready
from app.core.record.ledger import reading_slot
from app.core.record.standing import clocks_running, next_step
from app.core.record.state import State, Step
from app.core.trade.verdicts import MISSING, OUT, WITHIN
from app.core.where.place import Place
from app.core.where.words import standpoint_words


def get(request: Request) -> Page:
    """Return the card of what comes next, or the way to it where no step is named."""
    id = request.parts[1]
    if request.state(id).cancelled() is not None:
        return Page(location=common.path_of(id))
    if len(request.parts) < 4 and request.state(id).visit is not None:
        return Page(location=tap_cards.onward_of_visit(id, request.state(id)))
    if len(request.parts) < 4:
        following = next_step(request.state(id))
        return Page(location=common.card_path(id, following) if following else common.path_of(id))
    _, state, here_step = step.step_of_path(request)
    first = nights.card_first(request, id, state)
    if first is not None:
        return first
    card = _card_of(request, id, state, here_step)
    elsewhere = _path_elsewhere(request, card)
    return Page(location=elsewhere) if elsewhere else Page("field/next.html", card)


def _path_elsewhere(request: Request, card: Json) -> str:
    """Return the path of the card that comes instead of the end of a step; "" where it comes."""
    if card["kind"] == "end" and card.get("only_before"):  # said by the card that it leads to
        return str(card["onward"])
    if card["kind"] == "sign" and card["read_first"]:
        kept = request.query.get("kept", "")
        return str(card["read_first"]) + ("?kept=" + kept if kept else "")
    return ""


def _card_of(request: Request, id: str, state: State, step: Step) -> Json:
    kept = _kept_event(request, state)
    verdict = _verdict_of(request, state, step, kept)
    compare = None if request.query.get("agreed") else _compared(request, state, step, kept)
    every, left = things_of(state, step), things_left(state, step)
    ready = things_ready(state, step, left)
    ripe = None if compare else tap_cards.ripe_plan(request, id, state, step, kept)
    stays = verdict is not None and verdict["stays"] and compare is None and ripe is None
    last = request.query.get("after", "") or (verdict["key"] if verdict is not None else "")
    named = _thing_named(request, state, step)
    thing = None if stays else named or thing_after(every, ready, last)
    begins = thing is not None and named is None and kept is None and not last
    opening = request.opening(id)
    title = step.id + " " + request.say(step.title)
    path = common.step_path(id, step)
    card: Json = {
        "page": common.page_frame(request, title, opening, common.page_link(path, title)),
        "step": common.page_link(path, title),
        "shop": common.path_of(id, "shop") if opening.get("shop") else "",
        "step_name": step.id + (" " + step.panel if step.panel else ""),
        "progress": request.say(
            Msg("{done} of {total}", done=len(every) - len(left), total=len(every))
        ),
        "far": str(len(every) - len(left)) + "/" + str(len(every)),
        "kind": "end",
        "clocks": [] if state.visit else clocks.clock_lines(request, clocks_running(state)),
        "short_parts": [
            request.say(bar.message) for bar in (gate.short_parts(state, step) if begins else ())
        ],
        "band": verdict if verdict is not None and not stays else None,
        "judged": verdict if stays else None,
        "ask": None,
        "later": "",
        "coming": {"key": "", "places": []},
    }
    if ripe is not None and verdict is not None:
        onward = request.path + "?after=" + verdict["key"]
        card.update({"kind": "out", "out": ripe, "later": onward, "band": None})
        ripe["undo"] = verdict["undo"]
    elif verdict is not None and stays:
        card["kind"] = "verdict"
        card["coming"] = {
            "key": verdict["key"],
            "places": _ahead_of(request, state, every, ready, verdict["key"]),
        }
    elif compare is not None and verdict is not None:
        card.update({"kind": "compare", "compare": compare})
        card["coming"] = {
            "key": verdict["key"],
            "places": _ahead_of(request, state, every, ready, verdict["key"]),
        }
    elif begins and cautions.are_due(request, state, step):
        card.update(cautions.cautions_card(request, state, step))
    elif thing is None and state.visit is not None:
        card.update(tap_cards.end_of_visit(request, id, state, step))
    elif thing is None:
        card.update(tap_cards.end_card(request, id, state, step))
    else:
        card["kind"] = thing.kind
        card["later"] = request.path + "?after=" + thing.key if len(ready) > 1 else ""
        card["coming"] = {
            "key": thing.key,
            "places": _ahead_of(request, state, every, ready, thing.key),
        }
        card.update(_thing_card(request, state, step, thing))
    card["dense"] = _letters_of(card) > MANY_LETTERS.get(card["kind"], 0)
    return card


# More letters than these stand on the smallest screen only in small type.
MANY_LETTERS = {"out": 160, "verdict": 110, "cautions": 420, "tasks": 200, "decision": 180,
                "sign": 220, "end": 220, "parts": 240, "reading": 150}  # fmt: skip


def _letters_of(card: Json) -> int:
    """Return how many letters a card has that is not one of short lines."""
    kind = card["kind"]
    if kind in ("verdict", "out"):
        shown = card["judged"] if kind == "verdict" else card["out"]
        says = [shown["says"]] if kind == "verdict" else shown["says"]
        texts = says + shown["remedies"] + [move["text"] for move in shown["moves"]]
    elif kind == "decision":
        choices = [choice["text"] for choice in card["decision"]["choices"]]
        texts = [card["decision"]["text"]] + choices
    elif kind == "tasks":
        texts = [task["text"] for task in card["tasks"]]
    elif kind == "parts":
        texts = [part["mark"] + part["what"] for part in card["parts"]]
    elif kind == "sign":
        texts = card["sums"] + [card["signoff"]["statement"]]
    elif kind == "end":
        texts = [bar["text"] for bar in card["bars"]]
    elif kind == "reading":
        said = [card["title"], card["entry"]["place"], card["stale"], card["before"], card["hint"]]
        texts = said + card["wanted"] + [clock["title"] for clock in card["clocks"]]
    else:
        texts = card["cautions"] if kind == "cautions" else []
    return sum([len(text) for text in texts])


def _thing_card(request: Request, state: State, step: Step, thing: Thing) -> Json:
    waits = None if _is_named(request) else tap_cards.clock_ahead(state, request.now, thing)
    if waits is not None:
        return tap_cards.clock_card(request, state, waits, thing)
    if thing.kind == "reading":
        return _reading_card(request, state, step, thing)
    if thing.kind == "parts":
        return tap_cards.parts_card(request, request.parts[1], state)
    if thing.kind == "tasks":
        return tap_cards.tasks_card(request, state, step, thing.id)
    if thing.kind == "task":
        return _task_card(request, state, step, thing)
    return _decision_card(request, state, step, thing)


def _kept_event(request: Request, state: State) -> "Json | None":
    """Return the entry of which the card says how it went; None where it counts no more."""
    event = state.ledger.by_id.get(request.query.get("kept", ""))
    return None if event is None or event["id"] in state.ledger.removed else event


def _is_named(request: Request) -> bool:
    """Return whether the path or the form names the thing to do."""
    return any([request.form.get(name) or request.query.get(name) for name in ("point", "task")])


def _thing_named(request: Request, state: State, step: Step) -> "Thing | None":
    """Return what the path or the form names, None where it names nothing."""
    point_id = request.form.get("point") or request.query.get("point", "")
    place_id = request.form.get("place") or request.query.get("place", "")
    for known in step.data["points"]:
        if known["id"] == point_id:
            panel = state.panel_for(point_id, step.panel)
            for place in state.places(point_id, panel):
                if place.id == place_id:
                    return Thing("reading", point_id, panel, place)
    task_id = request.form.get("task") or request.query.get("task", "")
    if task_id in [task["id"] for task in state.tasks(step)]:
        return Thing("task", task_id, step.panel)
    named = request.form.get("decision", "")
    if named in [decision["id"] for decision in step.data["decisions"]]:
        return Thing("decision", named, step.panel)
    return None


MOST_AHEAD = 30  # places that a card foresees: more than anybody types while the phone works


def _ahead_of(
    request: Request, state: State, every: "list[Thing]", left: "list[Thing]", key: str
) -> "list[Json]":
    """Return the things after this one, as the card foresees them for what is typed ahead."""
    first = thing_after(every, left, key)
    at = left.index(first) if first is not None else 0
    return [
        {
            "key": thing.key,
            "point": request.say(Msg(state.point(thing.id)["title"])) if thing.place else "",
            "title": _short_place(request, state, thing.place) if thing.place else "",
        }
        for thing in (left[at:] + left[:at])[:MOST_AHEAD]
        if thing.key != key
    ]


# ---- a reading


def _compared(request: Request, state: State, step: Step, kept: "Json | None") -> "Json | None":
    """Return which of the first two of a line is lower, to be confirmed; None where not asked."""
    if kept is None or "point" not in kept["body"]:
        return None
    if not _is_first_of_its_way(state, kept["body"]["point"]) or _was_read_before(state, kept):
        return None
    here = _here_of_event(request, state, step, kept)
    asked = point.compare_two(request, here, kept)
    if asked is not None:
        asked["no"] = common.point_path(here.id, here.point["id"], here.panel) + "#way"
    return asked


def _was_read_before(state: State, kept: Json) -> bool:
    """Return whether its place was read before, the same way: that was confirmed then."""
    body = kept["body"]
    where = [body.get(name, "") for name in ("point", "panel", "place")]
    here = state.ledger.unstruck(reading_slot(*where))
    return any(
        [
            event["id"] != kept["id"]
            and event["kind"] == "reading.taken"
            and event["body"].get("how") == body.get("how")
            for event in here
        ]
    )


def _is_first_of_its_way(state: State, point_id: str) -> bool:
    """Return whether no other point was read this way before: then which is lower is asked."""
    ways = [event["body"] for event in state.ledger.of_kind("how.chosen")]
    mine = [body["how"] for body in ways if body["point"] == point_id][-1:]
    first = [body["point"] for body in ways if mine and body["how"] == mine[0]][:1]
    return first in ([], [point_id])


def _reading_card(request: Request, state: State, step: Step, thing: Thing) -> Json:
    here = point.Here(request, state, step, thing.id, request.path)
    here.query = "point=" + thing.id + "&"
    place = thing.place or here.places[0]
    left = gate.places_unmeasured(state, thing.id, step.panel)
    usual = state.usual_way() if here.how == "" else ""
    must = here.how == "" and (usual == "" or request.query.get("way") == "ask")
    cannot = bool(request.query.get("cannot")) or request.form.get("act") == "unreachable"
    wanted, limits = _wanted_lines(request, here, place)
    again = point.why_again(request, here, place)
    out: Json = {
        "title": _title_over(request, here, place),
        "hint": "" if again else _hint_text(request, here, place),
        "first": not request.query.get("kept"),
        "stale": again or (_why_opened(request, here, step) if place is here.places[0] else ""),
        "spot": drawings.place_picture(state.drawing, place, request.speaker),
        "wanted": wanted,
        "limits": limits,
        "before": "" if request.query.get("kept") else _reading_before(request, here, place),
        "tool": request.say(Msg(here.point["tool"])) if here.point["tool"] != "eye" else "",
        "notices": point.tool_notices(request, here),
        "all_places": common.point_path(here.id, thing.id, here.panel),
        "whole": point.whole_before(request, here, place),
        "cannot": here.path_to(place.id) + "&cannot=yes",
        "back": here.path_to(place.id),
        "entry": reading_form(request, state, here.point, here.panel, here.places, place, left),
        "ask": asked_back(request, state, thing.id, here.path_to),
        "unreachable": unreachable_form(request, state, thing.id, place) if cannot else None,
        "way": point.way_of_reading(request, here, must) if must else None,
        "how": "",
        "other_way": here.path_to(place.id) + "&way=ask",
        "stand": _stand_said(request, state, place),
    }
    out["entry"]["place"] = _short_place(request, state, place)
    if len(here.places) == 1:
        out["entry"]["nth"] = ""
    out["entry"]["people"][0]["value"] = ""  # whoever keeps it measured it, and needs no word of it
    if here.point["how"] == "level" and not must:
        out["how"] = request.say(LINE_WAYS[here.how or usual])
        if usual:
            out["entry"]["form"]["hidden"].append({"name": "way", "value": usual})
    nights.ask_for_information(request, state, thing.id, place.id, out)
    if out["ask"] is not None:
        out["kind"] = "ask"
    elif must:
        out["kind"] = "way"
    elif cannot:
        out["kind"] = "cannot"
    return out


def _why_opened(request: Request, here: "point.Here", step: Step) -> str:
    """Return why a finer point is asked; "" where the point before it opened for the same."""
    ids = [one["id"] for one in judge.asked_points(here.state, step)]
    why = opened_words(request, here.state, here.point["id"], here.panel)
    at = ids.index(here.point["id"]) if here.point["id"] in ids else 0
    known = why and at and opened_words(request, here.state, ids[at - 1], here.panel) == why
    return "" if known else why


def _stand_said(request: Request, state: State, place: Place) -> str:
    """Return from where left and right are meant; "" where the place does not speak of them."""
    short, whole = _short_place(request, state, place), request.say(place.title)
    return "" if short == whole else request.say(standpoint_words(state.drawing))


def _short_place(request: Request, state: State, place: Place) -> str:
    """Return where a place is, without from where it is seen: the card says that once, below."""
    stand = request.say(standpoint_words(state.drawing))
    return request.say(place.title).replace(", " + stand, "")


def _title_over(request: Request, here: "point.Here", place: Place) -> str:
    """Return the title of a point without the side that its place says; "" where all is said."""
    title = request.say(Msg(here.point["title"]))
    said = _short_place(request, here.state, place)
    side = said.partition(": ")[0] + ", "
    if title.lower().startswith(side.lower()):
        return title[len(side)].upper() + title[len(side) + 1 :]
    return "" if title == said else title


def _hint_text(request: Request, here: "point.Here", place: Place) -> str:
    """Return the hint of a point at its first place; at the others it was just read."""
    first = place.id == here.places[0].id or not request.query.get("kept")
    return request.say(Msg(here.point["hint"])) if here.point.get("hint") and first else ""


LINE_WAYS = {"down": Msg("↓ beam"), "up": Msg("↑ line")}


def _here_of_event(
    request: Request, state: State, step: Step, event: "Json | None"
) -> "point.Here":
    """Return the point of the entry that was just kept; any point of the step where it has none."""
    id = event["body"].get("point", "") if event is not None else ""
    known = [one["id"] for one in step.data["points"]]
    return point.Here(request, state, step, id if id in known else known[0], request.path)


MOST_WANTED = 2  # limits that a card says before anything is measured; the step has them all


def _wanted_lines(
    request: Request, here: "point.Here", place: Place
) -> "tuple[list[str], list[str]]":
    """Return what is wanted at a place and how far off is allowed: in short, and by check.

    In short the limits alone; where one point has several, its first card names the checks.
    """
    limits: list[str] = []
    named: list[str] = []
    for result in here.results():
        if not judge.is_about(result.check, here.point["id"]) or _is_elsewhere(result, place):
            continue
        drawn = _drawn_value(here, result, place)
        limit = results.limit_text_at(request, here.state, result, here.point["id"], here.panel)
        if drawn is not None:
            size = amount_of(here.point["quantity"], drawn)
            limit = request.say(
                Msg("{size} drawn, {limit}", size=size, limit=limit)
                if limit
                else Msg("{size} drawn", size=size)
            )
        if limit:
            check = _check_under(request, here, result.check, limit)
            words = Msg("{check}: {limit}", check=check, limit=limit)
            named.append(request.say(words) if check else limit)
            if limit not in limits:
                limits.append(limit)
    if len(named) > 1 and place.id == here.places[0].id:
        return named[:MOST_WANTED], named
    if here.point["how"] == "level":  # the limit is of a line, not of what the staff shows here
        return named[:1], named
    return ["; ".join(limits[:MOST_WANTED])] if limits else [], named


def _check_under(request: Request, here: "point.Here", check: Json, limit: str) -> str:
    """Return the title of a check without what its point or its limit says already, or ""."""
    said = _words_of(request.say(Msg(here.point["title"])) + " " + limit)
    parts = request.say(Msg(check["title"])).split(", ")
    return ", ".join([part for part in parts if [w for w in _words_of(part) if w not in said]])


def _words_of(text: str) -> "list[str]":
    """Return the words of a text without the signs behind them, and without their first letters.

    Where a title begins a word is written large. Example: _words_of("Head, up") -> ["ead", "p"]
    """
    return [word.strip(",:;.")[1:] for word in text.split(" ")]


def _is_elsewhere(result: judge.Result, place: Place) -> bool:
    """Return whether a check compares two shots at one mark, and this is not the second."""
    return bool(spec_of(result.check["calc"]).apart == SAME and place.side != "closing")


def _drawn_value(here: "point.Here", result: judge.Result, place: Place) -> "int | None":
    """Return what is drawn at a place, where a check holds readings against the drawing."""
    if not spec_of(result.check["calc"]).drawn:
        return None
    try:
        ask = judge.ask_for_check(here.state, result.check, here.panel)
        return drawn_at(ask, place.panel)
    except (AppError, KeyError):  # the drawing is silent, or the check counts for itself
        return None


def _reading_before(request: Request, here: "point.Here", place: Place) -> str:
    """Return the reading at the place before this one; "" at the first."""
    event = here.event_before(place)
    if event is None:
        return ""
    value = history.value_text(request, event, here.state)
    return request.say(Msg("{place}: {value}", place=here.place_before(place).title, value=value))


# ---- how the last one went


def _verdict_of(request: Request, state: State, step: Step, event: "Json | None") -> "Json | None":
    """Return how the entry that was just kept went: as a band, or filling the card when out."""
    if event is None:
        return None
    if event["kind"] == "task.ticked":
        return _tick_band(request, state, step, event)
    if event["kind"] not in ("reading.taken", "reading.unreachable"):
        return None
    step = _step_of_event(state, step, event)
    here = _here_of_event(request, state, step, event)
    if here.point["id"] != event["body"].get("point"):
        return None
    here.query = "point=" + here.point["id"] + "&"
    place = here.place(event["body"]["place"])
    found = _findings(here, event) if place is not None else []
    worst = found[0][1] if found else None
    stays = worst is not None and not _goes_on(here, found[0][0].check)
    kind = worst.verdict if worst is not None else _calm_kind(here, place)
    undo = point.undo_form(request, here, event) if event["kind"] == "reading.taken" else None
    if undo is not None:
        undo["action"] = common.card_path(here.id, step)
    out: Json = {
        "stays": stays,
        "ticked": False,
        "key": Thing("reading", here.point["id"], here.panel, place).key,
        "title": request.say(Msg(here.point["title"])),
        "place": history.place_text(request, state, event["body"])
        if place is None
        else _short_place(request, state, place)
        if stays
        else _place_in_band(request, here, place),
        "value": history.value_text(request, event, state),
        "badge": common.verdict_badge(request, kind),
        "says": "",
        "undo": undo,
    }
    kept = str(out["value"])
    moved = nights.repeat_kept(request, state)
    if moved is not None:
        out.update({"stays": True, "badge": common.verdict_badge(request, OUT)})
        out.update(nights.moved_shown(request, here.id, state, moved, event))
    elif stays and place is not None:
        out.update(_what_to_do(request, here, place, found))
        out["ask_office"] = tap_cards.asking_path(here.id, step, found[0][0].check, event["id"])
    elif kind == "within" and here.point["quantity"] == "yes-no":
        out["value"] = ""  # that it is within says which answer it was
    elif worst is not None:  # a plan comes once all is read: it is the check that is out
        out["value"], out["place"] = "", request.say(Msg(found[0][0].check["title"]))
    out["aloud"] = _aloud(request, kept, out["badge"]["word"])
    return out


def _place_in_band(request: Request, here: "point.Here", place: Place) -> str:
    """Return where a reading was kept; of a point's one place the first words of its title."""
    said = _short_place(request, here.state, place)
    return said if len(here.places) > 1 else first_words(said)


def _step_of_event(state: State, step: Step, event: Json) -> Step:
    """Return the step of the panel at which an entry was made, where each panel has its own."""
    for other in state.steps:
        if other.id == step.id and other.panel and other.panel == event["body"].get("panel"):
            return other
    return step


def _goes_on(here: "point.Here", check: Json) -> bool:
    """Return whether more is read before an OUT is put right: a plan comes then."""
    return tap_cards.has_plan(check) or any(
        [
            _is_opened_by(point_data, check)
            and _has_plan_of(here.step, point_data["id"])
            and not here.state.is_answered(point_data["id"], here.panel)
            for point_data in here.step.data["points"]
        ]
    )


def _is_opened_by(point_data: Json, check: Json) -> bool:
    asked = point_data.get("asked", "")
    return not isinstance(asked, str) and check["id"] in asked.get("when", [])


def _has_plan_of(step: Step, point_id: str) -> bool:
    """Return whether a check over a point is put right by a plan."""
    return any(
        [
            tap_cards.has_plan(check)
            for check in step.data["checks"]
            if point_id in [check["points"][input] for input in check["points"]]
        ]
    )


def _findings(here: "point.Here", event: Json) -> "list[Any]":
    """Return (result, outcome) of each check that this reading puts out, the worst first."""
    if event["kind"] != "reading.taken" or event["body"].get("info"):
        return []
    found = [
        (result, judge.outcome_at(here.state, result.check, here.panel, event["body"]["place"]))
        for result in here.results()
        if judge.is_about(result.check, here.point["id"])
    ]
    bad = [(result, outcome) for result, outcome in found if outcome is not None]
    return [p for p in bad if p[1].verdict == OUT] + [p for p in bad if p[1].verdict != OUT]


def _calm_kind(here: "point.Here", place: "Place | None") -> str:
    """Return "within" where every check of the point says so of all, or of the place by itself.

    Else "none": it is kept, and judged once more is read.
    """
    about = [r for r in here.results() if judge.is_about(r.check, here.point["id"])]
    settled = [_is_within(here, result, place) for result in about]
    return "within" if settled and all(settled) else "none"


def _is_within(here: "point.Here", result: judge.Result, place: "Place | None") -> bool:
    if result.verdict != MISSING or place is None:
        return bool(result.verdict == WITHIN)
    alone = judge.outcome_alone(here.state, result.check, here.panel, place.id)
    return alone is not None and bool(alone.verdict == WITHIN)


def _what_to_do(request: Request, here: "point.Here", place: Place, found: "list[Any]") -> Json:
    result, outcome = found[0]
    says = [request.say(words) for words in outcome.says]
    more = [request.say(words) for _, other in found[1:] for words in other.says[:1]]
    return {
        "says": says[0] if says else "",
        "why": says[1:] + more,
        "remedies": [request.say(words) for words in outcome.remedies[:MOST_REMEDIES]],
        "limit": results.limit_text(request, result),
        "basis": results.basis_text(request, here.state, result),
        "spot": drawings.place_picture(here.state.drawing, place, request.speaker),
        "again": here.path_to(place.id),
        "planned": planned.planned_form(request, here.state, here.step, result),
        "moves": tap_cards.moves_of(request, here.state, here.step, result.check),
        "onward": request.path
        + "?after="
        + Thing("reading", here.point["id"], here.panel, place).key,
        "check": common.step_path(here.id, here.step) + "?show=all#check-" + result.check["id"],
    }


MOST_REMEDIES = 2  # on the card; the step's page has them all


def _aloud(request: Request, value: str, verdict: str) -> str:
    """Return a reading and its verdict as a voice says them: 4 feet 0 1/2 inches, within."""
    said = value.replace("'", " " + request.say(Msg("feet")))
    said = said.replace('"', " " + request.say(Msg("inches")))
    return ", ".join([each for each in (said, verdict.lower()) if each])


def _tick_band(request: Request, state: State, step: Step, event: Json) -> "Json | None":
    for task in state.tasks(step):
        if task["id"] == event["body"]["task"] and event["body"]["done"]:
            undo = request.make_form("untick", "tick", state, (), task=task["id"], done="no")
            return {
                "stays": False,
                "ticked": True,
                "key": Thing("task", task["id"], step.panel).key,
                "title": "",
                "place": first_words(request.say(Msg(task["text"]))),
                "value": request.say(Msg("Done")),
                "aloud": "",
                "badge": common.verdict_badge(request, "none"),
                "says": "",
                "undo": undo,
            }
    return None


MOST_LETTERS = 32  # of a task in the band: enough to know it by, in one line


def first_words(text: str) -> str:
    """Return a task's words up to its first stop, cut between words where they are many.

    Example: first_words("Joint clean, dry, rod in; primed") -> "Joint clean, dry, rod in"
    """
    text = text.partition(";")[0]
    words = text.split(" ")
    while len(" ".join(words)) > MOST_LETTERS and len(words) > 1:
        words.pop()
    short = " ".join(words)
    return short if short == text else short + " …"


# ---- other things


def _task_card(request: Request, state: State, step: Step, thing: Thing) -> Json:
    task = _named(state.tasks(step), thing.id)
    if task["kind"] == "photo":
        return {"kind": "photo", "photos": [photo.photo_task(request, state, step, task)]}
    form = request.make_form("task-" + thing.id, "tick", state, (), task=thing.id, done="yes")
    return {
        "text": request.say(Msg(task["text"])),
        "form": form,
    }


def _named(items: "list[Json]", id: str) -> Json:
    found: Json = [item for item in items if item["id"] == id][-1]
    return found


def _decision_card(request: Request, state: State, step_here: Step, thing: Thing) -> Json:
    decision = _named(step_here.data["decisions"], thing.id)
    return {"decision": step.decision_shown(request, state, step_here, decision)}


def post_tick(request: Request) -> Page:
    """Tick a task, or take the tick back; the next card says so."""
    page = step.post_tick(request)
    page.location = request.path + "?kept=" + page.drafts[0]["id"]
    return page


def post_way(request: Request) -> Page:
    """Keep how a line is read; then the card of its first place that is left."""
    page = point.post_way(request)
    here = point.here_of(request)
    left = gate.places_unmeasured(here.state, here.point["id"], here.panel)
    page.location = here.path_to((left or here.places)[0].id)
    return page


def post_agree(request: Request) -> Page:
    """Go on: the way it is read was confirmed; the verdict of the second reading comes now."""
    return Page(location=request.path + "?agreed=yes&kept=" + request.typed("kept"))


def post_cautions(request: Request) -> Page:
    """Keep that the step's cautions were read; then the first card."""
    id, _state, here_step = step.step_of_path(request)
    return cautions.keep_read(request, id, here_step)


def post_photo(request: Request) -> Page:
    """Keep that a photo was taken, or why there is none; then the next card."""
    id, _state, here_step = step.step_of_path(request)
    keep = photo.keep_none if request.form.get("act") == "no-photo" else photo.keep_photo
    page = keep(request, id, here_step)
    page.location = _after(request, "task", request.typed("task"), here_step)
    return page


def post_decide(request: Request) -> Page:
    """Keep a decision; then the next card."""
    page = step.post_decide(request)
    _id, _state, here_step = step.step_of_path(request)
    page.location = _after(request, "decision", request.typed("decision"), here_step)
    return page


def post_sign(request: Request) -> Page:
    """Sign the step off; then the card of what comes next in the opening."""
    page = step.post_sign(request)
    page.location = common.path_of(request.parts[1], "next")
    return page


def _after(request: Request, kind: str, id: str, here_step: Step) -> str:
    return request.path + "?after=" + Thing(kind, id, here_step.panel).key


POSTS = {
    "cautions": post_cautions,
    "keep": point.post_keep,
    "unreachable": point.post_unreachable,
    "way": post_way,
    "undo": point.post_undo,
    "agree": post_agree,
    "tick": post_tick,
    "all-parts": tap_cards.post_all_parts,
    "all-tasks": tap_cards.post_all_tasks,
    "decide": post_decide,
    "photo": post_photo,
    "no-photo": post_photo,
    "as-planned": tap_cards.post_planned,
    "adjust": tap_cards.post_adjust,
    "sign": post_sign,
}
