"""News out: paged, counted, in one order, for the openings of a phone's people and no other."""

from collections.abc import Callable

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import delete

from app.store import news
from app.store.database import Database
from app.store.news import cursor_from, tally_of
from app.store.tables import Assigned, Person
from tests.access.conftest import Clock
from tests.sync.client import Phone, Refused
from tests.sync.conftest import code_for

MakePhone = Callable[[str], Phone]


@pytest.fixture(autouse=True)
def small_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages of three events, so that everything here goes over several."""
    monkeypatch.setattr("app.store.news.news_page.__defaults__", (3, None))


def ids(phone: Phone) -> set[str]:
    return {event["id"] for event in phone.all()}


def assign(database: Database, opening: str, person: str) -> None:
    with database.write() as session:
        session.add(Assigned(opening=opening, person=person))


def withdraw(database: Database, opening: str, person: str) -> None:
    with database.write() as session:
        session.execute(
            delete(Assigned).where(Assigned.opening == opening, Assigned.person == person)
        )


@pytest.mark.control(19)
def test_first_pull_brings_all_of_ones_own(make_phone: MakePhone) -> None:
    inga, otto = make_phone("inga"), make_phone("otto")
    inga.pull()
    for _ in range(7):
        inga.tick("op-1")
    inga.push()
    assert otto.pull() == 3
    assert otto.events("op-1") == inga.events("op-1")
    assert sorted(o["id"] for o in otto.openings) == ["op-1", "op-3"]
    assert set(otto.book) == {"op-1", "op-3"}
    assert list(otto.procedures) == ["small@1"]
    assert otto.pull() == 1


def test_supervisors_phone_sees_all(make_phone: MakePhone) -> None:
    sven = make_phone("sven")
    sven.pull()
    assert set(sven.book) == {"op-1", "op-2", "op-3"}


def test_a_pull_may_be_cut_after_every_page(make_phone: MakePhone) -> None:
    inga, otto = make_phone("inga"), make_phone("otto")
    inga.pull()
    for _ in range(10):
        inga.tick("op-1")
    inga.push()
    while True:  # keeps a page and its cursor together, forgets the next, asks again
        lost = otto.get_page()
        page = otto.get_page()
        assert page == lost
        otto.epoch = page["epoch"]
        for event in page["events"]:
            otto.book.setdefault(event["opening"], {})[event["id"]] = event
            otto.there.add(event["id"])
        otto.cursor = page["cursor"]
        assert (page["count"] is None) is page["more"]
        if not page["more"]:
            break
    otto.check(page)
    assert otto.events("op-1") == inga.events("op-1")


def test_a_page_that_was_lost_shows_in_the_sum(make_phone: MakePhone, phone: Phone) -> None:
    for _ in range(5):
        phone.tick("op-1")
    phone.push()
    otto = make_phone("otto")
    first = otto.get_page()
    otto.epoch, otto.cursor = first["epoch"], first["cursor"]  # its events were not kept
    with pytest.raises(AssertionError):
        otto.pull()


def test_an_opening_handed_over_late_brings_its_past(
    make_phone: MakePhone, database: Database, phone: Phone
) -> None:
    otto = make_phone("otto")
    for _ in range(5):
        phone.tick("op-2")
    phone.push()
    otto.pull()
    for _ in range(2):
        phone.tick("op-1")
    phone.push()
    otto.pull()
    assign(database, "op-2", "otto")
    phone.tick("op-2")
    phone.push()
    otto.pull()
    assert otto.events("op-2") == phone.events("op-2")
    assert len(otto.events("op-2")) == 7


def test_withdrawn_is_told_and_what_was_entered_is_still_taken(
    make_phone: MakePhone, database: Database, phone: Phone, app: FastAPI
) -> None:
    phone.tick("op-2")
    withdraw(database, "op-2", "inga")
    assert [r["state"] for r in phone.push()] == ["stored"]
    sven = make_phone("sven")
    sven.pull()
    assert len(sven.events("op-2")) == 2
    phone.pull()
    assert phone.withdrawn == ["op-2"]
    assert [o["id"] for o in phone.openings] == ["op-1"]
    sven.tick("op-2")
    sven.push()
    before = ids(phone)
    phone.pull()
    assert ids(phone) == before
    assign(database, "op-2", "inga")
    phone.pull()
    assert phone.withdrawn == []
    assert phone.events("op-2") == sven.events("op-2")


def test_a_shared_phone_holds_the_openings_of_all_its_people(
    phone: Phone, database: Database, clock: Clock
) -> None:
    otto_made = phone.pair(code_for(database, "otto", clock.now), proof=True)
    assert otto_made["device"] == phone.device
    phone.pull()
    assert set(phone.book) == {"op-1", "op-2", "op-3"}
    whose = {o["id"]: o["persons"] for o in phone.openings}
    assert whose == {"op-1": ["inga", "otto"], "op-2": ["inga"], "op-3": ["otto"]}
    phone.person = "otto"
    phone.tick("op-3")
    assert [r["state"] for r in phone.push()] == ["stored"]
    wrong = phone.tick("op-2")  # Inga's, entered as Otto
    assert [(r["id"], r["why"]) for r in phone.push()] == [(wrong["id"], "opening-not-theirs")]


def test_disabled_people_see_nothing_more(phone: Phone, database: Database, clock: Clock) -> None:
    phone.pair(code_for(database, "otto", clock.now), proof=True)
    with database.write() as session:
        session.get_one(Person, "inga").disabled = True
    phone.tick("op-2")
    assert [r["state"] for r in phone.push()] == ["stored"]  # made before: it stands
    phone.cursor = ""
    assert {o["id"] for o in phone.get_page()["openings"]} == {"op-1", "op-3"}
    with database.write() as session:
        session.get_one(Person, "otto").disabled = True
    with pytest.raises(Refused, match="401 pair-again"):
        phone.get_page()


@pytest.mark.parametrize("token", ["", "x", "é", "a" * 10_000])
@pytest.mark.control(19)
def test_without_a_token_nothing_is_said(app: FastAPI, token: str) -> None:
    strangers = TestClient(app)
    headers = {"Authorization": f"Bearer {token}".encode(), "Origin": "http://testserver"}
    for method, path in (("GET", "/sync"), ("POST", "/sync"), ("PUT", "/photos/" + "0" * 64)):
        answer = strangers.request(method, path, headers=headers)
        assert (answer.status_code, answer.json()["error"]["code"]) == (401, "pair-again")


@pytest.mark.parametrize("words", ["x", "1", "1-", "-1", "1--3", "٣-٣", "9" * 19 + "-1"])
def test_cursors_that_are_none(phone: Phone, words: str) -> None:
    assert cursor_from(words) is None
    phone.cursor = words
    with pytest.raises(Refused, match="422 message-unfit"):
        phone.get_page()


def test_digest_of_the_protocol() -> None:
    """Worked out by another program: printf 'a 1\\nb 2\\n' | sha256sum (coreutils)."""
    want = "2951835de33689a441bfa61bc7af99b1f0305ca8ec0ab4dd508f14f57b27ca23"
    assert tally_of({"b": "2", "a": "1"}) == want


def test_people_are_named(phone: Phone) -> None:
    page = phone.get_page()
    assert page["people"] == {"inga": "Inga", "otto": "Otto", "sven": "Sven"}
    assert page["person"]["id"] == "inga"
    assert [p["id"] for p in page["persons"]] == ["inga"]
    assert "password" not in str(page)


def test_openings_that_stand_accepted_are_named(phone: Phone, database: Database) -> None:
    """Of the phone's own, and only on the last page; what a summary says is test_summaries.py's."""
    assert phone.get_page()["accepted"] == []
    with database.write() as session:
        said = "UPDATE summary SET state = 'done' WHERE opening IN ('op-1', 'op-3')"
        session.connection().exec_driver_sql(said)
    assert phone.get_page()["accepted"] == ["op-1"]


def test_what_is_held_or_set_aside_of_a_phone_is_named_to_it(
    phone: Phone, make_phone: MakePhone
) -> None:
    """A phone that has the receipt, and no longer finds it named, offers it again."""
    first, second = phone.tick("op-1"), phone.tick("op-1")
    phone.post(phone.batch([second]))
    assert phone.get_page()["aside"] == [second["id"]]
    phone.post(phone.batch([first]))
    assert phone.get_page()["aside"] == []
    third = phone.tick("op-1")
    assert phone.post(phone.batch([third], heads=[]))["receipts"][0]["why"] == "head-missing"
    assert phone.get_page()["aside"] == [third["id"]]
    other = make_phone("otto")
    other.pull()
    assert other.get_page()["aside"] == []


def test_sum_is_worked_out_again_only_where_there_is_more_or_less(
    make_phone: MakePhone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The phone works out each sum itself, and refuses another (client.py)."""
    worked: list[int] = []
    work = news.tally_of

    def noting(hashes: dict[str, str]) -> str:
        worked.append(len(hashes))
        return work(hashes)

    monkeypatch.setattr(news, "tally_of", noting)
    phone = make_phone("inga")
    phone.pull()
    first = len(worked)
    phone.pull()
    assert len(worked) == first  # nothing new
    phone.tick(phone.openings[0]["id"])
    phone.push()
    phone.pull()
    assert len(worked) == first + 1
    withdraw(database, phone.openings[0]["id"], "inga")
    phone.book.pop(phone.openings[0]["id"])
    phone.pull()
    assert worked[first:] == [worked[first - 1] + 1, worked[-1]]
    phone.pull()
    assert len(worked) == first + 2


def test_a_database_with_another_past_has_other_sums(phone: Phone, database: Database) -> None:
    """As many events of the same openings can be others there: then nothing is remembered."""
    phone.pull()
    tallies = database.summaries.tallies
    with database.read() as session:
        first = tallies.of_device(session, phone.device, "one")
        kept = tallies._kept[phone.device]
        tallies._kept[phone.device] = (*kept[:2], (first[0], "of another past"))
        assert tallies.of_device(session, phone.device, "one")[1] == "of another past"
        assert tallies.of_device(session, phone.device, "two") == first  # another epoch
        tallies._kept[phone.device] = ("two", kept[1], (first[0], "of another past"))
        database.summaries.forget_all()
        assert tallies.of_device(session, phone.device, "two") == first
