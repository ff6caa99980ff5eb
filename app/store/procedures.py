"""Compiled procedures: added once, never changed."""

import json

from sqlmodel import Session, select

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.words import Msg
from app.store.tables import Procedure


def key_of(compiled: Json) -> str:
    """Return the name under which an opening finds its procedure: id@version."""
    return f"{compiled['id']}@{compiled['version']}"


def add(session: Session, compiled: Json) -> bool:
    """Keep a compiled procedure; returns whether it was new.

    Errors: RefusedError 'procedure-changed' where this version is kept with other content.
    """
    known = session.get(Procedure, (compiled["id"], compiled["version"]))
    if known is None:
        session.add(_row(compiled))
        session.flush()
        return True
    if known.digest != compiled["digest"]:
        raise RefusedError(
            "procedure-changed",
            Msg(
                "Procedure {name} is in use and differs: give it a new version.",
                name=key_of(compiled),
            ),
        )
    return False


def _row(compiled: Json) -> Procedure:
    text = json.dumps(compiled, ensure_ascii=False)
    return Procedure(
        id=compiled["id"], version=compiled["version"], digest=compiled["digest"], text=text
    )


def all_of(session: Session, cache: dict[str, Json]) -> dict[str, Json]:
    """Return every procedure by id@version; cache keeps the parsed ones, which never change."""
    for id_, version in session.exec(select(Procedure.id, Procedure.version)).all():
        key = f"{id_}@{version}"
        if key not in cache:
            row = session.get_one(Procedure, (id_, version))
            cache[key] = json.loads(row.text)
    return cache
