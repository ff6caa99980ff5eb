"""A record goes to a new owner, or an owner gets a new link, by a secret that serves once.

That a record's digests stand while a name is erased is this project's own rule (app/homeowner).
"""

import json
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.homeowner import checking, export
from app.homeowner.commitments import snapshot_digest
from app.store.records import revisions_of
from app.store.tables import Job, Opening
from tests.demo.conftest import OURS
from tests.demo.walk import Page
from tests.homeowner.conftest import OPENING, accept, make_link
from tests.homeowner.test_issued import correct


def secret_in(text: str) -> str:
    """Return the path of the secret that a leaflet shows."""
    found = re.search(r'href="https://book\.example\.org(/take-over/[^"]+)"', text)
    assert found, text[-3000:]
    return found[1]


def office_secret(office: TestClient, purpose: str) -> str:
    path = f"/office/o/{OPENING}/share"
    fields = next(f for _, f in Page(office.get(path).text).forms if f.get("act") == purpose)
    return secret_in(office.post(path, data=fields).text)


def take(browser: TestClient, path: str, **typed: str) -> str:
    """Use a secret, and return the new link."""
    answer = browser.post(path, data={"act": "take", **typed}, headers=OURS)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"]).partition("?")[0]


@pytest.mark.parametrize("whose", ["owner", "office"])
def test_new_owner_takes_over_and_the_old_contact_is_erased(
    app: FastAPI, office: TestClient, stranger: TestClient, whose: str
) -> None:
    accept(office)
    old, _, _ = make_link(office)
    digest = re.search(r"[0-9a-f]{64}", stranger.get(old).text)
    assert digest
    assert "Ada and Rolf Tennick" in stranger.get(old).text
    if whose == "owner":
        path = secret_in(stranger.post(old + "/hand-on", headers=OURS).text)
    else:
        path = office_secret(office, "hand-on")
    assert "handed on to you" in stranger.get(path).text
    refused = stranger.post(path, data={"name": " ", "contact": "555-0187"}, headers=OURS)
    assert refused.status_code == 422
    assert "555-0187" in refused.text  # what was typed is kept
    new = take(stranger, path, name="Nell Novak", contact="555-0187")
    page = stranger.get(new).text
    assert "Nell Novak" in page
    assert digest[0] in page  # the record is the same
    assert stranger.get(old).status_code == 404
    assert stranger.get(path).status_code == 404  # it served once
    assert stranger.post(path, data={"name": "Other"}, headers=OURS).status_code == 404
    with app.state.server.database.read() as session:
        run = session.connection().exec_driver_sql
        kept = [
            str(row) for table in ("job", "link_secret") for row in run(f"SELECT * FROM {table}")
        ]
    assert not [row for row in kept if "Tennick" in row]
    assert path.rpartition("/")[2] not in "".join(kept)


def test_the_old_owner_s_mail_and_signed_name_go_and_no_revision_brings_them_back(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    database = app.state.server.database
    with database.write() as session:
        job = session.get_one(Job, session.get_one(Opening, OPENING).job)
        job.mail = "tennick@example.org"
        session.add(job)
    old, _, _ = make_link(office)
    assert "Orla Owner" in stranger.get(old).text  # typed under the signature at the handover
    new = take(stranger, office_secret(office, "hand-on"), name="Nell Novak", contact="")
    assert "Orla Owner" not in stranger.get(new).text
    correct(office)
    accept(office)
    page = stranger.get(new).text
    assert "Revision 2" in page
    assert "Orla Owner" not in page
    with database.read() as session:
        job = session.get_one(Job, session.get_one(Opening, OPENING).job)
        assert (job.homeowner, job.mail) == ("Nell Novak", "")
        for row in revisions_of(session, OPENING):
            assert "Orla Owner" not in row.text
            assert snapshot_digest(json.loads(row.text)) == row.digest
            assert checking.check(export.make(session, row)).faults == []


def test_an_owner_who_takes_anothers_name_erases_nothing_of_theirs(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    """Bo Builder is said to have decided something; whoever hands on types any name they like."""
    accept(office)
    mine = take(stranger, office_secret(office, "hand-on"), name="Bo Builder", contact="")
    path = secret_in(stranger.post(mine + "/hand-on", headers=OURS).text)
    take(stranger, path, name="Nell Novak", contact="")
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
    assert "Bo Builder" in row.text


def test_owner_renews_the_link_by_a_secret_of_the_office(
    office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    old, _, _ = make_link(office)
    path = office_secret(office, "renew")
    new = take(stranger, path)
    assert "Ada and Rolf Tennick" in stranger.get(new).text
    assert stranger.get(old).status_code == 404
    assert stranger.get(path).status_code == 404


def test_secret_ends_after_thirty_days(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    path = office_secret(office, "hand-on")
    clock = app.state.server.clock
    app.state.server.clock = lambda: clock() + 31 * 24 * 60 * 60
    assert stranger.get(path).status_code == 404


def test_no_secret_for_a_record_that_was_not_issued(office: TestClient) -> None:
    path = f"/office/o/{OPENING}/share"
    data = {"act": "hand-on", "secret": "A" * 22}
    assert office.post(path, data=data).status_code == 409


def test_damaged_secret_is_refused(office: TestClient) -> None:
    accept(office)
    path = f"/office/o/{OPENING}/share"
    assert office.post(path, data={"act": "renew", "secret": "short"}).status_code == 422
