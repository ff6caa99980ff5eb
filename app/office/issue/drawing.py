"""/office/drawing/ID: a drawing that changes: phones get it, and what it touches breaks."""

from collections.abc import Iterable
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages.request import seen_from, seen_text
from app.core.quantity.messages import Msg
from app.core.record.state import State
from app.field.server import local_now
from app.office.issue import reading, shown, stops, work
from app.office.issue.jobs import is_id
from app.office.issue.openings import _UNITS
from app.office.issue.writing import texts_of
from app.office.pages import form_field, form_of, office_page, summary_of
from app.store import log, procedures
from app.store.ids import uuid7
from app.store.tables import Person

router = APIRouter(prefix="/office/drawing")
Asker = Annotated[Person, Depends(need_supervisor)]


class DrawingForm:
    """One request for the form of a drawing that is there already."""

    def __init__(self, request: Request, session: Session, id: str) -> None:
        self.request = request
        self.speaker = speaker_of(request)
        self.opening = work.opening_of(session, id)
        self.job = work.job_of(session, self.opening.job)
        self.known = procedures.all_of(session, request.app.state.office.procedures)
        self.state = State(log.events_of(session, [id])[id], self.known)
        before = self.state.drawing.data
        self.terms = reading.terms_of(self.speaker.units, self.state.procedure, before)
        self.texts = texts_of(before, self.speaker.units, self.terms.limits)
        self.error = ""

    def typed(self, form: dict[str, str]) -> reading.DrawingRead:
        """Take a form and return the drawing that it describes."""
        self.texts = form
        return reading.read_drawing(form, self.terms)

    def revision(self, drawn: reading.DrawingRead) -> work.DrawingRevision:
        """Return the revision that the form asks for."""
        form = self.texts
        asked = [query["id"] for query in self._open_queries()]
        query = form.get("query", "")
        return work.DrawingRevision(
            form.get("id", ""),
            self.opening.id,
            drawn.drawing,
            form.get("why", "").strip(),
            seen_from(form.get("seen", "")),
            query if query in asked else "",
            form.get("second", ""),
        )

    def errors(self, drawn: reading.DrawingRead) -> dict[str, Msg]:
        """Return what is wrong beside the drawing's own fields."""
        form = self.texts
        out: dict[str, Msg] = {}
        if not form.get("why", "").strip():
            out["why"] = Msg("Say why the drawing changes: the crew reads it.")
        elif len(form["why"]) > 1000:
            out["why"] = Msg("At most {count} characters fit here.", count=1000)
        if drawn.drawing["door"] not in ("", *self.state.procedure["doors"]):
            out["door"] = Msg("The opening's procedure is not for that kind of door.")
        if not all(is_id(form.get(name, "")) for name in ("id", "second")):
            out[""] = work.USED
        if not drawn.problems and drawn.drawing == self.state.drawing.data:
            out[""] = Msg("Nothing of the drawing was changed.")
        return out

    def page(
        self, drawn: reading.DrawingRead | None = None, errors: dict[str, Msg] | None = None
    ) -> Response:
        """Return the form; with errors as 422."""
        say = self.speaker.say
        said = {name: say(words) for name, words in (errors or {}).items()}
        refused = errors is not None
        why = form_field("why", say(Msg("Why the drawing changes")), self.texts.get("why", ""))
        why = {**why, "kind": "area", "error": said.get("why", "")}
        extra = [why, *self._queries()]
        sheet = shown.door_form(self.speaker, self.texts, self.terms, drawn if refused else None)
        hidden = {name: self.texts.get(name) or uuid7() for name in ("id", "second")}
        seen = self.texts.get("seen") or seen_text(self.state.heads)
        form = form_of(f"/office/drawing/{self.opening.id}", **hidden, seen=seen)
        form["error"] = said.get("", "") or said.get("door", "")
        context = {
            "form": form,
            "heading": say(Msg("Drawing of opening {letter}", letter=self.opening.letter)),
            "job": {"title": self.job.title, "href": f"/office/jobs/{self.job.id}"},
            "place": [],
            "depth": None,
            "way": None,
            "faults": [],
            "planted": False,
            "sheet": sheet,
            "errors": summary_of(extra) + sheet["errors"],
            "crew": [],
            "copies": [],
            "begun": "",
            "revising": {"fields": extra, "room": self.opening.room},
            "preview": self.preview(drawn, errors or {}) if drawn is not None else None,
            "preview_at": f"/office/drawing/{self.opening.id}/preview",
            "rows": str(len(sheet["panels"]) + 2),
            "units": say(_UNITS[self.speaker.units]),
            "send": say(Msg("Send the revised drawing")),
        }
        title = Msg("Drawing")
        return office_page(
            self.request, "office/opening_form.html", title, context, 422 if refused else 200
        )

    def _open_queries(self) -> list[Json]:
        """Return the queries that wait: without an answer, or told to wait."""
        waiting = ("", "wait")
        said = [(query, a["body"]["answer"] if a else "") for query, a in self.state.queries()]
        return [query for query, answer in said if answer in waiting]

    def _queries(self) -> list[Json]:
        choices = [
            {
                "value": query["id"],
                "text": query["body"]["words"][:120],
                "chosen": query["id"] == self.texts.get("query"),
            }
            for query in self._open_queries()
        ]
        if not choices:
            return []
        label = self.speaker.say(Msg("The query that this answers"))
        return [form_field("query", label, kind="select", choices=choices)]

    def preview(self, drawn: reading.DrawingRead, errors: Iterable[str]) -> Json:
        """Return the pictures, and which sign-offs this drawing would break.

        errors: the fields beside the drawing that are wrong.
        """
        made = shown.drawing_preview(self.speaker, drawn, errors)
        if drawn.problems:
            return made
        events = self.state.ledger.events
        revised = work.trial_revision(events, self.opening.id, drawn.drawing)
        made["stops"] = stops.stops_shown(self.speaker, State(events + revised, self.known))
        if drawn.drawing != self.state.drawing.data:
            made["breaks"] = [self.speaker.say(line) for line in self._breaks(events, revised)]
        return made

    def _breaks(self, events: list[Json], made: list[Json]) -> list[Msg]:
        return [
            Msg("{id} {title}", id=key.partition(":")[0], title=title)
            for key, title in work.broken_sign_offs(events, made, self.known)
        ]


@router.get("/{id}")
def drawing_page(request: Request, _: Asker, id: str, query: str = "") -> Response:
    """Show the drawing of an opening as a form; query: the one that it is to answer."""
    with server_of(request).database.read() as session:
        sheet = DrawingForm(request, session, id)
    sheet.texts["query"] = query
    return sheet.page()


@router.post("/{id}/preview")
def preview_revision(request: Request, _: Asker, id: str, form: FormFields) -> Response:
    """Return the door as it would be, and what that breaks; nothing is kept."""
    with server_of(request).database.read() as session:
        sheet = DrawingForm(request, session, id)
    drawn = sheet.typed(form)
    context = {"preview": sheet.preview(drawn, sheet.errors(drawn))}
    return office_page(request, "office/preview.html", Msg("Preview"), context)


@router.post("/{id}")
def send_revision(request: Request, person: Asker, id: str, form: FormFields) -> Response:
    """Keep the revised drawing; or show the form again."""
    with server_of(request).database.read() as session:
        sheet = DrawingForm(request, session, id)
        sent = work.is_kept(session, form.get("id", ""), id)
    drawn = sheet.typed(form)
    if form.get("act") != "issue":
        return sheet.page(drawn)
    errors = {} if sent else sheet.errors(drawn)
    if errors or drawn.problems:
        return sheet.page(drawn, errors)
    try:
        with server_of(request).database.write() as session:
            work.revise_drawing(session, sheet.revision(drawn), work.Hand(person.id, local_now()))
    except AppError as error:
        sheet.texts = {**form, "id": "", "second": "", "seen": ""}
        return sheet.page(drawn, {"": error.message})
    return RedirectResponse(f"/office/o/{id}", 303)
