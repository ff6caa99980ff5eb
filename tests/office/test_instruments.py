"""The register of instruments: kept, checked at the office, and told to every opening concerned.

What a failed check does to readings is tested in tests/core/test_record_tools.py.
"""

import re

from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.kinds import Json
from app.core.record.events import heads_of, new_event
from app.core.record.state import State
from app.store import instruments, log, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.instrument_tables import Instrument
from tests.demo.conftest import enter
from tests.office.conftest import errors, fields
from tests.office.counting import counted
from tests.office.test_issue import state_of

NEW = "/office/instruments/new"
A, B = "marrow-lane-a", "marrow-lane-b"
GAUGE = {"name": "Gauge G7", "sort": "gauge", "resolution": "0.1 mm"}


def add(office: TestClient, **given: str) -> str:
    form = fields(office.get(NEW).text, NEW)
    answer = office.post(NEW, data={**form, **GAUGE, **given})
    assert answer.status_code == 200, answer.text
    return str(answer.url.path).rsplit("/", 1)[1]


def check(office: TestClient, id: str, size: str, reading: str) -> int:
    path = f"/office/instruments/{id}"
    form = {"form": "known", "act": "check", "way": "known", "id": uuid7()}
    sent = {**form, "first": size, "second": reading}
    return office.post(path, data=sent).status_code


def facts(app: FastAPI, id: str) -> Json:
    with app.state.server.database.read() as session:
        (found,) = [one for one in instruments.listed_instruments(session) if one["id"] == id]
    return found


def use(app: FastAPI, id: str, opening: str, on: str = "web") -> Json:
    """Take a reading with an instrument, as a crew's page would; returns its event."""
    with app.state.server.database.write() as session:
        before = log.events_of(session, [opening])[opening]
        state = State(before, procedures.all_of(session, {}))
        point = next(
            p for s in state.steps for p in s.data["points"]
            if p["quantity"] == "length" and not s.panel and state.places(p["id"], "")
        )  # fmt: skip
        place = state.places(point["id"], "")[0].id
        own = {
            name: facts(app, id)[name] for name in ("name", "sort", "resolution", "grade", "slope")
        }
        named = event(session, before, opening, on, "instrument.named", {**own, "instrument": id})
        body = {"point": point["id"], "panel": "", "place": place, "quantity": "length",
                "text": "1/8", "value": "3175000", "how": "plain", "units": "in",
                "instrument": id}  # fmt: skip
        taken = event(session, [*before, named], opening, on, "reading.taken", body)
        log.append_events(session, [named, taken])
    return taken


def event(session, before: list[Json], opening: str, on: str, kind: str, body: Json) -> Json:  # type: ignore[no-untyped-def]
    own = on if on.startswith("phone-") else device_id(session, on)
    draft = {"id": uuid7(), "device": own, "opening": opening, "seen": heads_of(before),
             "at": "2026-03-02T10:00:00+00:00", "person": "tobin-hale", "kind": kind,
             "body": body}  # fmt: skip
    return new_event(before, draft)


def doubted(app: FastAPI, reading: Json) -> bool:
    return state_of(app, reading["opening"]).doubted_by(reading) is not None


def test_instrument_is_kept_with_class_resolution_and_uncertainty(office: TestClient) -> None:
    id = add(office)
    page = office.get(f"/office/instruments/{id}").text
    assert "Gauge G7" in page
    assert "Judged with" in page
    assert "(k = 2)" in page
    assert "Gauge G7" in office.get("/office/instruments").text


def test_what_is_wrong_is_said_at_the_field_and_kept(office: TestClient) -> None:
    form = fields(office.get(NEW).text, NEW)
    answer = office.post(NEW, data={**form, "name": "", "sort": "tape", "resolution": "six"})
    assert answer.status_code == 422
    found = errors(answer.text)
    assert set(found) == {"f-name", "f-grade", "f-resolution"}
    assert 'value="six"' in answer.text
    add(office)
    twice = office.post(NEW, data={**form, **GAUGE})
    assert errors(twice.text) == {"f-name": "Another instrument has this name."}


def test_it_is_changed_and_retired_and_then_offered_no_more(
    app: FastAPI, office: TestClient
) -> None:
    id = add(office, name="Laser L9", sort="laser", resolution="1/32", slope="3 mm")
    path = f"/office/instruments/{id}/change"
    form = fields(office.get(path).text, path)
    assert facts(app, id)["slope"] == "300000"  # 3 mm in 10 m is 0.3 mm/m
    office.post(path, data=form)  # what the page shows is read again as the same
    assert facts(app, id)["slope"] == "300000"
    crew = enter(app, "installer")
    assert "Laser L9" in crew.get(f"/field/o/{A}/instruments").text
    office.post(path, data={**form, "retired": "yes"})
    assert "Laser L9" not in crew.get(f"/field/o/{A}/instruments").text
    assert "no longer in use" in office.get("/office/instruments").text


def test_failed_check_at_the_office_reaches_every_opening_that_used_it(
    app: FastAPI, office: TestClient
) -> None:
    id = add(office)
    one, two = use(app, id, A), use(app, id, B)
    assert not doubted(app, one)
    assert check(office, id, "10 mm", "10.1 mm") == 200  # on the line: one step
    assert not doubted(app, one)
    later = use(app, id, A)
    assert check(office, id, "10 mm", "10.2 mm") == 200
    assert not doubted(app, one)  # it passed since
    assert not doubted(app, two)
    assert doubted(app, later)
    page = office.get(f"/office/o/{A}").text
    assert "measure again: Gauge G7 failed its check" in page


def test_struck_at_the_office_it_heals_everywhere(app: FastAPI, office: TestClient) -> None:
    id = add(office)
    one, two = use(app, id, A), use(app, id, B)
    check(office, id, "10 mm", "12 mm")
    assert doubted(app, one)
    path = f"/office/instruments/{id}"
    page = office.get(path).text
    target = re.search(r'name="target" value="([^"]+)"', page)
    assert target is not None
    sent = {"form": "strike-" + target[1], "act": "strike", "target": target[1]}
    assert office.post(path, data={**sent, "why": ""}).status_code == 422
    assert office.post(path, data={**sent, "why": "wrong block"}).status_code == 200
    assert not doubted(app, one)
    assert not doubted(app, two)
    assert facts(app, id)["checked"] is None


def test_check_of_a_crew_on_the_servers_pages_is_told_to_the_others(
    app: FastAPI, office: TestClient
) -> None:
    id = add(office)
    one, two = use(app, id, A), use(app, id, B)
    crew = enter(app, "installer")
    path = f"/field/o/{A}/instruments/{id}"
    form = fields(crew.get(path).text, path)
    answer = crew.post(path, data={**form, "first": "10 mm", "second": "11 mm"})
    assert answer.status_code == 200
    assert doubted(app, one)
    assert doubted(app, two)
    assert facts(app, id)["checked"]["by"] == "tobin-hale"
    crew.post(path, data={**form, "first": "10 mm", "second": "11 mm"})  # sent twice
    checks = [e for e in state_of(app, B).ledger.events if e["kind"] == "instrument.checked"]
    assert len(checks) == 1


def test_check_from_a_phone_is_relayed_to_openings_that_it_did_not_have(
    app: FastAPI, office: TestClient
) -> None:
    id = add(office)
    use(app, id, A)
    two = use(app, id, B)
    own = {name: facts(app, id)[name] for name in ("name", "sort", "resolution", "grade", "slope")}
    found = {**own, "instrument": id, "way": "known", "texts": ["10", "10"], "length": "0",
             "other": "", "units": "mm"}  # fmt: skip
    for values in (["10000000", "10000000"], ["10000000", "12000000"]):
        with app.state.server.database.write() as session:
            before = log.events_of(session, [A])[A]
            body = {**found, "values": values, "occasion": uuid7()}
            made = event(session, before, A, "phone-x", "instrument.checked", body)
            log.append_events(session, [made])
    told = [e for e in state_of(app, B).ledger.events if e["kind"] == "instrument.checked"]
    assert [e["body"]["relayed"] for e in told] == [True, True]
    assert [e["device"].split("-")[0] for e in told] == ["office", "office"]
    # when the good one was made among B's entries nobody can tell: it does not clear
    assert doubted(app, two)


def test_list_and_history_do_not_ask_more_with_more_rows(app: FastAPI, office: TestClient) -> None:
    id = add(office)
    assert check(office, id, "10 mm", "10 mm") == 200
    paths = ("/office/instruments", f"/office/instruments/{id}")
    few = [counted(app, office, path) for path in paths]
    with app.state.server.database.write() as session:
        session.add_all(
            Instrument(id=f"i{n}", name=f"N {n:03d}", sort="rule", resolution="500000")
            for n in range(60)
        )
    for n in range(54):
        assert check(office, id, "10 mm", f"10.0{n % 9} mm") == 200
    assert [counted(app, office, path) for path in paths] == few
    for path, rows in zip(paths, (61, 55), strict=True):
        first = office.get(path).text
        after = re.search(r'name="after" value="([^"]+)"', first)
        assert after is not None
        rest = office.get(path, params={"after": after[1]}).text
        found = [len(re.findall(r'class="(?:row|reading)"', page)) for page in (first, rest)]
        assert found == [50, rows - 50]


def test_uses_are_made_again_from_events_alone(app: FastAPI, office: TestClient) -> None:
    id = add(office)
    use(app, id, A)
    use(app, id, B)
    with app.state.server.database.read() as session:
        before = instruments.openings_concerned(session, known_bad(app, id))
    with app.state.server.database.write() as session:
        app.state.server.database.summaries.rebuild(session)
    with app.state.server.database.read() as session:
        assert instruments.openings_concerned(session, known_bad(app, id)) == before == [A, B]


def known_bad(app: FastAPI, id: str) -> Json:
    own = {name: facts(app, id)[name] for name in ("name", "sort", "resolution", "grade", "slope")}
    return {**own, "instrument": id, "occasion": "none", "way": "known", "length": "0",
            "values": ["0", "9000000"], "other": ""}  # fmt: skip


def test_reading_from_paper_shows_both_times_in_the_review(
    app: FastAPI, office: TestClient
) -> None:
    path = f"/field/o/{A}/point/sill-length"
    crew = enter(app, "installer")
    form = fields(crew.get(path).text, path)
    crew.post(path, data={**form, "value": "191", "at": "2026-03-02T10:15"})
    page = office.get(f"/office/o/{A}").text
    assert "measured 2 Mar 2026, 10:15, entered" in page
    assert "measured 2 Mar 2026, 10:15, entered" in office.get(f"/record/{A}").text


def test_an_opening_where_an_instrument_is_named_is_told_its_last_check(
    app: FastAPI, office: TestClient
) -> None:
    id = add(office)
    assert check(office, id, "10 mm", "10 mm") == 200
    for on in ("phone-x", "web"):
        opening = A if on == "web" else B
        use(app, id, opening, on)
        use(app, id, opening, on)
        told = [
            e for e in state_of(app, opening).ledger.events if e["kind"] == "instrument.checked"
        ]
        assert [e["body"]["relayed"] for e in told] == [True]
        assert told[0]["device"].startswith("office-")
