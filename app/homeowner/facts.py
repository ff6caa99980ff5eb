"""The facts of an opening that its record is made of: what was measured, judged and done.

The shape is told at the top of snapshot.py. Nothing here is a sentence in one language: words are
messages with their parameters (wording.py), people are ids, times are as they were claimed.
"""

from app.core.checks.index import spec_of
from app.core.kinds import Any, Json
from app.core.pages import common, history, results, sheet, working
from app.core.pages.opening import taken_in
from app.core.pages.request import Request
from app.core.pages.voice import provisional_words as told_by_voice
from app.core.quantity.messages import Msg
from app.core.record import clocks, gate, judge, purposes
from app.core.record.standing import step_state, work_state
from app.core.record.state import State, Step
from app.core.record.taken import origin_of
from app.core.record.tools import Tool, came_after, check_passed
from app.core.record.written import judgement_of
from app.core.where.places import places_of
from app.homeowner import built, care, limits, nights, predicted, written
from app.homeowner.receipts import Receipts, of_step
from app.homeowner.tables import NO_TOOLS, photo_text, what_and_where
from app.homeowner.wording import FactsRequest, as_json


def of_opening(asked: Request, id: str, received: dict[str, str] | None = None) -> Json:
    """Return the facts of an opening of a request's book.

    received: when the office received each entry, by its id.
    Errors: those of State: MissingError 'opening-not-issued'.
    """
    return _Collector(FactsRequest(asked), id, received or {}).facts()


def practice_fact(state: State) -> Json:
    """Return {"practice": True} of an opening that was to practise on, else {}."""
    return {"practice": True} if state.practice is not None else {}


class _Collector:
    """Collects the facts of one opening."""

    def __init__(self, request: FactsRequest, id: str, received: dict[str, str]) -> None:
        self.request = request
        self.state: State = request.state(id)
        self.receipts = Receipts(request, self.state, received)
        self.taken = history.all_readings(self.state)
        self.numbers = {event["id"]: n for n, event in enumerate(self.state.ledger.events)}

    def facts(self) -> Json:
        state = self.state
        return {
            "drawing": state.drawing.data,
            "procedure": procedure_fact(state),
            "guarded": state.guarded,
            **practice_fact(state),
            "depth": self._depth(),
            "accepted": self._accepted(),
            "points": self._points(),
            "steps": [self._step(step) for step in state.steps],
            "struck": [
                {**self._reading(event), "of": as_json(self._of(event))}
                for event in self.taken
                if event["id"] in state.ledger.removed
            ],
            "as_left": self._as_left(),
            "as_read": built.as_read(state),
            "compared": built.compared(state),
            "predicted": predicted.predicted_facts(state),
            "nights": nights.night_facts(state),
            "marks": written.marks(state),
            "parts": [
                {
                    "mark": part["mark"],
                    "what": part["what"],
                    "count": part["count"],
                    "state": stated["body"]["state"] if stated is not None else "",
                }
                for part, stated in state.parts()
            ],
            "queries": [self._query(query, answer) for query, answer in state.queries()],
            "corrections": [self._correction(e) for e in state.ledger.of_kind("correction.made")],
            "taken_in": [self._taken_in(e) for e in state.ledger.of_kind("entry.taken-in")],
            "signatures": self._signatures(),
            "owner": self._owner(),
            "instruments": [self._tool(tool) for tool in state.instruments],
            "unnamed": any(map(self._names_none, state.ledger.of_kind("reading.taken"))),
            "people": self._people(),
            "care": care.of_door(state, written.told(state)),
            "claims": as_json(list(limits.LIMITS)),
            "cautions": [as_json(Msg(text)) for text in state.procedure["steps"][-1]["cautions"]],
        }

    def _by(self, event: Json) -> Json:
        """Return which entry it was, whose and when."""
        out = {"who": event["person"], "at": event["at"]}
        if event["id"] in self.numbers:
            out["entry"] = self.numbers[event["id"]]
        return out

    def _depth(self) -> Json:
        """Return how much was asked, and what of the procedure was left out for that."""
        state, raised = self.state, self.state.raised()
        left, places = [], 0
        for step in state.steps:
            for point in step.data["points"]:
                panel = state.panel_for(point["id"], step.panel)
                whole = len(places_of(point, state.drawing, panel))
                if judge.is_asked(state, point["id"], panel):
                    places += whole - len(state.places(point["id"], panel))
                elif whole:
                    left.append({"step": step.key, "title": as_json(Msg(point["title"]))})
        return {
            "depth": state.depth,
            "raised": None
            if raised is None
            else {**self._by(raised), "reason": raised["body"]["reason"]},
            "points": left,
            "places": places,
        }

    def _accepted(self) -> Json | None:
        review = self.state.review()
        if review is None or work_state(self.state) != "done":
            return None
        return {**self._by(review), "words": review["body"]["words"]}

    def _points(self) -> Json:
        """Return the points at which something was read: title, quantity, kind of instrument."""
        read = {event["body"]["point"] for event in self.taken}
        return {
            id: {
                "title": as_json(Msg(point["title"])),
                "quantity": point["quantity"],
                "tool": as_json(Msg(point["tool"])) if point["tool"] not in NO_TOOLS else "",
            }
            for id, point in self.state.points.items()
            if id in read
        }

    def _step(self, step: Step) -> Json:
        state = self.state
        sign = gate.sign_of(state, step)
        kind = step_state(state, step)
        return {
            "key": step.key,
            "id": step.id,
            "panel": step.panel,
            "title": as_json(step.title),
            "hold": step.hold,
            "state": kind,
            "standing": common.state_text(self.request, state, step, kind),
            "sign": self._sign(sign) if sign is not None else None,
            "entered": self.receipts.times(of_step(state, step)),
            "tasks": [self._task(step, task) for task in state.tasks(step)],
            "decisions": self._decisions(step),
            "unwritten": written.left_out(state, step),
            "checks": [self._check(step, result) for result in judge.results_of(state, step)],
            "readings": self._readings(step),
            "out_of_reach": self._out_of_reach(step),
            "photos": self._photos(step),
        }

    def _sign(self, sign: gate.Sign) -> Json:
        event = sign.event
        sure = "password" if event["device"].startswith(("web-", "office-")) else "phone"
        given = judgement_of(self.state.ledger, event["id"])
        anew = {}
        if given is not None and given["body"].get("reason"):
            anew = {"anew": {**self._by(given), "words": given["body"]["reason"]}}
        return {
            **anew,
            **self._by(event),
            "sure": "pin" if event["body"].get("confirmed") == "pin" else sure,
            "received": self.receipts.at(event),
            "good": sign.good,
            "why": as_json(common.why_not(sign)),
        }

    def _task(self, step: Step, task: Json) -> Json:
        out = {"id": task["id"], "text": as_json(Msg(task["text"]))}
        event = self.state.task_done(step.key, task)
        if event is None:
            return out
        if event["body"].get("words"):
            out["no_photo"] = event["body"]["words"]
        if event["body"].get("done_at"):
            out["done_at"] = event["body"]["done_at"]
        return {**out, **self._by(event)}

    def _decisions(self, step: Step) -> list[Json]:
        """Return the decisions of a step that were made."""
        decided = [(d, self.state.decided(step.key, d["id"])) for d in step.data["decisions"]]
        return [
            {
                **self._by(event),
                "id": decision["id"],
                "text": as_json(Msg(decision["text"])),
                "choice": event["body"]["choice"],
                "chosen": as_json(sheet.choice_words(decision, event["body"]["choice"])),
                "name": event["body"].get("name", ""),
                "words": event["body"].get("words", ""),
            }
            for decision, event in decided
            if event is not None
        ]

    def _check(self, step: Step, result: judge.Result) -> Json:
        check, outcome, state = result.check, result.outcome, self.state
        looked = sorted(check["points"].values())
        doubts = working.doubt_words(self.request, state, looked, step.panel)
        doubted = [*doubts, *self._contradicted(result)]
        out: Json = {
            "id": check["id"],
            "title": as_json(Msg(check["title"])),
            "verdict": result.verdict,
            "says": [*doubts, *as_json(outcome.says)],
            "limits": [
                {
                    "name": limit["name"],
                    "value": str(limit["value"]),
                    "basis": limit["basis"]["kind"],
                    "words": as_json(words),
                }
                for limit, words in results.limits_in_words(result)
            ],
            "basis": {
                "kind": results.basis_of(result)["kind"],
                "words": results.basis_text(self.request, state, result),
            },
            "readings": [self.numbers[id] for id in result.readings],
            "done": results.done_about(self.request, state, step, result),
        }
        if doubted:
            out["doubted"] = doubted
        if check.get("matters"):
            out["matters"] = check["matters"]
        if check.get("reason"):
            out["reason"] = as_json(Msg(check["reason"]))
        if only_noted(result):
            out["only_noted"] = True
        if outcome.value is not None or outcome.tilt is not None:
            out["figure"] = _figure(outcome)
        if result.conceded is not None:
            body = result.conceded["body"]
            out["conceded"] = {
                **self._by(result.conceded),
                "reason": body["reason"],
                "answer": body.get("answer", ""),
            }
        if result.provisional is not None:
            out["provisional"] = as_json(told_by_voice(self.request, result))
        profile = results.profile_given(state, step, result)
        if profile is not None:
            out["profile"] = _without_titles(profile)
        return out

    def _contradicted(self, result: judge.Result) -> Any:
        """Return what is to be said of typed times that the entries' own times contradict."""
        if result.clock is None:
            return []
        return as_json(clocks.typed_says(self.state, result.clock))

    def _readings(self, step: Step) -> list[Json]:
        """Return a step's readings, point by point, without those that were struck."""
        return [
            self._reading(event)
            for point in step.data["points"]
            for panel in [self.state.panel_for(point["id"], step.panel)]
            for event in self.taken
            if (event["body"]["point"], event["body"]["panel"]) == (point["id"], panel)
            and event["id"] not in self.state.ledger.removed
        ]

    def _out_of_reach(self, step: Step) -> list[int]:
        """Return the entries that say that a place could not be reached, and still stand."""
        state = self.state
        return [
            self.numbers[reading.id]
            for point in step.data["points"]
            for panel in [state.panel_for(point["id"], step.panel)]
            for place in state.places(point["id"], panel)
            for reading in state.readings(point["id"], panel, place.id)
            if not reading.reached
        ]

    def _reading(self, event: Json) -> Json:
        body, request, state = event["body"], self.request, self.state
        out: Json = {
            **self._by(event),
            "point": body["point"],
            "panel": body["panel"],
            "place": body["place"],
            "where": history.place_text(request, state, body),
            "typed": body.get("text", ""),
        }
        if event["kind"] == "reading.unreachable":
            out["unreached"] = True
        else:
            out |= {"quantity": body["quantity"], "value": body["value"]}
        if body.get("quantity") == "choice":
            out["chosen"] = as_json(history.value_text(request, event, state))
        kind, fate, words = history.fate_of(request, state, event)
        if kind:
            out["fate"] = {"kind": kind, "words": fate}
        origin = origin_of(state.ledger, event["id"])
        if origin is not None:
            out["taken_in"] = True
            words = words or origin["body"]["reason"]
        tool = history.tool_text(request, state, event)
        optional = {
            "measured_by": body.get("measured_by", ""),
            "measured_at": body.get("measured_at", ""),
            "instrument": body.get("instrument", ""),
            "tool": tool if tool != body.get("instrument", "") else "",
            "words": words or body.get("why", "") or body.get("note", ""),
            "clock": self.receipts.remarks(event),
        }
        return out | {name: value for name, value in optional.items() if value}

    def _of(self, event: Json) -> Any:
        return what_and_where(self.request, self.state, event["body"])

    def _photos(self, step: Step) -> list[Json]:
        texts = {task["id"]: task["text"] for task in step.data["tasks"]}
        sign = gate.sign_of(self.state, step)
        return [
            {
                **self._by(event),
                "task": event["body"]["task"],
                "text": photo_text(self.request, self.state, texts, event["body"]["task"]),
                "sha256": event["body"]["sha256"],
                "width": event["body"]["width"],
                "height": event["body"]["height"],
                **({"late": True} if sign is not None and came_after(event, sign.event) else {}),
            }
            for event in self.state.ledger.of_kind("photo.taken")
            if event["body"]["step"] == step.key
        ]

    def _as_left(self) -> list[int]:
        """Return the readings that say how the door was left."""
        return [
            self.numbers[reading.id]
            for point, panel, place in purposes.places_of_purpose(self.state, purposes.AS_LEFT)
            for reading in self.state.readings(point, panel, place.id)
        ]

    def _query(self, query: Json, answer: Json | None) -> Json:
        body = query["body"]
        out = {
            **self._by(query),
            "words": body["words"],
            "measured": body.get("measured", ""),
            "drawn": body.get("drawn", ""),
            "bars": body["bars"],
            "answer": None,
        }
        if answer is not None:
            said = {name: answer["body"][name] for name in ("answer", "words")}
            out["answer"] = {**self._by(answer), **said}
        return out

    def _correction(self, event: Json) -> Json:
        body = event["body"]
        check = self.state.check(body["check"])
        title = Msg(check["title"]) if check is not None else body["check"]
        return {
            **self._by(event),
            "step": body["step"],
            "check": as_json(title),
            "words": body["words"],
        }

    def _taken_in(self, event: Json) -> Json:
        return {"text": as_json(taken_in(self.request, event)), "words": event["body"]["reason"]}

    def _signatures(self) -> list[Json]:
        """Return what others signed on the screen: the builder's sheets."""
        out = []
        for step in self.state.steps:
            for decision in step.data["decisions"]:
                signed = self.state.sheet_answer(step.key, decision["id"])
                if signed is not None:
                    later = sheet.changed_since(self.state, step, decision, signed)
                    fact = {
                        **self._signature(signed),
                        "step": step.key,
                        "text": as_json(Msg(decision["text"])),
                        "chosen": as_json(sheet.choice_words(decision, signed["body"]["choice"])),
                        "later": as_json(later),
                    }
                    out.append(fact)
        return out

    def _signature(self, event: Json) -> Json:
        body = event["body"]
        return {
            **self._by(event),
            "name": body["name"],
            "words": body.get("words", ""),
            "strokes": body.get("strokes", []),
            "received": self.receipts.at(event),
        }

    def _owner(self) -> Json | None:
        """Return the owner's signature at the handover; None where there is none."""
        signed = self.state.handed_over()
        return self._signature(signed) if signed is not None else None

    def _tool(self, tool: Tool) -> Json:
        last = tool.last
        checked = {**self._by(last), "good": check_passed(last)} if last is not None else None
        return {"id": tool.id, "name": tool.name, "checked": checked}

    def _names_none(self, event: Json) -> bool:
        """Return whether a reading that needs an instrument names none."""
        point = self.state.points.get(event["body"]["point"])
        by_tool = point is not None and point["tool"] not in NO_TOOLS
        return by_tool and not event["body"].get("instrument")

    def _people(self) -> list[Json]:
        """Return who worked on it, and what they did."""
        did: dict[str, set[str]] = {}
        for event in self.state.ledger.events:
            what = "signed" if event["kind"] == "step.signed" else "entered"
            if event["device"].startswith("office-"):
                what = "office"
            did.setdefault(event["person"], set()).add(what)
        return [{"who": person, "did": sorted(did[person])} for person in sorted(did)]


def procedure_fact(state: State) -> Json:
    """Return which procedure an opening follows, and in which language that is written."""
    out: Json = {
        "title": as_json(Msg(state.procedure["title"])),
        "version": state.procedure["version"],
    }
    if "lang" in state.procedure:
        out["lang"] = state.procedure["lang"]
    return out


def only_noted(result: judge.Result) -> bool:
    """Return whether a check asks that something is written down, and it is: nothing is judged."""
    return spec_of(result.check["calc"]).notes and result.verdict == "within"


def _figure(outcome: Any) -> Json:
    """Return the figure that decided, with the limits that it was held against, as text."""
    named = {
        "value": outcome.value,
        "low": outcome.low,
        "high": outcome.high,
        "tilt": outcome.tilt,
    }
    known = {name: str(value) for name, value in named.items() if value is not None}
    return {"quantity": outcome.quantity, **known}


def _without_titles(profile: Json) -> Json:
    """Return what a profile is drawn from, without the places' titles: no picture shows them."""
    if "floor" not in profile:
        return profile
    stations = [
        {name: value for name, value in station.items() if name != "title"}
        for station in profile["floor"]["stations"]
    ]
    return {"floor": {**profile["floor"], "stations": stations}}
