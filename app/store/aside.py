"""What was received and is not in the log: held, or set aside."""

from collections.abc import Iterable, Sequence

from sqlalchemy import String, bindparam, text
from sqlmodel import Session, col, func, select

from app.store.tables import Aside, Device, Event, Person

SHOWN = 200


def held_up_to(session: Session, opening: str, device: str, n: int) -> list[Aside]:
    """Return what is held of one chain up to a number, in its order."""
    wanted = select(Aside).where(Aside.opening == opening, Aside.device == device)
    wanted = wanted.where(Aside.state == "held", Aside.n <= n)
    return list(session.exec(wanted.order_by(col(Aside.n), col(Aside.received_at))))


_HELD_DEVICES = text(
    "SELECT DISTINCT device FROM aside WHERE opening = :opening AND state = 'held'"
)


def held_devices(session: Session, opening: str) -> list[str]:
    """Return the devices of whose chain in an opening something is held."""
    return sorted(session.connection().execute(_HELD_DEVICES, {"opening": opening}).scalars())


def count_held(session: Session, opening: str, device: str) -> int:
    """Return how much is held of one chain."""
    wanted = select(func.count()).where(Aside.opening == opening, Aside.device == device)
    return session.exec(wanted.where(Aside.state == "held")).one()


def ids_of(session: Session, device: str) -> list[str]:
    """Return the ids of what came from a phone and is held or set aside."""
    return sorted(session.exec(select(Aside.id).where(Aside.device == device)))


def held_chains(session: Session) -> list[tuple[str, str]]:
    """Return (opening, device) of every chain of which something is held."""
    wanted = select(Aside.opening, Aside.device).where(Aside.state == "held").distinct()
    return list(session.exec(wanted).all())


# What is asked at each entry is text: the mapper takes longer over a statement than the database.
_KNOWN = text(
    "SELECT id, hash, '' AS key, FALSE AS placed FROM event WHERE id IN :ids"
    " UNION ALL SELECT id, hash, key, placed FROM aside WHERE id IN :ids OR key IN :keys"
).bindparams(
    bindparam("ids", expanding=True, type_=String), bindparam("keys", expanding=True, type_=String)
)


def find_known(
    session: Session, keys: Sequence[str], ids: Sequence[str]
) -> tuple[dict[str, str], dict[str, Aside], set[str]]:
    """Return the hashes of these ids in the log, what is aside by these keys, and which of these
    ids stand for something placed.

    Placed: it has its place in a chain, though it was set aside.
    """
    stored: dict[str, str] = {}
    placed: set[str] = set()
    known: list[str] = []
    asked = {"ids": list(ids), "keys": list(keys)}
    for id_, hash_, key, is_placed in session.connection().execute(_KNOWN, asked):
        if not key:
            stored[id_] = hash_
        if key in keys:
            known.append(key)
        if is_placed and id_ in ids:
            placed.add(id_)
    rows = session.exec(select(Aside).where(col(Aside.key).in_(known))).all() if known else ()
    return stored, {row.key: row for row in rows}, placed


End = tuple[int, str, int]  # of a chain: the last n and its hash, the greatest turn
NO_END: End = (0, "", 0)
_ENDS = text(
    "SELECT n, hash, turn, FALSE AS placed FROM (SELECT n, hash, turn FROM event"
    " WHERE opening = :opening AND device = :device ORDER BY n DESC LIMIT 1) AS stored"
    " UNION ALL "
    "SELECT n, hash, turn, TRUE FROM (SELECT n, hash, turn FROM aside"
    " WHERE opening = :opening AND device = :device AND placed ORDER BY n DESC LIMIT 1) AS placed"
)


def ends_of_chain(session: Session, opening: str, device: str) -> tuple[End, End]:
    """Return where a chain ends, with what was set aside and kept its place, and in the log alone.

    NO_END where there is nothing.
    """
    given = {"opening": opening, "device": device}
    ends = {
        bool(placed): (n, hash_, turn)
        for n, hash_, turn, placed in session.connection().execute(_ENDS, given)
    }
    return max(ends.values(), default=NO_END), ends.get(False, NO_END)


def latest_aside(session: Session, most: int | None = SHOWN) -> list[tuple[Aside, Device, Person]]:
    """Return what is held or set aside, the latest first, with the phone and who paired it.

    most: how many; None for all.
    """
    wanted = select(Aside, Device, Person).join(Device, col(Device.id) == col(Aside.device))
    wanted = wanted.join(Person, col(Person.id) == col(Device.person))
    return list(session.exec(wanted.order_by(col(Aside.received_at).desc()).limit(most)).all())


def page_of(session: Session, after: str, most: int) -> list[Aside]:
    """Return what is held or set aside, the latest first, what follows a key "received|key"."""
    wanted = select(Aside).order_by(col(Aside.received_at).desc(), col(Aside.key).desc())
    if after:
        received, _, key = after.partition("|")
        same = (col(Aside.received_at) == received) & (col(Aside.key) < key)
        wanted = wanted.where((col(Aside.received_at) < received) | same)
    return list(session.exec(wanted.limit(most)))


def phone_owners(session: Session, devices: Iterable[str]) -> dict[str, tuple[str, str]]:
    """Return device -> its name, and the name of who paired it."""
    wanted = select(Device.id, Device.name, Person.name).join(
        Person, col(Person.id) == col(Device.person)
    )
    found = session.exec(wanted.where(col(Device.id).in_(set(devices)))).all()
    return {id_: (name, person) for id_, name, person in found}


def late_in(session: Session, opening: str) -> list[str]:
    """Return the ids of an opening's entries that came later than they should have."""
    wanted = select(Event.id).where(Event.opening == opening, text("flag <> ''"))
    return list(session.exec(wanted))


def came_late(session: Session, before: int | None, most: int) -> list[Event]:
    """Return events that came when the opening was no longer the person's, or the phone paired.

    The latest first; the event's flag says which.

    before: only those with a lesser number.
    """
    wanted = select(Event).where(text("flag <> ''")).order_by(col(Event.seq).desc())
    if before is not None:
        wanted = wanted.where(Event.seq < before)
    return list(session.exec(wanted.limit(most)))
