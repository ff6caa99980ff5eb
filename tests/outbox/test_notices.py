"""What is told: each thing once, when it comes about, and no other.

What counts as worth telling is the office's own wish (common practice, no source).
"""

from typing import Any

import pytest

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.events import new_event
from app.core.record.standing import sign_state
from app.core.record.state import State
from app.store import log, notices, procedures
from app.store.callbacks import keep
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.records import Callback
from app.store.summary_tables import Summary
from app.store.tables import Device
from tests.outbox.conftest import Company

QUERY = {"words": "", "bars": []}


def add(company: Company, opening: str, kind: str, body: Json, device: str = "web") -> None:
    with company.database.write() as session:
        before = log.events_of(session, [opening])[opening]
        draft = {
            "id": uuid7(), "device": device_id(session, device), "opening": opening,
            "seen": State(before, procedures.all_of(session, {})).heads,
            "at": "2026-04-01T09:00:00-05:00", "person": "tobin-hale", "kind": kind, "body": body,
        }  # fmt: skip
        log.append_events(session, [new_event(before, draft)])


def summary(company: Company, opening: str) -> Summary:
    with company.database.read() as session:
        return session.get_one(Summary, opening)


def first_out(company: Company) -> tuple[str, Any]:
    """Return an opening of the demo in which checks are out at a hold point, and its events."""
    with company.database.read() as session:
        events = log.events_of(session, ["quarry-steps-a"])["quarry-steps-a"]
    return "quarry-steps-a", events


def test_an_out_at_a_hold_point_is_told_once_and_again_when_it_comes_back(
    company: Company,
) -> None:
    company.choose()
    opening, events = first_out(company)
    outs = summary(company, opening).hold_outs.split()
    assert outs, "the demo's opening has something out at a hold point"
    readings = [e for e in events if e["kind"] == "reading.taken"]
    # the last reading is struck: what rests on it is out no longer
    step_check = {}
    for reading in reversed(readings):
        add(company, opening, "entry.struck", {"target": reading["id"], "why": "typed wrong"})
        left = summary(company, opening).hold_outs.split()
        if len(left) < len(outs):
            step_check = {"gone": set(outs) - set(left), "reading": reading}
            break
    assert step_check
    assert company.rows(kind="out") == []  # fewer outs are no news
    add(company, opening, "reading.taken", step_check["reading"]["body"])
    told = company.rows(kind="out")
    assert {row.receiver for row in told} == {"nadia-ferrow"}
    assert len(told) == len(step_check["gone"])
    add(company, opening, "task.ticked", {"step": "A", "task": "nothing", "done": True})
    assert len(company.rows(kind="out")) == len(told)


def test_ready_for_review_is_told_when_the_last_step_is_signed(company: Company) -> None:
    company.choose()
    opening = "marrow-lane-a"
    with company.database.read() as session:
        events = log.events_of(session, [opening])[opening]
    assert summary(company, opening).state == "signed"
    reading = [e for e in events if e["kind"] == "reading.taken"][-1]
    add(company, opening, "entry.struck", {"target": reading["id"], "why": "typed wrong"})
    assert summary(company, opening).state != "signed"
    assert company.rows(kind="review") == []
    add(company, opening, "reading.taken", reading["body"])
    while summary(company, opening).state != "signed":
        with company.database.read() as session:
            now = log.events_of(session, [opening])[opening]
            state = State(now, procedures.all_of(session, {}))
        step = next(s for s in state.steps if sign_state(state, s) != "signed")
        add(company, opening, "step.signed", gate.sign_off_body(state, step))
    assert [row.kind for row in company.rows()] == ["review"]


def test_a_complaint_is_told_once(company: Company) -> None:
    company.choose()
    one = {"id": uuid7(), "opening": "marrow-lane-a", "at": 1, "words": "It rattles", "photo": ""}
    for _ in range(2):
        with company.database.write() as session:
            keep(session, Callback(**one, person="", closed=""))
    [row] = company.rows(kind="callback")
    assert "It rattles" in row.text
    company.work()
    assert company.box.mails[0]["Subject"] == "An owner complains: Marrow Lane A"
    assert "An owner complains: Marrow Lane A" in company.office.get("/office/today").text


def test_a_phones_silence_is_told_once_until_it_was_heard_again(company: Company) -> None:
    company.choose()
    silent = int(notices.SILENCE.total_seconds())
    heard = int(company.clock())
    with company.database.write() as session:
        phone = {"key": "{}", "key_hash": "k", "token_hash": "t", "made": 1, "last_seen": heard}
        session.add(Device(id="p1", name="Tobin's phone", person="tobin-hale", **phone))
    company.worker.do_chores()
    assert company.rows() == []
    for _ in range(2):
        company.clock.ahead += silent + 60
        company.worker.do_chores()
    assert len(company.rows(kind="silent")) == 1
    with company.database.write() as session:
        session.get_one(Device, "p1").last_seen = int(company.clock())
    company.clock.ahead += silent + 60
    company.worker.do_chores()
    assert len(company.rows(kind="silent")) == 2
    company.work()
    assert "Tobin's phone" in company.box.mails[0].as_string()


def test_what_was_sent_is_forgotten_after_a_month_and_what_failed_stays(company: Company) -> None:
    company.choose()
    company.ask()
    company.work()
    company.choose("at-once", "nadia@example.org")
    company.ask("another")
    company.box.says = "550 no"
    company.work()
    company.clock.ahead += 31 * 24 * 3600
    company.worker.do_chores()
    assert [row.state for row in company.rows()] == ["failed"]


def test_taking_records_of_another_sillbook_in_tells_nothing(company: Company) -> None:
    company.choose()
    with company.database.write() as session:
        session.info["carried"] = True
        notices.note(session, notices.Notice(notices.REVIEW, "x", "marrow-lane-a"))
    assert company.rows() == []


@pytest.mark.control(34)
def test_a_phone_that_asks_without_end_fills_no_mail_and_mutes_nobody(company: Company) -> None:
    company.choose()
    company.add_webhook()
    opening, asked = "marrow-lane-b", notices.MOST_QUERIES + 5
    for number in range(asked):
        add(company, opening, "query.raised", {**QUERY, "words": f"question {number}"})
    assert len(company.rows(kind="query", channel="mail")) == notices.MOST_QUERIES
    assert len(company.rows(kind="query", channel="webhook")) == notices.MOST_QUERIES
    add(company, opening, "query.raised", {**QUERY, "words": "of another"}, device="office")
    assert len(company.rows(kind="query", channel="mail")) == notices.MOST_QUERIES + 1
    add(company, "quarry-steps-a", "query.raised", {**QUERY, "words": "elsewhere"})
    assert len(company.rows(kind="query", channel="mail")) == notices.MOST_QUERIES + 2


@pytest.mark.control(34)
def test_an_opening_that_turns_to_and_fro_is_told_of_up_to_a_number_a_day(
    company: Company,
) -> None:
    company.choose()
    with company.database.write() as session:
        for number in range(notices.MOST_TURNS + 5):
            row = {"opening": "marrow-lane-b", "seq": 10_000 + number}
            notices.note_turn(session, ("open", ""), ("signed", "A|x"), row)
        notices.note_turn(
            session, ("open", ""), ("signed", ""), {"opening": "marrow-lane-a", "seq": 1}
        )
    assert len(company.rows(kind="out")) == notices.MOST_TURNS
    assert len(company.rows(kind="review")) == notices.MOST_TURNS + 1
