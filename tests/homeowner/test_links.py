"""The check by code, and links to an issued record: every test begins with the record issued.

What is expected here follows from the issue's rules and from RFC 9110 (status codes); the rest is
this project's own.
"""

import html
import json
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.homeowner import checking
from tests.homeowner.conftest import OPENING, make_link
from tests.homeowner.test_issued import rows


@pytest.fixture
def start(accepted: Path) -> Path:
    return accepted


def test_check_by_code_or_digest(app: FastAPI, office: TestClient, stranger: TestClient) -> None:
    row = rows(app, "issued")[0]
    for typed in (row["code"], row["code"].lower().replace("-", " "), row["digest"]):
        page = stranger.get("/verify", params={"code": typed})
        assert page.status_code == 200
        assert "As issued" in page.text
        assert "Marrow" not in page.text  # nothing of the house
    wrong = "0" * 64
    for typed in ("00000-00000", wrong, row["digest"][:-1] + "g", "<b>", "x" * 90):
        page = stranger.get("/verify", params={"code": typed})
        assert page.status_code == 404
        assert "Not ours" in page.text
    assert stranger.get("/verify").status_code == 200
    assert stranger.get(f"/verify/{row['code']}/qr.svg").headers["content-type"] == "image/svg+xml"
    assert stranger.get("/verify/nonsense/qr.svg").status_code == 404


@pytest.mark.control(20)
def test_link_shows_the_record_and_only_reads(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    path, fields, _ = make_link(office)
    token = path.rpartition("/")[2]
    assert token == fields["token"]
    database = app.state.server.database.path.read_bytes()
    assert token.encode() not in database
    for _ in range(2):  # a preview that follows the link spends nothing
        page = stranger.get(path)
        assert page.status_code == 200
        assert "Living with the door" in page.text
    assert page.headers["referrer-policy"] == "no-referrer"
    assert "noindex" in page.headers["x-robots-tag"]
    assert page.headers["cache-control"] == "no-store"
    assert "mm" in stranger.get(path + "?units=mm").text
    assert stranger.get(path + "/letter.pdf").content.startswith(b"%PDF")
    assert stranger.get(path + "/a4.pdf?units=both").headers["content-type"] == "application/pdf"
    assert stranger.get(path + "/legal.pdf").status_code == 404
    other = re.search(r'href="([^"]+lang=es[^"]*)"', page.text)  # for who reads Spanish
    assert other
    spanish = stranger.get(html.unescape(other[1])).text
    assert '<html lang="es">' in spanish
    other = re.search(r'href="([^"]+letter\.pdf[^"]*lang=es)"', spanish)
    assert other
    assert b"Su puerta" in stranger.get(html.unescape(other[1])).content
    assert stranger.get(path + "/photos/" + "0" * 64).status_code == 404
    assert stranger.get(path + "/photos/..%2f..%2fsillbook.db").status_code == 404
    assert stranger.post(path).status_code in (403, 405)
    assert stranger.get(f"/record/{OPENING}").status_code == 303


def test_same_form_twice_is_one_link(app: FastAPI, office: TestClient) -> None:
    _, fields, _ = make_link(office)
    office.post(f"/office/o/{OPENING}/share", data={**fields, "days": "30"})
    assert len(rows(app, "link")) == 1


@pytest.mark.control(20)
def test_withdrawn_renewed_and_expired_links_lead_nowhere(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    from tests.demo.walk import Page

    path, _, _ = make_link(office)
    share = f"/office/o/{OPENING}/share"
    forms = [fields for _, fields in Page(office.get(share).text).forms]
    renew = next(f for f in forms if f.get("act") == "make" and f.get("link"))
    answer = office.post(share, data=renew)
    again = re.search(r"(/mine/[A-Za-z0-9_-]{22})", answer.text)
    assert again
    assert stranger.get(path).status_code == 404
    assert stranger.get(again[1]).status_code == 200
    forms = [fields for _, fields in Page(office.get(share).text).forms]
    office.post(share, data=next(f for f in forms if f.get("act") == "withdraw"))
    assert stranger.get(again[1]).status_code == 404
    third, _, _ = make_link(office, "30")
    server = app.state.server
    now = server.clock()
    server.clock = lambda: now + 31 * 24 * 3600
    assert stranger.get(third).status_code == 404


@pytest.mark.control(15, 20)
def test_guessing_slows_down_and_a_right_link_still_opens(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    path, _, _ = make_link(office)
    codes = [stranger.get("/mine/" + str(n).zfill(22)).status_code for n in range(40)]
    assert codes[0] == 404
    assert 429 in codes
    assert stranger.get(path).status_code == 200


def test_the_link_gives_the_facts_alone_to_be_checked(
    office: TestClient, stranger: TestClient
) -> None:
    """The entries, with each minute of the crew and each typed name, are in the office's export."""
    path, _, _ = make_link(office)
    whole = office.get(f"/record/{OPENING}/r/1/export.json").content
    given = stranger.get(path + "/export.json").content
    assert "events" in json.loads(whole)
    assert "events" not in json.loads(given)
    checked, other = checking.check(given), checking.check(whole)
    assert (checked.faults, checked.public, other.public) == ([], True, False)
    assert (checked.digest, checked.entries) == (other.digest, len(json.loads(whole)["events"]) - 1)


def test_installer_makes_no_links_and_strangers_see_nothing(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    from tests.demo.conftest import enter

    installer = enter(app, "installer")
    share = f"/office/o/{OPENING}/share"
    assert installer.get(share).status_code == 403
    assert installer.post(share, data={"act": "make"}).status_code == 403
    assert stranger.get(f"/record/{OPENING}/r/1/letter.pdf").status_code == 303
    assert stranger.get(f"/record/{OPENING}/r/1/export.json").status_code == 303
