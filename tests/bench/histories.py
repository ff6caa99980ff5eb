"""Histories of an opening for the benches: so many events, made by the core's own rules.

A crew surveys the sill, works through the door and signs; then they measure again and again, a
little off each time: readings struck, things moved and put right, ticks taken back, steps signed
anew. The same seed gives the same history.
"""

from random import Random

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown
from app.core.record import gate
from app.core.record.events import new_event
from app.core.record.state import State, Step
from tests.core.ticks import tick_body
from tests.procedures.perfect_door import measured_at, value

SIXTEENTH = 25_400_000 // 16
SURVEY = ("sill-room", "sill-weather")  # surveyed first, so that every history has them
AGAIN = 400  # events between two rounds of signing anew


class History:
    """The events of one opening; hands: the devices that write in turn."""

    def __init__(self, issue: Json, procedures: Json, hands: list[str], name: str) -> None:
        self.events: list[Json] = []
        self.procedures = procedures
        self.hands = hands
        self.name = name
        self.chance = Random(name)
        self.truths: dict[str, bool] = {}
        self.last: dict[str, Json] = {}
        self._keep(issue)

    def _keep(self, event: Json) -> None:
        self.events.append(event)
        self.last[event["device"]] = event

    def now(self) -> str:
        """Return what the hands' clocks say at the next entry."""
        count = len(self.events)
        time = f"{8 + count // 60 % 9:02}:{count % 60:02}:00-05:00"
        return f"2026-03-{2 + count // 400 % 20:02}T{time}"

    def state(self) -> State:
        return State(self.events, self.procedures, self.truths)

    def enter(self, kind: str, body: Json) -> Json:
        """Add an entry by one of the hands, who has seen all before it."""
        count = len(self.events)
        draft = {
            "id": f"{self.name}-{count}",
            "device": self.hands[count // 40 % len(self.hands)],
            "opening": self.events[0]["opening"],
            "seen": {device: event["n"] for device, event in self.last.items()},
            "at": self.now(),
            "person": "tobin-hale",
            "kind": kind,
            "body": body,
        }
        made = new_event(list(self.last.values()), draft)  # the heads are all that it looks at
        self._keep(made)
        return made

    def read(self, state: State, point: Json, panel: str, place: Json, off: int) -> Json:
        """Measure a place: what a perfect door gives, and so many nanometres off."""
        quantity = point["quantity"]
        number = value(point, place, state.drawing) + (off if quantity == "length" else 0)
        words = {"text": "as drawn", "choice": "closed", "yes-no": "yes" if number else "no"}
        number = min(number, 1) if quantity in words else number
        text = words.get(quantity) or amount_shown(quantity, max(0, number), "in")
        body = {
            "point": point["id"], "panel": panel, "place": place.id, "quantity": quantity,
            "text": text, "value": str(max(0, number)), "units": "in",
            "how": "down" if point["how"] == "level" else "plain",
        }  # fmt: skip
        made = measured_at(point, place, self.now())
        return self.enter("reading.taken", {**body, **({"measured_at": made} if made else {})})

    def survey(self, state: State, point: Json, panel: str) -> None:
        """Measure a point at all its places."""
        if point["how"] == "level":
            self.enter("how.chosen", {"point": point["id"], "panel": panel, "how": "down"})
        for place in state.places(point["id"], panel):
            self.read(state, point, panel, place, self.chance.choice((0, 0, 0, 1)) * SIXTEENTH // 2)

    def work(self, most: int) -> None:
        """Do the door step by step, as far as so many events reach."""
        state = self.state()
        for id_ in SURVEY:
            self.survey(state, state.point(id_), "")
        for part, _ in state.parts():
            self.enter("part.stated", {"mark": part["mark"], "state": "here"})
        for step in state.steps:
            if len(self.events) < most:
                self.step(state, step)

    def step(self, state: State, step: Step) -> None:
        """Do all of a step, and sign it where the gate lets."""
        for task in step.data["tasks"]:
            self.enter("task.ticked", tick_body(step.key, task))
        for decision in step.data["decisions"]:
            chosen = next(choice["id"] for choice in decision["choices"] if choice["opens"])
            name = {"name": "Bo Builder"} if decision.get("name") else {}
            made = {"step": step.key, "decision": decision["id"], "choice": chosen, **name}
            self.enter("decision.made", made)
        for point in step.data["points"]:
            if point["id"] not in SURVEY:
                self.survey(state, point, state.panel_for(point["id"], step.panel))
        self.sign(step.key)

    def sign(self, key: str) -> None:
        """Sign a step as it stands; with a shut gate it is a sign-off that is disputed."""
        state = self.state()
        step = state.step(key)
        self.enter("step.signed", gate.sign_off_body(state, step))

    def again(self, most: int) -> None:
        """Measure again, strike, move, put right and sign anew, up to so many events."""
        state = self.state()
        while len(self.events) < most:
            self.once(state)
            if len(self.events) % AGAIN == 0:
                self.sign(self.chance.choice(state.steps).key)

    def once(self, state: State) -> None:
        """Do one thing more at a step picked by chance."""
        step = self.chance.choice(state.steps)
        point = self.chance.choice(step.data["points"])
        panel = state.panel_for(point["id"], step.panel)
        places = state.places(point["id"], panel)
        if not places:
            return
        turn = self.chance.random()
        made = self.read(state, point, panel, self.chance.choice(places), self.off())
        if turn < 0.04:
            self.enter("entry.struck", {"target": made["id"], "why": "mistyped"})
        elif turn < 0.06 and step.data["checks"]:
            check = self.chance.choice(step.data["checks"])["id"]
            said = {"step": step.key, "check": check, "panel": step.panel, "words": "packed"}
            self.enter("correction.made", said)
        elif turn < 0.07 and step.data["adjustments"]:
            move = self.chance.choice(step.data["adjustments"])
            said = {"step": step.key, "adjustment": move["id"], "panel": step.panel}
            self.enter("adjustment.made", {**said, "words": move["text"]})
        elif turn < 0.12 and step.data["tasks"]:
            task = self.chance.choice(step.data["tasks"])["id"]
            self.enter("task.ticked", {"step": step.key, "task": task, "done": turn < 0.11})

    def off(self) -> int:
        """Return how far off a reading is: mostly little, now and then out of tolerance."""
        return int(self.chance.gauss(0, 1) * SIXTEENTH) // 4 * 2


def history(issue: Json, procedures: Json, hands: list[str], name: str, most: int) -> list[Json]:
    """Return so many events, the survey of the sill among the first fifty.

    The last of them measure the sill's survey once more, so that every history ends alike.
    """
    made = History(issue, procedures, hands, name)
    made.work(most)
    made.events = made.events[:most]
    made.last = {event["device"]: event for event in made.events}
    if most > len(made.events):
        point = made.state().point(SURVEY[0])
        places = made.state().places(point["id"], "")
        made.again(most - 2 * len(places))
        state = made.state()
        for id_ in SURVEY:
            for place in state.places(id_, ""):
                made.read(state, state.point(id_), "", place, 0)
    return made.events[:most]
