"""Turn the demo's files into events, as a crew's pages would, through the real core.

For tests only: no sign-in, no database, one device for the crew and one for the office.
"""

from pathlib import Path

import yaml

from app.core.kinds import Any, Json
from app.core.quantity.measure import parse_amount
from app.core.record import events, gate
from app.core.record.state import State, Step
from app.core.trade.drawing import Drawing
from app.core.where.places import SHORT
from app.procedures import compile_file
from app.procedures.drawings import drawing_json
from tests.core.ticks import tick_body

SEED = Path(__file__).resolve().parents[2] / "seed_data"
SHIPPED = {path.name: compile_file(path) for path in sorted((SEED / "procedures").glob("*.yaml"))}
PROCEDURES = {f"{one['id']}@{one['version']}": one for one in SHIPPED.values()}
PROCEDURE = SHIPPED["stacking-door.yaml"]
KEY = f"{PROCEDURE['id']}@{PROCEDURE['version']}"


def company() -> Json:
    return load(SEED / "demo" / "company.yaml")


def load(path: Path) -> Any:
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def openings() -> list[Json]:
    return [opening for job in company()["jobs"] for opening in job["openings"]]


def drawing_of(opening: Json) -> Json:
    """Return an opening's drawing; one of a test may have it instead of the name of a file."""
    if isinstance(opening["drawing"], dict):
        return opening["drawing"]
    return drawing_json(load(SEED / "demo" / "drawings" / opening["drawing"]))


OPENING_DRAWINGS = [drawing_of(opening) for opening in openings()]


def sessions_of(opening: Json) -> list[Json]:
    return load(SEED / "demo" / "records" / opening["record"])["sessions"]


class Book:
    """The events of one opening, and how the next one is added."""

    def __init__(self, opening: Json) -> None:
        self.opening = opening
        self.events: list[Json] = []
        self.refusals: list[str] = []
        self.units = {person["id"]: person["units"] for person in company()["people"]}
        issued = opening["issued"]
        self.procedure = SHIPPED[opening["procedure"]]
        body = {"procedure": self.procedure["id"], "version": self.procedure["version"]}
        body["drawing"] = drawing_of(opening)
        if opening.get("depth", SHORT) == SHORT:
            body["depth"] = SHORT
        self.add("office-demo", issued["by"], issued["at"], "opening.issued", body)

    @property
    def state(self) -> State:
        return State(self.events, PROCEDURES)

    @property
    def drawing(self) -> Drawing:
        return self.state.drawing

    def step(self, key: str) -> Step:
        return self.state.step(key)

    def add(self, device: str, person: str, at: str, kind: str, body: Json) -> None:
        draft = {
            "id": f"{self.opening['id']}-{len(self.events)}",
            "device": device,
            "opening": self.opening["id"],
            "seen": events.heads_of(self.events),
            "at": at,
            "person": person,
            "kind": kind,
            "body": body,
        }
        self.events.append(events.new_event(self.events, draft))

    def play(self) -> "Book":
        for session in sessions_of(self.opening):
            for entry in session["entries"]:
                for kind, body in self.bodies(entry, session["by"]):
                    self.add("web-demo", session["by"], session["at"], kind, body)
        return self

    def bodies(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        return getattr(self, "_" + entry["do"])(entry, by)

    def _tick(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        step = self.step(entry["step"])
        wanted = entry["tasks"]
        known = [task["id"] for task in step.data["tasks"]]
        assert wanted == "all" or set(wanted) <= set(known)
        return [
            ("task.ticked", tick_body(step.key, task, entry.get("no_photo", "")))
            for task in step.data["tasks"]
            if wanted == "all" or task["id"] in wanted
        ]

    def _part(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        marks = [part["mark"] for part, _ in self.state.parts()]
        chosen = marks if entry["marks"] == "all" else entry["marks"]
        return [("part.stated", {"mark": mark, "state": entry["state"]}) for mark in chosen]

    def _decide(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        kept = ("step", "decision", "choice", "name", "words")
        decisions = self.step(entry["step"]).data["decisions"]
        choices = {d["id"]: [c["id"] for c in d["choices"]] for d in decisions}
        assert entry["choice"] in choices[entry["decision"]]
        return [("decision.made", {name: entry[name] for name in kept if name in entry})]

    def _how(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        assert all(self.state.point(id_)["how"] == "level" for id_ in entry["points"])
        return [
            ("how.chosen", {"point": id_, "panel": entry.get("panel", ""), "how": entry["how"]})
            for id_ in entry["points"]
        ]

    def _read(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        panel = entry.get("panel", "")
        spots = [place.id for place in self.state.places(entry["point"], panel)]
        texts = entry.get("texts", [entry.get("text")])
        places = [entry["place"]] if "place" in entry else spots
        assert len(places) == len(texts), (entry["point"], len(places), len(texts))
        assert set(places) <= set(spots)
        pairs = zip(places, texts, strict=True)
        return [
            ("reading.taken", self._reading(entry, panel, place, text, by)) for place, text in pairs
        ]

    def _reading(self, entry: Json, panel: str, place: str, text: str, by: str) -> Json:
        quantity = self.state.point(entry["point"])["quantity"]
        how = self.state.how_read(entry["point"], panel)
        assert how, "choose first how " + entry["point"] + " is read"
        value = {"yes": 1, "no": 0}[text] if quantity == "yes-no" else 0
        if quantity not in ("yes-no", "text", "choice"):
            value = parse_amount(quantity, text, self.units[by])
        return {
            "point": entry["point"],
            "panel": panel,
            "place": place,
            "quantity": quantity,
            "text": text,
            "value": str(value),
            "how": how,
            "units": self.units[by],
        }

    def _strike(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        live = self.state.readings(entry["point"], entry.get("panel", ""), entry["place"])
        return [("entry.struck", {"target": live[-1].id, "why": entry["why"]})]

    def _correct(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        assert self.state.check(entry["check"])
        body = {name: entry[name] for name in ("step", "check", "words")}
        body["panel"] = entry.get("panel", "")
        return [("correction.made", body)]

    def _adjust(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        moved = self.state.adjustment(entry["adjustment"])
        assert moved
        body = {
            "step": entry["step"],
            "adjustment": moved["id"],
            "panel": "",
            "words": moved["text"],
        }
        return [("adjustment.made", body)]

    def _sign(self, entry: Json, by: str) -> list[tuple[str, Json]]:
        state = self.state
        step = state.step(entry["step"])
        for bar in gate.bars_of(state, step):
            self.refusals.append(f"{step.key}: {bar.code} {bar.message!r} {bar.point}")
        return [("step.signed", gate.sign_off_body(state, step))]
