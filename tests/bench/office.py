"""How quick the office is, printed and never asserted: `python -m tests.bench.office [counts]`.

Today with the week of 40 crews, the board (first page, a filter, a search, a page far down), its
list by itself, a job and the review of an opening, with 100, 10,000 and (asked for) 100,000
openings: p50 and p95 of the time and of what the processor worked for it (a busy machine adds to
the first), queries, bytes.
Openings are taken in from a CSV, as people would, and the time of that is printed too. The
application is called without a network; the database is a real one on a real disk.
"""

import statistics
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import event, text
from sqlmodel import select

from app import cli
from app.demo import company
from app.main import create_app
from app.office.issue.work import Hand
from app.office.moving import openings, sheet
from app.settings import Settings
from app.store.summaries import place_of
from app.store.summary_tables import FLAGS, Summary
from app.store.tables import Crew, CrewSetup

TIMES = 40
AT_ONCE = 10_000
STATES = ("new", "open", "broken", "signed", "done", "returned")


def fill(app: FastAPI, count: int) -> None:
    """Take in so many openings, then spread their summaries over states and times."""
    database = app.state.server.database
    with TestClient(app) as office:
        office.headers["Sec-Fetch-Site"] = "same-origin"
        sign_in(office)
        made = office.get("/office/take-out/all/openings.csv").content
    example = sheet.read_sheet(made, openings.COLUMNS).rows[0].cells
    for start in range(0, count, AT_ONCE):
        some = range(start, min(count, start + AT_ONCE))
        rows = [
            {
                **example,
                "job": f"Job {n // 4:06}",
                "letter": "ABCD"[n % 4],
                "room": f"Room {n % 11}",
            }
            for n in some
        ]
        data = "".join(sheet.sheet_text(openings.COLUMNS, rows)).encode()
        began = time.perf_counter()
        with database.read() as session:
            known = openings.known_of(session, "in", {})
        read = openings.read_openings(sheet.read_sheet(data, openings.COLUMNS), known)
        mid = time.perf_counter()
        assert not read.wrong
        with database.write() as session:
            openings.write_openings(
                session, read.taken, Hand("nadia-ferrow", "2026-03-02T09:00:00-05:00")
            )
        if start == 0:
            wrote = time.perf_counter() - mid
            print(f"{len(rows):7} rows taken in: read {mid - began:.1f} s, written {wrote:.1f} s")
    spread(app)


def spread(app: FastAPI) -> None:
    with app.state.server.database.write() as session:
        ids = session.exec(select(Summary.opening).order_by(Summary.opening)).all()
        rows = [
            {
                "opening": id,
                "state": STATES[n % 6],
                "place": place_of(
                    {"state": STATES[n % 6], **dict.fromkeys(FLAGS, 0), "outs": n % 50 == 0}
                ),
                "outs": n % 50 == 0,
                "heard": f"2026-{n % 9 + 1:02}-{n % 28 + 1:02}T10:00:00.000+00:00",
            }
            for n, id in enumerate(ids)
        ]
        session.connection().execute(
            text(
                "UPDATE summary SET state = :state, place = :place, outs = :outs, heard = :heard"
                " WHERE opening = :opening"
            ),
            rows,
        )


def plan(app: FastAPI, crews: int = 40) -> None:
    """Plan two openings a crew and day of this week; of the rest half for weeks before, done."""
    monday = date.today() - timedelta(days=date.today().weekday())
    with app.state.server.database.write() as session:
        names = [f"crew-{n:02}" for n in range(crews)]
        for name in names:
            session.add(Crew(id=name, name=name))
            session.flush()
            session.add(CrewSetup(crew=name, first="2026-01-01", people="tobin-hale ines-calder"))
        ids = session.exec(select(Summary.opening).order_by(Summary.opening)).all()
        rows = []
        for n, id in enumerate(ids[: len(ids) // 2]):
            day = monday + timedelta(days=n % 10 % 5 if n < 10 * crews else -7 * (n % 100 + 1))
            rows.append(
                {
                    "opening": id,
                    "crew": names[n // 10 % crews],
                    "day": day.isoformat(),
                    "due": day.isoformat() if n < 10 * crews else "",
                }
            )
        words = "UPDATE summary SET crew = :crew, first_day = :day, last_day = :day, due = :due"
        session.connection().execute(text(words + " WHERE opening = :opening"), rows)


def sign_in(office: TestClient) -> None:
    office.post("/sign-in", data={"name": "nadia", "password": "plumb-line-and-level"})


def timed(app: FastAPI, office: TestClient, words: str, path: str) -> None:
    run: list[str] = []

    def note(_c: Any, _u: Any, statement: str, *_: Any) -> None:
        run.append(statement)

    engine = app.state.server.database.engine
    office.get(path)
    event.listen(engine, "before_cursor_execute", note)
    size = len(office.get(path).content)
    event.remove(engine, "before_cursor_execute", note)
    took, worked = [], []
    for _ in range(TIMES):
        began, busy = time.perf_counter(), time.process_time()
        assert office.get(path).status_code == 200
        took.append((time.perf_counter() - began) * 1000)
        worked.append((time.process_time() - busy) * 1000)
    print(
        f"  {words:34} {_spread(took)}  processor {_spread(worked)}"
        f"  {len(run):3} queries  {size:8} bytes"
    )


def _spread(took: list[float]) -> str:
    p95 = statistics.quantiles(took, n=20)[-1]
    return f"p50 {statistics.median(took):6.1f} p95 {p95:6.1f} ms"


def far_down(office: TestClient) -> str:
    path = "/office?sort=job"
    for _ in range(20):
        html = office.get(path).text
        if ">More<" not in html:
            break
        path = html.split(">More<")[0].rsplit('href="', 1)[1].split('"')[0].replace("&amp;", "&")
    return path


def main(counts: list[int]) -> None:
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            app = create_app(Settings(Path(folder)))
            company.load_company(app.state.server.database)
            app.router.lifespan_context = create_app_stays_open  # the database stays ours
            print(f"{count} openings")
            fill(app, count)
            with TestClient(app) as office:
                office.headers["Sec-Fetch-Site"] = "same-origin"
                sign_in(office)
                cli.settle()  # as when it is served
                plan(app)
                timed(app, office, "today and the week", "/office/today")
                timed(app, office, "board", "/office")
                timed(app, office, "board: out of tolerance", "/office?show=outs")
                timed(app, office, "board: not heard of for a week", "/office?show=quiet")
                timed(app, office, "board: search that finds few", "/office?find=000012")
                timed(app, office, "board: search that finds none", "/office?find=nowhere")
                timed(app, office, "board: search that finds most", "/office?find=room")
                timed(app, office, "board: broad words without match", "/office?find=a+b")
                timed(app, office, "board: of a crew", "/office?crew=tobin-hale")
                timed(app, office, "board: twenty pages down", far_down(office))
                timed(app, office, "board: list by itself", "/office/board")
                timed(app, office, "jobs", "/office/jobs")
                timed(app, office, "review of one opening", "/office/o/marrow-lane-b")
            app.state.server.database.close()


class create_app_stays_open:  # noqa: N801  (stands in for the application's lifespan)
    """A lifespan that leaves the database open, so that two clients can come after each other."""

    def __init__(self, _: FastAPI) -> None:
        pass

    async def __aenter__(self) -> None:
        return None

    async def __aexit__(self, *_: object) -> None:
        return None


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [100, 10_000])
