"""A story: an opening from issue to record, with acts of chance between, told by a seed.

Every act draws from a chance of its own (seed and number), so that a story from which acts are
left out does the others alike: that is how one that fails is made short.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from fastapi import FastAPI

from app.core.trade.drawing import Drawing
from app.office.issue import reading
from app.office.issue.alike import gathered_from_rows
from app.procedures.compiler import compile_text
from tests.stories import acts, doors, procedures
from tests.stories.house import Fault, House, Visitor
from tests.stories.page import Form
from tests.stories.work import ProperEndError, Work

MOST_READINGS = 24
MOST_ACTS = 8
LIFTING = 3  # of five seeds one plays on a lift-and-slide door: those that leave this


@dataclass
class Told:
    """How a story went: its door, its acts, its fault ("" for none), what was asked for."""

    seed: int
    door: str = ""
    acts: list[str] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    fault: str = ""
    end: str = ""
    trail: list[str] = field(default_factory=list)

    @property
    def short(self) -> str:
        """Return the fault in one line."""
        return self.fault.split("\n", maxsplit=1)[0][:300]


def tell_story(
    seed: int,
    only: list[int] | None = None,
    wrap: Callable[[FastAPI], None] | None = None,
    readings: int = MOST_READINGS,
) -> Told:
    """Play the story of a seed; only: the numbers of the acts that are done, None for all.

    readings: how many a procedure may ask for at most.
    """
    told = Told(seed)
    house = House(seed, wrap)
    try:
        _play(told, house, only, readings)
    except Fault as fault:
        told.fault = f"{type(fault).__name__}: {fault}"
    except ProperEndError as end:
        told.end = str(end)
    finally:
        told.trail = house.trail
        house.close()
    return told


PRACTICE_WORDS = ("Practice: not a door", "Práctica: no es una puerta")  # some read Spanish
# stories of openings that are practised on, at a table or on a mock-up
PRACTICE = {
    4: {"practice": "table", "fault_1_kind": "right-jamb-out", "fault_1_size": "1/8",
        "fault_2_kind": "bed-hump", "fault_2_at": "20", "fault_2_size": "1/8"},
    6: {"practice": "mock-up"},
}  # fmt: skip


def stays_apart(work: Work) -> None:
    """Fail unless what was practised says so, and no list of work has it."""
    office = work.office
    for path in (work.review, f"/record/{work.opening}", work.path, f"{work.path}/practice"):
        words = office.go(path).words
        if not any(said in words for said in PRACTICE_WORDS):
            raise Fault(f"{path} does not say that it is practice")
    for path in ("/office", "/office?show=done", "/office/today"):
        if any(work.opening in link for link in office.go(path).links):
            raise Fault(f"{path} counts practice as work")
    if not any(work.opening in link for link in office.go("/office?show=practice").links):
        raise Fault("practice is on no list")


def _play(told: Told, house: House, only: list[int] | None, readings: int) -> None:
    chance = Random(told.seed)
    work = issue(told, house, chance, readings)
    count = chance.randint(2, MOST_ACTS)
    for number in range(count):
        if only is None or number in only:
            own = Random(f"{told.seed}|{number}")
            act = acts.choose(own)
            told.acts.append(act.__name__)
            told.numbers.append(number)
            house.trail.append(f"--- {number} {act.__name__}")
            act(house, work, own)
    house.trail.append("--- finish")
    crew = house.visitors[chance.choice(("installer", "second"))]
    work.finish(crew)
    if told.seed % 7 in PRACTICE:
        stays_apart(work)
    told.end = "accepted"


def issue(told: Told, house: House, chance: Random, readings: int) -> Work:
    """Take a procedure in, make a job, and issue an opening of it, by the office's pages."""
    raw, compiled, texts, whole = _fitting(chance, readings, told.seed % 5 == LIFTING)
    told.door = doors.described(texts)
    office = house.visitors["supervisor"]
    take_procedure(house, procedures.text_of(raw))
    page = office.go("/office/jobs")
    page = office.go(office.link("/office/jobs/new"), page.path)
    form = next(f for f in page.forms if f.action == "/office/jobs/new")
    place = {"title": "Heron Quay", "address": "2 Heron Quay", "homeowner": "Orla Owner"}
    page = office.send(form, place, kept=True)
    page = office.go(office.link("/openings/new"), page.path)
    form = next(f for f in page.forms if f.action.endswith("/openings/new"))
    given = {"letter": "A", "room": "Hall", "act": "issue", "crew.tobin": "yes", "crew.ines": "yes"}
    given |= {"procedure": f"{compiled['id']}@{compiled['version']}"}
    given |= {"depth": chance.choice(("short", "full"))}
    given |= PRACTICE.get(told.seed % 7, {})
    sent = {**gathered_from_rows(texts), **given}
    if "fault_1_kind" in sent:
        sent = _plantable(office, form, sent)
    if sent:
        office.send(form, sent, kept=True)
    return Work(house, form.hidden("opening"), whole)


def _plantable(office: Visitor, form: Form, sent: dict[str, str]) -> dict[str, str]:
    """Send a form with faults; return it without those that no point of this procedure shows.

    {} where all of them show: then it is kept.
    """
    page = office.send(form, sent)
    refused = set(re.findall(r'href="#f-(fault-\d)-size"', page.text))
    if not refused and any(one.action == form.action for one in page.forms):
        raise Fault(f"refused, and no fault is why: {page.words[:300]}")
    if not refused:
        return {}
    return {name: text for name, text in sent.items() if _row_of(name) not in refused}


def _row_of(name: str) -> str:
    return "-".join(name.split("_")[:2])


def take_procedure(house: House, text: str) -> None:
    """Take a procedure in as text; its limits are new, so an administrator puts it in force."""
    office = house.visitors["supervisor"]
    page = office.go("/office/procedures")
    page = office.go(office.link("/office/procedures/new"), page.path)
    form = next(f for f in page.forms if f.action == "/office/procedures/new")
    page = office.send(form, {"text": text}, kept=True)
    keeper = house.visitors["administrator"]
    page = keeper.go(page.path)
    for one in page.forms:
        if one.action.endswith("/force"):
            keeper.send(one, {"why": "Its first version."}, kept=True)


def _fitting(
    chance: Random, readings: int, lifting: bool
) -> tuple[dict[str, object], dict[str, object], dict[str, str], dict[str, str]]:
    """Return a procedure and a door on which it asks for no more readings than a story has."""
    panels = chance.choice((2, 3, 4) if lifting else (1, 2, 3, 4, 6, 8))
    cut_from = procedures.LIFTING if lifting else procedures.SHIPPED
    for _ in range(200):
        raw = procedures.small_procedure(chance, whole=cut_from)
        compiled = compile_text(procedures.text_of(raw), "story")
        terms = reading.terms_of("in", compiled)
        texts, whole = doors.door_texts(chance, terms, panels, lifting)
        drawn = reading.read_drawing(texts, terms).drawing
        if procedures.size_on(compiled, Drawing(drawn)) <= readings:
            return raw, compiled, texts, whole
    raise AssertionError("no procedure is small enough")
