"""The database's own device ids, made once and kept."""

import secrets

from sqlmodel import Session

from app.store.tables import Setting

KINDS = ("web", "office")


def make(session: Session) -> None:
    """Give the database its devices, where it has none yet."""
    for kind in KINDS:
        if session.get(Setting, _name(kind)) is None:
            _give(session, kind)


def renew(session: Session) -> None:
    """Give the database other devices: their chains begin anew, the old ones stand."""
    for kind in KINDS:
        _give(session, kind)


def _give(session: Session, kind: str) -> None:
    session.merge(Setting(name=_name(kind), value=f"{kind}-{secrets.token_hex(4)}"))
    session.flush()


def device(session: Session, kind: str) -> str:
    """Return this database's device id of a kind: "web" or "office"."""
    return session.get_one(Setting, _name(kind)).value


def _name(kind: str) -> str:
    return "device-" + kind
