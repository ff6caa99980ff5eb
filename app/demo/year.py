"""A year of accepted doors of the demo company, so that what doors teach can be looked at.

What the file holds is told at the head of seed_data/demo/year.yaml. Each door is worked entry by
entry through the core: what is out is put right and read again, and no gate is passed that is
barred. A door that is there already is left as it is.
"""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from math import isqrt
from pathlib import Path

from sqlmodel import Session

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown, parse_amount
from app.core.quantity.messages import Msg
from app.core.quantity.units import INCH
from app.core.record import gate, judge
from app.core.record.events import new_event
from app.core.record.fold import carried_forward
from app.core.record.gate import verdict_lines
from app.core.record.state import State, Step
from app.core.record.written import judged_by
from app.core.trade.drawing import Drawing
from app.core.trade.verdicts import OUT
from app.core.where.place import Place
from app.core.where.places import SHORT
from app.demo.company import FOLDER, DemoError, read_drawing, read_yaml
from app.procedures.compiler import compile_file
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Crew, CrewSetup, Job, Opening

OFFICE = "nadia-ferrow"
FIRST_MINUTE, MINUTES_A_DAY = 8 * 60, 8 * 60
MOST_ROUNDS = 12  # of reading a step again, and of putting it right
UNEVEN = INCH // 64

Issue = Callable[[Session, list[Json]], object]  # what follows an acceptance: the record


def load_year(database: Database, issue: Issue, folder: Path = FOLDER) -> Iterator[str]:
    """Load the doors one by one, each whole or not at all; yields the opening of each.

    Errors: DemoError where the file does not fit the procedure.
    """
    year = read_yaml(folder / "year.yaml")
    compiled = compile_file(folder.parent / "procedures" / year["procedure"])
    with database.write() as session:
        procedures.add_procedure(session, compiled)
        for crew in year["crews"]:
            if session.get(Crew, crew["id"]) is None:
                session.add(Crew(id=crew["id"], name=crew["name"]))
                session.flush()
                people = " ".join(crew["people"])
                session.add(CrewSetup(crew=crew["id"], first="2025-01-01", people=people))
    for number in range(year["doors"]["count"]):
        opening = f"year-{number + 1:02}"
        with database.write() as session:
            if session.get(Opening, opening) is None:
                _add_place(session, year, number, opening)
                PastDoor(session, year, number, opening, compiled, folder).work(issue)
        yield opening


def _home_of(year: Json, number: int) -> Json:
    home: Json = year["homes"][number % len(year["homes"])]
    return home


def _add_place(session: Session, year: Json, number: int, opening: str) -> None:
    home = _home_of(year, number)
    at = number // len(year["homes"]) % len(home["jobs"])
    title, address = home["jobs"][at]
    job = "year-" + title.casefold().replace(" ", "-")
    if session.get(Job, job) is None:
        session.add(Job(id=job, title=title, address=address, builder=home["builder"]))
        session.flush()
    letter = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number // (len(year["homes"]) * len(home["jobs"]))]
    session.add(Opening(id=opening, job=job, letter=letter, room="Garden side"))
    session.flush()


class PastDoor:
    """One door from its issue to its acceptance, and to a service visit where it came back."""

    def __init__(
        self, session: Session, year: Json, number: int, opening: str, compiled: Json, folder: Path
    ) -> None:
        self.session = session
        self.year = year
        self.number = number
        self.opening = opening
        self.crew: Json = year["crews"][number // 2 % len(year["crews"])]
        self.procedures = {procedures.key_of(compiled): compiled}
        drawing = year["drawings"][number % len(year["drawings"])]
        self.events: list[Json] = []
        self.folded: State | None = None
        self.begun = _day_of(year["doors"]["first"]) + timedelta(number * year["doors"]["every"])
        self.minute = 0
        self.devices = {hand: device_id(session, hand) for hand in ("office", "web")}
        self.wrong = self._spoiled()
        self.enter("opening.issued", {
            "procedure": compiled["id"], "version": compiled["version"], "depth": SHORT,
            "drawing": read_drawing(folder / "drawings" / drawing),
        }, OFFICE)  # fmt: skip

    def _spoiled(self) -> dict[tuple[str, int], int]:
        """Return (point, number of the place) -> how much it is wrong at first, nanometres."""
        out = {}
        for one in self.year["spoiled"]:
            ours = one.get("crew", self.crew["id"]) == self.crew["id"]
            if ours and self.number % one["every"] == 0:
                out[one["point"], one["place"]] = parse_amount("length", one["more"], "in")
        floor = _home_of(self.year, self.number)["floor"]
        low = floor[self.number // len(self.year["homes"]) % len(floor)]
        for point in self.year["floor"]:
            out[point, 1] = parse_amount("length", low, "in")  # read down: lower is more
        return out

    @property
    def state(self) -> State:
        """Return the door as its entries leave it."""
        self.folded = carried_forward(self.folded, self.events, self.procedures, {})
        return self.folded

    def enter(self, kind: str, body: Json, person: str = "") -> Json:
        """Add an entry, a minute after the last: the crew's, or the office's."""
        self.minute += 1
        day, minute = divmod(self.minute, MINUTES_A_DAY)
        hour, minute = divmod(FIRST_MINUTE + minute, 60)
        draft = {
            "id": uuid7(),
            "device": self.devices["office" if person == OFFICE else "web"],
            "opening": self.opening,
            "seen": dict(self.state.heads) if self.events else {},
            "at": f"{self.begun + timedelta(day)}T{hour:02}:{minute:02}:00-05:00",
            "person": person or self.crew["people"][0],
            "kind": kind,
            "body": body,
        }
        made = self.state.ledger.next_event(draft) if self.events else new_event([], draft)
        self.events.append(made)
        return made

    def work(self, issue: Issue) -> None:
        """Do all of it, and keep it in the log."""
        plan = {"crew": self.crew["id"], "crew_name": self.crew["name"]}
        self.enter("opening.planned", {**plan, "start": str(self.begun), "end": str(self.begun)},
                   OFFICE)  # fmt: skip
        for part, _ in self.state.parts():
            self.enter("part.stated", {"mark": part["mark"], "state": "here"})
        for step in self.state.steps:
            self._do_step(step.key)
        owner = {"name": "An invented owner", "consent": True, "words": "Signed on paper."}
        self.enter("handover.signed", owner)
        state = self.state
        lines = [line for step in state.steps for line in verdict_lines(state, step)]
        said = {"result": "accepted", "words": "", **judged_by(state, lines)}
        accepted = self.enter("opening.reviewed", said, OFFICE)
        log.append_events(self.session, self.events)
        issue(self.session, [accepted])
        if self.number in self.year["returns"]:
            self._come_back(self.year["returns"][self.number])

    def _do_step(self, key: str) -> None:
        step = self.state.step(key)
        for task in self.state.tasks(step):
            body: Json = {"step": key, "task": task["id"], "done": True}
            if task["kind"] == "photo":
                body["words"] = "An invented door: nobody could take a photo."
            self.enter("task.ticked", body)
        for decision in step.data["decisions"]:
            chosen = next(choice["id"] for choice in decision["choices"] if choice["opens"])
            body = {"step": key, "decision": decision["id"], "choice": chosen}
            if decision.get("name"):
                body["name"] = "An invented builder"
            self.enter("decision.made", body)
        for round_ in range(MOST_ROUNDS):
            if not self._read_what_is_asked(step) and not self._put_right(step):
                break
            self.minute += 10 * round_
        state = self.state
        bars = gate.bars_of(state, state.step(key))
        if bars:
            words = Msg(
                "{opening}, step {step}: {why}", opening=self.opening, step=key, why=bars[0].message
            )
            raise DemoError("demo-barred", words)
        self.enter("step.signed", gate.sign_off_body(state, state.step(key)))

    def _read_what_is_asked(self, step: Step) -> bool:
        """Read each place that is asked and has no reading; returns whether there was one."""
        some = False
        for point in judge.asked_points(self.state, step):
            how = "down" if point["how"] == "level" else "plain"
            if how == "down" and not self.state.how_read(point["id"], step.panel):
                body = {"point": point["id"], "panel": step.panel, "how": how}
                self.enter("how.chosen", body)
            for at, (place, live) in enumerate(self.state.answers(point["id"], step.panel)):
                if not live:
                    self._read_place(point, step.panel, place, at, how)
                    some = True
        return some

    def _read_place(self, point: Json, panel: str, place: Place, at: int, how: str) -> None:
        quantity = point["quantity"]
        answer = {"yes-no": "yes", "choice": "closed", "text": "as drawn"}.get(quantity, "")
        number = int(quantity == "yes-no") if answer else self._value_at(point, place, at)
        body = {
            "point": point["id"], "panel": panel, "place": place.id, "quantity": quantity,
            "text": answer or amount_shown(quantity, number, "in"), "value": str(number),
            "how": how, "units": "in",
        }  # fmt: skip
        self.enter("reading.taken", body)
        self.minute += self.year["ago"].get(f"{point['id']}/{place.id}", 0)

    def _value_at(self, point: Json, place: Place, at: int) -> int:
        drawn = _drawn_value(self.year, point, place, self.state)
        wrong = self.wrong.pop((point["id"], at), 0)
        if point["id"] in self.year["uneven"] and not wrong:
            wrong = UNEVEN * ((self.number + at) % 3 - 1)
        return drawn + wrong

    def _put_right(self, step: Step) -> bool:
        """Say that each check that is out was put right; returns whether one was."""
        out = [one for one in judge.results_of(self.state, step) if one.verdict == OUT]
        for one in out:
            body = {"step": step.key, "check": one.check["id"], "panel": step.panel}
            self.enter("correction.made", {**body, "words": "Put right."})
        moved = self.year["moved"].get(step.id) if out and self.number % 2 else None
        if moved:
            words = next(one["text"] for one in step.data["adjustments"] if one["id"] == moved)
            body = {"step": step.key, "adjustment": moved, "panel": step.panel, "words": words}
            self.enter("adjustment.made", body)
        return bool(out)

    def _come_back(self, visit: Json) -> None:
        self.events = log.events_of(self.session, [self.opening])[self.opening]
        self.folded = None
        self.minute += visit["days"] * MINUTES_A_DAY
        before = len(self.events)
        begun = self.enter("visit.begun", {"words": visit["words"]})
        body = {"visit": begun["id"], "words": visit["done"], "trace": visit["trace"], "covers": []}
        self.enter("visit.signed", body)
        log.append_events(self.session, self.events[before:])


def _day_of(day: object) -> date:
    return day if isinstance(day, date) else date.fromisoformat(str(day))


def _drawn_value(year: Json, point: Json, place: Place, state: State) -> int:
    """Return what a crew reads at a door that is just as drawn, in base units."""
    drawing = state.drawing
    given = year["values"].get(point["id"], year["unnamed"].get(point["quantity"]))
    sort, what = next(iter(given.items())) if isinstance(given, dict) else ("amount", given)
    line = parse_amount("length", year["unnamed"]["length"], "in")
    if sort in ("panel", "opening", "frame"):
        width, height = _sides_of(sort, place, drawing)
        return {"width": width, "height": height}.get(what, isqrt(width**2 + height**2))
    if sort == "drawn":
        drawn = drawing.value(what)
        return 3 * INCH // 8 if drawn is None else drawn
    if sort == "sum":
        return sum(drawing.need(name) for name in what)
    return line + drawing.need(what) if sort == "below" else _amount(point, what)


def _amount(point: Json, text: str) -> int:
    return parse_amount(point["quantity"], text, "in")


def _sides_of(what: str, place: Place, drawing: Drawing) -> tuple[int, int]:
    """Return the width and the height of the place's panel, of the opening, of the frame inside."""
    if what == "panel":
        panel = drawing.panel(place.panel)
        return panel.width, panel.height
    if what == "opening":
        return drawing.need("opening_width"), drawing.need("opening_height")
    faces = 2 * drawing.need("jamb_face")
    return drawing.need("frame_width") - faces, drawing.need("frame_height") - 3 * INCH
