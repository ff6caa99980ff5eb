"""One hostile or broken phone harms nobody else.

"Hostile" is a paired installer's phone whose program was changed: its signatures are good, and what
it says is chosen to hurt. Each test names what must still work for everybody else.
"""

import hashlib
from collections.abc import Callable

import pytest
from sqlmodel import select

from app.core.kinds import Json
from app.core.record.state import State
from app.store import aside, log
from app.store import epoch as epochs
from app.store.database import Database
from app.store.instrument_tables import Check
from app.store.tables import Aside, Device, Event
from app.sync import chains
from tests.access.conftest import Clock
from tests.sync.client import Phone
from tests.sync.test_push import READING, states, stored

MakePhone = Callable[[str], Phone]
FAR = 2**31 - 1


def two_phones(make_phone: MakePhone) -> tuple[Phone, Phone]:
    """Inga's phone, that is hostile, and Otto's, on one opening."""
    pair = make_phone("inga"), make_phone("otto")
    for phone in pair:
        phone.pull()
    return pair


@pytest.mark.control(34)
@pytest.mark.parametrize("turn", [3, 1000, FAR, 2**53 - 2])
def test_a_turn_that_no_chain_explains_is_set_aside_and_the_others_go_on(
    make_phone: MakePhone, turn: int
) -> None:
    inga, otto = two_phones(make_phone)
    bad = inga.tick("op-1")
    bad["turn"] = turn
    then = inga.tick("op-1")  # goes on from the turn that was made up
    assert then["turn"] == turn + 1
    assert states(inga.push()) == [("set-aside", "order-unfit")] * 2
    otto.tick("op-1")
    assert states(otto.push()) == [("stored", "")]
    otto.pull()
    otto.tick("op-1")
    assert states(otto.push()) == [("stored", "")]


@pytest.mark.control(34)
def test_above_the_greatest_turn_that_is_stored_there_is_room(
    make_phone: MakePhone, database: Database
) -> None:
    """Stored before it was judged: honest entries above it are still taken."""
    inga, otto = two_phones(make_phone)
    bad = inga.tick("op-1")
    bad["turn"] = FAR
    with database.write() as session:
        log.append_events(session, [bad])
    inga.outbox = []
    otto.pull()
    made = otto.tick("op-1")
    assert made["turn"] == FAR + 1
    assert states(otto.push()) == [("stored", "")]
    with database.read() as session:
        assert session.get_one(Event, made["id"]).turn == FAR + 1


@pytest.mark.control(34)
@pytest.mark.parametrize("ahead", [1, FAR])
def test_what_has_seen_entries_that_are_not_here_is_held_until_they_are(
    make_phone: MakePhone, database: Database, ahead: int
) -> None:
    """Nobody replaces an entry that its author has not made yet."""
    inga, otto = two_phones(make_phone)
    bad = inga.tick("op-1", done=False)
    bad["seen"][otto.device] = ahead
    after = inga.tick("op-1", done=False)
    assert states(inga.push()) == [("held", "seen-missing"), ("held", "chain-gap")]
    mine = otto.tick("op-1")
    assert states(otto.push()) == [("stored", "")]
    state = State(stored(database), otto.procedures)
    assert mine["id"] in [event["id"] for event in state.ledger.live("task|A|seen")]
    with database.read() as session:
        waiting = {row.id for row in session.exec(select(Aside).where(Aside.state == "held"))}
    assert waiting == ({bad["id"], after["id"]} if ahead == FAR else set())


def test_what_waited_for_another_phone_is_taken_when_that_has_spoken(
    make_phone: MakePhone, database: Database
) -> None:
    """After a restore: the first phone to come has seen what only the second one still holds."""
    inga, otto = two_phones(make_phone)
    theirs = otto.tick("op-1")
    inga.book["op-1"][theirs["id"]] = theirs
    ours = [inga.tick("op-1"), inga.tick("op-1")]
    assert states(inga.push()) == [("held", "seen-missing"), ("held", "chain-gap")]
    assert states(otto.push()) == [("stored", "")]
    assert [event["id"] for event in stored(database)][1:] == [
        theirs["id"], *[event["id"] for event in ours],
    ]  # fmt: skip


@pytest.mark.parametrize("gone", ["unknown", "former", "ended"])
def test_after_a_restore_nobody_waits_for_who_can_no_longer_speak(
    make_phone: MakePhone, database: Database, gone: str
) -> None:
    inga, otto = two_phones(make_phone)
    lost = "phone-unknown"
    with database.write() as session:
        if gone == "former":
            lost = epochs.devices.device_id(session, "office")
        elif gone == "ended":
            lost = otto.device
            session.get_one(Device, lost).revoked = 1
        epochs.renew_epoch(session)
    made = inga.tick("op-1")
    made["seen"][lost] = 7
    made["turn"] += 3  # what it had seen there had turns of its own
    far = inga.tick("op-1")
    far["turn"] += FAR
    assert states(inga.push()) == [("stored", ""), ("set-aside", "order-unfit")]


def test_the_office_lets_go_of_a_lost_phone_by_ending_its_pairing(
    make_phone: MakePhone, database: Database
) -> None:
    inga, otto = two_phones(make_phone)
    with database.write() as session:
        epochs.renew_epoch(session)
    theirs = otto.tick("op-1")
    inga.book["op-1"][theirs["id"]] = theirs
    first = inga.tick("op-1")
    assert states(inga.push()) == [("held", "seen-missing")]
    with database.write() as session:
        session.get_one(Device, otto.device).revoked = 1
    second = inga.tick("op-1")
    inga.push()
    assert [e["id"] for e in stored(database)][1:] == [first["id"], second["id"]]


CHECKED = {
    "instrument": "level-1", "name": "Level 1", "sort": "level", "resolution": "50000",
    "grade": "", "slope": "500000", "occasion": "occ-1", "way": "turned", "texts": ["0", "0"],
    "values": ["0", "0"], "length": "600000000", "other": "", "units": "mm",
}  # fmt: skip


@pytest.mark.control(22, 34)
@pytest.mark.parametrize(
    "more",
    [{"by": "otto"}, {"at": "2026-03-02T07:00:00-05:00"}, {"relayed": True}],
)
def test_a_check_that_speaks_for_somebody_else_comes_from_the_office_only(
    make_phone: MakePhone, database: Database, more: Json
) -> None:
    inga, _ = two_phones(make_phone)
    inga.write("op-1", "instrument.checked", {**CHECKED, **more})
    assert states(inga.push()) == [("set-aside", "office-only")]
    with database.read() as session:
        assert session.exec(select(Check)).all() == []
    own = inga.write("op-1", "instrument.checked", CHECKED)
    assert states(inga.push()) == [("stored", "")]
    with database.read() as session:
        check = session.exec(select(Check)).one()
        assert (check.person, check.at) == ("inga", own["at"])


@pytest.mark.control(34)
def test_a_check_by_anothers_occasion_strikes_nothing_of_theirs(
    make_phone: MakePhone, database: Database
) -> None:
    """Otto's check, whose occasion Inga's phone has seen: said again it is no part of his."""
    inga, otto = two_phones(make_phone)
    otto.write("op-3", "instrument.checked", CHECKED)
    otto.push()
    false = inga.write("op-2", "instrument.checked", {**CHECKED, "values": ["9", "9"]})
    inga.write("op-2", "entry.struck", {"target": false["id"], "why": "x"})
    assert states(inga.push()) == [("stored", "")] * 2
    with database.read() as session:
        assert [check.struck for check in session.exec(select(Check))] == [False]
    assert [e["kind"] for e in stored(database, "op-3")] == [
        "opening.issued", "instrument.checked",
    ]  # fmt: skip


@pytest.mark.control(34)
def test_a_made_up_cursor_begins_no_epoch(phone: Phone, database: Database) -> None:
    phone.cursor = ""
    page = phone.get_page()
    place, seq, mark, seal = page["cursor"].split("-")
    phone.epoch = page["epoch"]
    for words in (f"{10**17}-{10**17}", f"{10**17}-{10**17}-{mark}-{seal}",
                  f"{place}-{seq}", f"{place}-{seq}-{'0' * 8}-{seal}"):  # fmt: skip
        phone.cursor = words
        assert phone.get_page()["events"] == page["events"]  # all from the start
    with database.read() as session:
        assert epochs.epoch_of(session) == page["epoch"]


def test_a_cursor_of_another_phone_counts_for_nothing(make_phone: MakePhone) -> None:
    inga, otto = two_phones(make_phone)
    assert inga.get_page()["events"] == []
    inga.cursor = otto.cursor
    assert len(inga.get_page()["events"]) == 2


def test_phones_begin_a_new_epoch_once_a_minute_at_most(
    phone: Phone, database: Database, clock: Clock
) -> None:
    """A signed cursor from before a restore proves it; once a minute is enough."""
    place = f"{10**6}-{10**6}-0"
    begun = []
    for wait in (0, 10, 61):
        clock.now += wait
        with database.read() as session:
            phone.epoch = epochs.epoch_of(session)
            phone.cursor = f"{place}-{epochs.cursor_seal(session, phone.device, place)}"
        begun.append(phone.get_page()["epoch"] != phone.epoch)
    assert begun == [True, False, True]


@pytest.mark.control(34)
def test_many_phones_in_an_opening_make_no_entry_unreadable(
    phone: Phone, database: Database
) -> None:
    """More than any crew has: the entries of 1,500 phones, which an honest one has seen."""
    with database.write() as session:
        before = log.events_of(session, ["op-1"])["op-1"]
        for number in range(1500):
            name = hashlib.sha256(str(number).encode()).hexdigest()[:32]
            made = {**phone.tick("op-1"), "device": f"phone-{name}", "n": 1, "prev": "", "turn": 2}
            made["id"] = f"tick-{number}"
            made["seen"] = {before[0]["device"]: 1}
            log.append_events(session, [made])
    phone.outbox, phone.book, phone.there, phone.cursor = [], {}, set(), ""
    phone.pull()
    mine = phone.tick("op-1")
    assert len(mine["seen"]) == 1501
    assert states(phone.push()) == [("stored", "")]


@pytest.mark.control(34)
@pytest.mark.sqlite
def test_a_phone_that_floods_one_place_ends_at_a_number(
    make_phone: MakePhone, database: Database
) -> None:
    """250 readings, none of which has seen another; the other phone goes on."""
    inga, otto = two_phones(make_phone)
    seen = {stored(database)[0]["device"]: 1}
    for turn in range(250):
        made = inga.write("op-1", "reading.taken", {**READING, "value": str(turn)})
        made["seen"] = seen
    told = states(inga.push())
    assert told == [("stored", "")] * 200 + [("set-aside", "too-many")] * 50
    otto.write("op-1", "reading.taken", READING)
    assert states(otto.push()) == [("stored", "")]


@pytest.mark.control(34)
def test_of_one_phone_only_so_much_is_held_and_nothing_is_lost(
    make_phone: MakePhone, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """40 wait for one that is missing, and there is room for 30; then it comes."""
    monkeypatch.setattr(chains, "MOST_HELD", 30)
    inga, otto = two_phones(make_phone)
    first = inga.tick("op-1")
    inga.outbox = []
    for _ in range(40):
        inga.tick("op-1")
    for _ in range(2):  # offered again it is no more
        assert states(inga.push()) == [("held", "chain-gap")] * 40
        with database.read() as session:
            assert aside.count_held(session, "op-1", inga.device) == 30
    otto.tick("op-1")
    assert states(otto.push()) == [("stored", "")]
    inga.outbox.insert(0, first["id"])
    inga.push()
    inga.push()
    assert inga.outbox == []
    kept = [event for event in stored(database) if event["device"] == inga.device]
    assert sorted(event["n"] for event in kept) == list(range(1, 42))


@pytest.mark.control(34)
@pytest.mark.sqlite
def test_what_waits_is_not_read_by_every_later_request(
    make_phone: MakePhone, database: Database
) -> None:
    """600 entries wait for one that never comes: a later request looks at none of them."""
    inga, otto = two_phones(make_phone)
    inga.tick("op-1")
    inga.outbox = []
    for _ in range(600):
        inga.tick("op-1")
    assert states(inga.push()) == [("held", "chain-gap")] * 600
    with database.read() as session:
        assert aside.held_up_to(session, "op-1", inga.device, 1) == []
    otto.tick("op-1")
    assert states(otto.push()) == [("stored", "")]
