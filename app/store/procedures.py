"""Compiled procedures: added once, never changed; which version new openings are issued with."""

import json

from sqlalchemy import text
from sqlmodel import Session, col, select

from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store.procedure_tables import ProcedureFile, PutInForce
from app.store.tables import Procedure, Setting

_IN_FORCE = "in-force:"


def key_of(compiled: Json) -> str:
    """Return the name under which an opening finds its procedure: id@version."""
    return f"{compiled['id']}@{compiled['version']}"


def add_procedure(session: Session, compiled: Json) -> bool:
    """Keep a compiled procedure; returns whether it was new.

    Errors: RefusedError 'procedure-changed' where this version is kept with other content.
    """
    known = session.get(Procedure, (compiled["id"], compiled["version"]))
    if known is None:
        session.add(_procedure_row(compiled))
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


def _procedure_row(compiled: Json) -> Procedure:
    text = json.dumps(compiled, ensure_ascii=False)
    return Procedure(
        id=compiled["id"], version=compiled["version"], digest=compiled["digest"], text=text
    )


_KEYS = text("SELECT id, version FROM procedure")


def all_of(session: Session, cache: dict[str, Json]) -> dict[str, Json]:
    """Return every procedure by id@version; cache keeps the parsed ones, which never change."""
    for id_, version in session.connection().execute(_KEYS):
        key = f"{id_}@{version}"
        if key not in cache:
            row = session.get_one(Procedure, (id_, version))
            cache[key] = json.loads(row.text)
    return cache


def in_force(session: Session, known: dict[str, Json]) -> dict[str, Json]:
    """Return the procedures that new openings may be issued with, by id@version: one of each id.

    The version that was put in force; where nobody ever chose, the newest. None of an id that
    came in by itself and was not put in force yet.
    """
    chosen = {
        row.name.removeprefix(_IN_FORCE): int(row.value)
        for row in session.exec(select(Setting).where(col(Setting.name).startswith(_IN_FORCE)))
    }
    found: dict[str, Json] = {}
    for compiled in known.values():
        id_, version = compiled["id"], compiled["version"]
        newer = id_ not in found or found[id_]["version"] < version
        if version == chosen.get(id_, version if newer else -1):
            found[id_] = compiled
    return {key_of(compiled): compiled for compiled in found.values()}


def put_in_force(session: Session, id_: str, version: int) -> None:
    """Have new openings of a procedure issued with a version; 0: with none."""
    session.merge(Setting(name=_IN_FORCE + id_, value=str(version)))
    session.flush()


def version_in_force(session: Session, id_: str, known: dict[str, Json]) -> int:
    """Return which version of a procedure new openings get, 0 where none is in force."""
    chosen = [one for one in in_force(session, known).values() if one["id"] == id_]
    return int(chosen[0]["version"]) if chosen else 0


def keep_file(session: Session, compiled: Json, text: str) -> None:
    """Keep the file that a version was compiled from; one that is there already stays."""
    if session.get(ProcedureFile, (compiled["id"], compiled["version"])) is None:
        row = ProcedureFile(id=compiled["id"], version=compiled["version"], text=text)
        session.add(row)
        session.flush()


def acts_of(session: Session, id_: str, most: int = 20) -> list[PutInForce]:
    """Return who put which version of a procedure in force, the last first."""
    wanted = select(PutInForce).where(PutInForce.procedure == id_)
    return list(session.exec(wanted.order_by(col(PutInForce.at).desc()).limit(most)))


def take_in(session: Session, compiled: Json, known: dict[str, Json], text: str) -> bool:
    """Keep a procedure that comes in by its file; it is in force only once somebody puts it so.

    Returns whether it was new. Errors: RefusedError 'procedure-changed', as add_procedure().
    """
    before = version_in_force(session, compiled["id"], known)
    new = add_procedure(session, compiled)
    if new:
        put_in_force(session, compiled["id"], before)
    keep_file(session, compiled, text)
    return new
