"""Issuing at acceptance, and the pages of what was issued; links: test_links.py.

What is expected here follows from the issue's rules and from RFC 9110 (status codes); the rest is
this project's own.
"""

import json
import sqlite3

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.homeowner import snapshot
from app.homeowner.commitments import snapshot_digest
from tests.homeowner.conftest import OPENING, accept
from tests.homeowner.finished import shown


def rows(app: FastAPI, table: str) -> list[sqlite3.Row]:
    with sqlite3.connect(app.state.server.database.path) as plain:
        plain.row_factory = sqlite3.Row
        return list(plain.execute(f"SELECT * FROM {table}"))


def test_acceptance_issues_the_record(app: FastAPI, office: TestClient) -> None:
    assert rows(app, "issued") == []
    assert "Not complete" in office.get(f"/record/{OPENING}").text
    accept(office)
    kept = rows(app, "issued")
    assert [(row["opening"], row["revision"]) for row in kept] == [(OPENING, 1)]
    assert kept[0]["digest"] == snapshot_digest(json.loads(kept[0]["text"]))
    page = office.get(f"/record/{OPENING}")
    assert page.status_code == 200
    assert "Revision 1" in page.text
    assert kept[0]["code"] in page.text
    assert kept[0]["digest"] in page.text
    assert "Not complete" not in page.text


def test_no_name_stands_in_what_is_kept(app: FastAPI, office: TestClient) -> None:
    accept(office)
    names = [row["name"] for row in rows(app, "person")]
    names += [row["homeowner"] for row in rows(app, "job") if row["homeowner"]]
    text = rows(app, "issued")[0]["text"]
    assert [name for name in names if name in text] == []


@pytest.mark.parametrize("statement", ["UPDATE issued SET text = ''", "DELETE FROM issued"])
def test_issued_is_only_added_to(app: FastAPI, office: TestClient, statement: str) -> None:
    accept(office)
    with (
        sqlite3.connect(app.state.server.database.path) as plain,
        pytest.raises(sqlite3.IntegrityError, match="append-only"),
    ):
        plain.execute(statement)


def correct(office: TestClient) -> None:
    """Read one place again, and sign the step again, by the crew's own pages."""
    from app.core.record import gate
    from app.core.record.events import heads_of, new_event
    from app.core.record.state import State
    from app.store import log, procedures

    database = office.app.state.server.database  # type: ignore[attr-defined]
    with database.write() as session:
        events = log.events_of(session, [OPENING])[OPENING]
        compiled = procedures.all_of(session, {})
        old = next(e for e in reversed(events) if e["kind"] == "reading.taken")

        def add(kind: str, body: dict[str, object], number: int) -> None:
            draft = {
                "id": f"later-{len(events)}-{number}", "device": old["device"],
                "opening": OPENING, "seen": heads_of(events), "at": "2026-04-01T09:00:00-05:00",
                "person": old["person"], "kind": kind, "body": body,
            }  # fmt: skip
            made = new_event(events, draft)
            events.append(made)
            log.append_events(session, [made])

        add("reading.taken", {**old["body"], "note": "read again"}, 1)
        state = State(events, compiled)
        for step in state.steps:
            sign = gate.sign_of(state, step)
            if sign is not None and not sign.good:
                add("step.signed", gate.sign_off_body(state, step), 2)


def test_a_correction_makes_a_new_revision_and_the_old_one_stays(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    correct(office)
    accept(office)
    first, second = rows(app, "issued")
    assert (first["revision"], second["revision"]) == (1, 2)
    new, old = json.loads(second["text"]), json.loads(first["text"])
    assert new["number"] == old["number"]
    assert new["before"]["digest"] == first["digest"]
    changes = [note["text"] for note in shown(new)["changes"]]
    assert any("signed again by" in text for text in changes)
    assert any(note["words"] == "read again" for note in shown(new)["changes"])
    page = office.get(f"/record/{OPENING}/r/1").text
    assert "Superseded: revision 2 is the one that counts." in page
    assert "What changed since the revision before" in office.get(f"/record/{OPENING}").text
    assert "Superseded" in stranger.get("/verify/" + first["code"]).text
    assert "As issued" in stranger.get("/verify/" + second["code"]).text


def test_page_is_made_of_the_snapshot_alone(app: FastAPI, office: TestClient) -> None:
    """What comes later does not change what was issued."""
    accept(office)
    before = office.get(f"/record/{OPENING}/r/1").text
    correct(office)
    assert office.get(f"/record/{OPENING}/r/1").text == before


def test_code_is_the_first_bits_of_the_digest() -> None:
    """Crockford's base 32 (published; computed here independently)."""
    hash_ = "f0e1d2c3b4a59687" * 4
    bits = f"{int(hash_, 16):0256b}"[:50]
    digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    expected = "".join(digits[int(bits[i : i + 5], 2)] for i in range(0, 50, 5))
    assert snapshot.code_of(hash_).replace("-", "") == expected
    assert snapshot.read_code("o0iL1" + "ABCDE") == "00111-ABCDE"
    assert snapshot.read_code("UUUUU-UUUUU") == ""


def test_unfit_forms_of_sharing_are_refused(app: FastAPI, office: TestClient) -> None:
    share = f"/office/o/{OPENING}/share"
    token = "A" * 22
    assert office.post(share, data={"act": "make", "token": token, "days": "30"}).status_code == 409
    accept(office)
    for form in (
        {"act": "make"},
        {"act": "make", "token": "short", "days": "30"},
        {"act": "make", "token": token, "days": "99999"},
        {"act": "make", "token": "ü" * 22, "days": "30"},
    ):
        assert office.post(share, data=form).status_code == 422
    assert rows(app, "link") == []


@pytest.mark.control(20)
def test_a_bug_on_a_private_page_is_logged_without_its_address() -> None:
    from app.access.errors import calm_path

    assert calm_path("/mine/abc/letter.pdf") == "/mine/…"
    assert calm_path("/field/o/x") == "/field/o/x"
