"""Events in: each is judged by itself, once, and nothing is lost."""

import copy
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import text
from sqlmodel import select

from app.core.kinds import Json
from app.core.record.canonical import digest
from app.core.record.events import VERSION
from app.core.record.state import State
from app.store import log
from app.store.database import Database
from app.store.ids import uuid7
from app.store.tables import Aside, Assigned, Device, Event
from app.sync.receive import take_held
from tests.sync.client import Key, Phone, Refused

MakePhone = Callable[[str], Phone]


def states(receipts: list[Json]) -> list[tuple[str, str]]:
    return [(receipt["state"], receipt["why"]) for receipt in receipts]


def stored(database: Database, opening: str = "op-1") -> list[Json]:
    with database.read() as session:
        return log.events_of(session, [opening])[opening]


def test_entries_arrive_once_and_a_replay_says_already(phone: Phone, database: Database) -> None:
    made = [phone.tick("op-1", done=bool(turn % 2)) for turn in range(5)]
    batch = phone.batch(made)
    assert states(phone.post(batch)["receipts"]) == [("stored", "")] * 5
    again = phone.post(batch)
    assert states(again["receipts"]) == [("already", "")] * 5
    assert again["held"] == {"op-1": {phone.device: 5}}
    assert [e for e in stored(database) if e["device"] == phone.device] == made


def test_two_phones_fold_to_one_state(make_phone: MakePhone, database: Database) -> None:
    one, two = make_phone("inga"), make_phone("otto")
    for phone in (one, two):
        phone.pull()
        phone.tick("op-1", done=phone is one)
        phone.push()
    for phone in (one, two):
        phone.pull()
        assert phone.events("op-1") == stored(database)
        assert State(phone.events("op-1"), phone.procedures).heads == {
            one.device: 1,
            two.device: 1,
            stored(database)[0]["device"]: 1,
        }


def test_what_follows_may_come_first(phone: Phone, database: Database) -> None:
    """Reordered on the way: held, and taken when the one before it comes."""
    first, second, third = (phone.tick("op-1") for _ in range(3))
    assert states(phone.post(phone.batch([third]))["receipts"]) == [("held", "chain-gap")]
    assert states(phone.post(phone.batch([second]))["receipts"]) == [("held", "chain-gap")]
    answer = phone.post(phone.batch([first]))
    assert states(answer["receipts"]) == [("stored", "")]
    assert answer["held"] == {"op-1": {phone.device: 3}}
    assert stored(database)[1:] == [first, second, third]
    assert (
        states(phone.post(phone.batch([third, second, first]))["receipts"]) == [("already", "")] * 3
    )


def test_receipts_stand_in_the_order_of_the_events(phone: Phone) -> None:
    made = [phone.tick("op-1"), phone.tick("op-2"), phone.tick("op-1")]
    receipts = phone.post(phone.batch(list(reversed(made))))["receipts"]
    assert [receipt["id"] for receipt in receipts] == [e["id"] for e in reversed(made)]
    assert states(receipts) == [("stored", "")] * 3


Change = Callable[[Phone, Json], None]


@pytest.mark.sqlite  # whose word for a bad statement is that of a full disk
def test_one_failure_in_the_database_leaves_nothing_of_its_batch(
    phone: Phone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = [phone.tick("op-1") for _ in range(3)]
    monkeypatch.setattr("app.store.log._NEWEST", text("SELECT no such thing"))
    with pytest.raises(Refused, match="503 not-kept"):
        phone.push()
    monkeypatch.undo()
    assert stored(database)[1:] == []
    assert states(phone.push()) == [("stored", "")] * 3
    assert stored(database)[1:] == made


def body(**fields: object) -> Change:
    return lambda _, event: event["body"].update(fields)


def top(**fields: object) -> Change:
    return lambda _, event: event.update(fields)


def kind(name: str, **fields: object) -> Change:
    return lambda _, event: event.update(kind=name, body=fields)


READING = {
    "point": "gap", "panel": "", "place": "left", "quantity": "length", "text": "1/4",
    "value": "6350000", "how": "plain", "units": "in",
}  # fmt: skip
PHOTO = {"step": "A", "task": "seen", "sha256": "0" * 64, "size": 1, "width": 1, "height": 1}
SIGNED = {
    "step": "A", "digest": "0" * 64, "covers": [], "drawing": "x", "procedure": "small@1",
    "rules": 1, "procedure_digest": "0" * 64,
}  # fmt: skip

POISON: list[tuple[str, Change]] = [
    ("event-unfit", body(extra="more than its kind has")),
    ("event-unfit", body(done="yes")),
    ("event-unfit", kind("nonsense.said", words="x")),
    ("event-unfit", kind("photo.taken", **{**PHOTO, "sha256": "../x"})),
    ("event-unfit", kind("photo.taken", **{**PHOTO, "width": 0})),
    ("office-only", kind("opening.reviewed", result="accepted", words="")),
    ("office-only", kind("entry.set-aside", target="any", why="x")),
    ("office-only", kind("concession.given", check="gap-most", panel="", readings=[], reason="x")),
    ("person-foreign", top(person="sven")),
    ("person-foreign", top(person="nobody")),
    ("reference-unknown", body(step="Z")),
    ("reference-unknown", kind("reading.taken", **{**READING, "point": "none"})),
    ("event-unfit", kind("reading.taken", **{**READING, "value": "six"})),
    ("event-unfit", kind("reading.taken", **{**READING, "value": "9" * 400})),
    ("reference-unknown", kind("reading.taken", **{**READING, "panel": "Q"})),
    ("reference-unknown", kind("reading.taken", **{**READING, "quantity": "force"})),
    ("reference-unknown", kind("step.signed", verdicts=[1], **SIGNED)),
    ("order-unfit", top(turn=1)),
    ("order-unfit", lambda phone, event: event["seen"].update({phone.device: 99})),
    ("event-too-large", kind("query.raised", words="x", bars=["y" * 1000] * 70)),
]  # fmt: skip


@pytest.mark.parametrize(("why", "change"), POISON)
@pytest.mark.control(22)
def test_one_bad_event_never_stops_the_others(
    phone: Phone, database: Database, why: str, change: Change
) -> None:
    """The bad one keeps its place in the chain; phone and office leave it out alike."""
    first = phone.tick("op-1")
    bad = phone.tick("op-1")
    change(phone, bad)
    last = phone.tick("op-1")  # chains on to the bad one as it now is
    other = phone.tick("op-2")
    batch = phone.batch([first, bad, last, other])
    batch["signatures"] = {bad["id"]: phone.sign_off(bad)}
    expected = [("stored", ""), ("set-aside", why), ("stored", ""), ("stored", "")]
    assert states(phone.post(batch)["receipts"]) == expected
    replay = [("already", ""), ("set-aside", why), ("already", ""), ("already", "")]
    assert states(phone.post(batch)["receipts"]) == replay
    phone.outbox = []
    phone.pull()
    office = [e for e in phone.events("op-1") if e["device"].startswith("office-")]
    named = [e["body"]["target"] for e in office if e["kind"] == "entry.set-aside"]
    assert named == [bad["id"]]
    ours, theirs = (
        State(events, phone.procedures) for events in (phone.events("op-1"), stored(database))
    )
    live = [[e["id"] for e in s.ledger.of_kind("task.ticked")] for s in (ours, theirs)]
    assert live == [[first["id"], last["id"]]] * 2
    with database.read() as session:
        assert [row.id for row in session.exec(select(Aside))] == [bad["id"]]


NO_EVENT: list[Json] = [
    {}, {"id": 7}, {"id": "x" * 65}, {"id": "a b"}, {"id": "good-id", "n": "1"},
    {"id": "\ud800"}, {"id": "half", "body": {"words": "\ud800"}}, {"id": "float", "n": 0.5},
    {"id": "nowhere", "opening": "\ud800"},
    {"id": "deep", "body": {"a": [[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]}},
]  # fmt: skip


@pytest.mark.parametrize("raw", NO_EVENT)
def test_what_is_no_event_is_kept_aside_as_it_came(
    phone: Phone, database: Database, raw: Json
) -> None:
    good = phone.tick("op-1")
    batch = phone.batch([good])
    batch["events"] = [{**good, **raw} if "body" in raw or "n" in raw else raw, good]
    receipts = phone.post(batch)["receipts"]
    assert states(receipts) == [("set-aside", "event-unreadable"), ("stored", "")]
    assert states(phone.post(batch)["receipts"])[0] == ("set-aside", "event-unreadable")
    with database.read() as session:
        assert len(list(session.exec(select(Aside)))) == 1


def test_other_content_under_the_same_id(phone: Phone, database: Database) -> None:
    first = phone.tick("op-1")
    phone.push()
    other = copy.deepcopy(first)
    other["body"]["done"] = False
    assert states(phone.post(phone.batch([other]))["receipts"]) == [("set-aside", "other-content")]
    assert stored(database)[1:] == [first]  # and the one that was first still counts


def test_fork_of_a_copied_phone_is_noticed_and_kept(phone: Phone, database: Database) -> None:
    """A phone restored from its own backup has the same key: both copies write number 2."""
    phone.tick("op-1")
    phone.push()
    twin = copy.copy(phone)
    twin.book, twin.outbox = copy.deepcopy(phone.book), []
    ours, theirs = phone.tick("op-1", done=False), twin.tick("op-1")
    then = twin.tick("op-1")
    assert states(phone.push()) == [("stored", "")]
    assert states(twin.push()) == [("set-aside", "chain-fork")] * 2
    assert [e["id"] for e in stored(database) if e["device"] == phone.device][1:] == [ours["id"]]
    with database.read() as session:
        assert {row.id for row in session.exec(select(Aside))} == {theirs["id"], then["id"]}


@pytest.mark.control(22)
def test_heads_must_be_signed_by_this_phones_key(phone: Phone, database: Database) -> None:
    event = phone.tick("op-1")
    assert states(phone.post(phone.batch([event], heads=[]))["receipts"]) == [
        ("set-aside", "head-missing")
    ]
    good = phone.key
    phone.key = Key()
    assert states(phone.post(phone.batch([event]))["receipts"]) == [("set-aside", "head-bad")]
    phone.key = good
    for wrong in ("", "x", "!" * 86, "A" * 86, "A" * 128):
        batch = phone.batch([event])
        batch["heads"][0]["signature"] = wrong
        assert states(phone.post(batch)["receipts"]) == [("set-aside", "head-bad")]
    assert stored(database)[1:] == []
    assert states(phone.push()) == [("stored", "")]  # offered again with a good one it is taken
    with database.read() as session:
        assert list(session.exec(select(Aside))) == []


def test_a_head_covers_what_links_to_it_and_no_more(phone: Phone) -> None:
    first, second = phone.tick("op-1"), phone.tick("op-1")
    forged = {**first, "id": uuid7()}
    receipts = phone.post(phone.batch([forged, second]))["receipts"]
    assert states(receipts) == [("set-aside", "head-missing"), ("held", "chain-gap")]


def sign(phone: Phone) -> Json:
    return phone.write("op-1", "step.signed", {**SIGNED, "verdicts": []})


@pytest.mark.parametrize(
    ("signature", "why"), [("", "signature-missing"), ("A" * 86, "signature-bad")]
)
@pytest.mark.control(22)
def test_sign_offs_must_be_signed(phone: Phone, signature: str, why: str) -> None:
    signed, after = sign(phone), phone.tick("op-1")
    batch = phone.batch([signed, after], signatures={signed["id"]: signature} if signature else {})
    assert states(phone.post(batch)["receipts"]) == [("set-aside", why), ("stored", "")]


def test_a_good_signature_is_kept_with_its_sign_off(phone: Phone, database: Database) -> None:
    signed = sign(phone)
    batch = phone.batch([signed])
    assert states(phone.post(batch)["receipts"]) == [("stored", "")]
    with database.read() as session:
        assert session.get_one(Event, signed["id"]).signature == batch["signatures"][signed["id"]]


@pytest.mark.control(19, 21)
def test_nobody_writes_for_another_phone_or_opening(make_phone: MakePhone) -> None:
    inga, otto = make_phone("inga"), make_phone("otto")
    inga.pull()
    otto.pull()
    event = otto.tick("op-1")
    batch = inga.batch([event])
    batch["heads"] = [inga.head(event)]
    assert states(inga.post(batch)["receipts"]) == [("set-aside", "device-foreign")]
    assert states(otto.push()) == [("stored", "")]  # that it came by another changes nothing
    foreign, unknown = inga.tick("op-3"), inga.tick("op-nowhere")
    answer = inga.post(inga.batch([foreign, unknown]))
    assert states(answer["receipts"]) == [("set-aside", "opening-foreign")] * 2
    assert answer["held"] == {}


def test_an_opening_given_later_takes_what_was_refused(phone: Phone, database: Database) -> None:
    event = phone.tick("op-3")
    phone.post(phone.batch([event]))
    with database.write() as session:
        session.add(Assigned(opening="op-3", person="inga"))
    assert states(phone.push()) == [("stored", "")]


def test_what_is_held_is_taken_when_the_code_can_read_it(
    phone: Phone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = phone.tick("op-1", v=VERSION + 1, extra={"of": "later"})
    after = phone.tick("op-1")
    held = [("held", "version-unknown"), ("held", "chain-gap")]
    assert states(phone.push()) == held
    assert phone.outbox == [newer["id"], after["id"]]
    assert states(phone.push()) == held
    with database.write() as session:
        assert take_held(session) == 0
    monkeypatch.setattr("app.sync.rules.is_readable", lambda event: event["v"] <= VERSION + 1)
    with database.write() as session:
        assert take_held(session) == 2
    monkeypatch.undo()
    assert stored(database)[1:] == [newer, after]
    assert states(phone.push()) == [("already", "")] * 2


def test_twenty_threads_at_once_lose_and_double_nothing(
    make_phone: MakePhone, database: Database
) -> None:
    phones = [make_phone("inga") for _ in range(5)]
    for phone in phones:
        phone.pull()
        for turn in range(20):
            phone.tick(("op-1", "op-2")[turn % 2])
    batches = [phone.batch([phone.find(id) for id in phone.outbox]) for phone in phones]

    def send(turn: int) -> list[Json]:
        answer: list[Json] = phones[turn % 5].post(batches[turn % 5])["receipts"]
        return answer

    with ThreadPoolExecutor(20) as threads:  # each batch four times at once
        answers = list(threads.map(send, range(20)))
    flat = [state for answer in answers for state in states(answer)]
    assert (flat.count(("stored", "")), flat.count(("already", ""))) == (100, 300)
    with database.read() as session:
        rows = list(session.exec(select(Event).order_by(Event.seq)))
    assert len({row.id for row in rows}) == len(rows) == 103
    assert [row.seq for row in rows] == sorted({row.seq for row in rows})


@pytest.mark.control(6)
def test_what_came_before_a_revocation_stands(phone: Phone, database: Database) -> None:
    first = phone.tick("op-1")
    phone.push()
    with database.write() as session:
        session.get_one(Device, phone.device).revoked = 1
    phone.tick("op-1")
    with pytest.raises(Refused, match="401 pair-again"):
        phone.push()
    assert stored(database)[1:] == [first]
    assert len(phone.outbox) == 1  # nothing is cleared


def test_hashes_are_those_of_the_log(phone: Phone, database: Database) -> None:
    event = phone.tick("op-1")
    phone.push()
    with database.read() as session:
        assert session.get_one(Event, event["id"]).hash == digest(event)
