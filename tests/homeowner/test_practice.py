"""An opening to practise on: it says so everywhere, and no figure counts it.

That practice must never pass for work is the office's own wish (common practice, no source).
"""

import csv
import io
import json
import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import yaml
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pypdf import PdfReader
from sqlmodel import Session, select

from app.core.kinds import Json
from app.core.record.debrief import fault_stories
from app.core.record.state import State
from app.core.trade.planted import FAULTS as FAULT_KINDS
from app.homeowner.checking import check
from app.homeowner.command import verify
from app.homeowner.pdf.label import SIZES
from app.office.issue import work
from app.office.moving.openings import known_of, read_openings
from app.office.moving.sheet import CsvSheet, SheetRow
from app.procedures.compiler import compile_file
from app.procedures.drawings import drawing_json
from app.settings import SEED_DATA
from app.store import learning, log, outbox, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.learned_tables import LearnedDoor
from app.store.records import Issued
from app.store.summary_tables import OpenItem, Summary, Tally
from app.store.tables import Job, Opening
from tests.api.conftest import asking, make_token
from tests.demo.conftest import enter
from tests.homeowner.archival import faults
from tests.homeowner.conftest import OPENING, accept, rehung, served
from tests.office.conftest import fields

BAND = '<p class="practice-band"><strong>Practice: not a door that is set</strong></p>'
NEW = "/office/jobs/{job}/openings/new"


def figures(session: Session) -> list[tuple[str, int]]:
    """Return every tally that is not zero."""
    return sorted((row.name, row.count) for row in session.exec(select(Tally)) if row.count)


def issue_practice(app: FastAPI, office: TestClient, **typed: str) -> str:
    """Issue a copy of the demo's first door to practise on; returns the opening's id."""
    with app.state.server.database.read() as session:
        job = session.get_one(Opening, OPENING).job
    path = NEW.format(job=job)
    given = fields(office.get(f"{path}?copy={OPENING}").text, path)
    given |= {"letter": "P", "room": "Training bay", "practice": "mock-up", "act": "issue", **typed}
    answer = office.post(path, data=given, follow_redirects=False)
    assert answer.status_code == 303, answer.text[:3000]
    return given["opening"]


def work_through(app: FastAPI, opening: str, events: list[Json]) -> None:
    """Put a whole installation into the log of an opening."""
    with app.state.server.database.write() as session:
        known = log.events_of(session, [opening])[opening]
        moved = [{**event, "opening": opening} for event in events]
        log.append_events(session, rehung(known, moved, {}))


@pytest.fixture(scope="module")
def before(
    demo_data: Path, tmp_path_factory: pytest.TempPathFactory, book: list[Json]
) -> Iterator[Json]:
    """An office before, and after somebody practised on a copy of a door and was accepted."""
    folder = tmp_path_factory.mktemp("practice") / "data"
    shutil.copytree(demo_data, folder)
    app = served(folder)
    with TestClient(app):
        office = enter(app, "supervisor")
        database = app.state.server.database
        with database.write() as session:
            for job in session.exec(select(Job)):
                job.mail = "owner@example.org"
        notices = "/office/notices"
        given = fields(office.get(notices).text, notices)
        kinds = {f"kind.{kind}": "yes" for kind in ("query", "out", "review", "accepted")}
        told = {**given, **kinds, "mail": "nadia@example.org", "how": "at-once"}
        assert office.post(notices, data=told).status_code == 200
        with database.read() as session:
            counted, todays = figures(session), needs_of(office)
        opening = issue_practice(app, office)
        work_through(app, opening, book[1:-1])
        waiting = office.get("/office?show=review").text
        accept(office, opening)
        yield {"app": app, "office": office, "opening": opening, "counted": counted,
               "needs": todays, "waiting": waiting}  # fmt: skip


def needs_of(office: TestClient) -> str:
    """Return what Today says the office is needed for."""
    return office.get("/office/today").text.partition("<main")[2]


def test_the_issue_says_it_and_the_same_form_cannot_say_otherwise(before: Json) -> None:
    app, office, opening = before["app"], before["office"], before["opening"]
    with app.state.server.database.read() as session:
        events = log.events_of(session, [opening])[opening]
        job = session.get_one(Opening, opening).job
    assert events[0]["body"]["practice"] == {"way": "mock-up", "faults": []}
    path = NEW.format(job=job)
    given = fields(office.get(f"{path}?copy={OPENING}").text, path)
    again = {**given, "letter": "P", "room": "Training bay", "act": "issue", "practice": "",
             "id": events[0]["id"], "opening": opening}  # fmt: skip
    refused = office.post(path, data=again)
    assert refused.status_code == 422
    assert "already kept once" in refused.text
    wrong = office.post(path, data={**given, "letter": "Q", "act": "issue", "practice": "maybe"})
    assert wrong.status_code == 422
    assert "Choose one of: table, mock-up" in wrong.text


FAULTS = {
    "practice": "table", "fault_1_kind": "left-jamb-out", "fault_1_size": "1/4",
    "fault_2_kind": "roller-left-low", "fault_2_at": "b", "fault_2_size": "1/8",
    "fault_4_kind": "bed-hump", "fault_4_at": "5 ft", "fault_4_size": "3/16",
}  # fmt: skip
PLANTED = [
    {"kind": "left-jamb-out", "at": "", "size": "6350000"},
    {"kind": "roller-left-low", "at": "B", "size": "3175000"},
    {"kind": "bed-hump", "at": "1524000000", "size": "4762500"},
]


@pytest.fixture(scope="module")
def table(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Json]:
    """An office that issued a door with faults, to practise on at a table."""
    folder = tmp_path_factory.mktemp("table") / "data"
    shutil.copytree(demo_data, folder)
    app = served(folder)
    with TestClient(app):
        office = enter(app, "supervisor")
        opening = issue_practice(app, office, **FAULTS)
        yield {"app": app, "office": office, "opening": opening}


def test_faults_are_issued_with_it_copied_and_taken_out(table: Json) -> None:
    app, office, opening = table["app"], table["office"], table["opening"]
    with app.state.server.database.read() as session:
        body = log.events_of(session, [opening])[opening][0]["body"]
        job = session.get_one(Opening, opening).job
    assert body["practice"] == {"way": "table", "faults": PLANTED}
    path = NEW.format(job=job)
    copied = fields(office.get(f"{path}?copy={opening}").text, path)
    assert copied["practice"] == "table"
    kinds = [copied[f"fault_{row}_kind"] for row in (1, 2, 3, 4)]
    assert kinds == ["left-jamb-out", "roller-left-low", "bed-hump", ""]
    rows = rows_of(office, f"/office/take-out/opening/{opening}/openings.csv")
    sheet = parsed_sheet(rows)
    with app.state.server.database.read() as session:
        known = known_of(session, "in", {})
    assert known.people
    read = read_openings(sheet, known)
    assert read.wrong == []
    assert [row.practice for row in read.taken] == [{"way": "table", "faults": PLANTED}]


def parsed_sheet(rows: list[dict[str, str]]) -> CsvSheet:
    """Return rows as a sheet of a CSV, the letter changed so that it is free."""
    names = list(rows[0])
    cells = [SheetRow(n + 2, {**row, "letter": f"Z{n}"}, False) for n, row in enumerate(rows)]
    return CsvSheet(names, cells)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"fault_1_size": "2"}, "Give a size above 0"),
        ({"fault_1_size": "much"}, "Give a size above 0"),
        ({"fault_2_at": "K"}, "Give the letter of a panel: A, B, C, D."),
        ({"fault_4_at": "40 ft"}, "inside its width"),
        ({"fault_4_kind": "bent"}, "Choose one of: bed-falls"),
        ({"practice": ""}, "Faults are planted in an opening to practice on alone."),
    ],
)
def test_a_fault_that_cannot_be_is_refused_at_its_field(
    table: Json, typed: dict[str, str], words: str
) -> None:
    with table["app"].state.server.database.read() as session:
        job = session.get_one(Opening, OPENING).job
    office, path = table["office"], NEW.format(job=job)
    given = fields(office.get(f"{path}?copy={OPENING}").text, path)
    given |= {**FAULTS, "letter": "R", "room": "x", "act": "issue", **typed}
    refused = office.post(path, data=given)
    assert refused.status_code == 422
    assert words in unescape(refused.text)


@pytest.mark.parametrize("depth", ["short", "full"])
@pytest.mark.parametrize("name", ["stacking-door", "lift-and-slide-door"])
def test_every_fault_of_a_sixteenth_shows_at_a_point_that_is_asked(name: str, depth: str) -> None:
    """At short depth too: the floor is swept there, a survey of it is not asked."""
    procedure = compile_file(SEED_DATA / "procedures" / f"{name}.yaml")
    drawn = yaml.safe_load((SEED_DATA / "demo" / "drawings" / "marrow-lane-b.yaml").read_text())
    drawing = drawing_json(drawn) | {"door": procedure["doors"][0]}
    places = {"along": [str(x * 25_400_000) for x in (2, 30, 61, 146)], "panel": ["A", "C"]}
    for kind, (where, *_) in FAULT_KINDS.items():
        for at in places.get(where, [""]):
            fault = {"kind": kind, "at": at, "size": str(25_400_000 // 16)}
            practice = {"way": "table", "faults": [fault]}
            (story,) = fault_stories(work.trial_state(procedure, drawing, depth, practice))
            assert story.asked, (kind, at)


def test_a_hump_is_swept_and_read_at_short_depth(table: Json) -> None:
    """1/4 in under 4 ft is 3/16 (tests/core/test_planted.py); the check's limit is 1/8."""
    office = table["office"]
    with table["app"].state.server.database.read() as session:
        job = session.get_one(Opening, OPENING).job
    path = NEW.format(job=job)
    given = fields(office.get(f"{path}?copy={OPENING}").text, path)
    given |= {"letter": "S", "room": "x", "practice": "table", "depth": "short", "act": "issue",
              "fault_1_kind": "bed-hump", "fault_1_at": "6 ft", "fault_1_size": "1/64"}  # fmt: skip
    refused = office.post(path, data=given)
    assert refused.status_code == 422
    assert "No point that is asked shows this" in refused.text
    given |= {"fault_1_size": "1/4"}
    assert office.post(path, data=given).status_code == 200
    page = office.get(f"/field/o/{given['opening']}/point/sill-straightedge-long").text
    assert "The scale shows 3/16" in unescape(page)


def test_the_phone_shows_what_the_instrument_reads(table: Json) -> None:
    crew, opening = enter(table["app"], "installer"), table["opening"]
    page = crew.get(f"/field/o/{opening}/point/sill-length").text
    assert "The scale shows 15&#39; 11&#34;." in page or "The scale shows 15' 11" in unescape(page)
    assert "all there is as it should be" in crew.get(f"/field/o/{opening}/point/fall-guard").text
    assert "The scale shows" not in crew.get("/field/o/marrow-lane-a/point/sill-length").text


def test_the_debrief_is_the_trainers_until_every_step_is_signed(table: Json) -> None:
    opening = table["opening"]
    page = unescape(table["office"].get(f"/office/practice/{opening}").text)
    assert "3 faults were planted: 0 found, 0 put right." in page
    assert 'The LEFT jamb leans out 1/4" at the top' in page
    assert "The trainee does not see this until every step is signed." in page
    crew = enter(table["app"], "installer")
    assert crew.get(f"/field/o/{opening}/practice").status_code == 409
    assert crew.get(f"/office/practice/{opening}").status_code == 403
    assert table["office"].get("/office/practice/marrow-lane-a").status_code == 404


def test_the_trainee_sees_the_debrief_in_the_end(before: Json) -> None:
    office, opening = before["office"], before["opening"]
    assert f"/field/o/{opening}/practice" in office.get(f"/field/o/{opening}").text
    assert "No fault was planted" in office.get(f"/field/o/{opening}/practice").text
    assert f"/office/practice/{opening}" in office.get(f"/office/o/{opening}").text


def test_a_later_issue_does_not_make_a_door_of_it(before: Json) -> None:
    """Two issues of one opening, as two offices that were one could have: practice stays."""
    app, opening = before["app"], before["opening"]
    with app.state.server.database.read() as session:
        first = log.events_of(session, [opening])[opening][0]
        known = procedures.all_of(session, {})
    body = {name: value for name, value in first["body"].items() if name != "practice"}
    other = {**first, "id": uuid7(), "device": "office-2", "body": body}
    for both in ([first, other], [other, first]):
        assert State(both, known).practice == first["body"]["practice"]


PAGES = (
    "/office/o/{id}", "/office/o/{id}/entries", "/office/o/{id}/voice", "/office/o/{id}/share",
    "/office/drawing/{id}", "/office/blank/{id}", "/office/blank/{id}?step=B1",
    "/office/take-out/opening/{id}", "/field/o/{id}", "/field/o/{id}/next",
    "/field/o/{id}/step/B1", "/field/o/{id}/point/sill-straightedge", "/field/o/{id}/parts",
    "/field/o/{id}/queries", "/field/o/{id}/drawing", "/field/o/{id}/setout",
    "/field/o/{id}/history", "/field/o/{id}/instruments",
    "/field/o/{id}/owner", "/record/{id}?now=yes", "/office/practice/{id}",
)  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_it_says_so_and_no_other_does(before: Json, path: str) -> None:
    office = before["office"]
    mine = office.get(path.format(id=before["opening"]))
    assert mine.status_code == 200
    assert mine.text.count(BAND) == 1
    assert BAND not in office.get(path.format(id=OPENING)).text


def test_lists_mark_it(before: Json) -> None:
    office, opening = before["office"], before["opening"]
    mark = '<p class="practice-mark">Practice: not a door that is set</p>'
    assert mark in office.get("/field").text
    with before["app"].state.server.database.read() as session:
        job = session.get_one(Opening, opening).job
    assert office.get(f"/office/jobs/{job}").text.count(mark) == 1
    assert f"/office/plan/{opening}" not in office.get(f"/office/jobs/{job}").text
    apart = office.get("/office?show=practice").text
    assert apart.count('<span class="practice-mark">') == 1
    assert opening in apart
    assert "?show=practice" in office.get("/office").text


def test_the_record_says_so_on_page_and_on_each_sheet(before: Json) -> None:
    office, opening = before["office"], before["opening"]
    assert "Practice: not a door that was set." in office.get(f"/record/{opening}").text
    for name in ("letter", "a4"):
        data = office.get(f"/record/{opening}/r/1/{name}.pdf").content
        sheets = PdfReader(io.BytesIO(data)).pages
        assert len(sheets) > 5
        for sheet in sheets:
            text = sheet.extract_text()
            assert "Practice: not a door that was set." in text
            assert "PRACTICE" in text
        assert faults(pikepdf.open(io.BytesIO(data))) == []
    for size in SIZES:
        label = office.get(f"/record/{opening}/r/1/{size}.pdf?lang=es").content
        (page,) = PdfReader(io.BytesIO(label)).pages
        assert "PRÁCTICA" in page.extract_text()
        assert "555-0142" not in page.extract_text()


def issued_of(before: Json) -> Issued:
    with before["app"].state.server.database.read() as session:
        return session.exec(select(Issued).where(Issued.opening == before["opening"])).one()


def test_verify_says_it_first(
    before: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    office, opening, row = before["office"], before["opening"], issued_of(before)
    first = "<strong>Practice: not a door that was set. "
    page = office.get(f"/verify/{row.code}").text
    assert first + "As issued" in page
    assert "stamp-good" not in page
    for name in ("letter.pdf", "export.json"):
        data = office.get(f"/record/{opening}/r/1/{name}").content
        shown = office.post("/verify/file", files={"file": (name, data)}).text
        assert first + "The file is whole" in shown
        file = tmp_path / name
        file.write_bytes(data)
        assert verify(options_of(file)) == 0
        assert capsys.readouterr().out.startswith("Practice: not a door that was set.\n")


def options_of(file: Path) -> Any:
    from argparse import Namespace

    return Namespace(file=file, key=[], code="")


def test_it_cannot_be_taken_out_of_the_digest(before: Json) -> None:
    """A file from which the word was taken is no longer what was issued."""
    data = before["office"].get(f"/record/{before['opening']}/r/1/export.json").content
    assert check(data).practice
    assert check(data).faults == []
    whole = json.loads(data)
    del whole["snapshots"][0]["facts"]["practice"]
    assert "contents" in check(json.dumps(whole).encode()).codes


def test_no_figure_counts_it(before: Json) -> None:
    app, office, opening = before["app"], before["office"], before["opening"]
    with app.state.server.database.read() as session:
        assert figures(session) == before["counted"]
        row = session.get_one(Summary, opening)
        assert row.practice
        assert row.state == "done"
        assert (row.outs, row.due, row.last_day, row.until) == (0, "", "", "")
        assert session.exec(select(OpenItem).where(OpenItem.opening == opening)).all() == []
    assert opening not in before["waiting"]
    assert needs_of(office) == before["needs"]
    assert opening not in office.get("/office").text


def test_nothing_is_learned_of_it(before: Json) -> None:
    database = before["app"].state.server.database
    while learning.learn_some(database, {}):
        pass
    with database.read() as session:
        assert session.get(LearnedDoor, before["opening"]) is None
        assert learning.count_waiting(session) == 0


def test_nobody_is_written_to_and_no_link_is_made(before: Json) -> None:
    office, opening = before["office"], before["opening"]
    with before["app"].state.server.database.read() as session:
        assert outbox.newest_rows(session, 10) == []
    path = f"/office/o/{opening}/share"
    page = office.get(path).text
    assert "This opening is to practice on: no link leads to it." in page
    other = fields(office.get(f"/office/o/{opening}/share").text, path)
    for act in ("make", "renew", "hand-on"):
        form = {**other, "act": act, "token": "a" * 22, "secret": "a" * 22, "days": "30"}
        refused = office.post(path, data=form)
        assert refused.status_code in (403, 409), refused.text[:300]


def test_it_stands_in_no_plan(before: Json) -> None:
    refused = before["office"].get(f"/office/plan/{before['opening']}")
    assert refused.status_code in (403, 409)
    assert "stands in no plan" in refused.text


def test_other_programs_are_told(before: Json) -> None:
    office, opening = before["office"], before["opening"]
    rows = rows_of(office, "/office/take-out/all/openings.csv")
    assert [row["practice"] for row in rows if row["room"] == "Training bay"] == ["mock-up"]
    assert {row["practice"] for row in rows if row["room"] != "Training bay"} == {""}
    read = rows_of(office, f"/office/take-out/opening/{opening}/readings.csv")
    assert len(read) > 200
    assert {row["practice"] for row in read} == {"yes"}
    program = asking(before["app"], make_token(enter(before["app"], "administrator")))
    openings = program.get("/api/v1/openings?limit=200").json()["items"]
    assert [one["id"] for one in openings if one["practice"]] == [opening]
    assert [one["practice"] for one in program.get("/api/v1/records").json()["items"]] == [True]


def rows_of(office: TestClient, path: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(office.get(path).content.decode("utf-8-sig"))))


def test_summaries_come_to_the_same_when_made_anew(before: Json) -> None:
    database = before["app"].state.server.database
    with database.write() as session:
        database.summaries.rebuild(session)
    with database.read() as session:
        assert figures(session) == before["counted"]


def test_a_device_of_the_crew_cannot_say_it(before: Json) -> None:
    """An issue said by a phone counts for nothing: it makes no practice of a door."""
    with before["app"].state.server.database.read() as session:
        events = log.events_of(session, [OPENING])[OPENING]
        known = procedures.all_of(session, {})
        own = device_id(session, "office")
    assert events[0]["device"] == own
    body = {**events[0]["body"], "practice": {"way": "mock-up", "faults": []}}
    other = {**events[0], "id": uuid7(), "device": "phone-1", "body": body}
    assert State([events[0], other], known).practice is None
