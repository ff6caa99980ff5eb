"""A procedure changed in the browser: forms, refusals in words, two people, put in force."""

import html
import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import yaml
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.office.procedures.draft.fields import WHOLE_STEP, DraftPlace
from app.office.procedures.draft.groups import GROUPS, NEW
from app.procedures import clocks, compile_text, compiler, nights, parts
from app.procedures.draft_text import written_procedure
from app.store import procedures
from app.store.procedure_tables import ProcedureDraft, ProcedureFile, PutInForce
from tests.office.conftest import errors, fields
from tests.office.test_procedures import SHIPPED

EDIT = "/office/procedures/stacking-door/edit"
LIMITS = f"{EDIT}/A/checks/sill-as-drawn/limits"
HINT = f"{EDIT}/A/points/sill-length/words"


@pytest.fixture
def begun(office: TestClient) -> TestClient:
    """The supervisor's browser, once a draft of the shipped procedure is begun."""
    assert office.post(EDIT, data=fields(office.get(EDIT).text, EDIT)).status_code == 200
    return office


def text_of(app: FastAPI) -> str:
    with app.state.server.database.read() as session:
        return session.get_one(ProcedureDraft, "stacking-door").text


def draft(app: FastAPI) -> Json:
    return compile_text(text_of(app), "draft")


def part(app: FastAPI, step: str, what: str, id_: str) -> Json:
    found: Json = next(one for one in draft(app)["steps"] if one["id"] == step)
    return next((one for one in found[what] if one["id"] == id_), {})


def sent(browser: TestClient, path: str, **typed: str) -> tuple[int, str]:
    """Send a form as its page shows it, with what is typed over; returns status and page."""
    values = {**fields(browser.get(path).text, path), **typed}
    answer = browser.post(path, data=values)
    return answer.status_code, html.unescape(answer.text)


def test_draft_begins_from_the_file_of_the_version_in_force(
    app: FastAPI, begun: TestClient
) -> None:
    assert text_of(app) == SHIPPED.read_text("utf-8")
    page = html.unescape(begun.get(EDIT).text)
    assert "It began from version 1." in page
    assert "Nadia" in page
    file = begun.get(f"{EDIT}/file")
    assert file.text == text_of(app)
    assert "stacking-door-draft.yaml" in file.headers["content-disposition"]
    assert begun.get("/office/procedures/nothing/edit").status_code == 404


def test_version_without_its_file_is_asked_for(app: FastAPI, office: TestClient) -> None:
    with app.state.server.database.write() as session:
        known = procedures.all_of(session, {})["stacking-door@1"]
        made = {**known, "version": 7, "digest": "0" * 64}
        procedures.add_procedure(session, made)
    status, page = sent(office, EDIT, base="7")
    assert status == 422
    assert "The file of this version is not here" in page


def test_limit_is_checked_as_typed_and_what_was_typed_is_kept(
    app: FastAPI, begun: TestClient
) -> None:
    for typed, told in (
        ("1/16", "“1/16” has no unit"),
        ("a bit", "“a bit” does not start with a number such as 3/8, 1 3/8 or 0.375"),
        ("2 lb", "“2 lb” is not a length"),
        ("3 furlongz", "“furlongz” in “3 furlongz” is not a unit"),
        ("1/0 in", "“1/0 in” divides by nothing"),
        ("-1/8 in", "“-1/8 in” is below zero"),  # nothing is within it
        ("9999999 ft", "“9999999 ft” is beyond what is measured here"),
    ):
        status, page = sent(begun, LIMITS, **{"limit.most": typed})
        assert status == 422
        assert errors(page) == {"f-limit-most": told}
        assert fields(page, LIMITS)["limit.most"] == typed
    status, page = sent(begun, LIMITS, **{"limit.most": "1.5 mm", "drawn.most": "sill_length"})
    assert errors(page) == {"f-limit-most": "A number, or the drawing's: one of them."}
    assert text_of(app) == SHIPPED.read_text("utf-8")
    assert sent(begun, LIMITS, **{"limit.most": "1.5 mm"})[0] == 200
    assert part(app, "A", "checks", "sill-as-drawn")["limits"] == {"most": {"value": "1500000"}}
    before, after = SHIPPED.read_text("utf-8").splitlines(), text_of(app).splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ("        limits: {most: 1/16 in}", "        limits: {most: 1.5 mm}")
    ]


def test_basis_needs_its_reason_or_its_standard(app: FastAPI, begun: TestClient) -> None:
    path = f"{EDIT}/A/checks/sill-as-drawn/basis"
    _, page = sent(begun, path, reason=" ")
    assert errors(page) == {
        "f-reason": "Say why the company keeps it: no standard stands behind it."
    }
    _, page = sent(begun, path, basis="standard", standard="Handbook")
    assert errors(page) == {"f-clause": "Fill this in."}
    _, page = sent(begun, path, basis="standard", standard="Handbook", clause="3")
    # the loader's own reason, at the field where it is mended
    assert errors(page) == {"f-standard": "“Handbook” has no number; a standard is named by it"}
    assert sent(begun, path, basis="standard", standard="EX 12", clause="3.1")[0] == 200
    assert part(app, "A", "checks", "sill-as-drawn")["basis"]["text"] == "EX 12, 3.1"


def test_points_words_places_and_when_it_is_asked(app: FastAPI, begun: TestClient) -> None:
    assert sent(begun, HINT, title="Sill: its length", hint="Two people.")[0] == 200
    reading = f"{EDIT}/A/points/sill-length/reading"
    assert sent(begun, reading, tool="laser", signed="yes")[0] == 200
    asking = f"{EDIT}/A/points/stile-bow/asking"
    assert sent(begun, asking, asked="when", **{"check.1": "sill-as-drawn"})[0] == 200
    where = f"{EDIT}/A/points/panel-widths/where"
    _, page = sent(begun, where, at="top, nowhere")
    assert list(errors(page)) == ["f-at"]
    assert sent(begun, where, at="top")[0] == 200
    point = part(app, "A", "points", "sill-length")
    assert (point["title"], point["hint"]) == ("Sill: its length", "Two people.")
    assert (point["tool"], point["signed"]) == ("laser", True)
    assert part(app, "A", "points", "stile-bow")["asked"] == {"when": ["sill-as-drawn"]}
    assert part(app, "A", "points", "panel-widths")["where"] == {
        "kind": "panel-sides",
        "at": ["top"],
    }


def test_places_that_need_more_are_asked_for_it(app: FastAPI, begun: TestClient) -> None:
    path = f"{EDIT}/A/points/sill-length/where"
    status, page = sent(begun, path, kind="stations")
    assert status == 422
    assert "Fill in what this needs more" in page
    form = fields(page, path)
    assert {"spacing", "merge"} <= set(form)
    answer = begun.post(path, data={**form, "spacing": "24 in", "merge": "3"})
    assert errors(html.unescape(answer.text)) == {"f-merge": "“3” has no unit"}
    assert begun.post(path, data={**form, "spacing": "24 in", "merge": "3 in"}).status_code == 200
    assert part(app, "A", "points", "sill-length")["where"]["kind"] == "stations"


def test_what_hangs_on_a_part_keeps_it_there(app: FastAPI, begun: TestClient) -> None:
    path = f"{EDIT}/A"
    answer = begun.post(path, data={"act": "take", "what": "points", "id": "sill-length"})
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "That cannot be: something hangs on it." in page
    assert "A Delivery check, “Sill as drawn”: unknown point “sill-length”" in page
    taken = begun.post(path, data={"act": "take", "what": "tasks", "id": "a-store"})
    assert taken.status_code == 200
    assert not part(app, "A", "tasks", "a-store")
    answer = begun.post(EDIT, data={"act": "take", "step": "B1"})
    assert answer.status_code == 422
    assert "unknown adjustment “bed-filled”" in html.unescape(answer.text)  # a clock of B2 names it
    assert begun.post(EDIT, data={"act": "take", "step": "A"}).status_code == 200
    assert [step["id"] for step in draft(app)["steps"]][:2] == ["B1", "B2"]


def test_parts_and_steps_are_moved(app: FastAPI, begun: TestClient) -> None:
    path = f"{EDIT}/A"
    tasks = [one["id"] for one in draft(app)["steps"][0]["tasks"]]
    assert begun.post(path, data={"act": "up", "what": "tasks", "id": tasks[1]}).status_code == 200
    begun.post(path, data={"act": "up", "what": "tasks", "id": tasks[1]})  # at the top it stays
    moved = [one["id"] for one in draft(app)["steps"][0]["tasks"]]
    assert moved == [tasks[1], tasks[0], *tasks[2:]]
    ids = [one["id"] for one in draft(app)["steps"]]
    answer = begun.post(EDIT, data={"act": "down", "step": "B1"})
    assert answer.status_code == 422  # a clock of B2 begins with an adjustment of B1
    assert "something hangs on it" in answer.text
    assert begun.post(EDIT, data={"act": "up", "step": "B1"}).status_code == 200
    assert [one["id"] for one in draft(app)["steps"]] == ["B1", "A", *ids[2:]]


def test_step_task_point_and_check_are_added(app: FastAPI, begun: TestClient) -> None:
    new = f"{EDIT}/new"
    assert errors(sent(begun, new, id="A", title="Again")[1]) == {
        "f-id": "There is a step with this letter."
    }
    assert list(errors(sent(begun, new, id="one", title="Again")[1])) == ["f-id"]
    assert sent(begun, new, id="K", title="Last look")[0] == 200
    assert sent(begun, f"{EDIT}/K/tasks/new/new", text="Sweep: the floor")[0] == 200
    point = f"{EDIT}/K/points/new/new"
    typed = {"title": "Gap at the lock", "quantity": "length", "tool": "gauge", "kind": "one"}
    assert sent(begun, point, **typed)[0] == 200
    assert part(app, "K", "points", "gap-at-the-lock")["tool"] == "gauge"
    check = f"{EDIT}/K/checks/new/new"
    status, page = sent(begun, check, title="Gap", calc="each-within")
    assert (status, "Fill in what this needs more" in page) == (422, True)
    form = {**fields(page, check), "input.readings": "gap-at-the-lock"}
    page = html.unescape(begun.post(check, data=form).text)
    form = fields(page, check)
    assert "limit.most" in form
    limit = {"limit.most": "1/8 in", "basis": "practice", "reason": "It rattles.", "rank": "author"}
    assert begun.post(check, data={**form, **limit}).status_code == 200
    made = part(app, "K", "checks", "gap")
    assert made["limits"] == {"most": {"value": str(25_400_000 // 8)}}
    assert made["points"] == {"readings": "gap-at-the-lock"}
    assert part(app, "K", "tasks", "sweep-the-floor")["text"] == "Sweep: the floor"


def test_second_of_two_people_is_told_and_nothing_typed_is_lost(
    app: FastAPI, begun: TestClient, keeper: TestClient
) -> None:
    mine = fields(begun.get(HINT).text, HINT)
    assert sent(keeper, HINT, hint="As the keeper has it.")[0] == 200
    answer = begun.post(HINT, data={**mine, "hint": "As I have it."})
    page = html.unescape(answer.text)
    assert answer.status_code == 422
    assert "Oda Lindquarry changed it last" in page
    assert "It now says: As the keeper has it." in page
    again = fields(page, HINT)
    assert again["hint"] == "As I have it."
    assert part(app, "A", "points", "sill-length")["hint"] == "As the keeper has it."
    assert begun.post(HINT, data=again).status_code == 200
    assert part(app, "A", "points", "sill-length")["hint"] == "As I have it."
    other = fields(begun.get(LIMITS).text, LIMITS)
    assert sent(keeper, HINT, hint="Once more.")[0] == 200  # another form: nobody is in the way
    assert begun.post(LIMITS, data={**other, "limit.most": "1/8 in"}).status_code == 200


def test_what_was_typed_for_what_is_gone_is_shown(begun: TestClient, keeper: TestClient) -> None:
    task = f"{EDIT}/A/tasks/a-store/words"
    mine = {**fields(begun.get(task).text, task), "text": "Panels on soft wood"}
    keeper.post(f"{EDIT}/A", data={"act": "take", "what": "tasks", "id": "a-store"})
    answer = begun.post(task, data=mine)
    assert answer.status_code == 404
    assert "Panels on soft wood" in answer.text
    keeper.post(EDIT, data={"act": "drop"})
    answer = begun.post(task, data=mine)
    assert answer.status_code == 404
    assert "There is no draft of this procedure." in answer.text
    assert "Panels on soft wood" in answer.text


def test_draft_is_put_in_force_as_the_next_version_with_its_file(
    app: FastAPI, begun: TestClient, keeper: TestClient
) -> None:
    sent(begun, LIMITS, **{"limit.most": "1/8 in"})
    force = f"{EDIT}/force"
    page = html.unescape(begun.get(force).text)
    assert 'A Delivery check · Sill as drawn</span>: limit: ±1/16" → ±1/8"' in page
    assert "<strong>laxer</strong>" in page
    assert begun.post(force, data={"why": "I may not"}).status_code == 403
    stale = fields(keeper.get(force).text, force)
    sent(begun, HINT, hint="Changed since.")
    answer = keeper.post(force, data={**stale, "why": "Tapes are no better."})
    assert answer.status_code == 422
    assert "This was changed since the page was made." in answer.text
    form = {**fields(answer.text, force), "why": "Tapes are no better."}
    assert keeper.post(force, data=form).status_code == 200
    assert keeper.post(force, data=form).status_code == 200  # the same form twice
    with app.state.server.database.read() as session:
        known = procedures.all_of(session, {})
        assert procedures.version_in_force(session, "stacking-door", known) == 2
        assert session.get(ProcedureDraft, "stacking-door") is None
        file = session.get_one(ProcedureFile, ("stacking-door", 2)).text
        assert compile_text(file, "x") == known["stacking-door@2"]
        act = session.get_one(PutInForce, form["id"])
        assert (act.version, act.before, act.limits) == (2, 1, 1)
        assert act.why == "Tapes are no better."
    assert yaml.safe_load(file)["version"] == 2
    assert file.count("\n") == SHIPPED.read_text("utf-8").count("\n")


def test_crew_s_page_stands_beside_and_follows_what_is_typed(begun: TestClient) -> None:
    page = html.unescape(begun.get(HINT).text)
    seen = page[page.index("crew-page") :]
    assert "Sill length" in seen
    assert "<form" not in seen[: seen.index("</main>")]
    values = {**fields(page, HINT), "title": "Sill, end to end"}
    piece = html.unescape(begun.post(f"{HINT}/try", data=values).text)
    assert "Sill, end to end" in piece
    assert "Sill, end to end" not in begun.get(HINT).text  # only tried
    wrong = {**fields(begun.get(LIMITS).text, LIMITS), "limit.most": "1/16"}
    piece = html.unescape(begun.post(f"{LIMITS}/try", data=wrong).text)
    told = re.search(r'id="f-limit-most-told"[^>]*>(.*?)</div>', piece, re.DOTALL)
    assert told is not None
    assert "“1/16” has no unit" in told[1]


@pytest.mark.parametrize("door", ["example-saltgrass-a", "marrow-lane-b", "example-../x", "none"])
def test_crew_s_page_is_shown_on_the_door_that_is_chosen(begun: TestClient, door: str) -> None:
    assert begun.get(f"{EDIT}/B1?door={door}").status_code == 200


def test_every_form_of_the_shipped_procedure_keeps_it_as_it_is(
    app: FastAPI, begun: TestClient
) -> None:
    """Each kind of form, sent as it is shown, changes nothing of what is compiled."""
    before = draft(app)
    kinds = set()
    for step in [*before["steps"][:4], {"id": "rest"}]:
        page = begun.get(f"{EDIT}/{step['id']}").text
        for path in re.findall(rf'href="({EDIT}/[^"]+/[^"]+/[^"]+/[^"]+)"', page):
            what, id_, group = path.split("/")[6:9]
            if id_ == "new" or (what, group) in kinds:
                continue
            kinds.add((what, group))
            status, told = sent(begun, path)
            assert status == 200, (path, errors(told))
            assert draft(app) == before, path
    assert len(kinds) == 28
    assert Path(SHIPPED).read_text("utf-8").count("#") == text_of(app).count("#")


def test_changes_of_two_people_at_once_are_both_kept(
    app: FastAPI, begun: TestClient, keeper: TestClient
) -> None:
    mine = {**fields(begun.get(HINT).text, HINT), "hint": "As I have it."}
    other = {**fields(keeper.get(LIMITS).text, LIMITS), "limit.most": "1/8 in"}
    with ThreadPoolExecutor(2) as pool:
        answers = pool.map(
            lambda one: one[0].post(one[1], data=one[2]).status_code,
            [(begun, HINT, mine), (keeper, LIMITS, other)],
        )
        assert list(answers) == [200, 200]
    assert part(app, "A", "points", "sill-length")["hint"] == "As I have it."
    limits = part(app, "A", "checks", "sill-as-drawn")["limits"]
    assert limits == {"most": {"value": str(25_400_000 // 8)}}


# What the form of a part sets, once more than the tests above: path of the form, what is typed,
# the part, and what the compiler then reads in it.
SET = [
    ("rest/procedure/all/words", {"title": "Our door", "lang": "es", "door.lift-and-slide": "yes"},
     (), {"title": "Our door", "lang": "es", "doors": ["stacking", "sliding", "lift-and-slide"]}),
    ("rest/nights/sill-setback.first/words", {"at": "middle", "most": "1/8 in"},
     ("nights", 0), {"at": "middle", "most": {"value": "3175000"}}),
    ("B1/tasks/b1-bed/offered", {"settled.1": "sill-drains"},
     ("B1", "tasks", "b1-bed"), {"settled": ["sill-drains"]}),
    ("B1/tasks/b1-bed/on", {"kind": "stack"},
     ("B1", "tasks", "b1-bed"), {"on": {"kind": "stack"}}),
    ("A/decisions/a-go/words",
     {"opens.go-closed": "", "within.go": "yes", "choice.+1": "Wait a day", "opens.+1": "yes"},
     ("A", "decisions", "a-go"), {"choices": [
         {"id": "go", "text": "Go", "opens": True, "within": True},
         {"id": "go-closed", "text": "Go, boarded up tonight", "opens": False,
          "within": False},
         {"id": "no-go", "text": "No-go: nothing cut", "opens": False,
          "within": False},
         {"id": "wait-a-day1", "text": "Wait a day", "opens": True, "within": False}]}),
    ("A/decisions/a-go/words", {"choice.go-closed": ""},
     ("A", "decisions", "a-go"), {"choices": [
         {"id": "go", "text": "Go", "opens": True, "within": False},
         {"id": "no-go", "text": "No-go: nothing cut", "opens": False,
          "within": False}]}),
    ("B1/points/high-spot-height/record", {"purpose": "clear-height"},
     ("B1", "points", "high-spot-height"), {"purpose": "clear-height"}),
    ("A/points/stile-bow/record", {"instead": "sill-length"},
     ("A", "points", "stile-bow"), {"instead": "sill-length"}),
    ("B1/checks/sill-drains/record", {"matters": "level"},
     ("B1", "checks", "sill-drains"), {"matters": "level"}),
    ("B1/checks/sill-range-room/record", {"finer": "sill-total-room"},
     ("B1", "checks", "sill-range-room"), {"finer": "sill-total-room"}),
    ("B2/clocks/mortar-hard/acts", {"start": "task:b1-bed"},
     ("B2", "checks", "mortar-hard"), {"clock": {
         "start": {"task": "b1-bed", "step": "B1"}, "end": {"task": "b2-pan", "step": "B2"}}}),
    ("B2/clocks/mortar-hard/words", {"remedy": "Wait {over} more."},
     ("B2", "checks", "mortar-hard"), {"settings": {"remedy": "Wait {over} more."}}),
    ("B1/adjustments/bed-filled/stale", {"stale.sill-straightedge": ""},
     ("B1", "adjustments", "bed-filled"), {}),
    ("B1/adjustments/bed-filled/words", {"asks": "jamb"},
     ("B1", "adjustments", "bed-filled"), {"asks": "jamb"}),
]  # fmt: skip


@pytest.mark.parametrize(("path", "typed", "where", "wanted"), SET, ids=lambda one: str(one)[:40])
def test_what_once_the_file_alone_could_set(
    app: FastAPI,
    begun: TestClient,
    path: str,
    typed: dict[str, str],
    where: tuple[str, ...],
    wanted: Json,
) -> None:
    status, page = sent(begun, f"{EDIT}/{path}", **typed)
    assert status == 200, errors(page)
    made = draft(app)
    if where[:1] == ("nights",):
        made = made["nights"][0]
    elif where:
        made = part(app, *where)
    assert {name: made[name] for name in wanted} == wanted
    if path.endswith("/stale"):
        assert made["stale"]
        assert "sill-straightedge" not in made["stale"]


def test_decisions_clocks_moves_and_nights_are_added_and_taken_away(
    app: FastAPI, begun: TestClient
) -> None:
    told = {"text": "Scaffold stands?", "choice.+1": "Yes", "opens.+1": "yes", "choice.+2": "No"}
    assert sent(begun, f"{EDIT}/A/decisions/new/new", **told)[0] == 200
    listed = part(app, "A", "decisions", "scaffold-stands")["choices"]
    assert [(one["text"], one["opens"]) for one in listed] == [("Yes", True), ("No", False)]
    clock = {"title": "Bed rests", "start": "task:b1-bed", "end": "task:b2-pan", "sort": "least",
             "time": "2 h", "basis": "practice", "reason": "It settles.",
             "rank": "supervisor"}  # fmt: skip
    status, page = sent(begun, f"{EDIT}/B2/clocks/new/new", **clock)
    assert status == 200, errors(page)
    assert part(app, "B2", "checks", "bed-rests")["limits"] == {"least": {"value": "7200000"}}
    status, page = sent(begun, f"{EDIT}/B2/adjustments/new/new", text="Pan lifted", asks="frame")
    assert status == 422, "what is measured again is needed"
    moved = {"text": "Pan lifted", "stale.sill-straightedge": "yes"}
    assert sent(begun, f"{EDIT}/B2/adjustments/new/new", **moved)[0] == 200
    assert part(app, "B2", "adjustments", "pan-lifted")["stale"] == ["sill-straightedge"]
    night = {"point": "sill-length", "at": "last", "most": "1/8 in", "basis": "practice",
             "reason": "It may creep."}  # fmt: skip
    status, page = sent(begun, f"{EDIT}/rest/nights/new/new", **night)
    assert status == 200, errors(page)
    assert draft(app)["nights"][-1]["point"] == "sill-length"
    gone = {"what": "nights", "id": "sill-length.last", "act": "take"}
    assert begun.post(f"{EDIT}/rest", data=gone).status_code == 200
    assert draft(app)["nights"][-1]["point"] == "closing-gap"
    assert sent(begun, f"{EDIT}/rest/nights/new/new", **{**night, "most": "much"})[0] == 422


def test_a_time_that_the_crew_types_is_the_limit_of_a_clock(
    app: FastAPI, begun: TestClient
) -> None:
    steps = draft(app)["steps"]
    clock, step = next(
        (check, one["id"])
        for one in steps
        for check in one["checks"]
        if "clock" in check and any("point" in limit for limit in check["limits"].values())
    )
    (sort,) = clock["limits"]
    path = f"{EDIT}/{step}/clocks/{clock['id']}/limits"
    assert sent(begun, path)[0] == 200
    assert part(app, step, "checks", clock["id"])["limits"] == clock["limits"]
    assert sent(begun, path, **{f"limit.{sort}": "1 h"})[0] == 422
    assert sent(begun, path, **{f"limit.{sort}": "1 h", f"typed.{sort}": ""})[0] == 200
    assert part(app, step, "checks", clock["id"])["limits"] == {sort: {"value": "3600000"}}


# What no form sets, and the draft's page says why: names, the version, a check's calculation.
NOT_HERE = {"id", "version", "calc"}
# Lists of parts, each with forms of its own.
LISTS = {"steps", "tasks", "decisions", "points", "checks", "adjustments", "clocks", "nights"}


def test_every_key_of_the_file_is_set_by_a_form_or_the_page_says_why_not(begun: TestClient) -> None:
    """The keys are the compiler's own lists; a new one without a form fails here."""
    written = written_procedure(Path(SHIPPED).read_text("utf-8"))
    keys = {
        "procedure": compiler._TOP,
        "steps": compiler._STEP,
        "tasks": parts._TASK,
        "decisions": parts._DECISION,
        "points": parts._POINT,
        "checks": parts._CHECK,
        "adjustments": parts._ADJUSTMENT,
        "clocks": clocks._FIELDS,
        "nights": nights._NIGHT,
    }
    for what, named in keys.items():
        whole = what in ("procedure", "nights")
        of_step = [WHOLE_STEP] if whole else [step["id"] for step in written["steps"]]
        settable: set[str] = set()
        for step in of_step:
            here = DraftPlace(written, step, what, "").step_written
            own = [{"id": step}] if what in ("procedure", "steps") else here.get(what, [])
            for one in own:
                place = DraftPlace(written, step, what, one["id"])
                for group in [*GROUPS[what].values(), *([NEW[what]] if what in NEW else [])]:
                    for field in group.listed(place, group.read(place)):
                        path = [name for name in field.path if name != "-"]
                        settable.update(path[:1])
        left = (
            set(named) - settable - NOT_HERE - (LISTS if what in ("procedure", "steps") else set())
        )
        assert left == set(), what
    page = begun.get(EDIT).text
    assert "names (id)" in page
    assert "calculation" in page
