"""What the office wants to be told of: a notice of it for each who asked, before the commit.

What happened is known in the transaction that keeps it: an entry came in, an opening's summary
turned, an owner wrote. Its notices go into the outbox in that same transaction. A phone's silence
is no entry: the server looks for it now and then.
"""

import secrets
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlmodel import Field, Session, SQLModel, col, select

from app.core.kinds import Json
from app.store import outbox, push
from app.store.practice import is_practice
from app.store.summary_tables import Summary
from app.store.tables import OFFICE_ROLES, Device, Event, Person

QUERY, OUT, REVIEW, ACCEPTED, CALLBACK, SILENT = KINDS = (
    "query", "out", "review", "accepted", "callback", "silent",
)  # fmt: skip
# what the phones of an opening's crew are told, and nobody else
ANSWERED, RETURNED = CREW_KINDS = ("answered", "returned")
_OF_AN_EVENT = (QUERY, ACCEPTED, ANSWERED, RETURNED)  # its cause is the event's id
AT_ONCE, DAILY, NEVER = HOWS = ("at-once", "daily", "")
TEST = "test"
DIGEST_HOUR = 6  # of the office's day
SILENCE = timedelta(days=3)  # of a phone
_LOOKED_BACK = timedelta(days=14)  # a longer silence was told of before
_MOST_WORDS = 300
# A phone that is broken or hostile ends at a number. All of it still stands on the pages.
MOST_QUERIES = 20  # of one phone in one opening that are told
MOST_TURNS = 20  # of one kind that a receiver is told of an opening in a day
_DAY = 24 * 3600


class NoticeChoice(SQLModel, table=True):
    """What a person at the office wants by e-mail. how: one of HOWS. kinds: words of KINDS."""

    __tablename__ = "notice_choice"

    person: str = Field(primary_key=True, foreign_key="person.id")
    mail: str
    how: str
    kinds: str


class Webhook(SQLModel, table=True):
    """An address of another program that is told what happened, until it is ended.

    secret: what its messages are signed with; whoever has it can make one up.
    """

    id: str = Field(primary_key=True)
    url: str
    secret: str
    kinds: str
    person: str = Field(foreign_key="person.id")
    made: int
    ended: int | None = None


@dataclass(frozen=True)
class Notice:
    """One thing that happened. cause: its own name, the same each time it is found."""

    kind: str
    cause: str
    opening: str = ""
    person: str = ""  # who did it, and so need not be told
    more: Json = field(default_factory=dict)  # texts


def note_event(session: Session, event: Json) -> None:
    """Note what an entry that is being kept has to tell."""
    about = (event["id"], event["opening"], event["person"])
    if event["kind"] == "query.raised" and not _asks_too_much(session, event):
        words = event["body"].get("words", "")
        note(session, Notice(QUERY, *about, {"words": str(words)[:_MOST_WORDS]}))
    elif event["kind"] == "opening.reviewed" and event["body"].get("result") == "accepted":
        note(session, Notice(ACCEPTED, *about))
    elif event["kind"] == "opening.reviewed":
        note(session, Notice(RETURNED, *about))
    elif event["kind"] == "query.answered":
        note(session, Notice(ANSWERED, *about))


def _asks_too_much(session: Session, event: Json) -> bool:
    """Return whether the event's phone has raised more queries in its opening than are told."""
    wanted = select(Event.id).where(
        Event.opening == event["opening"],
        Event.device == event["device"],
        Event.kind == "query.raised",
    )
    return len(session.exec(wanted.limit(MOST_QUERIES + 1)).all()) > MOST_QUERIES


def note(session: Session, notice: Notice) -> None:
    """Note something to be told once this transaction's entries are judged."""
    session.info.setdefault("notices", []).append(notice)


def note_turn(session: Session, before: tuple[str, str], after: tuple[str, str], row: Json) -> None:
    """Note what an opening's summary tells that it did not tell before.

    before, after: its state, and its hold_outs (see Summary).
    """
    cause = f"{row['opening']}|{row['seq']}"
    if after[0] == "signed" != before[0]:
        note(session, Notice(REVIEW, cause, row["opening"]))
    known = before[1].split()
    for out in after[1].split():
        if out not in known:
            step, _, check = out.partition("|")
            more = {"step": step, "check": check}
            note(session, Notice(OUT, f"{cause}|{out}", row["opening"], "", more))


def post_notices(session: Session) -> None:
    """Put what was noted into the outbox, for each who wants to be told of it."""
    noted: list[Notice] = session.info.pop("notices", [])
    if not noted or "carried" in session.info:  # what another Sillbook had was told of there
        return
    people, webhooks = _choices(session), _webhooks(session)
    browsers, chosen = push.office_subscriptions(session), _kinds_by_person(session)
    for notice in noted:
        if notice.kind in _OF_AN_EVENT and session.get(Event, notice.cause) is None:
            continue  # it was noted, and then not kept
        mails = [
            one for one in people
            if notice.kind in one.kinds.split() and one.person != notice.person
        ]  # fmt: skip
        hooks = [one for one in webhooks if notice.kind in one.kinds.split()]
        told = [
            one for one in browsers
            if one.person != notice.person and notice.kind in chosen.get(one.person, KINDS)
        ]  # fmt: skip
        if notice.kind in CREW_KINDS:
            told = push.crew_subscriptions(session, notice.opening)
        if not (mails or hooks or told) or is_practice(session, notice.opening):
            continue
        body = body_of(session, notice)
        for choice in mails:
            due = next_digest(time.time()) if choice.how == DAILY else 0
            _post(session, outbox.MAIL, choice.person, notice, body, due)
        for channel, receivers in ((outbox.WEBHOOK, hooks), (outbox.PUSH, told)):
            for receiver in receivers:
                _post(session, channel, receiver.id, notice, body)


def _post(
    session: Session, channel: str, receiver: str, notice: Notice, body: Json, due: int = 0
) -> None:
    if not _was_told_enough(session, channel, receiver, notice):
        outbox.post(session, channel, receiver, notice.kind, notice.cause, body, due)


def _was_told_enough(session: Session, channel: str, receiver: str, notice: Notice) -> bool:
    """Return whether a receiver got MOST_TURNS notices of an opening's turns within a day."""
    if notice.kind not in (OUT, REVIEW):
        return False
    since = int(time.time()) - _DAY
    told = outbox.count_told(session, channel, receiver, notice.kind, notice.opening, since)
    return told >= MOST_TURNS


def _kinds_by_person(session: Session) -> dict[str | None, Sequence[str]]:
    """Return what each person who chose wants to be told of, by whatever way."""
    return {one.person: one.kinds.split() for one in session.exec(select(NoticeChoice))}


def _choices(session: Session) -> list[NoticeChoice]:
    wanted = select(NoticeChoice).join(Person, col(Person.id) == col(NoticeChoice.person))
    wanted = wanted.where(col(Person.disabled).is_(False), col(Person.role).in_(OFFICE_ROLES))
    return list(session.exec(wanted.where(NoticeChoice.how != NEVER, NoticeChoice.mail != "")))


def _webhooks(session: Session) -> list[Webhook]:
    return list(session.exec(select(Webhook).where(col(Webhook.ended).is_(None))))


def body_of(session: Session, notice: Notice) -> Json:
    """Return what is told, as texts; people are not named."""
    row = session.get(Summary, notice.opening) if notice.opening else None
    place = {} if row is None else {
        "job": row.job, "job_title": row.title, "letter": row.letter, "room": row.room,
    }  # fmt: skip
    at = datetime.fromtimestamp(int(time.time())).astimezone().isoformat()
    return {"at": at, "opening": notice.opening, **place, **notice.more}


def next_digest(now: float) -> int:
    """Return when the next digest goes out: at DIGEST_HOUR of the office's clock."""
    at = datetime.fromtimestamp(now).replace(hour=DIGEST_HOUR, minute=0, second=0, microsecond=0)
    return int((at if at.timestamp() > now else at + timedelta(days=1)).timestamp())


def note_silence(session: Session, now: float) -> None:
    """Note each phone that has just been silent for SILENCE; post_notices tells each once."""
    for phone in silent_phones(session, now):
        more = {"phone": phone.name, "since": phone.last_seen}
        note(session, Notice(SILENT, f"{phone.id}|{phone.last_seen}", more=more))


def silent_phones(session: Session, now: float) -> list[Device]:
    """Return the phones whose silence is new enough to be told of."""
    end = int(now - SILENCE.total_seconds())
    wanted = select(Device).where(
        col(Device.revoked).is_(None),
        col(Device.last_seen) < end,
        col(Device.last_seen) > end - int(_LOOKED_BACK.total_seconds()),
    )
    return list(session.exec(wanted))


def post_test(session: Session, channel: str, receiver: str) -> None:
    """Put a message into the outbox that only shows that messages arrive."""
    at = datetime.fromtimestamp(int(time.time())).astimezone().isoformat()
    outbox.post(session, channel, receiver, TEST, secrets.token_hex(16), {"at": at})
