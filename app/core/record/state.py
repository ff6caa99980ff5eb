"""The state of an opening: what its events add up to.

State(events, procedures) is a function of the set of events and nothing else:
the same for every order of arrival, on every device. Everything is worked out
when asked for, and remembered until something that it was read from changes (memory.py).
"""

from app.core.checks.index import spec_of
from app.core.errors import AppError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record import events as ev
from app.core.record import tools
from app.core.record.ledger import Ledger, reading_slot
from app.core.record.topics import (
    KINDS_WITH_TOPICS,
    Topics,
    adjustment_topic,
    correction_topic,
    photo_topic,
    spoil_topic,
    tie_topic,
)
from app.core.trade.drawing import Drawing
from app.core.trade.setting import setting_order
from app.core.where.place import Place
from app.core.where.places import FULL, SHORT, can_alter, places_of


class Step:
    """One step to be signed: "B1", or a panel's own "E:A" where a step is signed per panel."""

    def __init__(self, data: Json, panel: str) -> None:
        self.data = data
        self.panel = panel
        self.id: str = data["id"]
        self.key = data["id"] + (":" + panel if panel else "")
        self.hold: bool = data["hold"]

    @property
    def title(self) -> Msg:
        """Return the step's words, with the panel's letter where it is signed per panel."""
        return step_title(self.data["title"], self.panel)


class Reading:
    """A live or former answer at a place; value is None where it could not be reached."""

    def __init__(self, event: Json, shift: int = 0) -> None:
        """shift: what ties the set-up that it was read from to the first one, nanometres."""
        body = event["body"]
        self.event = event
        self.shift = shift
        self.id: str = event["id"]
        self.reached = event["kind"] == "reading.taken"
        self.text: str = body.get("text", "")
        self.value: int | None = int(body["value"]) if self.reached else None
        self.how: str = body.get("how", "plain")
        self.why: str = body.get("why", "")

    @property
    def height(self) -> int:
        """Return the value as the calculations want it: read down from a line, bigger is lower."""
        value = self.value or 0
        return self.shift + (-value if self.how == "down" else value)


class State:
    """One opening as its events leave it."""

    def __init__(
        self,
        events: "list[Json]",
        procedures: "dict[str, Json]",
        truths: "dict[str, bool] | None" = None,
        unsure: "dict[str, bool] | None" = None,
    ) -> None:
        """procedures: "id@version" -> compiled procedure. truths: what is already known of
        sign-offs (event id -> true at signing); it is added to, and depends on nothing else.
        unsure: the same while part of a sign-off's past is still to arrive; for this state only."""
        self.ledger = Ledger(events)
        self.memory = self.ledger.memory
        self.procedures = procedures
        self.truths = truths if truths is not None else {}
        self.unsure = unsure if unsure is not None else {}
        # the service visit that this is the state of, and the points it asks: see visits.py
        self.visit: Json | None = None
        self.asked_again: list[str] = []
        self.past: State | None = None  # of the last sign-off that was looked at: gate.was_true
        self.taken = len(events)  # how many of a growing list are folded: counted by fold.py
        self.memory.answer("=begun", self._begin)

    def _begin(self) -> bool:
        """Work out what all else rests on: where that changes, only a new state is exact."""
        self.issue = self._issue()
        self.procedure_event = self.ledger.last("procedure") or self.issue
        self.procedure_key = procedure_key(self.procedure_event)
        self.procedure = self._procedure()
        self.drawing_event = self.ledger.last("drawing") or self.issue
        self.drawing = Drawing(self.drawing_event["body"]["drawing"])
        self.points = {p["id"]: p for step in self.procedure["steps"] for p in step["points"]}
        self.step_of_point = {
            p["id"]: step for step in self.procedure["steps"] for p in step["points"]
        }
        self.steps = self._steps()
        self._clocks: dict[str, list[tuple[Json, str]]] | None = None
        self.topics = Topics(self.procedure)
        self.ledger.file_by(KINDS_WITH_TOPICS, self.topics.of)
        return True

    @property
    def begun(self) -> bool:
        """Return whether issue, drawing and procedure are still those that it began with."""
        return self.memory.holds("=begun")

    @property
    def instruments(self) -> "list[tools.Tool]":
        """Return the instruments that were used here, with their checks: see tools.py."""
        found: list[tools.Tool] = self.memory.answer("=tools", tools.tools_of, self.ledger)
        return found

    def _issue(self) -> Json:
        issued = self.ledger.of_kind("opening.issued")
        if not issued:
            raise MissingError("opening-not-issued", Msg("This opening has not been issued yet."))
        return issued[-1]

    def _procedure(self) -> Json:
        if self.procedure_key not in self.procedures:
            words = Msg("The procedure {name} is not here yet.", name=self.procedure_key)
            raise MissingError("procedure-missing", words)
        found: Json = self.procedures[self.procedure_key]
        return found

    @property
    def depth(self) -> str:
        """Return how much is asked on this opening: full where nobody said short, or it was raised.

        Never lowered: not by an issue that came after.
        """
        if self.raised() is not None:
            return FULL
        issued = self.ledger.of_kind("opening.issued")
        short = all([event["body"].get("depth", FULL) == SHORT for event in issued])
        return SHORT if short else FULL

    @property
    def practice(self) -> "Json | None":
        """Return how this opening is practised on and what was planted: {"way", "faults"}; None
        of a door that is set. No later entry changes it: once issued so, it stays so."""
        for event in self.ledger.of_kind("opening.issued"):
            found: Json | None = event["body"].get("practice")
            if found is not None:
                return found
        return None

    def raised(self) -> "Json | None":
        """Return the event that first raised the depth, or None."""
        found = self.ledger.of_kind("depth.raised")
        return found[0] if found else None

    def _steps(self) -> "list[Step]":
        letters = setting_letters(self.drawing)
        return [
            Step(data, panel)
            for data in self.procedure["steps"]
            for panel in panels_of(data, self.drawing, letters)
        ]

    def tasks(self, step: Step) -> "list[Json]":
        """Return the tasks of a step that this door has something for, in the procedure's order."""
        return [task for task in step.data["tasks"] if self._can_be_done(task, step.panel)]

    def _can_be_done(self, task: Json, panel: str) -> bool:
        where = task.get("on")
        return not where or bool(places_of({"where": where}, self.drawing, panel))

    @property
    def heads(self) -> "dict[str, int]":
        """Return what a page made from this state has seen."""
        return self.ledger.heads

    @property
    def judged(self) -> bool:
        """Return whether every event could be read; with newer ones nothing is judged."""
        return not self.ledger.unreadable

    @property
    def guarded(self) -> bool:
        """Return whether the drawing asks for guard bands; else acceptance is simple."""
        return bool(self.drawing.data.get("rule") == "guarded")

    def step(self, key: str) -> Step:
        """Return a step by its key; raises MissingError 'step-unknown'."""
        for step in self.steps:
            if step.key == key:
                return step
        raise MissingError("step-unknown", Msg("There is no such step."), step=key)

    def point(self, id: str) -> Json:
        """Return a point of the procedure; raises MissingError 'point-unknown'."""
        if id not in self.points:
            raise MissingError("point-unknown", Msg("There is no such point."), point=id)
        found: Json = self.points[id]
        return found

    def panel_for(self, point: str, panel: str) -> str:
        """Return the panel under which a point is kept: the panel, or "" where there is one."""
        return panel if self.step_of_point[point]["per"] else ""

    def places(self, point: str, panel: str) -> "list[Place]":
        """Return where a point is measured on this door, in order."""
        name = "=places|" + point + "|" + panel
        found: list[Place] = self.memory.answer(name, self._find_places, point, panel)
        return found

    def _find_places(self, point: str, panel: str) -> "list[Place]":
        return places_of(self.point(point), self.drawing, panel, self.depth)

    def readings(self, point: str, panel: str, place: str) -> "list[Reading]":
        """Return the live answers at a place: none, one, or several that did not see each other."""
        slot = reading_slot(point, panel, place)
        found: list[Reading] = self.memory.answer("=" + slot, self._find_readings, slot)
        return found

    def _find_readings(self, slot: str) -> "list[Reading]":
        return [
            Reading(event, self.shift_of(event))
            for event in self.ledger.find_live(slot)
            if self.stale_by(event) is None
        ]

    def answers(self, point: str, panel: str) -> "list[tuple[Place, list[Reading]]]":
        """Return each place of a point with its live answers; nobody may alter the lists."""
        name = "=answers|" + point + "|" + panel
        found: list[tuple[Place, list[Reading]]] = self.memory.answer(
            name, self._find_answers, point, panel
        )
        return found

    def _find_answers(self, point: str, panel: str) -> "list[tuple[Place, list[Reading]]]":
        return [
            (place, self.readings(point, panel, place.id)) for place in self.places(point, panel)
        ]

    def is_answered(self, point: str, panel: str) -> bool:
        """Return whether anything was ever answered at a point, and not struck."""
        return any(
            [
                self.ledger.unstruck(reading_slot(point, panel, place.id))
                for place in self.places(point, panel)
            ]
        )

    def ties(self, point: str, panel: str) -> "list[Json]":
        """Return the new set-ups of a level line, tied to the first at a place both had read."""
        return self.ledger.unstruck(tie_topic(point, panel))

    def shift_of(self, event: Json) -> int:
        """Return how much higher a reading is to be taken: by every tie that it has seen."""
        ties = self.ties(event["body"]["point"], event["body"]["panel"])
        return sum([int(tie["body"]["shift"]) for tie in ties if ev.has_seen(event, tie)])

    def tool_of(self, event: Json) -> "tools.Tool | None":
        """Return the instrument that a reading was taken with; None where it names none."""
        id = event["body"].get("instrument", "")
        for tool in self.instruments if id else ():
            if tool.id == id:
                return tool
        return None

    def doubted_by(self, event: Json) -> "Json | None":
        """Return the failed check of a reading's instrument that throws doubt on it, or None."""
        tool = self.tool_of(event)
        return None if tool is None else tools.doubted_by(tool, event)

    def stale_by(self, event: Json) -> "Json | None":
        """Return what spoils a reading: a correction, an adjustment or the office's "measure again"
        that it has not seen, or a check that its instrument failed."""
        for other in self._spoiling(event["body"]["point"]):
            if not ev.has_seen(event, other) and self._spoils(other, event["body"]):
                return other
        return self.doubted_by(event)

    def is_act_spoiled(self, clock: Json, input: str, event: Json) -> bool:
        """Return whether a clock's act was undone by a correction or adjustment it has not seen."""
        return any(
            [
                not ev.has_seen(event, other) and _undoes(other, clock, input)
                for other in self._spoiling(clock["id"])
            ]
        )

    def stale_when(self, event: Json, later: Json) -> bool:
        """Return whether a reading was spoiled by what another event had seen, or is doubted."""
        for other in self._spoiling(event["body"]["point"]):
            known = ev.has_seen(later, other) and not ev.has_seen(event, other)
            if known and self._spoils(other, event["body"]):
                return True
        return self.doubted_by(event) is not None

    def _spoiling(self, about: str) -> "list[Json]":
        """Return what may spoil the entries of a point, or of a clock."""
        found: list[Json] = self.memory.answer("=spoils|" + about, self._find_spoiling, about)
        return found

    def _find_spoiling(self, about: str) -> "list[Json]":
        here = self.ledger.unstruck(spoil_topic(about))
        found = [other for kind in ev.SPOILING_KINDS for other in here if other["kind"] == kind]
        self.memory.note("asked-again")
        if self.visit is not None and about in self.asked_again:
            found.append(self.visit)
        return found

    def ask_again(self, visit: Json, points: "list[str]") -> None:
        """Be the state of a service visit that asks these points anew."""
        self.visit = visit
        self.asked_again = points
        self.memory.forget("asked-again")

    def _spoils(self, other: Json, reading: Json) -> bool:
        if other["kind"] == "visit.begun":
            return True
        if other["kind"] == "correction.made":
            return self._corrects(other["body"], reading)
        if other["kind"] == "opening.reviewed":
            return self._asks_again(other["body"], reading)
        return self._adjusts(other["body"], reading)

    def _corrects(self, correction: Json, reading: Json) -> bool:
        if "places" in correction:
            here = reading["point"] + "|" + reading["place"] in correction["places"]
            kept = here and self.panel_for(reading["point"], correction["panel"])
            # of a step for the whole door: a place of a panel's own step is named by itself
            return here and (not correction["panel"] or bool(kept == reading["panel"]))
        check = self.check(correction["check"])
        if check is None:
            return False
        for input in check["points"]:
            point = check["points"][input]
            spec = spec_of(check["calc"])
            looked_up = input in spec.optional and input not in spec.judged
            if not check.get("clock") and looked_up:
                continue  # words alone void nothing that the check only looks up
            if input == "trial":
                continue  # what one turn does stays so when rollers have been turned
            if point == reading["point"]:
                if check.get("clock") and not _undoes(None, check, self._input_at(check, reading)):
                    return False
                return bool(self.panel_for(point, correction["panel"]) == reading["panel"])
        return False

    def _asks_again(self, review: Json, reading: Json) -> bool:
        panel = review["step"].partition(":")[2]
        again = reading["point"] in review["again"]
        return again and bool(self.panel_for(reading["point"], panel) == reading["panel"])

    def _input_at(self, clock: Json, reading: Json) -> str:
        """Return "end" where a reading ends a clock, else "start"."""
        end = clock["clock"]["end"]
        at = (end.get("point"), end.get("place"))
        return "end" if at == (reading["point"], reading["place"]) else "start"

    def _adjusts(self, adjustment: Json, reading: Json) -> bool:
        found = self.adjustment(adjustment["adjustment"])
        if found is None or reading["point"] not in found["stale"]:
            return False
        if not adjustment["panel"]:
            return True
        point = self.point(reading["point"])
        return all(
            [
                can_alter(point, place, self.drawing, adjustment["panel"])
                for place in self.places(reading["point"], reading["panel"])
                if place.id == reading["place"]
            ]
        )

    def check(self, id: str) -> "Json | None":
        """Return a check of the procedure by its id, or None."""
        return self.topics.checks.get(id)

    def stale_titles(self, move: Json) -> "list[Msg]":
        """Return what an adjustment makes stale: titles of points, and of clocks."""
        checks = [self.check(id) for id in move["stale"] if id not in self.points]
        points = [Msg(self.points[id]["title"]) for id in move["stale"] if id in self.points]
        return points + [Msg(check["title"]) for check in checks if check is not None]

    def adjustment(self, id: str) -> "Json | None":
        """Return an adjustment of the procedure by its id, or None."""
        return self.topics.adjustments.get(id)

    def task_done(self, step: str, task: Json) -> "Json | None":
        """Return the event by which a task is done, or None while it is open.

        A photo task is done by its first photo, or by words why there is none: whichever came
        first, so that what comes later breaks no sign-off. A tick alone does not do it.
        """
        last = self.ledger.last("task|" + step + "|" + task["id"])
        done = last if last is not None and last["body"]["done"] else None
        if done is not None and self._is_undone(task["id"], done):
            done = None
        if task["kind"] != "photo":
            return done
        said = [done] if done is not None and done["body"].get("words") else []
        first = ev.in_order(said + self.photos(step, task["id"]))
        return first[0] if first else None

    def photos(self, step: str, task: str) -> "list[Json]":
        """Return the events of the photos of a task, causes first."""
        return self.ledger.unstruck(photo_topic(step, task))

    def _is_undone(self, task: str, tick: Json) -> bool:
        """Return whether a tick starts or ends a clock that starts again."""
        clocks = self._clocks_by_task().get(task, [])
        return any([self.is_act_spoiled(clock, input, tick) for clock, input in clocks])

    def _clocks_by_task(self) -> "dict[str, list[tuple[Json, str]]]":
        """Return task -> the clocks that it starts or ends."""
        if self._clocks is None:
            found: dict[str, list[tuple[Json, str]]] = {}
            for step in self.procedure["steps"]:
                for check in step["checks"]:
                    sides = check.get("clock") or {}
                    for input in sides:
                        if "task" in sides[input]:
                            found.setdefault(sides[input]["task"], []).append((check, input))
            self._clocks = found
        return self._clocks

    def decided(self, step: str, decision: str) -> "Json | None":
        """Return the event of a decision that was made, or None."""
        return self.ledger.last("decision|" + step + "|" + decision)

    def how_read(self, point: str, panel: str) -> str:
        """Return how a point is read: "plain", or "down"/"up" once chosen, "" before."""
        if self.point(point)["how"] != "level":
            return "plain"
        chosen = self.ledger.last("how|" + point + "|" + panel)
        how = chosen["body"]["how"] if chosen else ""
        # one that this version does not know is asked for again
        return how if how in ("down", "up", "plain") else ""

    def usual_way(self) -> str:
        """Return how the last point was read for which a way was chosen here; "" before the first.

        One laser stands on an opening: what was chosen once need not be chosen for every line.
        """
        chosen = self.ledger.of_kind("how.chosen")
        how = chosen[-1]["body"]["how"] if chosen else ""
        return how if how in ("down", "up") else ""

    def parts(self) -> "list[tuple[Json, Json | None]]":
        """Return each line of the parts list with the event that last said how it is."""
        listed = self.drawing.data.get("parts", [])
        return [(part, self.ledger.last("part|" + part["mark"])) for part in listed]

    def queries(self) -> "list[tuple[Json, Json | None]]":
        """Return each query with the office's answer, or None while it is open."""
        raised = self.ledger.of_kind("query.raised")
        return [(query, self.ledger.last("answer|" + query["id"])) for query in raised]

    def corrections(self, check: str, panel: str) -> "list[Json]":
        """Return what was done about a check, first to last."""
        return self.ledger.unstruck(correction_topic(check, panel))

    def adjustments(self, step: str) -> "list[Json]":
        """Return the adjustments that were made in a step."""
        return self.ledger.unstruck(adjustment_topic(step))

    def handed_over(self) -> "Json | None":
        """Return the owner's signature at the handover, or None."""
        return self.ledger.last("handover")

    def sheet_answer(self, step: str, decision: str) -> "Json | None":
        """Return the signature under the sheet of an opening that is not ready, or None."""
        return self.ledger.last("sheet|" + step + "|" + decision)

    def review(self) -> "Json | None":
        """Return the office's last word on the opening, or None."""
        return self.ledger.last("review")

    def plan(self) -> Json:
        """Return what the office planned: crew, crew_name, start, end, promised; "" where open."""
        last = self.ledger.last("plan")
        body: Json = last["body"] if last is not None else {}
        names = ("crew", "crew_name", "start", "end", "promised")
        return {name: body.get(name, "") for name in names}

    def closed(self) -> "Json | None":
        """Return the event by which the office closed the opening; None while it is open."""
        last = self.ledger.last("closed")
        return last if last is not None and last["kind"] == "opening.closed" else None

    def cancelled(self) -> "Json | None":
        """Return the event by which the office cancelled the work; None where it goes on."""
        closed = self.closed()
        return closed if closed is not None and closed["body"]["result"] == "cancelled" else None


def _undoes(other: "Json | None", clock: Json, input: str) -> bool:
    """Return whether what was done undoes the act that starts or ends a clock.

    Who waits longer after too short a time does only the end again. What was done in too long a
    time, or was moved, is done again from the start.
    """
    moved = other is not None and other["kind"] == "adjustment.made"
    return moved or input == "end" or "most" in clock["limits"]


def procedure_key(event: Json) -> str:
    """Return the id@version that an opening was issued with, or moved to."""
    return str(event["body"]["procedure"]) + "@" + str(event["body"]["version"])


def step_title(title: str, panel: str) -> Msg:
    """Return a step's words, with the panel's letter where it is signed per panel."""
    if panel:
        return Msg("{title}, panel {letter}", title=Msg(title), letter=panel)
    return Msg(title)


def setting_letters(drawing: Drawing) -> "list[str]":
    """Return the letters in order of setting; from the left where the drawing is in doubt."""
    try:
        return [turn.panel.letter for turn in setting_order(drawing)]
    except AppError:
        return [panel.letter for panel in drawing.panels]


def panels_of(step: Json, drawing: Drawing, letters: "list[str]") -> "list[str]":
    """Return the panels a step is signed for, in order of setting; [""] for a step of its own."""
    if not step["per"]:
        return [""]
    if step["per"] == "fixed-panel":
        return [letter for letter in letters if not drawing.panel(letter).slides]
    return letters
