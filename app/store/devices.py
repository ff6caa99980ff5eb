"""The database's own device ids, made once and kept."""

import secrets

from sqlmodel import Session

from app.store.tables import Setting


def device(session: Session, kind: str) -> str:
    """Return this database's device id of a kind ("web", "office"), making it the first time.

    The session must be the writer's the first time.
    """
    name = "device-" + kind
    kept = session.get(Setting, name)
    if kept is None:
        kept = Setting(name=name, value=f"{kind}-{secrets.token_hex(4)}")
        session.add(kept)
        session.flush()
    return kept.value
