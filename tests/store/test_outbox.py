"""The outbox in both databases: rows are taken once, for as long as their lease."""

import pytest

from app.store import outbox
from app.store.database import Database
from app.store.outbox import AT_ONCE, KEPT, LEASE, MAIL, OWNER, WEBHOOK, Outgoing

NOW = 4_000_000_000  # later than any row here was made


def post(database: Database, channel: str, receiver: str, *causes: str) -> None:
    with database.write() as session:
        for cause in causes:
            outbox.post(session, channel, receiver, "query", cause, {"words": "é"})


def taken(database: Database, now: int = NOW) -> list[list[str]]:
    with database.write() as session:
        return [[row.id for row in rows] for rows in outbox.take_batches(session, now)]


def test_one_cause_is_one_row_for_each_receiver(database: Database) -> None:
    post(database, WEBHOOK, "w", "a", "a", "b")
    post(database, WEBHOOK, "v", "a")
    with database.read() as session:
        assert len(outbox.newest_rows(session, 100)) == 3
        assert outbox.has_due(session, NOW)


def test_what_is_taken_is_nobody_elses_until_its_lease_ends(database: Database) -> None:
    post(database, WEBHOOK, "w", "a", "b")
    post(database, MAIL, "sven", "c", "d")
    first = taken(database)
    assert sorted(len(rows) for rows in first) == [1, 1, 2]  # mails to one person go together
    assert taken(database) == []
    again = taken(database, NOW + LEASE)
    assert sorted(map(sorted, again)) == sorted(map(sorted, first))
    with database.write() as session:
        outbox.note_sent(session, [id for rows in again for id in rows], NOW)
    assert taken(database, NOW + 2 * LEASE) == []


def test_no_more_is_taken_than_can_be_tried_within_a_lease(database: Database) -> None:
    post(database, WEBHOOK, "w", *(str(n) for n in range(AT_ONCE + 2)))
    assert [len(taken(database)), len(taken(database)), len(taken(database))] == [AT_ONCE, 2, 0]


def test_no_mail_waits_for_many_messages_to_a_slow_webhook(database: Database) -> None:
    post(database, WEBHOOK, "w", *(str(n) for n in range(300)))
    with database.write() as session:
        outbox.post(session, OWNER, "op-1", "record", "r", {}, NOW)
        [mail] = [row.id for row in outbox.newest_rows(session, 1, OWNER)]
    assert [mail] in taken(database, NOW + 1)


@pytest.mark.parametrize("act", [outbox.send_again, outbox.drop])
def test_only_what_failed_is_sent_again_and_what_was_sent_stays(
    database: Database, act: object
) -> None:
    post(database, WEBHOOK, "w", "a")
    [[id]] = taken(database)
    with database.write() as session:
        outbox.note_sent(session, [id], NOW)
    with database.write() as session:
        assert act(session, id, NOW) is None  # type: ignore[operator]
        outbox.forget_old(session, NOW + KEPT)
        assert session.get(Outgoing, id) is not None
    with database.write() as session:
        outbox.forget_old(session, NOW + KEPT + 1)
    with database.read() as session:
        assert outbox.rows_of(session, [id]) == []
