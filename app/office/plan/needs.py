"""What needs the office today, by what it costs to let it wait; from summaries alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlmodel import Session, col, func, select

from app.core.pages.parts import state_words
from app.core.quantity.messages import Msg, Plural, When
from app.core.quantity.moments import moment_of
from app.office.board.asking import MOST_COUNTED, late_conditions
from app.office.plan import crews
from app.store import callbacks, outbox
from app.store.notices import SILENCE
from app.store.people import names_by_id
from app.store.summary_tables import NONE, NOTHING, PLACES, SETTLED, OpenItem, Summary, Tally
from app.store.tables import Crew, Device, Person

FEW = 6  # of a kind on the page; the board has them all
STOPPED = timedelta(minutes=30)  # without an entry, while something is out
_FEW_WORDS = 120
NOBODY = Msg("a person no longer listed")
_UNSENT = Plural("{count} message was not sent", "{count} messages were not sent")
_AT_WORK = ("open", "broken", "disputed", "returned")


@dataclass(frozen=True)
class Need:
    """One thing that waits for the office. urgent: a crew stands still, or will."""

    title: Msg
    more: Msg | None
    href: str
    button: Msg
    urgent: bool = False


def needs_of(session: Session, now: datetime) -> list[Need]:
    """Return what needs the office, first what costs most to let wait."""
    known = session.exec(select(Crew).order_by(col(Crew.name), col(Crew.id))).all()
    people = names_by_id(session)
    stopped, out = _outs(session, now, {crew.id: crew.name for crew in known})
    today = now.astimezone().date().isoformat()
    return [
        *stopped,
        *_queries(session, people),
        *out,
        *_reviews(session),
        *_looks(session),
        *_complaints(session),
        *_parts(session),
        *_without_lead(session, today, known, people),
        *_late(session, now, today),
        *_silent_phones(session, now),
        *_curing(session, now),
    ]


def name_of(row: Summary) -> str:
    """Return a short name of an opening: its job and letter."""
    return f"{row.title} {row.letter}"


def _rows(session: Session, *conditions: object, most: int = FEW) -> list[Summary]:
    order = (col(Summary.place), col(Summary.heard), col(Summary.opening))
    return list(session.exec(select(Summary).where(*conditions).order_by(*order).limit(most)))  # type: ignore[arg-type]


def _outs(session: Session, now: datetime, names: dict[str, str]) -> tuple[list[Need], list[Need]]:
    """Return the crews that stand still over something that is out, and the other outs."""
    since = (now.astimezone(UTC) - STOPPED).isoformat(timespec="milliseconds")
    stopped, others = [], []
    for row in _rows(session, col(Summary.outs) > NONE, col(Summary.state).in_(_AT_WORK)):
        href = f"/office/o/{row.opening}#look-title"
        out = Plural("{count} check out", "{count} checks out").of(row.outs)
        if row.heard < since:
            crew = names.get(row.crew, "")
            who = Msg("Crew {crew} is stopped", crew=crew) if crew else Msg("Work is stopped")
            title = Msg("{who}: {opening}, {out}", who=who, opening=name_of(row), out=out)
            more = Msg("nothing entered since {when}", when=_local(row.heard))
            stopped.append(Need(title, more, href, Msg("See and decide"), urgent=True))
        else:
            title = Msg("{opening}: {out}", opening=name_of(row), out=out)
            step = Msg("step {id} {title}", id=row.step, title=Msg(row.step_title))
            others.append(Need(title, step, href, Msg("See and decide"), urgent=True))
    return stopped, others


def _local(received: str) -> When:
    """Return a time of receiving as the office's clock has it."""
    try:
        return When(datetime.fromisoformat(received).astimezone().isoformat(timespec="minutes"))
    except ValueError:
        return When(received)


def _of_seconds(seconds: int) -> When:
    return _local(datetime.fromtimestamp(seconds, UTC).isoformat())


def _items(session: Session, kind: str) -> Sequence[tuple[OpenItem, Summary]]:
    wanted = select(OpenItem, Summary).join(Summary, col(Summary.opening) == col(OpenItem.opening))
    order = (col(OpenItem.at), col(OpenItem.id))
    return session.exec(wanted.where(OpenItem.kind == kind).order_by(*order).limit(FEW)).all()


def _queries(session: Session, people: dict[str, str]) -> list[Need]:
    out = []
    for item, row in _items(session, "queries"):
        title = Msg("Question: {opening}, {words}", opening=name_of(row), words=item.what)
        who = people.get(item.person) or NOBODY
        more = Msg("{who}, {when}; bars {step}", who=who, when=When(item.at), step=item.step)
        href = f"/office/o/{row.opening}#query-{item.ref}"
        out.append(Need(title, more, href, Msg("Answer"), urgent=True))
    return out


def _reviews(session: Session) -> list[Need]:
    waiting = (Summary.state == "signed", col(Summary.place) <= PLACES.index("review"))
    return [
        Need(
            Msg("Ready for review: {opening}", opening=name_of(row)),
            Msg("all signed, {when}", when=_local(row.heard)),
            f"/office/o/{row.opening}",
            Msg("Review"),
        )
        for row in _rows(session, *waiting)
    ]


def _looks(session: Session) -> list[Need]:
    states = col(Summary.state).in_(("broken", "disputed", "unread"))
    rows = _rows(session, states, col(Summary.place) <= PLACES.index("look"))
    return [
        Need(
            Msg("A sign-off does not hold: {opening}", opening=name_of(row)),
            Msg("step {id} {title}", id=row.step, title=Msg(row.step_title)) if row.step else None,
            f"/office/o/{row.opening}#steps-title",
            Msg("Look at it"),
        )
        for row in rows
    ]


def _complaints(session: Session) -> list[Need]:
    """Return the owners' complaints that nobody has taken on."""
    rows = [one for one in callbacks.open_of(session) if not one.person][:FEW]
    return [
        Need(
            Msg("An owner complains: {opening}", opening=name_of(row)),
            Msg("{words}, {when}", words=one.words[:_FEW_WORDS], when=_of_seconds(one.at)),
            "/office/visits",
            Msg("Give it to somebody"),
        )
        for one in rows
        if (row := session.get(Summary, one.opening)) is not None
    ]


def _parts(session: Session) -> list[Need]:
    return [
        Need(
            Msg("{part} {state}: {opening}", part=item.what, opening=name_of(row),
                state=state_words(item.choice)),
            Msg("needed for step {step}; {words}", step=item.step, words=item.said)
            if item.said
            else Msg("needed for step {step}", step=item.step),
            f"/field/o/{row.opening}/parts",
            Msg("Order it"),
        )
        for item, row in _items(session, "parts")
    ]  # fmt: skip


def _late(session: Session, now: datetime, today: str) -> list[Need]:
    late = select(Summary).where(*late_conditions(now))
    rows = session.exec(late.order_by(col(Summary.due), col(Summary.opening)).limit(FEW)).all()
    return [
        Need(
            Msg("Late: {opening}", opening=name_of(row)),
            Msg("promised by {day}", day=When(row.promised))
            if row.promised and row.promised < today
            else Msg("planned until {day}", day=When(row.last_day)),
            f"/office/plan/{row.opening}",
            Msg("Plan it anew"),
        )
        for row in rows
    ]


def _without_lead(
    session: Session, today: str, known: Sequence[Crew], people: dict[str, str]
) -> list[Need]:
    """Return who would not go out: crews whose lead left, openings planned with an ended crew."""
    out: list[Need] = []
    going = [crew for crew in known if not crew.ended]
    leads = crews.leads_on(session, today) if going else {}
    left = crews.who_left(session, set(leads.values())) if leads else set()
    for crew in going:
        if leads.get(crew.id) in left and len(out) < FEW:
            title = Msg("Crew {crew} has no lead", crew=crew.name)
            gone = Msg("{who} goes out no more", who=people[leads[crew.id]] or NOBODY)
            out.append(Need(title, gone, f"/office/crews/{crew.id}", Msg("Choose a lead")))
    ended = {crew.id: crew.name for crew in known if crew.ended}
    for row in _planned_from(session, today, ended) if ended else ():
        title = Msg("No crew goes to {opening}", opening=name_of(row))
        gone = Msg("the crew {crew} has ended", crew=ended[row.crew])
        out.append(Need(title, gone, f"/office/plan/{row.opening}", Msg("Plan it anew")))
    return out


def _planned_from(session: Session, today: str, crew_ids: Iterable[str]) -> Sequence[Summary]:
    wanted = select(Summary).where(Summary.last_day != NOTHING, Summary.last_day >= today)
    wanted = wanted.where(col(Summary.crew).in_(crew_ids), col(Summary.state).not_in(SETTLED))
    order = (col(Summary.last_day), col(Summary.opening))
    return session.exec(wanted.order_by(*order).limit(FEW)).all()


def _silent_phones(session: Session, now: datetime) -> list[Need]:
    before = int(now.timestamp() - SILENCE.total_seconds())
    wanted = select(Device, Person.name).join(Person, col(Person.id) == Device.person)
    wanted = wanted.where(col(Device.revoked).is_(None), col(Device.last_seen) < before)
    rows = session.exec(wanted.order_by(col(Device.unsent).desc()).limit(FEW)).all()
    return [
        Need(
            Msg("Nothing heard of the phone {name} of {person}", name=phone.name, person=person),
            Msg("since {when}; {unsent}", unsent=_unsent(phone.unsent),
                when=_of_seconds(phone.last_seen or 0)),
            "/phones",
            Msg("Phones"),
        )
        for phone, person in rows
    ]  # fmt: skip


def _unsent(count: int) -> Msg:
    if not count:
        return Msg("nothing was left to send")
    return Plural("{count} entry was not sent", "{count} entries were not sent").of(count)


def _curing(session: Session, now: datetime) -> list[Need]:
    """Return the openings that wait for a clock: by the claimed time at which it ends."""
    from_ = (now.astimezone(UTC) - timedelta(hours=14)).isoformat(timespec="seconds")
    wanted = select(Summary).where(Summary.until != NOTHING, Summary.until > from_)
    rows = session.exec(wanted.order_by(col(Summary.until), col(Summary.opening)).limit(4 * FEW))
    running = [row for row in rows if (moment_of(row.until) or 0) > now.timestamp() * 1000]
    return [
        Need(
            Msg("{opening} waits until {time}", opening=name_of(row), time=When(row.until)),
            Msg(row.clock),
            f"/field/o/{row.opening}",
            Msg("See it"),
        )
        for row in running[:FEW]
    ]


def more_than_shown(session: Session, now: datetime) -> list[tuple[str, Plural, int]]:
    """Return what else waits, and what there is more of than the page shows: list, words, count."""
    counts = dict(session.exec(select(Tally.name, Tally.count)).all())
    kinds = (
        ("/office?show=outs", Plural("{count} out in all", "{count} out in all"), "outs"),
        ("/office/lists/queries",
         Plural("{count} question in all", "{count} questions in all"), "queries"),
        ("/office?show=review",
         Plural("{count} review in all", "{count} reviews in all"), "state:signed"),
        ("/office/lists/parts",
         Plural("{count} opening lacks parts", "{count} openings lack parts"), "parts"),
    )  # fmt: skip
    more = [(href, words, counts.get(name, 0)) for href, words, name in kinds
            if counts.get(name, 0) > FEW]  # fmt: skip
    late = select(Summary.opening).where(*late_conditions(now)).limit(MOST_COUNTED)
    count = session.exec(select(func.count()).select_from(late.subquery())).one()
    if count > FEW:
        more.append(("/office?show=late", Plural("{count} late", "{count} late"), count))
    unsent = outbox.count_failed(session)
    return [("/office/outbox", _UNSENT, unsent), *more] if unsent else more
