"""People, as pages and events need them."""

from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.store.tables import OFFICE_ROLES, Person


def names_by_id(session: Session) -> dict[str, str]:
    """Return everybody's name by id, those who have left too: the log still speaks of them."""
    return dict(session.exec(select(Person.id, Person.name)).all())


def languages_by_id(session: Session) -> dict[str, str]:
    """Return the language that each person reads and writes, by id."""
    return dict(session.exec(select(Person.id, Person.lang)).all())


def is_office(person: Person) -> bool:
    """Return whether somebody works at the office: sees every opening, every crew's phones."""
    return person.role in OFFICE_ROLES


def listed_people(session: Session, after: str, most: int) -> list[Person]:
    """Return people by name, those after a key "name|id"."""
    wanted = select(Person).order_by(col(Person.name), col(Person.id)).limit(most)
    if after:
        name, _, id_ = after.rpartition("|")
        later = (col(Person.name) == name) & (col(Person.id) > id_)
        wanted = wanted.where((col(Person.name) > name) | later)
    return list(session.exec(wanted))


def by_login(session: Session, login: str) -> Person | None:
    """Return who signs in under this name (written small or large), or None."""
    return session.exec(select(Person).where(Person.login == fold_login(login))).first()


def fold_login(login: str) -> str:
    """Return a login as it is kept and compared."""
    return login.strip().casefold()


def as_json(person: Person) -> Json:
    """Return what the core is told about the person who asks."""
    return {
        "id": person.id,
        "name": person.name,
        "role": person.role,
        "units": person.units,
        "lang": person.lang,
    }
