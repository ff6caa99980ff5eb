"""The office judges at receipt and writes it down; after a restore phones bring that back.

The rules are this project's own, from its design.
"""

import copy
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import Session

from app.core.kinds import Json
from app.core.record import gate, rules, standing
from app.core.record.gate import sign_of, sign_off_body
from app.core.record.judging import judgement
from app.core.record.state import State, Step
from app.core.record.written import judgement_of
from app.store import judging, log
from app.store.backup import back_up, restore_copy
from app.store.database import Database
from app.store.summaries import Summaries
from app.store.summary_tables import Summary
from tests.core.other_rules import Rules, laxer, stricter
from tests.core.sample import PROCEDURES, inches
from tests.sync.client import Phone
from tests.sync.conftest import fill
from tests.sync.test_epoch import connect, database_of, new_phone, running, stored
from tests.sync.test_spoken import sven  # noqa: F401  (a fixture)


def ready(phone: Phone, left: str = inches(1, 8)) -> None:
    """Do step A; nothing of it is sent."""
    phone.tick("op-1")
    body = {"step": "A", "decision": "go", "choice": "yes", "name": "Builder"}
    phone.write("op-1", "decision.made", body)
    for place, value in (("left", left), ("right", inches(1, 8))):
        body = {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "x",
            "value": value, "how": "plain", "units": "in",
        }  # fmt: skip
        phone.write("op-1", "reading.taken", body)


def sign(phone: Phone) -> Json:
    state = State(phone.events("op-1"), PROCEDURES)
    return phone.write("op-1", "step.signed", sign_off_body(state, state.step("A")))


def judged(events: list[Json], signed: Json) -> str:
    """Return the office's word on a sign-off, "" while there is none."""
    given = judgement_of(State(events, PROCEDURES).ledger, signed["id"])
    return str(given["body"]["result"]) if given else ""


def is_true(events: list[Json]) -> bool:
    state = State(events, PROCEDURES)
    found = sign_of(state, state.step("A"))
    return found is not None and found.true


def test_a_sign_off_is_judged_at_receipt_and_phones_hear_of_it(
    phone: Phone, database: Database
) -> None:
    ready(phone)
    signed = sign(phone)
    assert {r["state"] for r in phone.push()} == {"stored"}
    phone.pull()
    given = phone.events("op-1")[-1]
    assert (given["kind"], given["body"]["target"]) == ("judgement.given", signed["id"])
    assert judged(phone.events("op-1"), signed) == "true"
    assert [line["verdict"] for line in given["body"]["verdicts"]] == ["within"]
    with stricter():
        assert is_true(phone.events("op-1"))
    phone.tick("op-1")
    phone.push()
    phone.pull()
    kinds = [event["kind"] for event in phone.events("op-1")]
    assert kinds.count("judgement.given") == 1


def test_rules_that_are_named_to_get_something_through_are_noticed(
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    ready(phone, inches(5, 16))
    named = rules.RULES + 1
    with Rules(named, "within"):
        signed = sign(phone)
    phone.push()
    phone.pull()
    assert judged(phone.events("op-1"), signed) == "disputed"
    page = sven.get("/office/o/op-1").text
    assert f"the phone judged by rules {named}, the office by rules {rules.RULES}" in page


def test_the_review_flags_what_todays_rules_would_judge_otherwise(
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    ready(phone)
    sign(phone)
    phone.push()
    line = r"judged “within” by the rules of its day; today's rules would say\s+“OUT”"
    assert not re.search(line, plain(sven))
    with stricter():
        text = plain(sven)
        assert re.search(line, text)
        assert "Sign-offs that are broken or disputed" not in text


def test_the_review_says_that_a_disputed_sign_off_would_be_true_today(
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    ready(phone, inches(5, 16))
    sign(phone)
    phone.push()
    said = "today's rules would open its gate"
    assert said not in plain(sven)
    with laxer():
        assert said in plain(sven)


def plain(browser: TestClient) -> str:
    return browser.get("/office/o/op-1").text.replace("&#39;", "'")


def test_phones_bring_the_offices_judgements_back_after_a_restore(tmp_path: Path) -> None:
    """The office, restored, has stricter rules by now: it judges anew, until a phone brings back
    what it had judged."""
    data, other = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one, two = new_phone(app, "inga"), new_phone(app, "otto")
        back_up(data, other)
        ready(one)
        signed = sign(one)
        one.push()
        two.pull()
        assert judged(two.events("op-1"), signed) == "true"
    restore_copy(data, other)
    with running(data) as app, stricter():
        connect(one, app)
        one.pull()
        one.push()
        assert judged(stored(app), signed) == "disputed"  # phone one never had the judgement
        connect(two, app)
        two.pull()
        told = {r["why"] for r in two.push()}
        assert judging.BROUGHT_BACK in told
        assert judged(stored(app), signed) == "true"
        count = kinds(app).count("judgement.given")
        two.push()
        one.pull()
        one.push()
        assert kinds(app).count("judgement.given") == count
        assert judged(one.events("op-1"), signed) == "true"


def kinds(app: FastAPI) -> list[str]:
    return [event["kind"] for event in stored(app)]


def test_a_judgement_that_the_office_never_gave_is_not_believed(tmp_path: Path) -> None:
    data, other = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one, two = new_phone(app, "inga"), new_phone(app, "otto")
        back_up(data, other)
        ready(one, inches(5, 16))
        signed = sign(one)
        one.push()
        two.pull()
        assert judged(two.events("op-1"), signed) == "disputed"
    restore_copy(data, other)
    for event in two.book["op-1"].values():
        if event["kind"] == "judgement.given":
            forged = copy.deepcopy(event)
            forged["body"]["result"] = "true"
            two.book["op-1"][event["id"]] = forged
    with running(data) as app:
        for phone in (one, two):
            connect(phone, app)
            phone.pull()
            why = {r["why"] for r in phone.push()}
        assert "device-foreign" in why
        assert judging.BROUGHT_BACK not in why
        assert judged(stored(app), signed) == "disputed"


def test_a_judgement_that_was_superseded_does_not_come_back_under_another_name(
    tmp_path: Path,
) -> None:
    """What the office said after its restore was superseded; a phone offers it as lost."""
    data, other = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one, two = new_phone(app, "inga"), new_phone(app, "otto")
        back_up(data, other)
        ready(one)
        signed = sign(one)
        one.push()
        two.pull()
    restore_copy(data, other)
    with running(data) as app, stricter():
        for phone in (one, two):
            connect(phone, app)
            phone.pull()
            phone.push()
        one.pull()
        assert judged(stored(app), signed) == "true"
        (meanwhile,) = (
            e for e in one.events("op-1")
            if e["kind"] == "judgement.given" and e["body"]["result"] == "disputed"
        )  # fmt: skip
        two.book["op-1"]["again"] = {**meanwhile, "id": "again", "turn": 1}
        two.outbox.append("again")
        assert {r["why"] for r in two.push()} >= {"device-foreign"}
        assert judged(stored(app), signed) == "true"


def judge_anew(session: Session, signed: Json) -> None:
    events = log.events_of(session, ["op-1"])["op-1"]
    body = judgement(State(events, PROCEDURES), signed, anew=True)
    assert body is not None
    body["reason"] = "The tape was a foot short."
    judging.keep_judgement(session, events, signed, body)


def test_a_judgement_given_anew_comes_back_before_the_one_that_it_superseded(
    tmp_path: Path,
) -> None:
    data, other = tmp_path / "data", tmp_path / "copy"
    with running(data) as app:
        fill(database_of(app))
        one, two = new_phone(app, "inga"), new_phone(app, "otto")
        back_up(data, other)
        ready(one)
        signed = sign(one)
        one.push()
        one.pull()
        with database_of(app).write() as session, stricter():
            judge_anew(session, signed)
        two.pull()
        assert judged(one.events("op-1"), signed) == "true"
        assert judged(two.events("op-1"), signed) == "disputed"
        first = two.book["op-1"]
        two.book["op-1"] = {
            id_: event for id_, event in first.items()
            if event["kind"] != "judgement.given" or event["body"].get("reason")
        }  # fmt: skip
    restore_copy(data, other)
    with running(data) as app:
        for phone in (one, two):
            connect(phone, app)
            phone.pull()
        waiting = one.outbox
        one.outbox = [id_ for id_ in waiting if one.find(id_)["device"] == one.device]
        one.push()
        two.push()
        assert judged(stored(app), signed) == "disputed"
        one.outbox = waiting
        one.push()
        assert judged(stored(app), signed) == "disputed"


def test_a_fault_of_the_program_at_one_opening_lets_the_others_be_judged(
    phone: Phone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A core that fails at one opening takes its entries all the same, and judges them later."""
    ready(phone)
    signed = sign(phone)
    phone.tick("op-2")
    real = gate.bars_of

    def fails(state: State, step: Step) -> list[gate.Bar]:
        if state.issue["opening"] == "op-1":
            raise KeyError("a fault")
        return real(state, step)

    with monkeypatch.context() as patch:
        patch.setattr(gate, "bars_of", fails)
        patch.setattr(standing, "bars_of", fails)
        assert {r["state"] for r in phone.push()} == {"stored"}
        phone.pull()
        assert judged(phone.events("op-1"), signed) == ""
        with database.read() as session:
            assert session.get_one(Summary, "op-1").state == "unread"
            assert session.get_one(Summary, "op-2").state == "open"
    phone.tick("op-1")
    phone.push()
    phone.pull()
    assert judged(phone.events("op-1"), signed) == "true"


def judging_form(browser: TestClient) -> dict[str, str]:
    """Return what the review's form to judge step A anew sends."""
    html = browser.get("/office/o/op-1").text
    _, found, rest = html.partition("<summary>Judge the sign-off anew")
    assert found, "the review offers no such form"
    form = rest.partition("</form>")[0]
    pairs = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    return {name: value.replace("&#34;", '"') for name, value in pairs}


def waiting_flags(app: FastAPI) -> int:
    with database_of(app).read() as session:
        return session.get_one(Summary, "op-1").otherwise


def test_the_supervisor_judges_a_sign_off_anew_with_a_reason(
    app: FastAPI,
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    """Signed over a reading that was within; by stricter rules of today it would be out."""
    ready(phone)
    signed = sign(phone)
    phone.push()
    phone.pull()
    assert "Judge the sign-off anew" not in sven.get("/office/o/op-1").text
    assert waiting_flags(app) == 0
    with stricter():
        with database_of(app).write() as session:
            Summaries().refresh(session, ["op-1"])  # as at a start under other rules
        assert waiting_flags(app) == 1
        assert "1 step that today" in sven.get("/office?show=otherwise").text
        form = judging_form(sven)
        refused = sven.post("/office/o/op-1", data={**form, "reason": " "})
        assert refused.status_code == 422
        assert "Give the reason in writing." in refused.text
        assert is_true(stored(app))
        kept = sven.post(
            "/office/o/op-1", data={**form, "reason": "The sill is out by the new rule."}
        )
        assert kept.status_code == 303
        assert judged(stored(app), signed) == "disputed"
        again = sven.post(
            "/office/o/op-1", data={**form, "reason": "The sill is out by the new rule."}
        )
        assert again.status_code == 303
        other = sven.post("/office/o/op-1", data={**form, "reason": "Another reason."})
        assert other.status_code == 422
        assert "already kept once with something else" in other.text
    assert kinds(app).count("judgement.given") == 2
    record = sven.get("/record/op-1").text
    assert "the office judged its sign-off anew" in record
    assert "<dt>Decided by</dt><dd>Sven" in record
    assert "The sill is out by the new rule." in record
    phone.pull()
    assert judged(phone.events("op-1"), signed) == "disputed"
    assert {r["why"] for r in phone.push()} <= {""}


def test_a_judgement_given_on_the_page_has_the_seal_of_this_office(
    app: FastAPI,
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    ready(phone)
    sign(phone)
    phone.push()
    with stricter():
        sven.post("/office/o/op-1", data={**judging_form(sven), "reason": "The new rule."})
    given = stored(app)[-1]
    assert given["body"]["reason"] == "The new rule."
    with database_of(app).write() as session:
        assert judging.is_own(session, given)


def test_nothing_is_judged_anew_where_nothing_was_signed(
    phone: Phone,
    sven: TestClient,  # noqa: F811
) -> None:
    ready(phone)
    sign(phone)
    phone.push()
    with stricter():
        form = judging_form(sven)
        refused = sven.post(
            "/office/o/op-1", data={**form, "id": "x", "step": "B:A", "reason": "r"}
        )
    assert refused.status_code == 409
    assert "no sign-off here" in refused.text
