"""Makes the code of a spoken concession, and notes for what it was given."""

from sqlmodel import Session, col, or_, select

from app.core.errors import InputError, MissingError, RefusedError
from app.core.kinds import Json
from app.core.pages.voice import NEVER
from app.core.quantity.messages import Msg
from app.core.record import spoken
from app.core.record.judge import Result, number_of, possible_checks, result_of
from app.core.record.state import State, Step
from app.store import log, procedures
from app.store.tables import OFFICE_ROLES, Assigned, Device, DevicePerson, Person, Voice

MOST = 1000


class CodeFieldError(InputError):
    """What was typed for a code cannot be; the field it stands in."""

    def __init__(self, field: str, words: Msg) -> None:
        super().__init__("voice-unfit", words, field=field)


def state_of(session: Session, opening: str, cache: dict[str, Json]) -> State:
    """Return an opening as the office knows it now."""
    events = log.events_of(session, [opening])[opening]
    return State(events, procedures.all_of(session, cache))


def _all_results(state: State, step: Step) -> list[Result]:
    """Return the checks of a step, asked or not: on the phone more may be asked by now."""
    return [result_of(state, check, step.panel) for check in possible_checks(state, step)]


def checks_of(state: State) -> list[tuple[Step, Result]]:
    """Return every check of an opening that may be conceded at all, in the procedure's order."""
    found = [(step, result) for step in state.steps for result in _all_results(state, step)]
    return [(step, result) for step, result in found if result.check["rank"] != "never"]


def key_of(step: Step, result: Result) -> str:
    """Return what stands for a check of a step in the form."""
    return f"{step.key}|{result.check['id']}"


def chosen_check(state: State, key: str) -> tuple[Step, Result]:
    """Return the check of a key; raises RefusedError 'never-conceded', CodeFieldError."""
    for step in state.steps:
        for result in _all_results(state, step):
            if key_of(step, result) == key:
                if result.check["rank"] == "never":
                    raise RefusedError("never-conceded", NEVER)
                return step, result
    raise CodeFieldError("check", Msg("Choose the check."))


def phones_for(session: Session, opening: str) -> list[tuple[Device, list[str]]]:
    """Return the phones on which somebody may enter at an opening, with who that is."""
    wanted = select(Device, Person.name).join(
        DevicePerson, col(DevicePerson.device) == col(Device.id)
    )
    wanted = wanted.join(Person, col(Person.id) == col(DevicePerson.person))
    theirs = select(Assigned.person).where(Assigned.opening == opening)
    may = or_(col(Person.id).in_(theirs), col(Person.role).in_(OFFICE_ROLES))
    wanted = wanted.where(may, col(Person.disabled).is_(False), col(Device.revoked).is_(None))
    out: dict[str, tuple[Device, list[str]]] = {}
    for device, name in session.exec(wanted.order_by(col(Person.name), col(Device.id))):
        out.setdefault(device.id, (device, []))[1].append(name)
    return list(out.values())


def phone_of(session: Session, opening: str, id_: str) -> Device:
    """Return one of those phones; raises CodeFieldError."""
    for device, _ in phones_for(session, opening):
        if device.id == id_:
            return device
    raise CodeFieldError("phone", Msg("Choose the phone that asks."))


def fit_number(text: str) -> str:
    """Return the number that was read out; raises CodeFieldError where a digit was misheard."""
    number = spoken.plain_digits(text)
    if not spoken.is_number(number):
        words = Msg("This number cannot be: a digit was misheard. Ask for all nine again.")
        raise CodeFieldError("number", words)
    return number


def fit_words(form: dict[str, str], rank: str) -> dict[str, str]:
    """Return the reason and the author's answer; raises CodeFieldError."""
    said = {name: form.get(name, "").strip() for name in ("reason", "answer")}
    for name, words in said.items():
        if len(words) > MOST:
            raise CodeFieldError(name, Msg("At most {count} characters fit here.", count=MOST))
    if not said["reason"]:
        raise CodeFieldError("reason", Msg("Give the reason in writing."))
    if rank == "author" and not said["answer"]:
        words_ = Msg("Copy the written answer of the drawing's author: who, when, what.")
        raise CodeFieldError("answer", words_)
    return said


def give_code(session: Session, voice: Voice, secret: str) -> str:
    """Note what a code is given for, and return it; the same form once more gives the same."""
    known = session.get(Voice, voice.id)
    if known is None:
        session.add(voice)
        session.flush()
    row = known or voice
    return spoken.code_of(secret, row.day, row.opening, row.check_id, row.panel, row.number)


def codes_given(session: Session, opening: str) -> list[Json]:
    """Return what was given by voice for an opening, as the review is told."""
    rows = session.exec(select(Voice).where(Voice.opening == opening).order_by(col(Voice.at)))
    return [row.model_dump() for row in rows]


def same_readings(state: State, result: Result, number: str) -> bool:
    """Return whether the office holds the very readings that a number stands for."""
    return number_of(state, result) == number


def must_be_known(session: Session, opening: str) -> None:
    """Raise MissingError 'opening-unknown' where there is no such opening, or it is not issued."""
    if not log.events_of(session, [opening])[opening]:
        raise MissingError("opening-unknown", Msg("There is no such opening on your list."))
