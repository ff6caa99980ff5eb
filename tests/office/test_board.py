"""The board and the lists across openings."""

import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import event, text

from app.office.board import asking, finding
from app.office.board.asking import PAGE, BoardQuery
from app.store.database import Database
from app.store.search_words import word_line
from app.store.summaries import place_of
from app.store.summary_tables import FLAGS, PLACES, SHOWN_AS, Summary
from tests.demo.conftest import enter
from tests.office.conftest import fields
from tests.office.counting import statements_run

NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)


def ids(html: str) -> list[str]:
    return [piece.split('"')[0] for piece in html.split('<tr id="o-')[1:]]


def spread(database: Database, count: int) -> None:
    """Add summaries of invented openings, states and times in turn."""
    states = ("new", "open", "broken", "signed", "done", "returned")
    made = []
    for n in range(count):
        state = states[n % len(states)]
        heard = (NOW - timedelta(hours=n)).isoformat(timespec="milliseconds")
        counts = {**dict.fromkeys(FLAGS, 0), "outs": int(n % 5 == 0)}
        made.append(
            {
                "id": f"x-{n:06}",
                "state": state,
                "place": place_of({"state": state, **counts}),
                "heard": heard,
                "title": f"Job {n % 37}",
                "letter": "ABC"[n % 3],
                "outs": n % 5 == 0,
                "words": word_line([f"Job {n % 37}"]),
            }
        )
    with database.write() as session:
        connection = session.connection()
        job = "INSERT OR IGNORE INTO job (id, title, address, homeowner, contact)"
        connection.execute(text(job + " VALUES ('x', 'X', 'X', '', '')"))
        connection.execute(
            text("INSERT INTO opening (id, job, letter, room) VALUES (:id, 'x', :letter, 'Room')"),
            made,
        )
        connection.execute(
            text(
                "INSERT INTO summary (opening, job, title, address, letter, room, words, state,"
                " place, step, step_title, signed, steps, outs, queries, parts, not_ready, waiting,"
                " otherwise, heard, seq) VALUES (:id, 'x', :title, 'Way', :letter, 'Room', :words,"
                " :state, :place, '', '', 0, 13, :outs, 0, 0, 0, 0, 0, :heard, 1)"
            ),
            made,
        )
        words = [{"word": w, "id": one["id"]} for one in made for w in one["words"].split()]
        kept = "INSERT INTO search_word (word, opening) VALUES (:word, :id)"
        connection.execute(text(kept), words)


def test_board_shows_where_openings_are_and_what_waits(office: TestClient) -> None:
    html = office.get("/office").text
    assert len(ids(html)) == 6
    assert "3 out" in html
    assert "Next: B1 Substrate and opening" in html


def row_of(html: str, opening: str) -> str:
    return html.split(f'<tr id="o-{opening}"')[1].split("</tr>", maxsplit=1)[0]


def test_a_row_draws_its_door_as_far_as_it_is_and_says_so_in_words(office: TestClient) -> None:
    html = office.get("/office").text
    kitchen = row_of(html, "quarry-steps-a")
    assert 'role="img" aria-label="Signed: A. Out: B1."' in kitchen
    assert "p-step-lit" in kitchen
    assert "p-step-bad" in kitchen
    assert 'aria-label="Signed: A, B1, B2, C."' in row_of(html, "marrow-lane-b")
    assert 'aria-label="Nothing signed yet."' in row_of(html, "saltgrass-a")


def test_a_row_says_what_is_broken_and_disputed(app: FastAPI, office: TestClient) -> None:
    states = '{"A":"signed","B1":"broken","E:A":"disputed","F":""}'
    with app.state.server.database.write() as session:
        kept = text("UPDATE summary SET step_states = :states WHERE opening = 'saltgrass-a'")
        session.connection().execute(kept, {"states": states})
    row = row_of(office.get("/office").text, "saltgrass-a")
    assert 'aria-label="Signed: A. Sign-off broken: B1. Sign-off disputed: E A."' in row


def test_a_row_that_does_not_say_how_its_steps_stand_has_no_drawing(
    app: FastAPI, office: TestClient
) -> None:
    """As between a new version's migration and the making anew of the summaries."""
    with app.state.server.database.write() as session:
        session.connection().execute(text("UPDATE summary SET step_states = ''"))
    html = office.get("/office").text
    assert len(ids(html)) == 6
    assert "<svg" not in html
    assert "1 of 13 signed" in row_of(html, "quarry-steps-a")


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?show=outs", ["quarry-steps-a"]),
        ("?show=work", ["quarry-steps-a", "marrow-lane-b"]),  # three out come first
        ("?show=review", []),
        ("?find=PORT+ell", ["saltgrass-a", "saltgrass-b"]),
        ("?find=marrow+study", ["marrow-lane-b"]),
        ("?find=tennick", []),  # a homeowner's name is found among the jobs
        ("?find=100%25", []),
        ("?find=%25", []),  # no word at all
        ("?find=mar+fam", ["marrow-lane-a"]),  # the beginnings of words
        ("?find=arrow", []),  # not what stands within one
        ("?find=ell-port", ["saltgrass-a", "saltgrass-b"]),
        ("?show=work&find=marrow", ["marrow-lane-b"]),
        ("?crew=tobin-hale&find=saltgrass", []),
        ("?crew=tobin-hale&find=study", ["marrow-lane-b"]),
        ("?crew=nobody", []),
        ("?sort=job&find=bend", ["saltgrass-a", "saltgrass-b"]),
    ],
)  # fmt: skip
def test_filter_search_sort(office: TestClient, query: str, found: list[str]) -> None:
    assert ids(office.get("/office" + query).text) == found


@pytest.mark.parametrize(
    "query",
    ["?show=nothing", "?sort=%27", "?after=eyJ9", "?after=W10", "?after=WzEsMl0",
     "?after=" + "x" * 5000, "?find=" + "%25" * 500],
)  # fmt: skip
def test_nonsense_in_the_address_gives_a_page(office: TestClient, query: str) -> None:
    assert office.get("/office" + query).status_code == 200


def test_what_costs_most_to_let_wait_comes_first(app: FastAPI) -> None:
    """A crew that waits for an answer, then what is out, then a review, then what merely goes on.

    Common practice, no source.
    """
    waits: list[dict[str, Any]] = [
        {"state": "open", "queries": 1},
        {"state": "open", "outs": 3},
        {"state": "signed"},
        {"state": "disputed"},
        {"state": "open", "parts": 1},
        {"state": "open"},
        {"state": "new"},
        {"state": "done", "outs": 1},  # what was accepted waits for nobody
        {"state": "cancelled", "queries": 1},  # nor does what was called off
        {"state": "open", "queries": 1, "practice": True},  # nor what is to practise on
    ]
    rows = [{**dict.fromkeys(FLAGS, 0), **one} for one in waits]
    assert [place_of(row) for row in rows] == list(range(len(PLACES)))


def test_a_nul_in_the_address_is_refused_in_words(office: TestClient) -> None:
    answer = office.get("/office?after=%00")
    assert answer.status_code == 400
    assert "<h1" in answer.text


@pytest.mark.parametrize("sort", ["urgent", "job", "heard"])
@pytest.mark.parametrize("show", ["", "look", "outs"])
def test_pages_by_key_show_every_opening_once_in_order(app: FastAPI, sort: str, show: str) -> None:
    database = app.state.server.database
    spread(database, 3 * PAGE + 7)
    met: list[Any] = []
    with database.read() as session:
        asked = BoardQuery(show=show, sort=sort)
        while True:
            rows, on = asking.summary_page(session, asked, NOW)
            met += rows
            if not on:
                break
            asked = BoardQuery(show=show, sort=sort, after=on)
        expected = session.connection().execute(
            text("SELECT opening FROM summary WHERE :show = ''"
                 " OR (:show = 'look' AND state IN ('broken', 'returned'))"
                 " OR (:show = 'outs' AND outs > 0)"), {"show": show},
        ).scalars().all()  # fmt: skip
    keys = [asking.key_in(asking.key_of(row, sort), 3 if sort != "heard" else 2) for row in met]
    assert keys == sorted(keys)
    assert sorted(row.opening for row in met) == sorted(expected)
    assert len(met) > PAGE or show


def test_row_that_comes_above_shifts_no_page(app: FastAPI, office: TestClient) -> None:
    database = app.state.server.database
    spread(database, 2 * PAGE)
    with database.read() as session:
        _, on = asking.summary_page(session, BoardQuery(sort="job"), NOW)
    second = ids(office.get("/office", params={"sort": "job", "after": on}).text)
    with database.write() as session:
        session.connection().execute(
            text("UPDATE summary SET title = '0' WHERE opening = 'x-000099'")
        )
    again = ids(office.get("/office", params={"sort": "job", "after": on}).text)
    stay = [id for id in second if id != "x-000099"]
    assert [id for id in again if id != "x-000099"][: len(stay)] == stay


def test_counts_beside_the_filters_are_what_the_filters_show(app: FastAPI) -> None:
    database = app.state.server.database
    spread(database, 200)
    with database.read() as session:
        for name, count in asking.filter_counts(session, NOW).items():
            shown, asked = 0, BoardQuery(show=name)
            while True:
                rows, on = asking.summary_page(session, asked, NOW)
                shown += len(rows)
                if not on:
                    break
                asked = BoardQuery(show=name, after=on)
            assert shown == count, name


def test_not_heard_of_for_a_week(app: FastAPI) -> None:
    """Begun and a week without word counts; what was not begun, or is done, does not."""
    database = app.state.server.database
    with database.read() as session:
        heard = session.connection().execute(text("SELECT max(heard) FROM summary")).scalar_one()
        at = datetime.fromisoformat(heard)
        for days, found in ((6, []), (8, ["quarry-steps-a", "marrow-lane-b"])):
            rows, _ = asking.summary_page(
                session, BoardQuery(show="quiet"), at + timedelta(days=days)
            )
            assert [row.opening for row in rows] == found


@pytest.mark.parametrize("path", ["/office", "/office/board", "/office/jobs", "/office/lists/parts",
                                  "/office?sort=job&find=job&show=look",
                                  "/office?find=nowhere", "/office?crew=tobin-hale"])  # fmt: skip
def test_queries_of_a_page_do_not_grow_with_rows(
    app: FastAPI, office: TestClient, path: str
) -> None:
    database = app.state.server.database
    office.get(path)
    with statements_run(database) as few:
        office.get(path)
    spread(database, 2000)
    with statements_run(database) as many:
        assert office.get(path).status_code == 200
    assert len(many) == len(few)
    assert len([words for words in many if words.lstrip().upper().startswith("SELECT")]) <= 9


def test_the_next_review_is_one_row_however_many_wait(app: FastAPI) -> None:
    database: Database = app.state.server.database
    spread(database, 60)
    loaded = []
    event.listen(Summary, "load", lambda row, _: loaded.append(row.opening))
    with database.read() as session:
        found = asking.next_review(session, "nothing")
    assert (loaded, found["count"]) == ([found["opening"]], 10)


def test_no_query_of_the_board_sorts_or_scans_the_table(app: FastAPI) -> None:
    """SQLite's own plan: an index gives the order, for each filter in the usual order."""
    database = app.state.server.database
    spread(database, 500)
    for show in ("", "review", "look", "outs", "parts", "work"):
        with statements_run(database) as run, database.read() as session:
            asking.summary_page(session, BoardQuery(show=show), NOW)
        where = {"": "", "outs": "WHERE outs > 0", "parts": "WHERE parts > 0"}
        states = "', '".join(state for state, name in SHOWN_AS.items() if name == show)
        most = PLACES.index(show) if states else 0
        condition = where.get(show, f"WHERE state IN ('{states}') AND place <= {most}")
        statement = next(words for words in run if "FROM summary" in words)
        assert "OFFSET" not in statement.split("LIMIT")[0]
        plan = (
            f"EXPLAIN QUERY PLAN SELECT * FROM summary {condition} ORDER BY place, heard, opening"
        )
        with database.read() as session:
            told = " ".join(
                row[3] for row in session.connection().execute(text(plan + " LIMIT 50"))
            )
        assert "USE TEMP B-TREE" not in told, (show, told)
        assert "USING INDEX" in told, (show, told)


def test_list_by_itself_has_no_frame(office: TestClient) -> None:
    html = office.get("/office/board?show=outs").text
    assert "<html" not in html
    assert ids(html) == ["quarry-steps-a"]


@pytest.mark.parametrize("few", [1, 5000])
def test_board_of_a_crew_is_what_was_given_to_them(
    app: FastAPI, office: TestClient, few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding, "FEW", few)
    with app.state.server.database.read() as session:
        given = "SELECT opening FROM assigned WHERE person = 'ines-calder' ORDER BY opening"
        own = list(session.connection().execute(text(given)).scalars())
    html = office.get("/office?crew=ines-calder&sort=job").text
    assert sorted(ids(html)) == own
    assert 0 < len(own) < 5
    rows = html.split('<tr id="o-')[1:]
    assert all("Inés Calder" in row for row in rows)
    assert "show=outs&amp;crew=ines-calder" in html  # a filter keeps the crew
    counts = re.findall(r'<b class="num">', html)
    assert counts == []  # those are of all crews


def tell_part(app: FastAPI, state: str) -> None:
    crew = enter(app, "installer")
    path = "/field/o/marrow-lane-a/parts"
    forms = [piece for piece in crew.get(path).text.split("<form")[1:] if 'value="state"' in piece]
    form = fields("<form" + forms[0], path)
    crew.post(path, data={**form, "state": state, "words": "Bent <b>badly</b>"})


def test_part_that_is_damaged_stands_on_the_list_to_reorder(
    app: FastAPI, office: TestClient
) -> None:
    assert "No part is short" in office.get("/office/lists/parts").text
    tell_part(app, "damaged")
    html = office.get("/office/lists/parts").text
    assert "Bent &lt;b&gt;badly&lt;/b&gt;" in html
    assert "/office/o/marrow-lane-a" in html
    assert ids(office.get("/office?show=parts").text) == ["marrow-lane-a"]
    tell_part(app, "here")
    assert "No part is short" in office.get("/office/lists/parts").text


def test_opening_that_is_not_ready_stands_on_its_list(app: FastAPI, office: TestClient) -> None:
    crew = enter(app, "installer")
    action = "/field/o/marrow-lane-a/step/A?show=all"
    page = crew.get(action)
    forms = [piece for piece in page.text.split("<form")[1:] if 'value="decide"' in piece]
    form = fields("<form" + forms[0], action)
    bars = [
        choice["id"]
        for key, made in app.state.field.procedures.items() if key
        for step in made["steps"] if step["id"] == "A"
        for decision in step["decisions"]
        for choice in decision["choices"] if not choice["opens"]
    ]  # fmt: skip
    sent = {**form, "choice": bars[0], "name": "Cal Builder", "words": "Floor is wet."}
    assert crew.post(action, data=sent).status_code == 200
    html = office.get("/office/lists/not-ready").text
    assert "Floor is wet." in html
    assert "/office/o/marrow-lane-a" in html


def test_list_that_is_not_there_is_404(office: TestClient) -> None:
    assert office.get("/office/lists/nothing").status_code == 404


def test_changes_are_told_to_who_listens(
    app: FastAPI, office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text is what an EventSource reads: WHATWG HTML, server-sent events."""
    from app.office.board import routes

    monkeypatch.setattr(routes, "TICK", 0.01)
    monkeypatch.setattr(routes, "WATCH_SECONDS", 0.05)
    answer = office.get("/office/changes")
    assert answer.headers["content-type"].startswith("text/event-stream")
    assert "event: changed" not in answer.text
    last = answer.text.split("id: ")[1].split("\n")[0]
    tell_part(app, "wrong")
    again = office.get("/office/changes", headers={"Last-Event-ID": last})
    told = again.text.split("event: changed\n")[1].split("\n")
    assert told[0].startswith("id: ")
    assert told[1] == "data: " + told[0][4:]
    assert json.loads(told[0][4:]) != json.loads(last)
    assert office.get("/office/changes", headers={"Last-Event-ID": b"x\xb2"}).status_code == 200
