"""People, as pages and events need them."""

from sqlmodel import Session, select

from app.core.kinds import Json
from app.store.tables import Person


def names(session: Session) -> dict[str, str]:
    """Return everybody's name by id, those who have left too: the log still speaks of them."""
    return dict(session.exec(select(Person.id, Person.name)).all())


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
