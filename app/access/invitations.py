"""Invitations: a link by which one person sets a password, once, within a week.

The code travels in the link's fragment, or is typed; only its hash is kept.
"""

from sqlmodel import Session, col, delete, select

from app.access import codes, pairing, passwords, sessions
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.store.tables import Invitation, Person

LASTS = 7 * 24 * 3600
LENGTH = 26  # 130 bits


class InvitationError(InputError):
    """One text for every cause, so that nobody learns which codes there are."""

    def __init__(self) -> None:
        words = Msg(
            "This invitation does not serve: it is wrong, was used, or is older than a week. "
            "Ask the administrator for another."
        )
        super().__init__("invitation-unfit", words)


def make_invitation(session: Session, person: str, now: int) -> str:
    """Return a new code for a person; an unused older one of theirs ends."""
    end_invitation(session, person)
    code = codes.new_code(LENGTH)
    session.add(
        Invitation(code_hash=_code_hash(code), person=person, made=now, expires=now + LASTS)
    )
    session.flush()
    return code


def end_invitation(session: Session, person: str) -> None:
    """End a person's unused invitation, where there is one."""
    mine = (col(Invitation.person) == person) & col(Invitation.used).is_(None)
    session.execute(delete(Invitation).where(mine))


def _code_hash(code: str) -> str:
    return codes.code_hash(code, "invitation|")


def spend_invitation(session: Session, code: str, password: str, now: int) -> Person:
    """Set a person's password by their code, end the code and all their sessions.

    Errors: InvitationError; InputError 'password-length', 'password-common' (the code then
    still serves).
    """
    kept = session.get(Invitation, _code_hash(code))
    if kept is None or kept.used is not None or not now < kept.expires <= now + LASTS:
        raise InvitationError
    person = session.get_one(Person, kept.person)
    if person.disabled:
        raise InvitationError
    passwords.must_be_fit(password, person.login, person.name)
    person.password = passwords.hash_password(password)
    kept.used = now
    sessions.end_all(session, person.id)
    pairing.end_codes(session, person.id)
    return person


def waiting_invitations(session: Session, now: int) -> dict[str, int]:
    """Return person -> when their invitation ends, of all that still serve."""
    wanted = select(Invitation.person, Invitation.expires)
    wanted = wanted.where(col(Invitation.used).is_(None), Invitation.expires > now)
    return dict(session.exec(wanted).all())
