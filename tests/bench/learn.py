"""How quick the statistics are, printed and never asserted: `python -m tests.bench.learn [counts]`.

A year of so many accepted doors of 40 crews, each with 110 facts: the page, its CSV, one crew's,
and what it takes to count one door. Doors are put in as they are learned; one real door is
replayed for its time.
"""

import sys
import tempfile
import time
from pathlib import Path

from fastapi.testclient import TestClient

from app.core.record.state import State
from app.demo import company
from app.main import create_app
from app.settings import Settings
from app.store.lessons import lessons_of
from tests.bench.office import create_app_stays_open, sign_in, timed
from tests.homeowner.finished import PROCEDURES, finished
from tests.office.simulated_company import SimulatedCompany
from tests.procedures.demo_book import PROCEDURE

STEPS = {step["id"]: [check["id"] for check in step["checks"]] for step in PROCEDURE["steps"]}
CREWS = 40


def main(counts: list[int]) -> None:
    events = finished().events
    began = time.process_time()
    lessons_of(State(events, PROCEDURES))
    print(f"one door of {len(events)} entries replayed: {time.process_time() - began:.2f} s")
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            app = create_app(Settings(Path(folder)))
            company.load_company(app.state.server.database)
            app.router.lifespan_context = create_app_stays_open
            print(f"{count} doors of a year, {CREWS} crews")
            with app.state.server.database.write() as session:
                SimulatedCompany(STEPS, CREWS).keep(session, count)
            with TestClient(app) as office:
                office.headers["Sec-Fetch-Site"] = "same-origin"
                sign_in(office)
                timed(app, office, "statistics of a year", "/office/learn")
                timed(app, office, "of one crew", "/office/learn?crew=crew-01")
                timed(app, office, "checks as CSV", "/office/learn/checks.csv")
            app.state.server.database.close()


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [100, 10_000])
