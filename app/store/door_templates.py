"""Templates of door systems: a company's own, each a drawing without what is one door's alone."""

import json

from sqlmodel import Field, Session, SQLModel, col, select

from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.store.ids import uuid7

IDENTITY = ("number", "revision", "author", "date")  # of one drawing, and of no other
CHOSEN = "template:"  # before a template's id, where a door to copy may stand as well
MOST_NAME, MOST_WHY, MOST_TEMPLATES = 80, 500, 200


class DoorTemplate(SQLModel, table=True):
    """What new openings of a door system begin with.

    why: where its sizes and limits come from. procedure: its id, of whatever version is in force.
    text: the drawing as JSON, with IDENTITY empty. made: seconds since 1970; ended: as Webhook's.
    """

    __tablename__ = "door_template"

    id: str = Field(primary_key=True)
    name: str
    why: str
    procedure: str
    depth: str
    text: str
    person: str = Field(foreign_key="person.id")
    made: int
    ended: int | None = None

    def drawing(self) -> Json:
        """Return its drawing."""
        found: Json = json.loads(self.text)
        return found


def templates_in_use(session: Session) -> list[DoorTemplate]:
    """Return the templates that openings may begin with, by name."""
    wanted = select(DoorTemplate).where(col(DoorTemplate.ended).is_(None))
    return list(session.exec(wanted.order_by(col(DoorTemplate.name), col(DoorTemplate.id))))


def template_of_id(session: Session, id: str) -> DoorTemplate:
    """Return a template in use; raises MissingError 'template-unknown'."""
    found = session.get(DoorTemplate, id)
    if found is None or found.ended is not None:
        raise MissingError("template-unknown", Msg("There is no such template."))
    return found


def keep_template(
    session: Session, name: str, why: str, state: Json, person: str, now: int
) -> DoorTemplate:
    """Keep a template of a door; one of the same name ends. state: procedure, depth, drawing.

    Errors: InputError 'templates-many'.
    """
    known = templates_in_use(session)
    for one in known:
        if one.name.casefold() == name.casefold():
            one.ended = now
            session.add(one)
    if len(known) >= MOST_TEMPLATES:
        words = Msg("So many templates are here already. End one first.")
        raise InputError("templates-many", words)
    drawing = {**state["drawing"], **dict.fromkeys(IDENTITY, "")}
    made = DoorTemplate(
        id=uuid7(), name=name, why=why, procedure=state["procedure"], depth=state["depth"],
        text=json.dumps(drawing, sort_keys=True), person=person, made=now,
    )  # fmt: skip
    session.add(made)
    session.flush()
    return made
