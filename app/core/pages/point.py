"""/field/o/ID/point/POINT[/UNIT]: entering readings, one place after the other."""

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import clocks, common, history, photo, results, setup, working
from app.core.pages.entering import (
    HOW,
    asked_back,
    reading_body,
    reading_form,
    unreachable_form,
)
from app.core.pages.request import Page, Request, event_draft
from app.core.pages.step import worst_of
from app.core.pictures import drawings
from app.core.quantity.messages import Len, Msg
from app.core.record import gate, judge
from app.core.record.ledger import reading_slot
from app.core.record.standing import clocks_running
from app.core.record.state import State, Step
from app.core.where.place import Place


class Here:
    """The point of a request: opening id, state, step, point, panel, and where it is measured.

    path: of the page on which it is measured; query: what leads to one of its places there.
    """

    def __init__(self, request: Request, state: State, step: Step, point: str, path: str) -> None:
        self.id = request.parts[1]
        self.state = state
        self.step = step
        self.point: Json = state.point(point)
        self.panel = state.panel_for(point, step.panel)
        self.path = path
        self.query = ""
        self.places = self.state.places(self.point["id"], self.panel)
        self.how = self.state.how_read(self.point["id"], self.panel)
        self._results: list[judge.Result] | None = None

    def path_to(self, place: str) -> str:
        """Return where a place is measured."""
        return self.path + "?" + self.query + "place=" + place

    def place(self, id: str) -> "Place | None":
        """Return a place by its id, or None."""
        for place in self.places:
            if place.id == id:
                return place
        return None

    def place_before(self, place: Place) -> Place:
        """Return the place before this one; the first itself."""
        ids = [other.id for other in self.places]
        return self.places[max(ids.index(place.id) - 1, 0)]

    def event_before(self, place: Place) -> "Json | None":
        """Return the reading at the place before; None at the first place, and where it is open."""
        other = self.place_before(place)
        readings = self.state.readings(self.point["id"], self.panel, other.id)
        return readings[-1].event if readings and other.id != place.id else None

    def results(self) -> "list[judge.Result]":
        """Return the checks of every step that look at this point."""
        if self._results is None:
            self._results = [
                judge.result_of(self.state, check, step.panel)
                for step in self.state.steps
                if step.panel in ("", self.panel)
                for check in judge.checks_of(self.state, step)
                if any([check["points"][input] == self.point["id"] for input in check["points"]])
            ]
        return self._results


def here_of(request: Request) -> Here:
    """Return the point that a path names; on a card, which names a step, the form's own."""
    state = request.state(request.parts[1])
    if request.parts[2] == "next":
        step = state.step(request.parts[3].replace("-", ":"))
        point = request.form.get("point") or request.query.get("point", "")
        if point not in [one["id"] for one in step.data["points"]]:
            raise MissingError("point-unknown", Msg("There is no such point in this step."))
        here = Here(request, state, step, point, request.path)
        here.query = "point=" + point + "&"
        return here
    point = request.parts[3] if len(request.parts) > 3 else ""
    panel = request.parts[4] if len(request.parts) > 4 else ""
    path = common.point_path(request.parts[1], point, panel)
    known = state.step_of_point[state.point(point)["id"]]
    for step in state.steps:
        if step.id == known["id"] and step.panel == panel:
            return Here(request, state, step, point, path)
    raise MissingError("panel-unknown", Msg("There is no such panel in this step."))


def get(request: Request) -> Page:
    """Return the page where a point is measured."""
    here = here_of(request)
    opening = request.opening(here.id)
    left = gate.places_unmeasured(here.state, here.point["id"], here.panel)
    current = _current_place(request, here, left)
    must = here.how == "" and bool(here.places)
    title = request.say(Msg(here.point["title"]))
    step_link = common.page_link(
        common.step_path(here.id, here.step), here.step.id + " " + request.say(here.step.title)
    )
    kept = _kept_notice(request, here)
    page = common.page_frame(request, here.step.id + " " + title, opening, step_link)
    page["notices"].extend(tool_notices(request, here))
    checks, waiting = results.begun_and_waiting(_point_checks(request, here))
    context = {
        "page": page,
        "step": step_link,
        "title": title,
        "panel_title": request.say(Msg("Panel {letter}", letter=here.panel)) if here.panel else "",
        "clocks": clocks.clock_lines(request, clocks_running(here.state)),
        "tool": request.say(Msg(here.point["tool"])),
        "progress": request.say(
            Msg("{done} of {total}", done=_measured_count(here), total=len(here.places))
        ),
        "info": bool(here.point.get("info")),
        "hint": request.say(Msg(here.point["hint"])) if here.point.get("hint") else "",
        "stale": stale_words(request, here, left),
        "way": way_of_reading(request, here, must),
        "setup": setup.setups_shown(request, here.state, here.point, here.panel, here.how),
        "saved": _saved_notice(request, here, kept),
        "compare": compare_two(request, here, kept),
        "ask": asked_back(request, here.state, here.point["id"], here.path_to),
        "entry": None,
        "whole": "",
        "cannot": "",
        "unreachable": None,
        "places": [_place_row(request, here, place, current) for place in here.places],
        "checks": checks,
        "waiting": waiting,
        "next": _next_link(request, here, left),
    }
    if current is not None and not must:
        context["whole"] = whole_before(request, here, current)
        context["entry"] = reading_form(
            request, here.state, here.point, here.panel, here.places, current, left
        )
        context["unreachable"] = unreachable_form(request, here.state, here.point["id"], current)
    return Page("field/point.html", context)


def whole_before(request: Request, here: Here, place: Place) -> str:
    """Return the whole inches of the reading before this one; "" where there are none.

    They stand greyed, and only for a fraction that is pressed behind them: no answer by itself.
    """
    before = here.event_before(place)
    if before is None or here.point["quantity"] != "length" or request.units != "in":
        return ""
    text = before["body"].get("text", "").replace("-", " ").partition(" ")[0]
    digits = text != "" and all([char in "0123456789" for char in text])
    return text if digits and int(text) > 0 else ""


def _current_place(request: Request, here: Here, left: "list[Place]") -> "Place | None":
    wanted = request.form.get("place") or request.query.get("place", "")
    found = here.place(wanted) if wanted else None
    if found is not None:
        return found
    return left[0] if left else None


def _point_checks(request: Request, here: Here) -> "list[Json]":
    checks = results.all_shown(request, here.id, here.state, here.step, here.results())
    for check in checks:
        check["planned"] = None
        check["correct"] = None  # what was done is written down at the step, where all of it shows
        check["asks"] = []
    return checks


def stale_words(request: Request, here: Here, left: "list[Place]") -> str:
    for place in left:
        for event in here.state.ledger.live(reading_slot(here.point["id"], here.panel, place.id)):
            spoiled = here.state.stale_by(event)
            if spoiled is not None and spoiled["kind"] == "instrument.checked":
                words = history.spoiled_by(request, spoiled)
                return request.say(Msg("At {place}: {words}", place=place.title, words=words))
            if spoiled is not None:
                return request.say(_spoiled_words(request, here.state, spoiled))
    return ""


MOST_QUOTED = 80  # letters of what was done; a plan of many stations is named by its check


def _spoiled_words(request: Request, state: State, spoiled: Json) -> Msg:
    who, words = common.who_when(request, spoiled), spoiled["body"]["words"]
    check = state.check(spoiled["body"].get("check", "")) if len(words) > MOST_QUOTED else None
    if check is not None:
        title = Msg(check["title"])
        return Msg("Measure again: “{check}” was put right ({who}).", check=title, who=who)
    return Msg("Measure again: “{words}” ({who}).", words=words, who=who)


def why_again(request: Request, here: Here, place: Place) -> str:
    """Return on one line why a place is measured again: what was moved; "" where it was not read.

    The whole of a plan that was carried out stands on the point's page.
    """
    for event in here.state.ledger.live(reading_slot(here.point["id"], here.panel, place.id)):
        spoiled = here.state.stale_by(event)
        if spoiled is None:
            continue
        if spoiled["kind"] == "instrument.checked":
            name = spoiled["body"]["name"]
            return request.say(Msg("Again: {name} failed its check", name=name))
        moved = here.state.adjustment(spoiled["body"].get("adjustment", ""))
        if moved is not None:
            return request.say(Msg("Again: {what}", what=Msg(moved["text"])))
        if spoiled["kind"] == "opening.reviewed":
            return request.say(Msg("Again: the office asks for it"))
        check = here.state.check(spoiled["body"].get("check", ""))
        if check is not None:
            return request.say(Msg("Again, put right: {check}", check=Msg(check["title"])))
        return request.say(Msg("Again: it was put right"))
    return ""


def tool_notices(request: Request, here: Here) -> "list[Json]":
    """Return what is to be said of the instrument in hand: too coarse, or its daily check."""
    coarse = [common.page_notice("warn", words) for words in _too_fine(request, here)]
    return coarse + _about_tool(request, here)


def _about_tool(request: Request, here: Here) -> "list[Json]":
    """Return what is to be said of the instrument that was used last: its daily check."""
    id = request.form.get("tool") or working.last_used(request, here.state, here.point)
    said = working.instrument_warning(request, here.state, id) if id else None
    if said is None:
        return []
    href = common.path_of(here.id, "instruments", id)
    link = request.say(Msg("Enter its daily check"))
    return [common.page_notice(said[0], request.say(said[1]), href=href, link=link)]


def _too_fine(request: Request, here: Here) -> "list[str]":
    """Return, before the first reading, the line on what to use in place of a coarse tool."""
    if here.point["quantity"] != "length" or _is_begun(here):
        return []
    found = working.tool_advice(here.state, here.point, here.panel, here.results(), request.units)
    return [request.say(found[0])] if found is not None else []


def _measured_count(here: Here) -> int:
    """Return how many places have a live answer, also where the point is not asked."""
    answers = here.state.answers(here.point["id"], here.panel)
    return len([place for place, readings in answers if readings])


def _is_begun(here: Here) -> bool:
    return any([here.state.readings(here.point["id"], here.panel, p.id) for p in here.places])


def way_of_reading(request: Request, here: Here, must: bool) -> "Json | None":
    if here.point["how"] != "level":
        return None
    form = request.make_form("way", "way", here.state, (), point=here.point["id"])
    return {
        "form": form,
        "chosen": request.say(HOW[here.how]) if here.how else "",
        "must": must,
        "choices": [
            {
                "value": how,
                "text": request.say(HOW[how]),
                "picture": drawings.reading_way(how, request.speaker),
                "chosen": how == here.how,
            }
            for how in ("down", "up")
        ],
    }


def _kept_notice(request: Request, here: Here) -> "Json | None":
    event = here.state.ledger.by_id.get(request.query.get("kept", ""))
    if event is None or event["body"].get("point") != here.point["id"]:
        return None
    return event


def _saved_notice(request: Request, here: Here, event: "Json | None") -> "Json | None":
    """Return what to say of the reading that was just kept: its verdict so far, and what to do."""
    if event is None or event["id"] in here.state.ledger.removed:
        return None
    place = history.place_text(request, here.state, event["body"])
    value = history.value_text(request, event)
    found = [judge.so_far(here.state, r.check, here.panel) for r in here.results()]
    outcomes = [outcome for outcome in found if outcome is not None]
    worst = worst_of([outcome.verdict for outcome in outcomes])
    bad = [outcome for outcome in outcomes if outcome.verdict == worst and worst == "out"]
    undo = None
    if event["kind"] == "reading.taken":
        undo = undo_form(request, here, event)
    return {
        "text": request.say(Msg("Kept: {value}, {place}", value=value, place=place)),
        "badge": common.verdict_badge(request, worst),
        "says": [request.say(words) for outcome in bad[:2] for words in outcome.says],
        "remedies": [request.say(words) for outcome in bad[:2] for words in outcome.remedies],
        "undo": undo,
        "undo_text": request.say(Msg("Undo: strike {value}, {place}", value=value, place=place)),
    }


def undo_form(request: Request, here: Here, event: Json) -> Json:
    """Return the form that strikes the reading that was just kept."""
    point = here.point["id"]
    return request.make_form("undo", "undo", here.state, (), target=event["id"], point=point)


def compare_two(request: Request, here: Here, event: "Json | None") -> "Json | None":
    """After the first reading that differs from a line's first: which is lower, to be confirmed.

    None for every other one: places that are as high as the first say nothing of the way.
    """
    if event is None or here.point["how"] != "level" or event["kind"] != "reading.taken":
        return None
    rise = _first_rise(here, event)
    if rise == 0:
        return None
    words = Msg("This place is {size} HIGHER than the first: right?", size=Len(rise))
    if rise < 0:
        words = Msg("This place is {size} LOWER than the first: right?", size=Len(-rise))
    form = request.make_form(
        "agree", "agree", here.state, (), point=here.point["id"], kept=event["id"]
    )
    return {"form": form, "text": request.say(words)}


def _first_rise(here: Here, event: Json) -> int:
    """Return how much higher than its first place this one is; 0 where one before differs."""
    heights: list[int] = []
    for place in here.places:
        readings = here.state.readings(here.point["id"], here.panel, place.id)
        if place.side == "closing" or not readings or not readings[-1].reached:
            continue
        heights.append(readings[-1].height)
        rise: int = heights[-1] - heights[0]
        if rise != 0 or place.id == event["body"]["place"]:
            return rise if place.id == event["body"]["place"] else 0
    return 0


def _place_row(request: Request, here: Here, place: Place, current: "Place | None") -> Json:
    readings = here.state.readings(here.point["id"], here.panel, place.id)
    path = common.point_path(here.id, here.point["id"], here.panel)
    value = ""
    kind = "none"
    if readings:
        values = [history.value_text(request, reading.event) for reading in readings]
        value = " / ".join(values)
        kind = _place_kind(here, place, readings[-1].reached)
    return {
        "id": place.id,
        "place": request.say(place.title),
        "value": value,
        "badge": common.verdict_badge(request, kind),
        "here": current is not None and place.id == current.id,
        "measure": path + "?place=" + place.id,
        "reading": common.path_of(here.id, "reading", readings[-1].id) if readings else "",
    }


def _place_kind(here: Here, place: Place, reached: bool) -> str:
    if not reached:
        return "unreachable"
    for result in here.results():
        alone = judge.outcome_alone(here.state, result.check, here.panel, place.id)
        if alone is not None and alone.verdict == "out":
            return "out"
    return "none"


def _next_link(request: Request, here: Here, left: "list[Place]") -> "Json | None":
    if left:
        return None
    ids = [point["id"] for point in here.step.data["points"]]
    for id in ids[ids.index(here.point["id"]) + 1 :]:
        if gate.places_unmeasured(here.state, id, here.step.panel):
            path = common.point_path(here.id, id, here.state.panel_for(id, here.step.panel))
            title = Msg(here.state.point(id)["title"])
            return common.page_link(path, request.say(Msg("Next: {what}", what=title)))
    back = Msg("Back to {id} {title}", id=here.step.id, title=here.step.title)
    return common.page_link(common.step_path(here.id, here.step), request.say(back))


def post_keep(request: Request) -> Page:
    """Keep a reading, as typed and as a whole number."""
    here = here_of(request)
    place = here.place(request.typed("place"))
    if place is None:
        raise MissingError("place-unknown", Msg("There is no such place on this door."))
    how = here.how or _way_given(request)
    body = reading_body(request, here.state, here.point, here.panel, place, how)
    made = event_draft(request, here.id, "reading.taken", body)
    drafts = [made]
    if how != here.how:
        chosen = {"point": here.point["id"], "panel": here.panel, "how": how}
        drafts = [event_draft(request, here.id, "how.chosen", chosen, "way")] + drafts
    if body.get("instrument") and here.state.ledger.by_id.get(made["id"]) is None:
        drafts = working.naming_drafts(request, here.id, here.state, body["instrument"]) + drafts
    return Page(location=here.path + "?kept=" + made["id"], drafts=drafts)


def _way_given(request: Request) -> str:
    """Return how a level line is read, where a card took it from the line before."""
    way = request.typed("way")
    return way if way in ("down", "up") else ""


def post_unreachable(request: Request) -> Page:
    """Keep that a place could not be reached, and why."""
    here = here_of(request)
    place = here.place(request.typed("place"))
    if place is None:
        raise MissingError("place-unknown", Msg("There is no such place on this door."))
    why = request.required("words", Msg("Say why it cannot be reached."))
    body = {"point": here.point["id"], "panel": here.panel, "place": place.id, "why": why}
    made = event_draft(request, here.id, "reading.unreachable", body)
    drafts = photo.with_entry(request, here.id, here.step, made) + [made]
    return Page(location=here.path + "?kept=" + made["id"], drafts=drafts)


def post_way(request: Request) -> Page:
    """Keep how a level line is read; readings keep the way they were taken in."""
    here = here_of(request)
    how = request.typed("way")
    if how not in HOW or here.point["how"] != "level":
        raise InputError("way-missing", Msg("Choose how it is read."))
    if how == here.how:
        return Page(location=request.path)
    body = {"point": here.point["id"], "panel": here.panel, "how": how}
    return Page(location=request.path, drafts=[event_draft(request, here.id, "how.chosen", body)])


def post_undo(request: Request) -> Page:
    """Strike the reading that was just kept."""
    here = here_of(request)
    target = here.state.ledger.by_id.get(request.typed("target"))
    if target is None or target["kind"] != "reading.taken":
        raise MissingError("reading-unknown", Msg("There is no such reading."))
    body = {"target": target["id"], "why": request.say(Msg("mistyped, undone at once"))}
    location = here.path_to(target["body"]["place"])
    return Page(location=location, drafts=[event_draft(request, here.id, "entry.struck", body)])


def post_agree(request: Request) -> Page:
    """Go on: the way it is read was confirmed."""
    return Page(location=request.path)


POSTS = {
    "keep": post_keep,
    "unreachable": post_unreachable,
    "way": post_way,
    "undo": post_undo,
    "agree": post_agree,
    "tie": setup.post_tie,
    "untie": setup.post_untie,
}
