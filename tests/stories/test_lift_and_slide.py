"""A lift-and-slide door by a phone without a network: from issue to a record that verifies.

Nothing here knows the door system. The office fills its form, the crew follows links and forms that
its phone shows, the office accepts. What is read comes of the drawing by plain geometry
(tests/procedures/perfect_door.py).
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from app.cli import main
from app.core.kinds import Json
from app.core.record import gate
from app.core.record.state import State
from app.office.issue import reading, writing
from app.office.issue.alike import gathered_from_rows
from app.procedures import compile_text
from app.procedures.drawings import drawing_json
from app.settings import SEED_DATA
from tests.stories.house import House
from tests.stories.phone import PhoneBrowser
from tests.stories.story import take_procedure
from tests.stories.work import Work

TEXT = (SEED_DATA / "procedures" / "lift-and-slide-door.yaml").read_text(encoding="utf-8")
DRAWN = SEED_DATA / "demo" / "drawings" / "quarry-steps-b.yaml"


class ByPhone(Work):
    """The work on one opening as the phone in hand has it."""

    @property
    def state(self) -> State:
        browser = self.house.visitors["installer"].browser
        assert isinstance(browser, PhoneBrowser)
        return browser.state(self.opening)


@pytest.fixture
def house() -> Iterator[House]:
    made = House(1)
    yield made
    made.close()


def door_texts() -> dict[str, str]:
    """Return the demo's lift-and-slide door as a supervisor types it."""
    terms = reading.terms_of("in", compile_text(TEXT, "shipped"))
    return writing.texts_of(drawing_json(yaml.safe_load(DRAWN.read_text())), "in", terms.limits)


def issue(house: House, texts: dict[str, str]) -> str:
    """Take the procedure in, make a job, and issue an opening at short depth; returns its id."""
    office = house.visitors["supervisor"]
    take_procedure(house, TEXT)
    office.go("/office/jobs")
    page = office.go(office.link("/office/jobs/new"))
    form = next(f for f in page.forms if f.action == "/office/jobs/new")
    place = {"title": "Heron Quay", "address": "2 Heron Quay", "homeowner": "Orla Owner"}
    office.send(form, place, kept=True)
    page = office.go(office.link("/openings/new"))
    form = next(f for f in page.forms if f.action.endswith("/openings/new"))
    given = {"letter": "A", "room": "Sun room", "act": "issue", "crew.tobin": "yes"}
    typed = gathered_from_rows(texts)
    office.send(form, {**typed, **given, "procedure": form.hidden("procedure") or KEY}, kept=True)
    return form.hidden("opening")


KEY = "lift-and-slide-door@1"


@pytest.mark.long
def test_lift_and_slide_door_from_issue_to_verified_record(
    house: House, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opening = issue(house, door_texts())
    crew = house.visitors["installer"]
    phone = PhoneBrowser(house, "installer")
    crew.browser = phone
    work = ByPhone(house, opening, {})
    tried: dict[str, int] = {}
    work.state_parts(crew)
    for step in work.state.steps:
        work.finish_step(crew, step, tried)
    assert tried == {}  # a door that is as drawn: nothing had to be put right
    assert len(phone.phone.outbox) > 150  # none of it has been sent yet
    phone.meet()
    assert phone.phone.outbox == []

    office = Work(house, opening, {})
    signs = [gate.sign_of(office.state, step) for step in office.state.steps]
    assert all(sign is not None and sign.good for sign in signs)
    office.accept()

    words = record_words(office)
    for told in ("Lifts as drawn, both stiles even", "Locking points deep enough",
                 "Handle lifts as easily as drawn", "Gaskets pressed all along"):  # fmt: skip
        assert told in words, told
    file = tmp_path / "record.json"
    file.write_bytes(exported(office))
    assert main(["verify", str(file)]) == 0
    assert "Whole" in capsys.readouterr().out
    broken = json.loads(file.read_bytes())
    _lift_more(broken)
    file.write_text(json.dumps(broken))
    assert main(["verify", str(file)]) == 1


def record_words(office: Work) -> str:
    return office.office.go(f"/record/{office.opening}").words


def exported(office: Work) -> bytes:
    found: bytes = office.office.browser.get(f"/record/{office.opening}/r/1/export.json").content
    return found


def _lift_more(found: Json) -> None:
    """Change one reading of the export."""
    event = next(e for e in found["events"] if e["kind"] == "reading.taken")
    event["body"]["value"] = str(int(event["body"]["value"]) + 1)
