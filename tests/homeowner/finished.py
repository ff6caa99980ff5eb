"""An opening of the demo from delivery to acceptance, as a crew's and the office's pages leave it.

The door is as drawn but for one sill survey that was out and put right; the texts are what a
person would have typed. For tests only.
"""

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown
from app.core.record import gate
from app.core.record.state import Step
from app.core.record.written import judged_by
from app.homeowner import issuing, view
from app.procedures.compiler import compile_file  # noqa: F401  (the demo's procedure comes of it)
from tests.core.ticks import tick_body
from tests.procedures.demo_book import KEY, PROCEDURE, Book, openings
from tests.procedures.perfect_door import AGO, value

CREW, OFFICE = "tobin-hale", "nadia-ferrow"
PROCEDURES = {KEY: PROCEDURE}
ABOUT = {
    "id": "marrow-lane-a",
    "job_title": "Marrow Lane",
    "address": "12 Marrow Lane, Sampleton",
    "letter": "A",
    "room": "Living room, garden side",
    "company": "Quillfen Door Setters",
    "telephone": "555-0142",
    "company_address": "3 Cooper Yard, Sampleton",
}

NAMES = {"tobin-hale": "Tobin Hale", "nadia-ferrow": "Nadia Ferrow", "job:homeowner": "Orla Owner"}


def revision_of(made: Json, newest: int = 1) -> view.RecordRevision:
    """Return a snapshot as it is shown."""
    return view.RecordRevision(issuing.row_of(made), newest, NAMES, "https://book.example.org")


def shown(made: Json, lang: str = "en", units: str = "in") -> Json:
    """Return what a snapshot says to a reader."""
    return view.contents(revision_of(made), lang, units)


class Finished(Book):
    """A book with the days and hands of a whole installation."""

    def __init__(self, opening: Json | None = None) -> None:
        super().__init__(opening or openings()[0])
        self.minute = 0
        # (point, number of the place) -> how much lower than drawn, nanometres
        self.sinks: dict[tuple[str, int], int] = {}

    def enter(self, kind: str, body: Json, device: str = "web-demo", person: str = CREW) -> Json:
        """Add an event one minute after the last."""
        self.minute += 1
        day, minute = divmod(self.minute, 480)
        at = f"2026-03-{10 + day:02}T{8 + minute // 60:02}:{minute % 60:02}:00-05:00"
        self.add(device, person, at, kind, body)
        return self.events[-1]

    def read(self, point: Json, panel: str, place: Json, number: int, how: str) -> Json:
        """Take a reading, typed as people type."""
        quantity = point["quantity"]
        text = {0: "no", 1: "yes"}[number] if quantity == "yes-no" else ""
        if quantity in ("text", "choice"):
            text = "closed" if quantity == "choice" else "as drawn"
        body = {
            "point": point["id"],
            "panel": panel,
            "place": place.id,
            "quantity": quantity,
            "text": text or amount_shown(quantity, number, "in"),
            "value": str(number),
            "how": how,
            "units": "in",
        }
        if point["tool"] not in ("eye", "person"):
            body["instrument"] = f"{point['tool']} no. 2"
        made = self.enter("reading.taken", body)
        self.minute += AGO.get((point["id"], place.id), 0)  # then it stands
        return made

    def do_step(self, key: str) -> None:
        """Do all of a step, and sign it."""
        state = self.state
        step = state.step(key)
        for task in step.data["tasks"]:
            self.enter("task.ticked", tick_body(key, task))
        for decision in step.data["decisions"]:
            chosen = next(choice["id"] for choice in decision["choices"] if choice["opens"])
            body = {"step": key, "decision": decision["id"], "choice": chosen}
            if decision.get("name"):
                body["name"] = "Bo Builder"
            self.enter("decision.made", body)
        self.measure(step)
        self.sign_step(key)

    def measure(self, step: Step) -> None:
        """Enter every reading of a step."""
        state = self.state
        for point in step.data["points"]:
            how = "down" if point["how"] == "level" else "plain"
            if how == "down":
                body = {"point": point["id"], "panel": step.panel, "how": "down"}
                self.enter("how.chosen", body)
            for at, place in enumerate(state.places(point["id"], step.panel)):
                number = value(point, place, state.drawing) + self.sinks.get((point["id"], at), 0)
                self.read(point, step.panel, place, number, how)

    def sign_step(self, key: str) -> None:
        """Sign a step off."""
        state = self.state
        step = state.step(key)
        assert gate.bars_of(state, step) == [], key
        self.enter("step.signed", gate.sign_off_body(state, step))

    def accept(self, words: str = "") -> Json:
        """Let the office accept."""
        state = self.state
        lines = [line for step in state.steps for line in gate.verdict_lines(state, step)]
        body = {"result": "accepted", "words": words, **judged_by(state, lines)}
        return self.enter("opening.reviewed", body, "office-demo", OFFICE)


def finished(opening: Json | None = None, kind: type[Finished] = Finished) -> Finished:
    """Return an opening that was set, handed over and accepted."""
    book = kind(opening)
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    for step in book.state.steps:
        book.do_step(step.key)
    strokes = [[40, 150, 90, 40, 140, 150, 190, 60], [220, 120, 300, 120]]
    owner = {"name": "Orla Owner", "consent": True, "strokes": strokes}
    book.enter("handover.signed", owner)
    book.accept("Well done.")
    return book
