"""Openings as rows: a row is one opening with its job, crew, procedure and drawing.

What a row says is read by the same reader as the form (issue/reading.py). Nothing is
written before every row is right; then all are written together.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sqlmodel import Session, col, select

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import new_event
from app.core.record.state import State
from app.core.where.places import DEPTHS
from app.office.issue import fields, practising, reading
from app.office.issue.work import (
    Hand,
    depth_for,
    installers,
    issue_body,
    newest_procedures,
)
from app.office.issue.writing import in_columns, texts_of
from app.office.moving.sheet import MOST_CELL, CsvSheet, SheetRow, column_letter
from app.store import log, procedures
from app.store.devices import device_id
from app.store.ids import uuid7
from app.store.tables import Assigned, Job, Opening

PLACE = (
    "job", "address", "homeowner", "builder", "letter", "room", "crew", "procedure", "depth",
    "practice", "faults",
)  # fmt: skip
NEEDED = ("job", "address", "letter", "room")
COLUMNS = (*PLACE, *fields.drawing_columns())
MOST_ROWS = 20_000
_MOST_TEXT = {
    "job": 200,
    "address": 200,
    "homeowner": 200,
    "builder": 200,
    "letter": 80,
    "room": 80,
}


@dataclass(frozen=True)
class Wrong:
    """What is wrong with a cell: row and column as the spreadsheet has them ("" for the row)."""

    row: int
    column: str
    letter: str
    message: Msg


@dataclass(frozen=True)
class OpeningRow:
    """An opening as its row gives it."""

    job: tuple[str, str]  # name and address: rows that share both are one job
    homeowner: str
    builder: str
    letter: str
    room: str
    crew: list[str]
    procedure: Json
    drawing: Json
    depth: str
    practice: Json | None


@dataclass
class SheetReading:
    """All that a sheet gives, and all that is wrong with it."""

    taken: list[OpeningRow] = field(default_factory=list)
    wrong: list[Wrong] = field(default_factory=list)


@dataclass(frozen=True)
class KnownNames:
    """What the rows may speak of: procedures by name, people by login, letters that are taken."""

    procedures: dict[str, Json]
    people: dict[str, str]
    letters: dict[tuple[str, str], set[str]]
    units: str
    depths: dict[tuple[str, str], str]  # of new openings, by job; ("", ""): of a job not made yet


def known_of(session: Session, units: str, cache: dict[str, Json]) -> KnownNames:
    """Return what rows may speak of in this database."""
    all_of = procedures.all_of(session, cache)
    newest = newest_procedures(session, cache)
    named = {**all_of, **{compiled["id"]: compiled for compiled in newest.values()}}
    if len(newest) == 1:
        named[""] = next(iter(newest.values()))
    letters: dict[tuple[str, str], set[str]] = {}
    taken = select(Job.title, Job.address, Opening.letter).join(Opening)
    for title, address, letter in session.exec(taken):
        letters.setdefault((title, address), set()).add(letter)
    people = {person.login: person.id for person in installers(session)}
    depths = {("", ""): depth_for(session, None)}
    for job in session.exec(select(Job)):
        depths[(job.title, job.address)] = depth_for(session, job)
    return KnownNames(named, people, letters, units, depths)


def read_openings(
    sheet: CsvSheet, known: KnownNames, told: Callable[[int], None] = lambda _: None
) -> SheetReading:
    """Return what a sheet gives; `told` hears how many rows are read."""
    reader = _Rows(sheet, known)
    reader.heads()
    for n, row in enumerate(sheet.rows):
        reader.row(row)
        told(n + 1)
    return reader.made


class _Rows:
    def __init__(self, sheet: CsvSheet, known: KnownNames) -> None:
        self.sheet = sheet
        self.known = known
        self.made = SheetReading()
        self._terms: dict[str, reading.Terms] = {}
        self._letters = {job: set(letters) for job, letters in known.letters.items()}
        self._at = {name: n for n, name in reversed(list(enumerate(sheet.names)))}

    def wrong(self, row: int, column: str, message: Msg) -> None:
        letter = column_letter(self._at[column]) if column in self._at else ""
        self.made.wrong.append(Wrong(row, column, letter, message))

    def heads(self) -> None:
        names = self.sheet.names
        for name in dict.fromkeys(names):
            if name and name not in COLUMNS:
                self.wrong(1, name, Msg("There is no column of this name in the template."))
            if name and names.count(name) > 1:
                self.wrong(1, name, Msg("This column stands twice."))
        for name in NEEDED:
            if name not in names:
                self.wrong(1, name, Msg("This column is missing."))
        if not self.sheet.rows:
            self.wrong(2, "", Msg("There is no opening in this file."))
        if len(self.sheet.rows) > MOST_ROWS:
            self.wrong(MOST_ROWS + 2, "", Msg("At most {count} rows at once.", count=MOST_ROWS))

    def row(self, row: SheetRow) -> None:
        before = len(self.made.wrong)
        if row.extra:
            self.wrong(row.number, "", Msg("This row has more cells than there are columns."))
        cells = {name: self._cell(row, name) for name in row.cells}
        place = {name: cells.get(name, "").strip() for name in PLACE}
        for name, most in _MOST_TEXT.items():
            if name in NEEDED and not place[name]:
                self.wrong(row.number, name, Msg("This cell is empty."))
            if len(place[name]) > most:
                words = Msg("At most {count} characters fit here.", count=most)
                self.wrong(row.number, name, words)
        procedure = self._procedure(row.number, place["procedure"])
        crew = self._crew(row.number, place["crew"])
        self._letter(row.number, place)
        depth = self._depth(row.number, place["depth"], (place["job"], place["address"]))
        drawn = self._drawn(cells, place["procedure"], procedure)
        for problem in drawn.problems:
            column = "limits" if problem.field.startswith("limit.") else problem.field
            self.wrong(row.number, column, problem.message)
        self._door(row.number, drawn, procedure)
        practice, wrong = practising.read_practice(cells, drawn.drawing, self.known.units)
        for column, words in wrong.items():
            self.wrong(row.number, column, words)
        if len(self.made.wrong) == before and procedure is not None:
            job = (place["job"], place["address"])
            taken = OpeningRow(
                job,
                place["homeowner"],
                place["builder"],
                place["letter"],
                place["room"],
                crew,
                procedure,
                drawn.drawing,
                depth,
                practice,
            )
            self.made.taken.append(taken)

    def _cell(self, row: SheetRow, name: str) -> str:
        cell = row.cells[name]
        if len(cell) > MOST_CELL:
            words = Msg("At most {count} characters fit here.", count=MOST_CELL)
            self.wrong(row.number, name, words)
        return cell[:MOST_CELL]

    def _procedure(self, number: int, name: str) -> Json | None:
        found = self.known.procedures.get(name)
        if found is None:
            words = Msg("There is no procedure of this name here.")
            words = words if name else Msg("Say which procedure.")
            self.wrong(number, "procedure", words)
        return found

    def _depth(self, number: int, text: str, job: tuple[str, str]) -> str:
        depths = self.known.depths
        depth = text.casefold() or depths.get(job, depths["", ""])
        if depth not in DEPTHS:
            words = Msg("Choose one of: {choices}.", choices=", ".join(DEPTHS))
            self.wrong(number, "depth", words)
        return depth

    def _door(self, number: int, drawn: reading.DrawingRead, procedure: Json | None) -> None:
        door = drawn.drawing["door"]
        known = procedure is not None and door in fields.CHOICES["door"]
        if known and procedure is not None and door not in procedure["doors"]:
            words = Msg("This procedure is not for that kind of door.")
            self.wrong(number, "procedure", words)

    def _crew(self, number: int, text: str) -> list[str]:
        logins = [login for login in re.split(r"[\s|;,]+", text.casefold()) if login]
        for login in logins:
            if login not in self.known.people:
                words = Msg("No installer signs in as {login}.", login=login)
                self.wrong(number, "crew", words)
        return [self.known.people[login] for login in logins if login in self.known.people]

    def _letter(self, number: int, place: dict[str, str]) -> None:
        letters = self._letters.setdefault((place["job"], place["address"]), set())
        if place["letter"] in letters:
            words = Msg("This job has an opening {letter} already.", letter=place["letter"])
            self.wrong(number, "letter", words)
        letters.add(place["letter"])

    def _drawn(
        self, cells: dict[str, str], name: str, procedure: Json | None
    ) -> reading.DrawingRead:
        if name not in self._terms:
            self._terms[name] = reading.terms_of(self.known.units, procedure)
        return reading.read_drawing(cells, self._terms[name])


def write_openings(session: Session, taken: Sequence[OpeningRow], hand: Hand) -> list[str]:
    """Add jobs, openings, crews and the office's events, all at once; returns the openings' ids."""
    office = device_id(session, "office")
    jobs = _jobs_of(session, taken)
    openings: list[Json] = []
    events: list[Json] = []
    crews: list[Json] = []
    for one in taken:
        id_ = uuid7()
        place = {"id": id_, "job": jobs[one.job], "letter": one.letter, "room": one.room}
        openings.append(place)
        events.append(_issue_event(one, id_, office, hand))
        crews.extend({"opening": id_, "person": person} for person in dict.fromkeys(one.crew))
    connection = session.connection()
    connection.execute(Opening.__table__.insert(), openings)  # type: ignore[attr-defined]
    log.begin_openings(session, events)
    if crews:
        connection.execute(Assigned.__table__.insert(), crews)  # type: ignore[attr-defined]
    return [opening["id"] for opening in openings]


def _jobs_of(session: Session, taken: Sequence[OpeningRow]) -> dict[tuple[str, str], str]:
    found = session.exec(select(Job).order_by(col(Job.id).desc())).all()
    jobs = {(job.title, job.address): job.id for job in found}
    for one in taken:
        if one.job not in jobs:
            jobs[one.job] = uuid7()
            title, address = one.job
            place = {"title": title, "address": address, "homeowner": one.homeowner}
            session.add(Job(id=jobs[one.job], builder=one.builder, **place))
    session.flush()
    return jobs


def _issue_event(one: OpeningRow, opening: str, office: str, hand: Hand) -> Json:
    draft = {
        "id": uuid7(),
        "device": office,
        "opening": opening,
        "seen": {},
        "at": hand.at,
        "person": hand.person,
        "kind": "opening.issued",
        "body": issue_body(one.procedure, one.drawing, one.depth, one.practice),
    }
    return new_event([], draft)


def row_of(opening: Json, state: State, logins: Sequence[str]) -> dict[str, str]:
    """Return an opening as a row that is read again as the same; see write_openings()."""
    drawing, procedure = state.drawing.data, state.procedure
    texts = in_columns(texts_of(drawing, "in", fields.limits_of(procedure)))
    return {
        "job": opening["job_title"],
        "address": opening["address"],
        "homeowner": opening["homeowner"],
        "builder": opening["builder"],
        "letter": opening["letter"],
        "room": opening["room"],
        "crew": " ".join(logins),
        "procedure": procedures.key_of(procedure),
        "depth": state.depth,
        **practising.column_texts(state.practice),
        **texts,
    }
