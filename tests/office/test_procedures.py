"""Procedures at the office: taken in whole or refused, compared, put in force, moved to."""

import html
import re

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.state import State
from app.demo import company
from app.store import log, procedures
from app.store.tables import Procedure
from tests.office.conftest import fields
from tests.office.counting import counted
from tests.office.test_issue import make_job, state_of

SHIPPED = company.FOLDER.parent / "procedures" / "stacking-door.yaml"
NEW = "/office/procedures/new"
ONE, TWO = "stacking-door@1", "stacking-door@2"
MOVE = f"/office/procedures/{TWO}/openings/marrow-lane-b"


def second(text: str = "") -> str:
    """Return the shipped procedure as version 2, in which step A checks the sill more tightly."""
    text = text or SHIPPED.read_text(encoding="utf-8")
    text = re.sub(r"^version: 1$", "version: 2", text, flags=re.MULTILINE)
    return text.replace("limits: {most: 1/16 in}", "limits: {most: 1/32 in}", 1)


def take(office: TestClient, text: str, name: str = "two.yaml") -> tuple[int, str, str]:
    answer = office.post(NEW, files={"file": (name, text.encode(), "text/yaml")})
    return answer.status_code, html.unescape(answer.text), str(answer.url.path)


BOTH = [("lift-and-slide-door", 1), ("stacking-door", 1)]


def kept(app: FastAPI) -> list[tuple[str, int]]:
    with app.state.server.database.read() as session:
        return list(session.exec(select(Procedure.id, Procedure.version)))


def test_every_problem_is_told_with_its_line_and_nothing_is_written(
    app: FastAPI, office: TestClient
) -> None:
    text = second()
    lines = text.splitlines()
    one = next(n for n, line in enumerate(lines) if "tool: tape" in line)
    two = next(n for n, line in enumerate(lines) if "calc:" in line)
    lines[one] = lines[one].replace("tape", "tapemeasure")
    lines[two] = re.sub(r"calc: \S+", "calc: guess", lines[two])
    status, page, _ = take(office, "\n".join(lines))
    assert status == 422
    assert f"Line {one + 1}" in page
    assert "unknown tool “tapemeasure”" in page
    assert f"Line {two + 1}" in page
    assert lines[one] in page  # what was given is kept, to be put right there
    assert kept(app) == BOTH
    for nonsense in ("", "a: [1", "\tx", "- 1\n- 2"):
        assert take(office, nonsense)[0] == 422
    assert office.post(NEW, files={"file": ("x", b"\xff\xfe\x00", "text/yaml")}).status_code == 422
    assert kept(app) == BOTH


def test_text_that_was_put_right_on_the_page_is_taken_in(app: FastAPI, office: TestClient) -> None:
    text = second().replace("\n", "\r\n")
    answer = office.post(NEW, data={"text": text}, files={"file": ("", b"", "text/yaml")})
    assert str(answer.url.path) == f"/office/procedures/{TWO}/force"
    assert ("stacking-door", 2) in kept(app)


def test_version_is_never_edited(app: FastAPI, office: TestClient) -> None:
    assert take(office, second())[0] == 200
    status, page, _ = take(office, second().replace("most: 1/32 in", "most: 3/64 in", 1))
    assert status == 422
    assert "stacking-door@2 is in use and differs: give it a new version" in page
    status, page, path = take(office, second())  # the same once more: nothing to do
    assert (status, path) == (200, f"/office/procedures/{TWO}/force")
    assert sorted(kept(app)) == sorted([*BOTH, ("stacking-door", 2)])


FORCE = f"/office/procedures/{TWO}/force"


def put_in_force(keeper: TestClient) -> None:
    """Put the second version in force, by an administrator's page."""
    sent = {**fields(keeper.get(FORCE).text, FORCE), "why": "Sills come truer now."}
    assert keeper.post(FORCE, data=sent).status_code == 200


def test_new_openings_get_it_only_once_it_is_in_force(
    app: FastAPI, office: TestClient, keeper: TestClient
) -> None:
    take(office, second())
    job = make_job(office)
    new = f"/office/jobs/{job}/openings/new"
    assert ONE in office.get(new).text
    assert TWO not in office.get(new).text
    put_in_force(keeper)
    assert TWO in office.get(new).text
    assert ONE not in office.get(new).text
    assert "in force for new openings" in office.get(f"/office/procedures/{TWO}").text
    assert state_of(app, "marrow-lane-b").procedure_key == ONE


def test_comparison_says_in_words_and_numbers_what_differs(office: TestClient) -> None:
    text = second()
    at = text.index("\n    tasks:")
    text = text[:at] + re.sub(r"text: \"[^\"]+\"", "text: Look twice", text[at:], count=1)
    assert take(office, text)[0] == 200
    page = html.unescape(office.get(f"/office/procedures/{ONE}/against/{TWO}").text)
    assert 'A Delivery check · Sill as drawn</span>: limit: ±1/16" → ±1/32"' in page
    assert re.search(r"Task “[^”]+”, text: was “[^”]+”, is “Look twice”", page)
    same = office.get(f"/office/procedures/{ONE}/against/{ONE}").text
    assert "They say the same." in same


def test_comparison_says_what_is_asked_when(office: TestClient) -> None:
    text = second()
    at = text.index("      - id: sill-length\n")
    end = text.index("\n", text.index("where:", at))
    check = re.search(r"checks:\n      - id: (\S+)\n        title: (.+)", text[end:])
    assert check is not None
    finer = f"\n        asked: {{when: {check[1]}}}\n        short: {{kind: one}}"
    assert take(office, text[:end] + finer + text[end:])[0] == 200
    page = html.unescape(office.get(f"/office/procedures/{ONE}/against/{TWO}").text)
    title = check[2].strip('"')
    assert f"was “always”, is “when one is out or too close to call: {title}”" in page
    assert "where it is measured at short depth" in page


def test_comparison_says_what_a_door_must_have_and_what_stands_in(office: TestClient) -> None:
    """Places of a task, the point that stands in, the mark that readings start from."""
    text = second()
    for old, new in (
        ('sealed", on: {kind: panels, which: fixed}', 'sealed", on: {kind: panels, which: lead}'),
        ("        instead: stile-clearance\n", ""),
        ("        from: low\n", "        from: middle\n"),
        ("        text: Rollers turned\n        asks: panel\n", "        text: Rollers turned\n"),
        ("settled: [joint-wide, joint-deep, seal-warm, seal-no-dew]", "settled: [joint-wide]"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    assert take(office, text)[0] == 200
    page = html.unescape(office.get(f"/office/procedures/{ONE}/against/{TWO}").text)
    for words in (
        "what a door must have for it: was “panels, which fixed”, is “panels, which lead”",
        "what stands in where it is not asked: was “Clearance, stile over sill”, is “–”",
        "the place that it is read from: was “heights, ",
        "asks where: was “panel”, is “–”",
        "waits until these are settled: was “Joint width, Sealant depth",
        "Humidity, dew point”, is “Joint width”",
    ):
        assert words in page, words


def test_whole_step_that_is_left_out_is_told(office: TestClient) -> None:
    text = second()
    last = text.rindex("\n  - id: J\n")
    left = re.sub(r"\n +- as-left-[a-z]+(?=\n)", "", text[:last])  # what it spoils goes with it
    take(office, left + "\n")
    page = office.get(f"/office/procedures/{ONE}/against/{TWO}").text
    assert "The whole step" in page
    back = office.get(f"/office/procedures/{TWO}/against/{ONE}").text
    assert "The whole step: " in back


def test_procedure_is_shown_as_the_crew_will_see_it(office: TestClient) -> None:
    for path in (f"/office/procedures/{ONE}", f"/office/procedures/{ONE}?opening=marrow-lane-b"):
        page = html.unescape(office.get(path).text)
        for words in ("Delivery check", "Before you start", "company limit", "Hold point"):
            assert words in page
        nights = page.partition("After a night, before work goes on")[2]
        assert re.findall("<li>(.*?)</li>", nights)[0] == (
            'Sill set back from room-side line, first place, 1/16"'
        )
    assert "Marrow Lane B Study</option>" in page  # a room alone stands in many jobs
    assert office.get("/office/procedures/nothing@1").status_code == 404
    assert office.get(f"/office/procedures/{ONE}?opening=none").status_code == 404


def test_preview_names_just_the_sign_offs_that_the_move_breaks(
    app: FastAPI, office: TestClient
) -> None:
    take(office, second())
    before = good(state_of(app, "marrow-lane-b"))
    page = html.unescape(office.get(MOVE).text)
    told = re.findall(r"<li>(\w+) ", page[page.index("would break") : page.index("<form")])
    form = fields(office.get(MOVE).text, MOVE)
    sent = {**form, "why": "The sill is checked more tightly."}
    assert office.post(MOVE, data=sent).status_code == 200
    state = state_of(app, "marrow-lane-b")
    assert state.procedure_key == TWO
    broken = [key for key in before if key not in good(state)]
    assert broken == told == ["A"]
    sign = gate.sign_of(state, state.step("A"))
    assert sign is not None
    assert "procedure was changed" in sign.why[0].template
    assert office.post(MOVE, data=sent).status_code == 200  # the same form twice
    moves = [
        e for e in state_of(app, "marrow-lane-b").ledger.events if e["kind"] == "procedure.moved"
    ]
    assert len(moves) == 1


def good(state: State) -> list[str]:
    signs = {step.key: gate.sign_of(state, step) for step in state.steps}
    return [key for key, sign in signs.items() if sign is not None and sign.good]


def test_move_is_refused_without_a_reason_to_where_it_stands_or_over_another(
    app: FastAPI, office: TestClient
) -> None:
    take(office, second())
    form = fields(office.get(MOVE).text, MOVE)
    answer = office.post(MOVE, data={**form, "why": " "})
    assert answer.status_code == 422
    assert "Say why it is moved" in answer.text
    assert office.post(MOVE, data={**form, "why": "now"}).status_code == 200
    late = {**form, "id": "01a213fe-0b20-773c-a3fa-75d03c790a3d", "why": "again"}
    assert office.post(MOVE, data=late).status_code == 422
    assert "stands under this version already" in office.get(MOVE).text
    back = MOVE.replace(TWO, ONE)
    stale = {**late, "seen": form["seen"]}
    answer = office.post(back, data=stale)
    assert answer.status_code == 422
    assert "was moved since this page was made" in answer.text


def test_crew_sees_the_new_version_and_what_it_broke(app: FastAPI, office: TestClient) -> None:
    from tests.demo.conftest import enter

    take(office, second())
    form = fields(office.get(MOVE).text, MOVE)
    office.post(MOVE, data={**form, "why": "tighter"})
    page = enter(app, "installer").get("/field/o/marrow-lane-b/step/A").text
    assert "The procedure was changed after it was signed." in page


def test_lists_do_not_ask_more_with_more_rows(app: FastAPI, office: TestClient) -> None:
    compiled = _compiled(app)
    paths = ("/office/procedures", f"/office/procedures/{ONE}/openings")
    office.get(paths[0])
    few = [counted(app, office, path) for path in paths]
    with app.state.server.database.write() as session:
        for number in range(2, 60):
            more = {**compiled, "version": number, "digest": f"{number:064d}"}
            procedures.add_procedure(session, more)
    office.get(paths[0])  # each version is read once, and kept
    assert [counted(app, office, path) for path in paths] == few
    first = office.get("/office/procedures").text
    assert len(re.findall(r'class="row"', first)) == 50
    after = re.search(r'name="after" value="([^"]+)"', first)
    assert after is not None
    rest = office.get("/office/procedures", params={"after": after[1]}).text
    assert len(re.findall(r'class="row"', rest)) == 10  # 59 versions and the other system's


def _compiled(app: FastAPI) -> Json:
    with app.state.server.database.read() as session:
        return procedures.all_of(session, {})[ONE]


def test_phone_gets_the_new_procedure_in_the_page_of_the_move(
    app: FastAPI, office: TestClient
) -> None:
    from app.sync.procedures import Procedures

    take(office, second())
    form = fields(office.get(MOVE).text, MOVE)
    office.post(MOVE, data={**form, "why": "tighter"})
    with app.state.server.database.read() as session:
        events = log.events_of(session, ["marrow-lane-b"])["marrow-lane-b"]
        moved = [e for e in events if e["kind"] == "procedure.moved"]
        given = Procedures().of(session, moved)
    assert [(one["id"], one["version"]) for one in given] == [("stacking-door", 2)]


def test_survey_sheet_has_every_place_of_every_point(app: FastAPI, office: TestClient) -> None:
    state = state_of(app, "marrow-lane-b")
    page = html.unescape(office.get("/office/blank/marrow-lane-b").text)
    places = sum(
        len(state.places(p["id"], state.panel_for(p["id"], step.panel)))
        for step in state.steps
        for p in step.data["points"]
    )
    assert len(re.findall(r'<th scope="row">', page)) == places
    one = html.unescape(office.get("/office/blank/marrow-lane-b?step=B1").text)
    assert "Sill survey, room-side line" in one
    assert "Delivery check</h2>" not in one
    assert office.get("/office/blank/marrow-lane-b?step=Z").status_code == 404
    assert office.get("/office/blank/nothing").status_code == 404


def test_job_is_changed_beside_the_log(app: FastAPI, office: TestClient) -> None:
    path = "/office/jobs/marrow-lane/change"
    form = fields(office.get(path).text, path)
    with app.state.server.database.read() as session:
        before = log.events_of(session, ["marrow-lane-b"])["marrow-lane-b"]
    sent = {**form, "address": "16 Marrow Lane", "contact": "555-0199"}
    page = office.post(path, data=sent).text
    assert "16 Marrow Lane" in page
    assert "555-0199" in page
    assert "16 Marrow Lane" in office.get("/office?find=16 marrow").text
    with app.state.server.database.read() as session:
        assert log.events_of(session, ["marrow-lane-b"])["marrow-lane-b"] == before
    refused = office.post(path, data={**sent, "address": ""})
    assert refused.status_code == 422
    assert "Give the address." in refused.text
    assert "555-0199" in refused.text
    assert office.get("/office/jobs/nothing/change").status_code == 404


def test_crew_of_a_whole_job(office: TestClient) -> None:
    path = "/office/jobs/marrow-lane/change"
    form = fields(office.get(path).text, path)
    chosen = {name: "" for name in form if name.startswith("crew.")}
    sent = {**form, **chosen, "crew.ines-calder": "yes", "whole": "yes"}
    office.post(path, data=sent)
    again = fields(office.get(path).text, path)
    assert [name for name in again if name.startswith("crew.")] == ["crew.ines-calder"]
