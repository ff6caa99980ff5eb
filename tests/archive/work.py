"""A whole job by the real program: two phones that send what they enter, an office that answers.

Clock, ids and keys are fixed, so that the same version makes the same log again.
"""

import hashlib
import io
import random
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image

from app.access import pairing
from app.core.kinds import Json
from app.core.record import gate, judge
from app.core.record.canonical import canonical_bytes
from app.core.record.events import heads_of, new_event
from app.core.record.written import judged_by
from app.demo import company
from app.main import create_app
from app.settings import Settings
from app.signing.company_key import FILE
from app.store import log
from app.store.devices import device_id
from app.store.ids import uuid7
from tests.core.ticks import tick_body
from tests.demo.conftest import enter
from tests.homeowner.conftest import OPENING, accept
from tests.homeowner.finished import CREW, OFFICE, Finished
from tests.procedures.perfect_door import IN
from tests.sync.client import Key, Phone, base64url

HERE = Path(__file__).parent
KEY = HERE / FILE  # opens nothing: it signs these files, and no company's
SECONDS = 1_800_000_000  # 2027-01-15T08:00:00Z
NOW = "2027-01-15T09:00:00+00:00"
SQUARE, DIAGONALS = "panel-square", "panel-diagonals"


class FixedKey(Key):
    """A phone's key that is the same each time, and signs without chance (RFC 6979)."""

    def __init__(self, number: int) -> None:
        self._key = ec.derive_private_key(number, ec.SECP256R1())

    def sign(self, message: Json) -> str:
        how = ec.ECDSA(SHA256(), deterministic_signing=True)
        r, s = decode_dss_signature(self._key.sign(canonical_bytes(message), how))
        return base64url(r.to_bytes(32) + s.to_bytes(32))


@contextmanager
def without_chance() -> Iterator[None]:
    """Fix chance and clock of this process, meant for a program that makes nothing else."""
    chance = random.Random(1)

    def now() -> str:  # not counted: a database may have a transaction done twice
        return "2027-01-15T08:00:00.000+00:00"

    with (
        patch.object(secrets, "randbits", chance.getrandbits),
        patch.object(secrets, "token_hex", lambda n=32: chance.randbytes(n).hex()),
        patch.object(time, "time_ns", lambda: SECONDS * 10**9),
        patch.object(log, "received_now", now),
    ):
        yield


class Desk:
    """The office and its two phones."""

    def __init__(self, settings: Settings) -> None:
        settings.data.mkdir(parents=True, exist_ok=True)
        (settings.data / FILE).write_bytes(KEY.read_bytes())
        self.app: FastAPI = create_app(settings, clock=lambda: SECONDS)
        self.app.state.office.now = lambda: NOW
        self.database = self.app.state.server.database
        company.load_company(self.database)
        self.phones = [self._pair(number) for number in (1, 2)]
        self.phone = self.phones[0]

    def _pair(self, number: int) -> Phone:
        phone = Phone(TestClient(self.app))
        phone.key = FixedKey(number)
        with self.database.write() as session:
            code = pairing.make_code(session, CREW, SECONDS)
        phone.pair(code)
        phone.pull()
        return phone

    def meet(self) -> None:
        """Let each phone send what it has, and take what is new."""
        for phone in self.phones:
            states = {receipt["state"] for receipt in phone.push()}
            assert states <= {"stored", "already"}, states
        for phone in self.phones:
            phone.pull()

    def say(self, kind: str, body: Json, at: str) -> None:
        """Let the office enter something."""
        self.meet()
        with self.database.write() as session:
            known = log.events_of(session, [OPENING])[OPENING]
            draft = {
                "id": uuid7(), "device": device_id(session, "office"), "opening": OPENING,
                "seen": heads_of(known), "at": at, "person": OFFICE, "kind": kind, "body": body,
            }  # fmt: skip
            log.append_events(session, [new_event(known, draft)])
        self.meet()


class Work(Finished):
    """The book of the opening as the phone in hand holds it; what is entered goes onto it."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        super().__init__()

    @property
    def events(self) -> list[Json]:
        """Return the entries that the phone in hand holds."""
        return self.desk.phone.events(OPENING)

    @events.setter
    def events(self, _: list[Json]) -> None:
        """Take nothing: the phone holds them."""

    def add(self, device: str, person: str, at: str, kind: str, body: Json) -> None:
        """Enter on the phone in hand, or at the office; the issue is there already."""
        if kind == "opening.issued":
            return
        if person == OFFICE:
            self.desk.say(kind, body, at)
        else:
            self.desk.phone.write(OPENING, kind, body, at=at, person=person)

    def change_hands(self) -> None:
        """Send, take, and go on with the other phone."""
        self.desk.meet()
        first, second = self.desk.phones
        self.desk.phone = second if self.desk.phone is first else first

    def concede(self, check: str, step: str) -> None:
        """Let the office leave a check as it is."""
        state = self.state
        here = state.step(step)
        found = next(r for r in judge.results_of(state, here) if r.check["id"] == check)
        body = {"check": check, "panel": "", "readings": found.readings, "reason": "It works."}
        body |= judged_by(state, [gate.verdict_line(state, here, found)])
        self.enter("concession.given", body, person=OFFICE)


def photo() -> bytes:
    """Return a small photo."""
    out = io.BytesIO()
    Image.linear_gradient("L").convert("RGB").resize((320, 240)).save(out, "JPEG", quality=60)
    return out.getvalue()


def whole_job(settings: Settings) -> FastAPI:
    """Do the job from delivery to the second revision of the record; returns the application."""
    desk = Desk(settings)
    work = Work(desk)
    work.enter("query.raised", {"words": "Is the pan 4 in wide?", "bars": []})
    desk.meet()
    query = work.events[-1]["id"]
    answer = {"query": query, "answer": "build", "words": "It is."}
    work.enter("query.answered", answer, person=OFFICE)
    for part, _ in work.state.parts():
        work.enter("part.stated", {"mark": part["mark"], "state": "here"})
    work.sinks[(DIAGONALS, 0)] = IN // 2
    for number, step in enumerate(work.state.steps):
        _do_step(work, step.key, first=number == 0)
        work.change_hands()
    owner = {"name": "Orla Owner", "consent": True, "strokes": [[40, 150, 90, 40, 140, 150]]}
    work.enter("handover.signed", owner)
    desk.meet()
    office = enter(desk.app, "supervisor")
    accept(office)
    desk.meet()
    _read_again(work)
    accept(office)
    return desk.app


def _do_step(work: Work, key: str, first: bool) -> None:
    """Do a step; in the first one a panel is out of square, and the office leaves it so."""
    if not first:
        work.do_step(key)
        return
    step = work.state.step(key)
    work.measure(step)
    work.sinks.clear()
    taken = next(e for e in work.events if e["kind"] == "reading.taken")
    work.enter("entry.struck", {"target": taken["id"], "why": "wrong panel"})
    work.enter("reading.taken", taken["body"])
    if any(check["id"] == SQUARE for check in step.data["checks"]):
        work.concede(SQUARE, key)
    for task in step.data["tasks"]:
        if task["kind"] == "photo":
            _take_photo(work, key, task["id"])
        else:
            work.enter("task.ticked", tick_body(key, task))
    for decision in step.data["decisions"]:
        chosen = next(choice["id"] for choice in decision["choices"] if choice["opens"])
        work.enter("decision.made", {"step": key, "decision": decision["id"], "choice": chosen})
    work.sign_step(key)


def _take_photo(work: Work, step: str, task: str) -> None:
    """Take a photo for a task: its entry goes first, then its bytes."""
    data = photo()
    sha256 = hashlib.sha256(data).hexdigest()
    body = {"step": step, "task": task, "sha256": sha256, "size": len(data), "width": 320,
            "height": 240}  # fmt: skip
    work.enter("photo.taken", body)
    work.desk.meet()
    work.desk.phone.put_photo(data)


def _read_again(work: Work) -> None:
    """After acceptance: returned at a step, one place read again, signed again."""
    key = work.state.steps[-1].key
    taken = [e for e in work.events if e["kind"] == "reading.taken"][-1]
    words = {"result": "returned", "step": key, "words": "Read the last place again."}
    work.enter("opening.reviewed", words, person=OFFICE)
    work.enter("reading.taken", {**taken["body"]})
    work.change_hands()
    for step in work.state.steps:
        if not _holds(work, step.key):
            work.sign_step(step.key)
    work.desk.meet()


def _holds(work: Work, key: str) -> bool:
    from app.core.record.gate import sign_of

    state = work.state
    sign = sign_of(state, state.step(key))
    return sign is not None and sign.holds
