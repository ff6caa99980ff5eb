"""What doors teach, on the page and as CSV, against another library on a company of known truth.

Shares are means of yes and no, medians and quarters are NumPy's (its linear method is Hyndman and
Fan's type 7, as Python's inclusive one): both worked out from each fact by itself.
"""

import csv
import io
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.main import create_app
from app.office.learn.charts import FEW
from app.office.learn.tables import middle_half, percent
from app.settings import Settings
from app.store.tables import Person
from tests.demo.conftest import enter
from tests.office.simulated_company import SimulatedCompany
from tests.procedures.demo_book import PROCEDURE

PATH = "/office/learn"
YEAR = "?first=2026-01&last=2026-12"
STEPS = {
    step["id"]: [check["id"] for check in step["checks"]][:4] for step in PROCEDURE["steps"][:5]
}
COUNT = 90


@pytest.fixture(scope="module")
def company(demo_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Json]:
    """An office with a year of doors, and the truth about them."""
    folder = tmp_path_factory.mktemp("learn") / "data"
    shutil.copytree(demo_data, folder)
    app = create_app(Settings(folder))
    made = SimulatedCompany(STEPS, 3)
    with TestClient(app):
        with app.state.server.database.write() as session:
            made.keep(session, COUNT)
        yield {"app": app, "truth": made.truth, "office": enter(app, "supervisor")}


@pytest.fixture
def office(company: Json) -> TestClient:
    found: TestClient = company["office"]
    return found


def rows_of(office: TestClient, name: str, query: str = YEAR) -> list[dict[str, str]]:
    answer = office.get(f"{PATH}/{name}.csv{query}")
    assert answer.headers["content-type"].startswith("text/csv")
    assert f'filename="sillbook-{name}.csv"' in answer.headers["content-disposition"]
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def share(truths: list[bool]) -> str:
    return f"{np.mean(truths):.4f}"


def test_shares_by_month_and_crew(company: Json, office: TestClient) -> None:
    checks = company["truth"].checks
    months = rows_of(office, "months")
    assert [row["month"] for row in months] == [f"2026-{n:02}" for n in range(1, 13)]
    for row in months:
        mine = [one[4] for one in checks if one[0] == row["month"]]
        assert (row["checks"], row["within_first"]) == (str(len(mine)), share(mine))
        assert row["doors"] == str(COUNT // 12 + (int(row["month"][5:]) <= COUNT % 12))
    crews = rows_of(office, "crews")
    assert [row["crew"] for row in crews] == ["Crew-00", "Crew-01", "Crew-02"]
    for row in crews:
        mine = [one[4] for one in checks if one[1] == row["crew"].casefold()]
        assert (row["checks"], row["within_first"]) == (str(len(mine)), share(mine))


def test_shares_by_step_and_check(company: Json, office: TestClient) -> None:
    checks = company["truth"].checks
    for row in rows_of(office, "steps"):
        mine = [one[4] for one in checks if one[2] == row["step"].split(" ")[0]]
        assert row["within_first"] == share(mine)
    titles: dict[str, list[str]] = {}  # a title stands for a rough check and a fine one
    for check in [check for step in PROCEDURE["steps"] for check in step["checks"]]:
        titles.setdefault(check["title"], []).append(check["id"])
    found = rows_of(office, "checks")
    assert sum(int(row["checks"]) for row in found) == len(checks)
    for row in found:
        ids, step = titles[row["check"]], row["step"].split(" ")[0]
        mine = [one[4] for one in checks if one[3] in ids and one[2] == step]
        assert (row["checks"], row["within_first"]) == (str(len(mine)), share(mine))
        sizes = [size for id in ids for size in company["truth"].outs[id]]
        if sizes:
            assert row["middle_out"] == f"{np.median(sizes) / 10**6:.3f}"
            assert row["most_out"] == f"{max(sizes) / 10**6:.3f}"
    outs = [round((1 - float(row["within_first"])) * int(row["checks"])) for row in found]
    assert outs == sorted(outs, reverse=True)


def test_times_are_quarters_of_all_crews(company: Json, office: TestClient) -> None:
    for query in (YEAR, YEAR + "&crew=crew-01"):  # no crew is held against the clock
        for row in rows_of(office, "times", query):
            minutes = company["truth"].times[row["step"].split(" ")[0]]
            quarters = np.quantile(minutes, (0.25, 0.5, 0.75))
            names = ("quarter", "middle", "three_quarters")
            assert [row[name] for name in names] == [f"{one:.1f}" for one in quarters]
            assert row["sign_offs"] == str(COUNT)


def test_predictions_and_floors(company: Json, office: TestClient) -> None:
    gaps = company["truth"].gaps
    row = rows_of(office, "predictions")[0]
    assert (row["gaps"], row["as_near"]) == (str(len(gaps)), share([near for _, near in gaps]))
    assert row["middle_off"] == f"{np.median(np.abs([off for off, _ in gaps])) / 10**6:.3f}"
    floors = rows_of(office, "floors")
    names = [row["builder"] for row in floors]
    assert names == ["Ellory Harbor Builders", "Fennick Timber Frames", "No builder named"]
    for row in floors:
        builder = row["builder"] if row["builder"] in company["truth"].floors else ""
        sizes = company["truth"].floors[builder]
        assert row["middle"] == f"{np.median(sizes) / 10**6:.3f}"
        assert row["out"] == share([size > 25_400_000 // 4 for size in sizes])


def test_months_and_crew_are_filtered(company: Json, office: TestClient) -> None:
    checks = company["truth"].checks
    query = "?first=2026-02&last=2026-04&crew=crew-01"
    mine = [one[4] for one in checks if "2026-02" <= one[0] <= "2026-04" and one[1] == "crew-01"]
    rows = rows_of(office, "months", query)
    assert [row["month"] for row in rows] == ["2026-02", "2026-03", "2026-04"]
    assert sum(int(row["checks"]) for row in rows) == len(mine)
    swapped = rows_of(office, "months", "?first=2026-04&last=2026-02&crew=crew-01")
    assert swapped == rows
    page = office.get(PATH + query).text
    assert '<option value="2026-02" selected>Feb 2026</option>' in page
    assert '<option value="crew-01" translate="no" selected>' in page


@pytest.mark.parametrize("query", ["", "?first=x&last=2026-99&crew=nobody", "?first=%3Cb%3E"])
def test_what_is_odd_is_the_last_year(office: TestClient, query: str) -> None:
    answer = office.get(PATH + query)
    assert answer.status_code == 200
    assert f"{COUNT} accepted doors" in answer.text


def test_every_table_stands_on_the_page_with_its_csv(office: TestClient) -> None:
    page = office.get(PATH + YEAR).text
    names = re.findall(r'href="/office/learn/(\w+)\.csv', page)
    assert names == ["months", "steps", "checks", "crews", "times", "predictions", "floors"]
    assert page.count('role="img"') == len(names)  # a chart each
    for name in names:
        assert rows_of(office, name)
    assert office.get(PATH + "/nothing.csv").status_code == 404


def test_no_person_is_on_the_page(office: TestClient) -> None:
    page = office.get(PATH + YEAR).text.split("<main")[1]
    for name in ("Tobin", "Inés", "tobin-hale", "ines-calder"):
        assert name not in page


def test_few_doors_make_no_chart(demo_data: Path, tmp_path: Path) -> None:
    shutil.copytree(demo_data, tmp_path / "data")
    app: FastAPI = create_app(Settings(tmp_path / "data"))
    with TestClient(app):
        office = enter(app, "supervisor")
        nothing = office.get(PATH).text
        assert "No accepted door is counted yet." in nothing
        assert "Nothing yet" not in nothing
        assert nothing.count("<strong>") == 9  # what will stand there, a line each
        assert 'role="img"' not in nothing
        with app.state.server.database.write() as session:
            SimulatedCompany(STEPS, 1).keep(session, FEW - 1)
        few = office.get(PATH).text
        assert "4 accepted doors" in few
        charts = re.findall(r'role="img" aria-label="([^"]+)"', few)
        assert charts == ["Gaps as predicted, and as measured"]  # of them there are four a door
        assert re.search(r"\d+ % \(\d+ of 4\)", few)  # a share says what it is a share of


def test_a_share_short_of_all_is_not_all() -> None:
    """Common practice of honest rounding, no source."""
    assert [percent(*pair) for pair in ((0, 3), (1, 1000), (2, 3), (999, 1000), (3, 3))] == [
        0, 1, 67, 99, 100,
    ]  # fmt: skip


def test_quarters_of_one_and_two() -> None:
    assert middle_half([7]) == (7, 7, 7)
    assert middle_half([1, 3]) == tuple(np.quantile([1, 3], (0.25, 0.5, 0.75)))


def test_spanish(company: Json, office: TestClient) -> None:
    with company["app"].state.server.database.write() as session:
        session.get_one(Person, "nadia-ferrow").lang = "es"
    page = office.get(PATH).text
    assert "Lo que enseñan las puertas" in page
    assert "What doors teach" not in page
    with company["app"].state.server.database.write() as session:
        session.get_one(Person, "nadia-ferrow").lang = "en"
