"""/office/take-out: one opening, one job or everything, as CSV, JSON, or both with photos."""

import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from app.access.server import server_of
from app.access.who import need_supervisor
from app.core.errors import AppError, MissingError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.state import State
from app.office.issue import work
from app.office.moving import openings, readings, records, sheet
from app.office.moving.take_in import csv_file
from app.office.pages import office_page
from app.store import log, people, procedures
from app.store.log import received_now
from app.store.tables import Assigned, Job, Opening, Person, PhotoOf

router = APIRouter(prefix="/office/take-out")
Asker = Annotated[Person, Depends(need_supervisor)]
FORMATS = Path(__file__).with_name("FORMATS.md")
FILES = ("openings.csv", "readings.csv", "records.json", "all.zip")


@router.get("")
def take_out_page(request: Request, _: Asker) -> Response:
    """Show the ways to take everything out."""
    return _take_out_response(request, "/office/take-out/all", "")


@router.get("/job/{job}")
def of_job(request: Request, _: Asker, job: str) -> Response:
    """Show the ways to take a job out."""
    with server_of(request).database.read() as session:
        title = work.job_of(session, job).title
    return _take_out_response(request, f"/office/take-out/job/{job}", title)


@router.get("/opening/{opening}")
def of_opening(request: Request, _: Asker, opening: str) -> Response:
    """Show the ways to take an opening out."""
    with server_of(request).database.read() as session:
        found = work.opening_of(session, opening)
    return _take_out_response(
        request, f"/office/take-out/opening/{opening}", f"{found.letter} {found.room}"
    )


def _take_out_response(request: Request, path: str, of: str) -> Response:
    links = {name.partition(".")[0]: f"{path}/{name}" for name in FILES}
    return office_page(request, "office/take_out.html", Msg("Export"), {"links": links, "of": of})


@router.get("/all/{file}")
def all_file(request: Request, _: Asker, file: str) -> Response:
    """Return everything as one of the files."""
    return _file_response(request, file)


@router.get("/job/{job}/{file}")
def job_file(request: Request, _: Asker, job: str, file: str) -> Response:
    """Return a job as one of the files."""
    with server_of(request).database.read() as session:
        work.job_of(session, job)
    return _file_response(request, file, job=job)


@router.get("/opening/{opening}/{file}")
def opening_file(request: Request, _: Asker, opening: str, file: str) -> Response:
    """Return an opening as one of the files."""
    with server_of(request).database.read() as session:
        work.opening_of(session, opening)
    return _file_response(request, file, opening=opening)


def _file_response(request: Request, file: str, job: str = "", opening: str = "") -> Response:
    if file not in FILES:
        raise MissingError("page-unknown", Msg("There is no such page."))
    out = Out(request, job, opening)
    if file == "all.zip":
        return out.zipped()
    name = "sillbook-" + file
    if file.endswith(".csv"):
        return csv_file(name, out.pieces(file))
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingResponse(out.pieces(file), media_type="application/json", headers=headers)


class Out:
    """What is taken out: which openings, and the files made of them."""

    def __init__(self, request: Request, job: str, opening: str) -> None:
        self.database = server_of(request).database
        self.cache: dict[str, Json] = request.app.state.office.procedures
        self.job = job
        self.opening = opening

    def pieces(self, file: str) -> Iterator[str]:
        """Yield a file's text; all of it shows one state of the database."""
        with self.database.read() as session:
            found = records.openings_in(session, self.job, self.opening)
            if file == "records.json":
                yield from records.record_texts(session, found, received_now())
                return
            places = self._places(session, found)
            known = procedures.all_of(session, self.cache)
            if file == "openings.csv":
                yield from sheet.sheet_text(openings.COLUMNS, self._rows(session, places, known))
            else:
                names = people.names_by_id(session)
                rows = readings.reading_rows(session, places, known, names)
                yield from sheet.sheet_text(readings.NAMES, rows)

    @staticmethod
    def _places(session: Session, found: list[Opening]) -> list[Json]:
        jobs = {job.id: job for job in session.exec(select(Job))}
        return [
            {
                "id": one.id,
                "job_title": jobs[one.job].title,
                "address": jobs[one.job].address,
                "homeowner": jobs[one.job].homeowner,
                "builder": jobs[one.job].builder,
                "letter": one.letter,
                "room": one.room,
            }
            for one in found
        ]

    @staticmethod
    def _rows(
        session: Session, places: list[Json], known: dict[str, Json]
    ) -> Iterator[dict[str, str]]:
        logins: dict[str, list[str]] = {}
        crews = select(Assigned.opening, Person.login).join(Person)
        for opening, login in session.exec(crews.order_by(col(Person.login))):
            logins.setdefault(opening, []).append(login)
        for place in places:
            try:
                state = State(log.events_of(session, [place["id"]])[place["id"]], known)
            except AppError:  # not issued: it has no drawing
                continue
            crew = logins.get(place["id"], [])
            yield openings.row_of(place, state, crew)

    def zipped(self) -> Response:
        """Return a ZIP with the other files, the photos, and what they mean."""
        kept = tempfile.TemporaryFile()  # noqa: SIM115  (closed when the answer has been sent)
        self._fill(kept)
        size = kept.tell()
        kept.seek(0)
        headers = {
            "Content-Disposition": 'attachment; filename="sillbook-all.zip"',
            "Content-Length": str(size),
        }
        pieces = iter(lambda: kept.read(1 << 16), b"")
        done = BackgroundTask(kept.close)
        return StreamingResponse(
            pieces, media_type="application/zip", headers=headers, background=done
        )

    def _fill(self, kept: IO[bytes]) -> None:
        with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as out:
            out.write(FORMATS, "FORMATS.md")
            for file in FILES[:-1]:
                with out.open(file, "w") as to:
                    for piece in self.pieces(file):
                        to.write(piece.encode())
            for sha256 in self._photos():
                data = self.database.photos.read_photo(sha256)
                if data is not None:
                    out.writestr(f"photos/{sha256}.jpg", data, zipfile.ZIP_STORED)

    def _photos(self) -> list[str]:
        with self.database.read() as session:
            ids = {one.id for one in records.openings_in(session, self.job, self.opening)}
            wanted = select(PhotoOf.sha256, PhotoOf.opening).order_by(col(PhotoOf.sha256))
            return sorted({sha256 for sha256, opening in session.exec(wanted) if opening in ids})
