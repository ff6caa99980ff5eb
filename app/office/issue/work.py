"""What issuing work writes: jobs, openings, crews, and the office's events."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sqlmodel import Session, col, func, select

from app.core.errors import InputError, MissingError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record import gate
from app.core.record.events import has_seen, heads_of, new_event
from app.core.record.state import State
from app.core.where.places import FULL, SHORT
from app.store import log, procedures
from app.store.company import company_of
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.summary_tables import Summary
from app.store.tables import Assigned, Event, Job, Opening, Person

JOB_CLOSED = Msg("This job is closed: reopen it first.")
USED = Msg("This form was already kept once with something else. Look at it and send again.")


@dataclass(frozen=True)
class Hand:
    """Who does it, and when (as the office's clock says)."""

    person: str
    at: str


@dataclass(frozen=True)
class Issue:
    """An opening to be issued. event: the id that came with the form."""

    event: str
    opening: str
    job: str
    letter: str
    room: str
    procedure: Json
    drawing: Json
    crew: Sequence[str] = field(default_factory=tuple)
    depth: str = FULL
    practice: Json | None = None


def job_of(session: Session, id: str) -> Job:
    """Return a job; raises MissingError 'job-unknown'."""
    found = session.get(Job, id)
    if found is None:
        raise MissingError("job-unknown", Msg("There is no such job."))
    return found


def opening_of(session: Session, id: str) -> Opening:
    """Return an opening; raises MissingError 'opening-unknown'."""
    found = session.get(Opening, id)
    if found is None:
        raise MissingError("opening-unknown", Msg("There is no such opening."))
    return found


def newest_procedures(session: Session, cache: dict[str, Json]) -> dict[str, Json]:
    """Return the procedures that new openings may be issued with: those in force."""
    return procedures.in_force(session, procedures.all_of(session, cache))


def usual_procedure(session: Session, force: dict[str, Json], door: str) -> str:
    """Return the key of the procedure that a new opening most likely follows, "" for none.

    Of those in force that are for the kind of door, "" for any: the one that most openings have.
    """
    counted = select(Summary.procedure, func.count()).where(col(Summary.practice).is_(False))
    counted = counted.group_by(col(Summary.procedure))
    used: dict[str, int] = {}
    for key, count in session.exec(counted).all():
        used[key.rpartition("@")[0]] = used.get(key.rpartition("@")[0], 0) + count
    fit = [key for key, made in sorted(force.items()) if not door or door in made["doors"]]
    return max(fit, key=lambda key: used.get(force[key]["id"], 0), default="")


def installers(session: Session) -> list[Person]:
    """Return who can be put on a crew."""
    wanted = select(Person).where(Person.role == "installer", col(Person.disabled).is_(False))
    return list(session.exec(wanted.order_by(col(Person.name), col(Person.id))))


def depth_for(session: Session, job: Job | None) -> str:
    """Return the depth of a new opening that says none: the job's, else the company's, else short.

    job: None for one that is not made yet.
    """
    of_job = job.depth if job is not None else ""
    return of_job or company_of(session).depth or SHORT


def depth_choices(say: Callable[[Msg], str], chosen: str) -> list[Json]:
    """Return the depths for a list to choose from."""
    return [
        {"value": depth, "text": say(words), "chosen": depth == chosen}
        for depth, words in DEPTH_WORDS.items()
    ]


DEPTH_WORDS = {
    FULL: Msg("Everything"),
    SHORT: Msg("Short: finer points only where something is out"),
}


def crew_of(session: Session, opening: str) -> set[str]:
    """Return the ids of an opening's crew."""
    return set(session.exec(select(Assigned.person).where(Assigned.opening == opening)))


def assign_crew(session: Session, opening: str, people: Sequence[str]) -> None:
    """Make these people the crew of an opening; phones of who is no longer on it learn of it."""
    known = {person.id for person in installers(session)}
    before = crew_of(session, opening)
    wanted = set(people) & (known | before)
    for person in sorted(before - wanted):
        session.delete(session.get_one(Assigned, (opening, person)))
    session.flush()
    session.add_all(Assigned(opening=opening, person=person) for person in sorted(wanted - before))
    session.flush()


_LATER = {"contact", "mail"}  # what the form of a new job does not have


def add_job(session: Session, job: Job) -> None:
    """Add a job; the same form twice adds it once. Errors: InputError 'form-used'."""
    known = session.get(Job, job.id)
    if known is None:
        session.add(job)
        session.flush()
    elif known.model_dump(exclude=_LATER) != job.model_dump(exclude=_LATER):
        raise InputError("form-used", USED)


def issue_opening(session: Session, work: Issue, hand: Hand) -> None:
    """Add an opening with its crew and issue it by the office's device.

    The same form twice issues it once. Errors: InputError 'form-used', 'letter-used'.
    """
    body = issue_body(work.procedure, work.drawing, work.depth, work.practice)
    if _is_replay(session, work.event, work.opening, body):
        return
    if session.get(Opening, work.opening) is not None:
        raise InputError("form-used", USED)
    if job_of(session, work.job).closed:
        raise InputError("job-closed", JOB_CLOSED)
    taken = select(Opening.id).where(Opening.job == work.job, Opening.letter == work.letter)
    if session.exec(taken).first() is not None:
        words = Msg("This job has an opening {letter} already.", letter=work.letter)
        raise InputError("letter-used", words)
    session.add(Opening(id=work.opening, job=work.job, letter=work.letter, room=work.room))
    session.flush()
    assign_crew(session, work.opening, work.crew)
    draft = _office_draft(session, work.event, work.opening, hand)
    log.append_events(session, [new_event([], {**draft, "kind": "opening.issued", "body": body})])


def issue_body(procedure: Json, drawing: Json, depth: str, practice: Json | None = None) -> Json:
    """Return the body of an issue; a depth that is not short is not written down: full.

    practice: how it is practised on and what was planted; None of a door that is set.
    """
    body = {
        "procedure": procedure["id"],
        "version": procedure["version"],
        "drawing": drawing,
    }
    body |= {"depth": depth} if depth == SHORT else {}
    return body | ({"practice": practice} if practice is not None else {})


def _is_replay(session: Session, event: str, opening: str, body: Json) -> bool:
    """Return whether this form was kept before; raises InputError where it said something else."""
    if session.get(Event, event) is None:
        return False
    events = log.events_of(session, [opening])[opening]
    known = [one for one in events if one["id"] == event]
    if not known or {**known[0]["body"], "why": ""} != {**body, "why": ""}:
        raise InputError("form-used", USED)
    return True


def _office_draft(
    session: Session, event: str, opening: str, hand: Hand, seen: dict[str, int] | None = None
) -> Json:
    return {
        "id": event,
        "device": device_id(session, "office"),
        "opening": opening,
        "seen": seen or {},
        "at": hand.at,
        "person": hand.person,
    }


def add_office_event(session: Session, opening: str, kind: str, body: Json, hand: Hand) -> None:
    """Add an event of the office's own to an opening, having seen all that is there."""
    before = log.events_of(session, [opening])[opening]
    draft = _office_draft(session, uuid7(), opening, hand, heads_of(before))
    log.append_events(session, [new_event(before, {**draft, "kind": kind, "body": body})])


@dataclass(frozen=True)
class ProcedureMove:
    """An opening that goes over to another procedure: why, and what its form had seen."""

    event: str
    opening: str
    procedure: Json
    why: str
    seen: dict[str, int]


def move_events(session: Session, work: ProcedureMove, hand: Hand) -> tuple[list[Json], list[Json]]:
    """Return the opening's events, and the one that moves it.

    Errors: RefusedError 'procedure-newer' where it was moved since the form was made.
    """
    before = log.events_of(session, [work.opening])[work.opening]
    draft = _office_draft(session, work.event, work.opening, hand, work.seen)
    body = {
        "procedure": work.procedure["id"],
        "version": work.procedure["version"],
        "why": work.why,
    }
    made = new_event(before, {**draft, "kind": "procedure.moved", "body": body})
    if any(e["kind"] == "procedure.moved" and not has_seen(made, e) for e in before):
        raise RefusedError(
            "procedure-newer",
            Msg("The opening was moved since this page was made. Load it again and look."),
        )
    return before, [made]


def move_procedure(session: Session, work: ProcedureMove, hand: Hand) -> None:
    """Move an opening; the same form twice moves it once. Errors as in move_events()."""
    body = {"procedure": work.procedure["id"], "version": work.procedure["version"]}
    if not _is_replay(session, work.event, work.opening, body):
        log.append_events(session, move_events(session, work, hand)[1])


@dataclass(frozen=True)
class DrawingRevision:
    """A drawing that changes: why, what its form had seen, and the query that it answers, or ""."""

    event: str
    opening: str
    drawing: Json
    why: str
    seen: dict[str, int]
    query: str = ""
    answer_event: str = ""


def revision_events(
    session: Session, work: DrawingRevision, hand: Hand
) -> tuple[list[Json], list[Json]]:
    """Return the opening's events, and those that the revision adds.

    Errors: RefusedError 'drawing-newer' where another revision came since the form was made.
    """
    before = log.events_of(session, [work.opening])[work.opening]
    draft = _office_draft(session, work.event, work.opening, hand, work.seen)
    body = {"drawing": work.drawing, "why": work.why}
    made = [new_event(before, {**draft, "kind": "drawing.revised", "body": body})]
    newer = [
        event
        for event in before
        if event["kind"] == "drawing.revised" and not has_seen(made[0], event)
    ]
    if newer:
        raise RefusedError(
            "drawing-newer",
            Msg("The drawing was revised since this page was made. Load it again and look."),
        )
    if work.query:
        answer = {"query": work.query, "answer": "revised", "words": work.why}
        draft = {**draft, "id": work.answer_event, "kind": "query.answered", "body": answer}
        made.append(new_event(before + made, draft))
    return before, made


def revise_drawing(session: Session, work: DrawingRevision, hand: Hand) -> None:
    """Keep a revision; the same form twice keeps it once. Errors as in revision_events()."""
    if not _is_replay(session, work.event, work.opening, {"drawing": work.drawing}):
        log.append_events(session, revision_events(session, work, hand)[1])


def is_kept(session: Session, event: str, opening: str) -> bool:
    """Return whether an event is in the log of an opening."""
    known = session.get(Event, event)
    return known is not None and known.opening == opening


def trial_revision(events: list[Json], opening: str, drawing: Json) -> list[Json]:
    """Return the event that a revision would add, to see what it does; it is never kept."""
    return [_trial_event(events, opening, "drawing.revised", {"drawing": drawing, "why": ""})]


def _trial_event(events: list[Json], opening: str, kind: str, body: Json) -> Json:
    draft = {
        "id": "trial",
        "device": "office-trial",
        "opening": opening,
        "seen": heads_of(events),
        "at": "1970-01-01",
        "person": "",
        "kind": kind,
        "body": body,
    }
    return new_event(events, draft)


def trial_state(procedure: Json, drawing: Json, depth: str, practice: Json | None = None) -> State:
    """Return the state of a door that is issued like this, to see what it does; nothing is kept."""
    body = issue_body(procedure, drawing, depth, practice)
    issue = _trial_event([], "trial", "opening.issued", body)
    return State([issue], {procedures.key_of(procedure): procedure})


def trial_move(events: list[Json], opening: str, procedure: Json) -> list[Json]:
    """Return the event that a move would add, to see what it does; it is never kept."""
    body = {"procedure": procedure["id"], "version": procedure["version"], "why": ""}
    return [_trial_event(events, opening, "procedure.moved", body)]


def broken_sign_offs(
    before: list[Json],
    made: list[Json],
    known: dict[str, Json],
    truths: dict[str, bool] | None = None,
) -> list[tuple[str, Msg]]:
    """Return the sign-offs, good now, that these events would break: key and title of the step.

    truths: what is known of sign-offs already, as State takes it; it is added to.
    """
    truths = {} if truths is None else truths
    now, then = State(before, known, truths), State(before + made, known, truths)
    still = {step.key: gate.sign_of(then, step) for step in then.steps}
    out = []
    for step in now.steps:
        sign = gate.sign_of(now, step)
        after = still.get(step.key)
        if sign is not None and sign.good and (after is None or not after.good):
            out.append((step.key, step.title))
    return out
