"""The demo company of seed_data/demo: people, jobs, openings, drawings, and work half done.

Loading it again changes nothing that is there. What the files hold is told at
the head of seed_data/demo/company.yaml.
"""

from pathlib import Path

import yaml
from sqlmodel import Session, col, select

from app.access import passwords
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import new_event
from app.core.where.places import SHORT
from app.demo.crew import DemoCrew
from app.procedures.compiler import compile_file
from app.procedures.drawings import drawing_json
from app.settings import SEED_DATA
from app.store import company as companies
from app.store import log, procedures
from app.store.database import Database
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import ROLES, Assigned, Event, Job, Opening, Person

FOLDER = SEED_DATA / "demo"
JOB_FIELDS = ("id", "title", "address", "homeowner", "builder")
PERSON_FIELDS = ("id", "name", "role", "login", "units", "lang")


class DemoError(AppError):
    """The demo data do not fit together."""


def is_new(database: Database) -> bool:
    """Return whether nobody is in the database yet."""
    with database.read() as session:
        return session.exec(select(Person.id)).first() is None


def is_there(database: Database, folder: Path = FOLDER) -> bool:
    """Return whether somebody of the demo is in the database, whatever their password is now."""
    invented = [raw["id"] for raw in read_yaml(folder / "company.yaml")["people"]]
    with database.read() as session:
        return (
            session.exec(select(Person.id).where(col(Person.id).in_(invented))).first() is not None
        )


def load_company(database: Database, folder: Path = FOLDER) -> None:
    """Load the demo company with its procedures, whole or not at all."""
    company = read_yaml(folder / "company.yaml")
    with database.write() as session:
        _name_company(session, company["company"])
        for person in company["people"]:
            add_person(session, person)
        for job in company["jobs"]:
            _add_job(session, job)
            for opening in job["openings"]:
                _add_opening(session, job["id"], opening)
                if _is_untouched(session, opening["id"]):
                    _issue_opening(session, opening, folder)
                    _enter_work(session, opening, folder)


def _name_company(session: Session, raw: Json) -> None:
    if not companies.company_of(session).name:
        companies.name_company(session, raw["name"], raw["telephone"])


def read_yaml(path: Path) -> Json:
    """Return what a YAML file holds."""
    found: Json = yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def add_person(session: Session, raw: Json) -> None:
    """Add an invented person, unless they are there."""
    if session.get(Person, raw["id"]) is None:
        fields = {field: raw[field] for field in PERSON_FIELDS}
        session.add(Person(**fields, password=passwords.hash_password(raw["password"])))
        session.flush()


def _add_job(session: Session, raw: Json) -> None:
    if session.get(Job, raw["id"]) is None:
        session.add(Job(**{field: raw[field] for field in JOB_FIELDS}))
        session.flush()


def _add_opening(session: Session, job: str, raw: Json) -> None:
    if session.get(Opening, raw["id"]) is None:
        fields = {field: raw[field] for field in ("id", "letter", "room")}
        session.add(Opening(job=job, **fields))
        session.flush()
        session.add_all(Assigned(opening=raw["id"], person=id_) for id_ in raw["assigned"])


def _is_untouched(session: Session, opening: str) -> bool:
    return session.exec(select(Event.id).where(Event.opening == opening)).first() is None


def _issue_opening(session: Session, raw: Json, folder: Path) -> None:
    """Issue the opening by the office's hand."""
    compiled = compile_file(folder.parent / "procedures" / raw["procedure"])
    procedures.add_procedure(session, compiled)
    body = {
        "procedure": compiled["id"],
        "version": compiled["version"],
        "drawing": read_drawing(folder / "drawings" / raw["drawing"]),
    }
    if raw.get("depth", SHORT) == SHORT:
        body["depth"] = SHORT
    draft = {
        "id": uuid7(),
        "device": device_id(session, "office"),
        "opening": raw["id"],
        "seen": {},
        "at": raw["issued"]["at"],
        "person": raw["issued"]["by"],
        "kind": "opening.issued",
        "body": body,
    }
    log.append_events(session, [new_event([], draft)])


def _enter_work(session: Session, raw: Json, folder: Path) -> None:
    """Enter what the crew has done already."""
    if raw.get("record"):
        DemoCrew(session, raw["id"]).work(read_yaml(folder / "records" / raw["record"]))


def read_drawing(path: Path) -> Json:
    """Return a drawing of the demo. Errors: DemoError where it does not fit."""
    try:
        return drawing_json(read_yaml(path))
    except ValueError as error:
        words = Msg("{file}: {why}", file=path.name, why=str(error))
        raise DemoError("drawing-unfit", words) from error


def how_to_sign_in(database: Database, folder: Path = FOLDER) -> list[str]:
    """Return a line for the first of each role whose demo password still holds."""
    people = read_yaml(folder / "company.yaml")["people"]
    return [
        f"Demo {role}: name {raw['login']}, password {raw['password']}"
        for role in ROLES
        for raw in [raw for raw in people if raw["role"] == role][:1]
        if _may_enter(database, raw)
    ]


def _may_enter(database: Database, raw: Json) -> bool:
    with database.read() as session:
        kept = session.get(Person, raw["id"])
    if kept is None or kept.disabled:
        return False
    return passwords.password_fits(kept.password, raw["password"])
