"""The demo company is loaded whole, once, and through the same gates as a crew's own work."""

import shutil
from pathlib import Path

import pytest
from fastapi import FastAPI

from app.core.quantity.speaker import Speaker
from app.core.record import gate
from app.core.record.state import State
from app.demo import company
from app.demo.crew import DemoCrew, RecordError
from app.procedures.compiler import compile_file
from app.store import log, procedures
from app.store.tables import Person
from tests.demo.conftest import enter


def state_of(app: FastAPI, opening: str) -> State:
    with app.state.server.database.read() as session:
        events = log.events_of(session, [opening])[opening]
        return State(events, procedures.all_of(session, {}))


def signed(state: State) -> dict[str, tuple[bool, bool]]:
    """Return step -> (true, holds) for the steps that are signed."""
    signs = {step.key: gate.sign_of(state, step) for step in state.steps}
    return {key: (sign.true, sign.holds) for key, sign in signs.items() if sign is not None}


def test_there_are_three_jobs_with_six_openings() -> None:
    jobs = company.read_yaml(company.FOLDER / "company.yaml")["jobs"]
    assert (len(jobs), sum(len(job["openings"]) for job in jobs)) == (3, 6)


def test_drawings_differ_in_configuration() -> None:
    drawings = sorted((company.FOLDER / "drawings").glob("*.yaml"))
    letters = {"".join(p["kind"] for p in company.read_yaml(path)["panels"]) for path in drawings}
    assert len(drawings) == 6
    assert len(letters) >= 3


def test_half_done_opening_has_its_first_steps_signed_and_holding(app: FastAPI) -> None:
    state = state_of(app, "marrow-lane-b")
    assert signed(state) == dict.fromkeys(["A", "B1", "B2", "C"], (True, True))


def test_floor_that_is_out_bars_its_step(app: FastAPI) -> None:
    state = state_of(app, "quarry-steps-a")
    assert signed(state) == {"A": (True, True)}
    bars = gate.bars_of(state, state.step("B1"))
    assert "check-out" in {bar.code for bar in bars}


def test_loading_again_changes_nothing(app: FastAPI) -> None:
    database = app.state.server.database
    before = state_of(app, "marrow-lane-b").ledger.events
    company.load_company(database)
    assert state_of(app, "marrow-lane-b").ledger.events == before


def test_how_to_sign_in_is_told_while_it_works(app: FastAPI) -> None:
    database = app.state.server.database
    lines = company.how_to_sign_in(database)
    roles = ["Demo installer", "Demo supervisor", "Demo administrator"]
    assert [line.split(":")[0] for line in lines] == roles
    assert enter(app, "installer").get("/field").status_code == 200
    with database.write() as session:
        for person in ("tobin-hale", "nadia-ferrow", "oda-lindquarry"):
            session.get_one(Person, person).disabled = True
    assert company.how_to_sign_in(database) == []


def test_entry_that_the_core_refuses_stops_the_loading(app: FastAPI) -> None:
    shift = {"by": "tobin-hale", "at": "2026-03-09T08:00:00-05:00"}
    record = {"sessions": [{**shift, "entries": [{"do": "sign", "step": "B1"}]}]}

    def work() -> None:
        with app.state.server.database.write() as session:
            DemoCrew(session, "quarry-steps-a").work(record)

    with pytest.raises(RecordError) as refused:
        work()
    assert "B1" in Speaker().say(refused.value.message)
    assert "cannot be signed yet" in Speaker().say(refused.value.message)


def test_drawing_that_does_not_fit_is_told_with_its_file(app: FastAPI, tmp_path: Path) -> None:
    folder = tmp_path / "seed" / "demo"
    shutil.copytree(company.FOLDER.parent, folder.parent)
    path = folder / "drawings" / "saltgrass-a.yaml"
    path.write_text(path.read_text().replace("head_gap_least", "head_gape_least"))
    data = company.read_yaml(folder / "company.yaml")
    raw = next(o for j in data["jobs"] for o in j["openings"] if o["id"] == "saltgrass-a")
    with pytest.raises(company.DemoError, match="drawing-unfit"):
        company.read_drawing(folder / "drawings" / raw["drawing"])


def test_shipped_procedure_compiles_to_the_same_digest_each_time() -> None:
    path = company.FOLDER.parent / "procedures" / "stacking-door.yaml"
    assert compile_file(path)["digest"] == compile_file(path)["digest"]
