"""Issuing work: a job, openings from the shop drawing, crews, drawings that change."""

import html
import re

import pytest
import yaml
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.canonical import digest
from app.core.record.state import State
from app.core.trade.panels import must_build
from app.demo import company
from app.office.issue import alike, reading, writing
from app.office.issue.fields import limits_of
from app.procedures.compiler import compile_file
from app.procedures.drawings import drawing_json
from app.store import log, procedures
from app.store.tables import Assigned, Opening
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields

DRAWINGS = sorted((company.FOLDER / "drawings").glob("*.yaml"))
PROCEDURE = compile_file(company.FOLDER.parent / "procedures" / "stacking-door.yaml")
KEY = procedures.key_of(PROCEDURE)


def drawing(name: str) -> Json:
    return drawing_json(yaml.safe_load((company.FOLDER / "drawings" / name).read_text()))


def texts(name: str = "marrow-lane-b.yaml") -> dict[str, str]:
    """Return a drawing of the demo as a supervisor would type it, in inches."""
    limits = reading.terms_of("in", PROCEDURE).limits
    return writing.texts_of(drawing(name), "in", limits)


def make_job(office: TestClient, title: str = "Heron Quay") -> str:
    form = fields(office.get("/office/jobs/new").text, "/office/jobs/new")
    sent = {
        **form,
        "title": title,
        "address": "2 Heron Quay, Fennick Hollow",
        "homeowner": "I. Ash",
    }
    answer = office.post("/office/jobs/new", data=sent)
    assert answer.status_code == 200
    return str(answer.url).rsplit("/", 1)[1]


def new_opening(office: TestClient, job: str, **more: str) -> dict[str, str]:
    """Return a whole form for an opening of a job."""
    path = f"/office/jobs/{job}/openings/new"
    form = fields(office.get(path).text, path)
    given = {"letter": "A", "room": "Hall", "procedure": KEY, "crew.tobin-hale": "yes"}
    return {**form, **alike.gathered_from_rows({**texts(), **given, "act": "issue", **more})}


def send(office: TestClient, job: str, form: dict[str, str]) -> tuple[int, str]:
    answer = office.post(f"/office/jobs/{job}/openings/new", data=form)
    return answer.status_code, answer.text


def state_of(app: FastAPI, opening: str) -> State:
    with app.state.server.database.read() as session:
        return State(log.events_of(session, [opening])[opening], procedures.all_of(session, {}))


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_drawing_as_texts_is_read_again_to_the_last_nanometre(path: object, units: str) -> None:
    made = drawing(path.name)  # type: ignore[attr-defined]
    terms = reading.terms_of(units, PROCEDURE)
    shown = writing.texts_of(made, units, terms.limits)
    for written in (shown, writing.in_columns(shown)):
        drawn = reading.read_drawing(written, terms)
        assert drawn.problems == []
        assert digest(drawn.drawing) == digest(made)


@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        ("length", 1),
        ("length", -123_456_789),
        ("temperature", -1),
        ("temperature", 400_000),
        ("temperature-difference", 7),
        ("fraction", 123_457),
        ("force", 44_482_216_152_605_001),
        ("mass", 45_359_237_001),
        ("duration", 61_001),
        ("count", 12),
    ],
)
def test_amount_of_any_fineness_is_written_so_that_it_is_read_again(
    quantity: str, value: int
) -> None:
    """The text is read by the reader that people's entries go through, which is tested against
    pint (tests/properties/test_measure.py)."""
    text = writing.text_of(quantity, value, "in")
    assert reading._parsed_amount(quantity, text, "mm", True) == value


def test_opening_is_issued_by_the_offices_device_to_its_crew(
    app: FastAPI, office: TestClient
) -> None:
    job = make_job(office)
    form = new_opening(office, job)
    assert send(office, job, form)[0] == 200
    state = state_of(app, form["opening"])
    (event,) = state.ledger.events
    assert event["device"].startswith("office-")
    assert (event["id"], event["person"]) == (form["id"], "nadia-ferrow")
    assert digest(state.drawing.data) == digest(drawing("marrow-lane-b.yaml"))
    crew = enter(app, "installer")
    assert crew.get(f"/field/o/{form['opening']}").status_code == 200
    assert "Hall" in office.get("/office?find=heron").text


def test_same_form_twice_issues_once(app: FastAPI, office: TestClient) -> None:
    job = make_job(office)
    form = new_opening(office, job)
    assert [send(office, job, form)[0] for _ in range(2)] == [200, 200]
    with app.state.server.database.read() as session:
        found = session.exec(select(Opening).where(Opening.job == job)).all()
    assert [opening.id for opening in found] == [form["opening"]]
    status, html = send(office, job, {**form, "room": "Study", "frame_anchors": "40"})
    assert status == 422
    assert "already kept once" in html
    assert len(state_of(app, form["opening"]).ledger.events) == 1


def test_form_that_is_refused_says_it_at_the_top_and_at_the_field_and_keeps_all(
    office: TestClient,
) -> None:
    job = make_job(office)
    form = new_opening(office, job, letter="", panel_1_width="4//9", room="Long room")
    status, html = send(office, job, form)
    assert status == 422
    said = errors(html)
    assert list(said) == ["f-letter", "f-panel-1-width"]
    for id, words in said.items():
        assert f'id="{id}-error"' in html
        assert html.count(words) >= 2, "the same words at the field"
    kept = fields(html, f"/office/jobs/{job}/openings/new")
    left = {"act", "id", "opening"}
    assert {k: v for k, v in form.items() if v and k not in left}.items() <= {
        name: value.replace("\r", "") for name, value in kept.items()
    }.items()


@pytest.mark.usefixtures("app")
def test_procedure_follows_the_kind_of_door(office: TestClient) -> None:
    """The one most openings have is proposed; for another kind of door, the one that is for it."""
    path = f"/office/jobs/{make_job(office)}/openings/new"
    form = fields(office.get(path).text, path)
    assert form["procedure"] == KEY
    del form["procedure"]
    page = office.post(path, data={**form, "door": "lift-and-slide", "act": "preview"}).text
    assert fields(page, path)["procedure"].startswith("lift-and-slide-door@")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"panel_1_track": "9"}, "f-tracks"),  # a track that the door does not have
        ({"frame_width": "147 in"}, "f-frame-width"),  # panels and overlaps make 146 in of it
        ({"panel_1_lead": ""}, "f-panels-leads"),  # nothing leads
        ({"lock": "right"}, "f-lock"),  # the lead stands at the other end
        ({"weeps": "12 in\n400 in"}, "f-weeps"),  # beyond the frame
        ({"parts": "P-A; panel; none; E"}, "f-parts"),
        ({"parts": "P-A; panel; 1; Q"}, "f-parts"),
        ({"date": "2.3.26"}, "f-date"),
        ({"door": ""}, "f-door"),
        ({"procedure": "gone@9"}, "f-procedure"),
        ({"stile_clearance": "-3 in"}, "f-stile-clearance"),
    ],
)
def test_what_cannot_be_built_is_not_issued(
    app: FastAPI, office: TestClient, change: dict[str, str], field: str
) -> None:
    job = make_job(office)
    form = new_opening(office, job, **change)
    status, html = send(office, job, form)
    assert (status, field in errors(html)) == (422, True), errors(html)
    with app.state.server.database.read() as session:
        assert session.get(Opening, form["opening"]) is None


def test_what_is_left_open_is_named_and_not_forbidden(app: FastAPI, office: TestClient) -> None:
    job = make_job(office)
    form = new_opening(office, job, hook_depth="", act="preview")
    status, html = send(office, job, form)
    assert status == 200
    assert "Lock hook in the strike, least" in html.split("Left open by this drawing")[1]
    assert send(office, job, {**form, "act": "issue"})[0] == 200
    assert state_of(app, form["opening"]).drawing.length("hook_depth") is None


def test_door_is_drawn_as_it_is_typed(office: TestClient) -> None:
    job = make_job(office)
    form = new_opening(office, job)
    answer = office.post(f"/office/jobs/{job}/openings/preview", data=form)
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert "XXO seen from outside" in answer.text
    assert answer.text.count("<svg") == 3  # elevation, plan, sill
    empty = office.post(f"/office/jobs/{job}/openings/preview", data={"panel_1_kind": "X"})
    assert empty.status_code == 200
    assert "<svg" not in empty.text


def test_letter_stands_once_in_a_job(office: TestClient) -> None:
    job = make_job(office)
    assert send(office, job, new_opening(office, job))[0] == 200
    status, html = send(office, job, new_opening(office, job, room="Other"))
    assert status == 422
    assert list(errors(html)) == ["f-letter"]


def test_crew_changes_and_who_is_off_it_sees_the_opening_no_more(
    app: FastAPI, office: TestClient
) -> None:
    crew = enter(app, "installer")
    assert crew.get("/field/o/marrow-lane-a").status_code == 200
    sent = {"opening": "marrow-lane-a", "crew.ines-calder": "yes"}
    assert office.post("/office/jobs/marrow-lane/crew", data=sent).status_code == 200
    assert crew.get("/field/o/marrow-lane-a").status_code == 404
    with app.state.server.database.read() as session:
        found = session.exec(select(Assigned).where(Assigned.opening == "marrow-lane-a")).all()
    assert [row.person for row in found] == ["ines-calder"]
    assert [row.since > 0 for row in found] == [True]


def test_crew_is_installers_only(app: FastAPI, office: TestClient) -> None:
    sent = {"opening": "marrow-lane-a", "crew.nadia-ferrow": "yes", "crew.nobody": "yes"}
    office.post("/office/jobs/marrow-lane/crew", data=sent)
    with app.state.server.database.read() as session:
        assert session.exec(select(Assigned).where(Assigned.opening == "marrow-lane-a")).all() == []


def test_crew_of_another_jobs_opening_is_not_changed_here(office: TestClient) -> None:
    sent = {"opening": "saltgrass-a"}
    assert office.post("/office/jobs/marrow-lane/crew", data=sent).status_code == 404


def revise(office: TestClient, opening: str, **more: str) -> tuple[int, str]:
    path = f"/office/drawing/{opening}"
    form = {**fields(office.get(path).text, path), "act": "issue", **more}
    answer = office.post(path, data=form)
    return answer.status_code, answer.text


def test_revised_drawing_breaks_the_sign_offs_that_it_touches_and_says_why(
    app: FastAPI, office: TestClient
) -> None:
    assert gate.sign_of(
        state_of(app, "marrow-lane-b"), state_of(app, "marrow-lane-b").steps[0]
    ).good  # type: ignore[union-attr]
    status, html = revise(office, "marrow-lane-b", frame_width="147 in", jamb_face="2 in", act="x")
    assert status == 200
    assert "Sign-offs that this breaks" in html
    status, html = revise(
        office, "marrow-lane-b", frame_width="147 in", jamb_face="2 in", why="Wider jambs came."
    )
    assert status == 200
    state = state_of(app, "marrow-lane-b")
    assert state.drawing.length("frame_width") == 147 * 25_400_000
    for key in ("A", "B1", "B2", "C"):
        sign = gate.sign_of(state, state.step(key))
        assert sign is not None
        assert not sign.holds
    assert "The drawing was changed after it was signed: Wider jambs came." in html


def test_revision_needs_a_reason_and_a_change(office: TestClient) -> None:
    status, html = revise(office, "marrow-lane-b", frame_anchors="31")
    assert (status, list(errors(html))) == (422, ["f-why"])
    status, html = revise(office, "marrow-lane-b", why="Nothing, really.")
    assert status == 422
    assert "Nothing of the drawing was changed" in html


def test_revision_keeps_what_was_not_touched_to_the_last_nanometre(
    app: FastAPI, office: TestClient
) -> None:
    before = state_of(app, "saltgrass-a").drawing.data
    assert revise(office, "saltgrass-a", frame_anchors="31", why="As built.")[0] == 200
    after = state_of(app, "saltgrass-a").drawing.data
    assert after["counts"].pop("frame_anchors") == "31"
    before["counts"].pop("frame_anchors")
    assert after == before


def test_two_revisions_from_the_same_page_are_not_both_kept(
    app: FastAPI, office: TestClient
) -> None:
    path = "/office/drawing/saltgrass-a"
    one, two = (fields(office.get(path).text, path) for _ in range(2))
    sent = {**one, "act": "issue", "why": "First.", "frame_anchors": "31"}
    assert office.post(path, data=sent).status_code == 200
    assert office.post(path, data=sent).status_code == 200  # the same form again: once
    late = {**two, "act": "issue", "why": "Second.", "frame_anchors": "33"}
    refused = office.post(path, data=late)
    assert refused.status_code == 422
    assert "revised since" in refused.text
    assert len(state_of(app, "saltgrass-a").ledger.events) == 2


def test_revision_answers_a_query(app: FastAPI, office: TestClient) -> None:
    crew = enter(app, "installer")
    path = "/field/o/marrow-lane-a/queries"
    form = fields(crew.get(path).text, path)
    crew.post(path, data={**form, "what": "The floor is 1 in lower.", "bars.C": "yes"})
    ((query, answer),) = state_of(app, "marrow-lane-a").queries()
    assert answer is None
    why = "Deeper pan drawn."
    status, _ = revise(office, "marrow-lane-a", query=query["id"], why=why, floor_below_sill="1 in")
    assert status == 200
    ((_, answer),) = state_of(app, "marrow-lane-a").queries()
    assert answer is not None
    assert (answer["body"]["answer"], answer["body"]["words"]) == ("revised", why)


def test_query_that_was_told_to_wait_leads_to_a_revised_drawing(
    app: FastAPI, office: TestClient
) -> None:
    crew = enter(app, "installer")
    path, review = "/field/o/marrow-lane-a/queries", "/office/o/marrow-lane-a"
    form = fields(crew.get(path).text, path)
    crew.post(path, data={**form, "what": "The floor is 1 in lower.", "bars.C": "yes"})
    page = office.get(review).text
    form = {"answer": "wait", "words": "The builder comes.", "act": "answer"}
    hidden = next(piece for piece in page.split("<form")[1:] if 'name="answer"' in piece)
    office.post(review, data={**fields("<form" + hidden, review), **form})
    ((query, answer),) = state_of(app, "marrow-lane-a").queries()
    assert answer is not None
    assert answer["body"]["answer"] == "wait"
    drawing = f"/office/drawing/marrow-lane-a?query={query['id']}"
    assert drawing in html.unescape(office.get(review).text)
    asked = fields(office.get(drawing).text, "/office/drawing/marrow-lane-a")
    assert asked["query"] == query["id"]
    sent = {**asked, "act": "issue", "why": "Deeper pan drawn.", "floor_below_sill": "1 in"}
    assert office.post("/office/drawing/marrow-lane-a", data=sent).status_code == 200
    ((_, answer),) = state_of(app, "marrow-lane-a").queries()
    assert answer is not None
    assert answer["body"]["answer"] == "revised"
    assert "?query=" not in office.get(review).text


def holding(app: FastAPI) -> list[str]:
    state = state_of(app, "marrow-lane-b")
    signs = {step.key: gate.sign_of(state, step) for step in state.steps}
    return [key for key, sign in signs.items() if sign is not None and sign.good]


def test_revision_that_names_the_drawing_anew_breaks_nothing(
    app: FastAPI, office: TestClient
) -> None:
    assert holding(app) == ["A", "B1", "B2", "C"]
    revise(office, "marrow-lane-b", revision="Z", date="2026-04-01", why="Title block only.")
    assert state_of(app, "marrow-lane-b").drawing.data["revision"] == "Z"
    assert holding(app) == ["A", "B1", "B2", "C"]


def test_limit_that_the_drawing_sets_breaks_its_own_step_only(
    app: FastAPI, office: TestClient
) -> None:
    checks = {c["id"] for step in PROCEDURE["steps"] if step["id"] == "C" for c in step["checks"]}
    limit = next(
        "limit." + limit.name
        for limit in limits_of(PROCEDURE)
        if limit.name.partition(".")[0] in checks and limit.quantity == "length"
    )
    status, html = revise(office, "marrow-lane-b", act="preview", **{limit: "1/2 in"})
    assert status == 200
    told = html.split("Sign-offs that this breaks")[1].split("</ul>")[0]
    assert told.count("<li>") == 1
    revise(office, "marrow-lane-b", why="The maker says so.", **{limit: "1/2 in"})
    assert holding(app) == ["A", "B1", "B2"]


def test_an_open_jamb_face_is_told_what_it_must_be_or_that_nothing_fits() -> None:
    """Marrow Lane B: panels of 49 in, two overlaps of 2, a frame of 146: faces of 1 1/2 in."""
    terms = reading.terms_of("in", PROCEDURE)
    drawn = reading.read_drawing({**texts(), "jamb_face": ""}, terms)
    told = [words for words in drawn.missing if "add up" in words.template]
    assert [words.params["size"].nm for words in told] == [38_100_000]
    tight = reading.read_drawing({**texts(), "jamb_face": "", "frame_width": "142 in"}, terms)
    assert "frame_width" in [problem.field for problem in tight.problems]


def test_a_door_is_issued_as_a_copy_of_another_with_what_no_field_shows(
    app: FastAPI, office: TestClient
) -> None:
    """Every value, panel by panel, is that of the first door; only letter and room are typed."""
    job = make_job(office)
    office.post(f"/office/jobs/{job}/openings/new", data=new_opening(office, job, depth="full"))
    with app.state.server.database.read() as session:
        first = session.exec(select(Opening.id).where(Opening.job == job)).one()
    path = f"/office/jobs/{job}/openings/new"
    page = office.get(f"{path}?copy={first}").text
    form = fields(page, path)
    assert (form["letter"], form["depth"], form["crew.tobin-hale"]) == ("B", "full", "yes")
    answer = office.post(path, data={**form, "room": "Porch", "act": "issue"})
    assert answer.url.path == f"/office/jobs/{job}"
    with app.state.server.database.read() as session:
        both = list(session.exec(select(Opening.id).where(Opening.job == job)))
        events = log.events_of(session, both)
    one, other = (events[id][0]["body"]["drawing"] for id in both)
    assert digest(one) == digest(other)


def shown_fields(page: str) -> list[str]:
    """Return the names of the fields that a person sees: not hidden, not folded away."""
    form = page[page.index('id="drawing-form"') :].partition("</form>")[0]
    shown = re.sub(r"<details.*?</details>", "", form, flags=re.DOTALL)
    return re.findall(r'<(?:input|select|textarea) id="[^"]*" name="([^"]+)"', shown)


@pytest.mark.parametrize("door", ["stacking", "sliding", "lift-and-slide"])
def test_a_door_from_nothing_is_issued_with_at_most_twenty_fields_shown(
    app: FastAPI, office: TestClient, door: str
) -> None:
    """Twenty: what the office asked for. The drawn numbers are those of the demo's door."""
    job = make_job(office)
    path = f"/office/jobs/{job}/openings/new"
    first = fields(office.get(path).text, path)
    page = office.post(path, data={**first, "procedure": "", "door": door}).text
    shown = shown_fields(page)
    assert 12 <= len(shown) == len(set(shown)) <= 20, shown
    assert shown_fields(office.get(path).text) == shown
    typed = alike.gathered_from_rows(texts()) | {"letter": "A", "room": "Hall", "door": door}
    form = {**fields(page, path), **{name: typed.get(name, "") for name in shown if name in typed}}
    answer = office.post(path, data={**form, "act": "issue"})
    assert answer.url.path == f"/office/jobs/{job}", errors(answer.text)
    drawing = state_of(app, form["opening"]).drawing
    assert [panel.width for panel in drawing.panels] == [49 * 25_400_000] * 3
    assert [panel.track for panel in drawing.panels] == [1, 2, 3]
    must_build(drawing)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_panels_given_together_are_the_same_door_to_the_last_nanometre(
    path: object, units: str
) -> None:
    made = drawing(path.name)  # type: ignore[attr-defined]
    terms = reading.terms_of(units, PROCEDURE)
    once = alike.gathered_from_rows(writing.texts_of(made, units, terms.limits))
    assert not {name for name in once if re.fullmatch(r"panel_\d+_(kind|track|lead)", name)}
    drawn = reading.read_drawing(once, terms)
    assert drawn.problems == []
    assert digest(drawn.drawing) == digest(made)


def test_a_panel_that_differs_says_only_what_differs(app: FastAPI, office: TestClient) -> None:
    job = make_job(office)
    form = new_opening(office, job, panel_3_mass="250 lb")
    assert (form["panels_mass"], form["panel_3_mass"]) == ("", "250 lb")
    form |= {"panels_mass": "300 lb", "panel_1_mass": "", "panel_2_mass": ""}
    assert send(office, job, form)[0] == 200
    masses = [panel.mass for panel in state_of(app, form["opening"]).drawing.panels]
    assert masses[0] == masses[1] != masses[2]
    path = f"/office/drawing/{form['opening']}"
    page = office.get(path).text
    assert "1 panel has a size of its own" in page
    shown = fields(page, path)
    assert (shown["panels_mass"], shown["panel_3_mass"]) == ("300 lb", "250 lb")


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ({"panels_kinds": ""}, "f-panels-kinds"),
        ({"panels_kinds": "XZO"}, "f-panels-kinds"),
        ({"panels_kinds": "XXXXXXXXXXXXO"}, "f-panels-kinds"),
        ({"panels_tracks": "1 2"}, "f-panels-tracks"),
        ({"panels_tracks": "1 2 3 3"}, "f-panels-tracks"),
        ({"panels_tracks": "one"}, "f-panels-tracks"),
        ({"panels_leads": "D"}, "f-panels-leads"),
        ({"panels_leads": "A B"}, "f-panels-leads"),
        ({"panels_width": ""}, "f-panels-width"),
        ({"panels_width": "4//9"}, "f-panels-width"),
        ({"panels_mass": "heavy"}, "f-panels-mass"),
    ],
)
def test_what_is_wrong_with_all_panels_is_said_at_the_one_field(
    office: TestClient, typed: dict[str, str], at: str
) -> None:
    job = make_job(office)
    form = new_opening(office, job) | {"panel_1_mass": "", "panel_2_mass": "", "panel_3_mass": ""}
    status, page = send(office, job, {**form, **typed})
    assert (status, next(iter(errors(page)))) == (422, at)
    kept = fields(page, f"/office/jobs/{job}/openings/new")
    assert {name: kept[name] for name in typed} == typed


def test_who_begins_with_another_door_loses_nothing_that_is_of_this_opening(
    office: TestClient,
) -> None:
    job = make_job(office)
    path = f"/office/jobs/{job}/openings/new"
    own = {"letter": "K", "room": "Attic", "number": "S-9", "crew.ines-calder": "yes"}
    form = {**fields(office.get(path).text, path), **own}
    page = office.post(path, data={**form, "begin": "marrow-lane-b", "act": "begin"}).text
    begun = fields(page, path)
    assert {name: begun[name] for name in own} == own
    assert (begun["panels_kinds"], begun["frame_width"]) == ("XXO", "12' 2\"")
    assert (begun["id"], begun["opening"]) == (form["id"], form["opening"])
    same = office.post(path, data={**form, "begin": "", "act": "begin"})
    assert same.status_code == 200
    assert fields(same.text, path)["room"] == "Attic"


def test_what_is_mended_is_no_longer_called_wrong(office: TestClient) -> None:
    """The page's script goes by this list; a field that may be empty is mended by emptying it."""
    job = make_job(office)
    preview = f"/office/jobs/{job}/openings/preview"
    form = new_opening(office, job, letter="", hook_depth="deep")

    def wrong(**more: str) -> list[str]:
        page = office.post(preview, data={**form, **more}).text
        return re.findall(r'data-wrong="([^"]*)"', page)[0].split()

    assert set(wrong()) == {"f-letter", "f-hook-depth"}
    assert wrong(hook_depth="") == ["f-letter"]
    assert wrong(hook_depth="", letter="A") == []


def test_a_copied_door_shows_at_most_twenty_fields_unfolded(office: TestClient) -> None:
    job = make_job(office)
    page = office.get(f"/office/jobs/{job}/openings/new?copy=marrow-lane-b").text
    assert 8 <= len(shown_fields(page)) <= 20
    assert 'value="XXO"' in page


def test_what_is_wrong_in_a_folded_part_is_unfolded(office: TestClient) -> None:
    job = make_job(office)
    form = {**new_opening(office, job), "copy": "marrow-lane-b", "panel_1_width": "4//0"}
    page = office.post(f"/office/jobs/{job}/openings/new", data=form).text
    assert re.search(r'<details class="act" open>\s*<summary>3 panels have sizes', page)
    assert 'data-wrong="f-panel-1-width' in page


def test_there_is_no_copy_of_a_door_that_is_not_there(office: TestClient) -> None:
    job = make_job(office)
    assert office.get(f"/office/jobs/{job}/openings/new?copy=nothing").status_code == 404
