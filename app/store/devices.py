"""The database's own device ids, made once and kept."""

import secrets

from sqlmodel import Session

from app.store.tables import Setting

KINDS = ("web", "office")


def make_devices(session: Session) -> None:
    """Give the database its devices, where it has none yet."""
    for kind in KINDS:
        if session.get(Setting, _setting_name(kind)) is None:
            _give_device(session, kind)


def renew_devices(session: Session) -> None:
    """Give the database other devices: their chains begin anew, the old ones stand."""
    for kind in KINDS:
        _give_device(session, kind)


def _give_device(session: Session, kind: str) -> None:
    session.merge(Setting(name=_setting_name(kind), value=f"{kind}-{secrets.token_hex(4)}"))
    session.flush()


def device_id(session: Session, kind: str) -> str:
    """Return this database's device id of a kind: "web" or "office"."""
    return session.get_one(Setting, _setting_name(kind)).value


def _setting_name(kind: str) -> str:
    return "device-" + kind
