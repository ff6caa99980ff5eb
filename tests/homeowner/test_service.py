"""Service visits at the office: complaints, sheets that verify, and why doors come back.

What is checked is that a visit adds a sheet and alters no record, and that each altered byte shows;
the arithmetic of what moved is that of tests/core/test_visits.py.
"""

import hashlib
import io
import re
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from PIL import Image
from pypdf import PdfReader
from sqlmodel import Session

from app.core.kinds import Json
from app.core.record import visits
from app.core.record.events import heads_of, new_event
from app.core.record.state import State
from app.homeowner import export, service, signed_pdf
from app.office import visit_lines
from app.office import visits as visits_office
from app.office.visits import MOST_SHEETS
from app.signing.pins import Pins
from app.store import log, photos
from app.store.ids import uuid7
from app.store.photos import FolderPhotos
from app.store.records import revisions_of, sheets_of
from tests.demo.conftest import OURS, enter
from tests.demo.walk import Page
from tests.homeowner.conftest import OPENING, accept, make_link
from tests.homeowner.finished import PROCEDURES
from tests.procedures.perfect_door import IN, value

INSTALLER = "tobin-hale"


def add(app: FastAPI, kind: str, body: Json) -> Json:
    """Add an entry as the crew's browser would."""
    return add_all(app, [(kind, body)])[0]


def add_all(app: FastAPI, entries: list[tuple[str, Json]]) -> list[Json]:
    """Add entries together, as they come from a phone."""
    with app.state.server.database.write() as session:
        known = log.events_of(session, [OPENING])[OPENING]
        out = []
        for kind, body in entries:
            draft = {
                "id": uuid7(), "device": "web-crew", "opening": OPENING, "seen": heads_of(known),
                "at": "2028-05-02T14:05:00-05:00", "person": INSTALLER, "kind": kind, "body": body,
            }  # fmt: skip
            made = new_event(known, draft)
            known, out = [*known, made], [*out, made]
        log.append_events(session, out)
        return out


def state_of(app: FastAPI) -> State:
    with app.state.server.database.read() as session:
        return State(log.events_of(session, [OPENING])[OPENING], PROCEDURES)


def begin(app: FastAPI, callback: str = "") -> str:
    """Begin a visit; returns its id."""
    body = {"words": "It sticks at the lock"}
    if callback:
        body["callback"] = callback
    return str(add(app, "visit.begun", body)["id"])


def measure(app: FastAPI, begun: str) -> None:
    """Measure all that a visit asks for: the closing gap has opened by 1/8 in at the top."""
    state = state_of(app)
    for step, point_id, place in visits.places_left(visits.visited_state(state, begun)):
        point = state.point(point_id)
        number = value(point, place, state.drawing)
        if point["quantity"] == "length" and place.side == "high":
            number += IN // 8
        text = "yes" if point["quantity"] == "yes-no" else str(number)
        if point["quantity"] == "choice":
            text = point["choices"][0]["id"]
        panel = state.panel_for(point_id, step.panel)
        add(app, "reading.taken", {
            "point": point_id, "panel": panel, "place": place.id, "quantity": point["quantity"],
            "text": text, "value": str(number), "units": "in", "visit": begun,
            "how": "down" if point["how"] == "level" else "plain",
        })  # fmt: skip


def visit(app: FastAPI, callback: str = "", photo: bytes = b"") -> str:
    """Do a visit, measured and signed; returns its id."""
    begun = begin(app, callback)
    measure(app, begun)
    if photo:
        sha256 = hashlib.sha256(photo).hexdigest()
        photos.keep_photo(app.state.server.database.path.parent / "photos", sha256, photo)
        add(app, "photo.taken", {
            "step": state_of(app).steps[0].key, "task": "visit", "sha256": sha256,
            "size": len(photo), "width": 1600, "height": 1200, "visit": begun,
        })  # fmt: skip
    covers = [e["id"] for e in visits.entries_of(state_of(app), begun)]
    words = "Turned the right roller of A up."
    add(app, "visit.signed", {"visit": begun, "words": words, "trace": "F", "covers": covers})
    return begun


def jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), "green").save(out, "JPEG")
    return out.getvalue()


def test_visit_adds_a_sheet_and_leaves_the_record(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    before = office.get(f"/record/{OPENING}/r/1/export.json").content
    visit(app)
    page = office.get("/office/visits").text
    for words in ("It sticks at the lock", "+1/8", "F Roller height", "days after acceptance"):
        assert words in page, words
    assert office.get(f"/record/{OPENING}/r/1/export.json").content == before
    link, _, _ = make_link(office)
    assert f"{link}/service/1" in stranger.get(link).text
    sheet = stranger.get(f"{link}/service/1").text
    for words in ("Turned the right roller of A up.", "+1/8", "Tobin Hale", "stays as it is"):
        assert words in sheet, words
    code = re.search(r"[0-9A-Z]{5}-[0-9A-Z]{5}", sheet)
    assert code
    assert "a service sheet of ours" in stranger.get(f"/verify/{code[0]}").text
    assert stranger.get(f"{link}/service/2").status_code == 404


def test_a_sheet_is_issued_once_as_soon_as_the_visit_is_signed(
    app: FastAPI, office: TestClient
) -> None:
    accept(office)
    begun = begin(app)
    assert office.get(f"/record/{OPENING}/service/1").status_code == 404
    add(app, "visit.signed", {"visit": begun, "words": "Nothing.", "trace": "F", "covers": []})
    assert office.get(f"/record/{OPENING}/service/1").status_code == 200
    page = office.get("/office/visits").text
    assert f"/record/{OPENING}/service/1" in page
    assert [form for form in Page(page).forms if form[1].get("act") == "issue"] == []
    add(app, "visit.begun", {"words": "Again"})
    assert office.get(f"/record/{OPENING}/service/2").status_code == 404
    events = state_of(app).ledger.of_kind("service.issued")
    assert [event["body"]["visit"] for event in events] == [begun]


def test_a_sheet_that_cannot_be_issued_keeps_no_entry_out(app: FastAPI, office: TestClient) -> None:
    """No record was issued. A visit that a phone signed all the same is kept without a sheet."""
    begun = begin(app)
    signed = {"visit": begun, "words": "Nothing.", "trace": "F", "covers": []}
    made = add(app, "visit.signed", signed)
    assert made["id"] in state_of(app).ledger.by_id
    assert state_of(app).ledger.of_kind("service.issued") == []


def test_the_office_issues_a_sheet_that_could_not_be_issued_before(
    app: FastAPI, office: TestClient
) -> None:
    """A visit was signed before any record was issued; its sheet comes by the form, and once."""
    begun = begin(app)
    add(app, "visit.signed", {"visit": begun, "words": "Nothing.", "trace": "F", "covers": []})
    accept(office)
    asked = {"act": "issue", "opening": OPENING, "visit": begun}
    [form] = [
        f for f in Page(office.get("/office/visits").text).forms if f[1].get("act") == "issue"
    ]
    assert {name: form[1][name] for name in asked} == asked
    for _ in range(2):
        answer = office.post("/office/visits", data=form[1])
        assert (answer.status_code, answer.url.path) == (200, "/office/visits")
    events = state_of(app).ledger.of_kind("service.issued")
    assert [event["body"]["visit"] for event in events] == [begun]
    assert office.get(f"/record/{OPENING}/service/1").status_code == 200
    lost = office.post("/office/visits", data={**form[1], "visit": uuid7()})
    assert lost.status_code == 404


@pytest.mark.control(34)
def test_visits_that_are_not_there_cost_the_writer_nothing(
    app: FastAPI, office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A phone with changed code signs what it likes; each try at a sheet folds the opening."""
    accept(office)
    tries: list[str] = []
    issue = service.issue

    def counted(session: Session, opening: str, id: str, *rest: str) -> None:
        tries.append(id)
        issue(session, opening, id, *rest)

    monkeypatch.setattr(service, "issue", counted)
    signed = {"words": "Nothing.", "trace": "F", "covers": []}
    issued = state_of(app).ledger.events[0]["id"]
    for visit_id in ("no-such-visit", issued):
        add(app, "visit.signed", {**signed, "visit": visit_id})
    begun = [begin(app) for _ in range(MOST_SHEETS + 2)]
    assert tries == []
    add_all(app, [("visit.signed", {**signed, "visit": one}) for one in [*begun, *begun]])
    assert tries == begun[:MOST_SHEETS]  # the office has a button for the others
    add(app, "visit.begun", {"words": "Again"})
    assert len(tries) == MOST_SHEETS  # nor is one tried again at each later entry


def test_no_id_of_an_entry_stands_in_what_strangers_get(app: FastAPI, office: TestClient) -> None:
    """An entry's id begins with the millisecond in which it was made (RFC 9562, 5.7)."""
    accept(office)
    visit(app)
    with app.state.server.database.read() as session:
        rows = [*sheets_of(session, OPENING), *revisions_of(session, OPENING)]
        files = [export.proof_of(session, row).decode() for row in rows]
    assert len(files) == 2
    ids = [event["id"] for event in state_of(app).ledger.events if len(event["id"]) == 36]
    assert len(ids) > 10  # of the visit's entries; those of the record have short ones here
    assert [id for id in ids for file in files if id in file] == []


def test_photos_of_a_visit_are_on_its_sheet(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    visit(app, photo=jpeg())
    name = hashlib.sha256(jpeg()).hexdigest()
    link, _, _ = make_link(office)
    for reader, base in ((office, f"/record/{OPENING}"), (stranger, link)):
        assert f"{base}/photos/{name}" in reader.get(f"{base}/service/1").text
        assert reader.get(f"{base}/photos/{name}").content == jpeg()
        pdf = PdfReader(io.BytesIO(reader.get(f"{base}/service/1/a4.pdf").content))
        assert sum(len(page.images) for page in pdf.pages) == 1
        assert name[:12] in "".join(page.extract_text() for page in pdf.pages)
    assert stranger.get(f"{link}/photos/{'0' * 64}").status_code == 404


def test_pdf_of_a_sheet_proves_itself_and_shows_each_altered_byte(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    visit(app)
    pdf = office.get(f"/record/{OPENING}/service/1/letter.pdf").content
    reader = PdfReader(io.BytesIO(pdf))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert len(reader.pages) <= 2
    assert "Service sheet" in text
    assert signed_pdf.check(pdf, "", Pins()).faults == []
    said = stranger.post("/verify/file", files={"file": ("a.pdf", pdf)}, headers=OURS).text
    assert "The file is whole" in said
    assert "a service sheet of ours" in said
    for at in (len(pdf) // 3, len(pdf) // 2, len(pdf) - 2000):
        other = bytearray(pdf)
        other[at] ^= 1
        assert signed_pdf.check(bytes(other), "", Pins()).faults, at


def photo() -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", (3000, 2000), "red")
    exif = Image.Exif()
    exif[0x010F] = "Some camera"  # Make: Exif 2.32, 4.6.4
    picture.save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_complaint_of_an_owner_becomes_a_job_for_a_visit(
    app: FastAPI, office: TestClient, stranger: TestClient
) -> None:
    accept(office)
    link, _, _ = make_link(office)
    fields = {"id": uuid7(), "words": "It rattles in the wind"}
    sent = stranger.post(
        link + "/complaint", data=fields, files={"photo": ("a.jpg", photo())}, headers=OURS
    )
    assert sent.status_code == 303, sent.text
    assert "The company has your message" in stranger.get(link + "?sent=yes").text
    again = stranger.post(
        link + "/complaint", data=fields, files={"photo": ("a.jpg", photo())}, headers=OURS
    )
    assert again.status_code == 303
    page = office.get("/office/visits").text
    assert page.count("It rattles in the wind") == 1
    shown = re.search(r"/office/visits/photo/[^\"]+", page)
    assert shown
    kept = office.get(shown[0])
    picture = Image.open(io.BytesIO(kept.content))
    assert max(picture.size) == 1600  # as a phone of the crew sends it
    assert not picture.getexif()
    forms = Page(page).forms
    path, given = next(form for form in forms if form[1].get("act") == "give")
    assert office.post(path, data={**given, "person": INSTALLER}).status_code == 200
    assert "Tobin Hale has it" in office.get("/office/visits").text
    crew = enter(app, "installer")
    assert "It rattles in the wind" in crew.get(f"/field/o/{OPENING}/visit").text
    visit(app, fields["id"])
    assert "None is open." in office.get("/office/visits").text


@pytest.mark.parametrize(
    ("words", "file", "said"),
    [
        (" ", b"", "Say what is wrong"),
        ("x" * 1001, b"", "At most 1000"),
        ("It leaks", b"GIF89a no picture", "cannot be read"),
        ("It leaks", b"<svg onload='x'/>", "cannot be read"),
    ],
)
def test_unfit_complaint_says_so_and_keeps_what_was_typed(
    app: FastAPI, office: TestClient, stranger: TestClient, words: str, file: bytes, said: str
) -> None:
    accept(office)
    link, _, _ = make_link(office)
    answer = stranger.post(
        link + "/complaint",
        data={"id": uuid7(), "words": words},
        files={"photo": ("a", file)},
        headers=OURS,
    )
    assert answer.status_code == 422
    assert said in answer.text
    assert words.strip() in answer.text
    assert "None is open." in office.get("/office/visits").text


@pytest.mark.control(30)
def test_complaint_while_the_photos_are_away_keeps_what_was_typed(
    app: FastAPI, office: TestClient, stranger: TestClient, tmp_path: Path
) -> None:
    """As where the network folder of the photos is not there: 503, and the words stand."""
    accept(office)
    link, _, _ = make_link(office)
    app.state.server.database.photos = FolderPhotos(tmp_path / "gone", marked=True)
    answer = stranger.post(
        link + "/complaint",
        data={"id": uuid7(), "words": "It rattles"},
        files={"photo": ("a.jpg", photo())},
        headers=OURS,
    )
    assert answer.status_code == 503
    assert "It rattles" in answer.text
    assert "cannot be reached now" in answer.text
    assert "None is open." in office.get("/office/visits").text


def test_complaint_by_an_unknown_link_is_not_kept(office: TestClient, stranger: TestClient) -> None:
    accept(office)
    got = stranger.post("/mine/nothing/complaint", data={"id": "x", "words": "y"}, headers=OURS)
    assert got.status_code == 404
    assert "None is open." in office.get("/office/visits").text


def test_page_of_visits_shows_the_last_ones_and_folds_a_door_only_after_a_new_entry(
    app: FastAPI, office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    accept(office)
    first, second = visit(app), visit(app)
    folded: list[str] = []
    fold = visit_lines._lines_of_opening

    def noting(session: Session, opening: str, units: str, known: Json) -> Json:
        folded.append(opening)
        return fold(session, opening, units, known)

    monkeypatch.setattr(visit_lines, "_lines_of_opening", noting)
    monkeypatch.setattr(visits_office, "PAGE", 1)
    page = office.get("/office/visits").text
    assert f"{OPENING}~{second}" in page
    assert f"{OPENING}~{first}" not in page
    older = re.search(r'name="before" value="(\d+)"', page)
    assert older
    last = office.get(f"/office/visits?before={older[1]}").text
    assert f"{OPENING}~{first}" in last
    assert 'name="before"' not in last
    assert folded == [OPENING]
    assert "<strong>F Roller height</strong> (2)" in last  # of all visits, not of those shown
    for odd in ("x", "-1", "9" * 30, "٣"):
        assert office.get("/office/visits", params={"before": odd}).status_code == 200
    third = begin(app)
    assert f"{OPENING}~{third}" in office.get("/office/visits").text
    assert folded == [OPENING, OPENING]


@pytest.mark.sqlite
def test_visits_are_found_without_looking_through_the_log(app: FastAPI) -> None:
    with app.state.server.database.read() as session:
        for kind in ("visit.begun", "visit.signed"):
            asked = (
                f"EXPLAIN QUERY PLAN SELECT body FROM event WHERE kind = '{kind}' ORDER BY seq DESC"
            )
            plan = str(session.connection().exec_driver_sql(asked).all())
            assert f"ix_event_{kind.replace('.', '_')}" in str(plan)
