"""A record is issued whatever stands in it: left as it was by the office, or still undecided.

No outside source; the rule is this project's own: what makes a record's contents makes no form.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.record import gate, judge
from app.core.record.events import heads_of, new_event
from app.core.record.written import judged_by
from app.demo import company
from app.homeowner import snapshot
from app.main import create_app
from app.settings import Settings
from app.store import log
from tests.core.ticks import tick_body
from tests.demo.conftest import enter
from tests.homeowner.conftest import OPENING, accept, rehung
from tests.homeowner.finished import ABOUT, CREW, OFFICE, PROCEDURES, Finished, shown
from tests.procedures.perfect_door import IN

CHECK, POINT, STEP = "panel-square", "panel-diagonals", "A"


def skewed(by: int = IN // 2) -> Finished:
    """Return a book in which all parts are here, and one diagonal of a panel will be off."""
    book = Finished()
    book.sinks[(POINT, 0)] = by
    for part, _ in book.state.parts():
        book.enter("part.stated", {"mark": part["mark"], "state": "here"})
    return book


def result_of(book: Finished) -> judge.Result:
    state = book.state
    step = state.step(STEP)
    return next(r for r in judge.results_of(state, step) if r.check["id"] == CHECK)


def concede(book: Finished) -> None:
    state, result = book.state, result_of(book)
    body = {"check": CHECK, "panel": "", "readings": result.readings, "reason": "It works."}
    body |= judged_by(state, [gate.verdict_line(state, state.step(STEP), result)])
    book.enter("concession.given", body, "office-demo", OFFICE)


def is_out() -> Finished:
    book = skewed()
    book.measure(book.state.step(STEP))
    return book


def is_too_close_to_call() -> Finished:
    """Under guard bands a tape cannot tell whether a square panel is square enough."""
    book = skewed(0)
    book.events[0]["body"]["drawing"]["rule"] = "guarded"
    book.measure(book.state.step(STEP))
    return book


def readings_disagree() -> Finished:
    """Two phones read one place, neither having seen the other."""
    book = is_out()
    first = next(e for e in book.events if e["body"].get("point") == POINT)
    as_drawn = str(int(first["body"]["value"]) - IN // 2)
    draft = {
        "id": "other-phone", "device": "web-other", "opening": first["opening"],
        "seen": heads_of(book.events[:1]), "at": first["at"], "person": CREW,
        "kind": "reading.taken", "body": {**first["body"], "value": as_drawn},
    }  # fmt: skip
    book.events.append(new_event(book.events, draft))
    return book


@pytest.mark.parametrize(
    ("stands", "verdict"),
    [(is_out, "out"), (is_too_close_to_call, "close"), (readings_disagree, "conflict")],
)
def test_snapshot_is_made_whatever_a_check_says(
    stands: Callable[[], Finished], verdict: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Conceded or not: its words stand in the record, and no form was made for it."""

    def refuse(*_: object, **__: object) -> Json:
        raise AssertionError("a record makes no form")

    book = stands()
    assert result_of(book).verdict == verdict
    monkeypatch.setattr(Request, "make_form", refuse)
    before = snapshot.make(ABOUT, book.events, PROCEDURES)
    concede(book)
    made = snapshot.make(ABOUT, book.events, PROCEDURES)
    said = shown(made)
    left = [item for item in said["exceptions"] if item["label"] == "Left as it is"]
    lines = [{line["label"]: line["words"] for line in item["lines"]} for item in left]
    assert [line["Why"] for line in lines] == ["It works."]
    assert lines[0]["Decided by"].startswith("Nadia Ferrow, ")
    assert "Left as it is" not in [item["label"] for item in shown(before)["exceptions"]]


def conceded_events() -> list[Json]:
    """Return the events of a whole opening with a skewed panel that the office left as it was."""
    book = skewed()
    for step in book.state.steps:
        if step.key != STEP:
            book.do_step(step.key)
            continue
        for task in step.data["tasks"]:
            book.enter("task.ticked", tick_body(STEP, task))
        for decision in step.data["decisions"]:
            chosen = next(choice["id"] for choice in decision["choices"] if choice["opens"])
            body = {"step": STEP, "decision": decision["id"], "choice": chosen}
            book.enter("decision.made", body)
        book.measure(step)
        concede(book)
        book.sign_step(STEP)
    return book.events


def test_opening_with_a_concession_is_accepted_and_its_record_issued(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path, "https://book.example.org"))
    company.load_company(app.state.server.database)
    with app.state.server.database.write() as session:
        known = log.events_of(session, [OPENING])[OPENING]
        log.append_events(session, rehung(known, conceded_events()[1:], {}))
    with TestClient(app):
        office = enter(app, "supervisor")
        accept(office)
        page = office.get(f"/record/{OPENING}")
    assert page.status_code == 200
    assert "Revision 1" in page.text
    assert "It works." in page.text
