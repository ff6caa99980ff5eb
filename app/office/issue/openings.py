"""/office/jobs/ID/openings: an opening from its shop drawing, drawn as it is typed, and issued."""

from collections.abc import Iterable
from string import ascii_uppercase
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError, RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.ledger import Ledger
from app.core.where.places import DEPTHS
from app.field.server import local_now
from app.office.issue import practising, reading, shown, stops, work
from app.office.issue.door_templates import (
    door_of_opening,
    door_of_template,
    template_words,
)
from app.office.issue.jobs import crew_fields, crew_in, is_id
from app.office.issue.writing import texts_of
from app.office.pages import form_field, form_of, office_page, summary_of
from app.store import log
from app.store.door_templates import (
    CHOSEN,
    IDENTITY,
    DoorTemplate,
    template_of_id,
    templates_in_use,
)
from app.store.ids import uuid7
from app.store.summary_tables import Summary
from app.store.tables import Opening, Person

router = APIRouter(prefix="/office/jobs/{job}/openings")
Asker = Annotated[Person, Depends(need_supervisor)]
MOST = 80
MOST_COPIES = 25
_PLACE = (
    ("letter", Msg("Letter of the opening"), Msg("Give the opening a letter.")),
    ("room", Msg("Room"), Msg("Say which room it is in.")),
)


def place_faults(texts: dict[str, str]) -> dict[str, Msg]:
    """Return what is wrong with an opening's letter and room, by field."""
    faults = {name: words for name, _, words in _PLACE if not texts.get(name, "").strip()}
    long = Msg("At most {count} characters fit here.", count=MOST)
    return faults | {name: long for name, *_ in _PLACE if len(texts.get(name, "")) > MOST}


def procedure_fault(procedure: Json | None, drawn: reading.DrawingRead) -> Msg | None:
    """Return why an opening of this drawing cannot follow a procedure; None where it can."""
    if procedure is None:
        return Msg("Choose a procedure.")
    door = drawn.drawing["door"]
    if door and door not in procedure["doors"]:
        return Msg("This procedure is not for that kind of door.")
    return None


class OpeningForm:
    """One request for the form of an opening: what it needs to know, and what was typed."""

    def __init__(self, request: Request, session: Session, job: str, texts: dict[str, str]) -> None:
        self.request = request
        self.speaker = speaker_of(request)
        self.job = work.job_of(session, job)
        self.texts = texts
        cache: dict[str, Json] = request.app.state.office.procedures
        self.procedures = work.newest_procedures(session, cache)
        self.people = work.installers(session)
        self.chosen = texts.get("procedure") or work.usual_procedure(
            session, self.procedures, texts.get("door", "")
        )
        self.procedure = self.procedures.get(self.chosen)
        # what no field shows comes over from the door that was copied
        copied, self.begun = _begun_with(session, texts.get("copy", ""))
        self.terms = reading.terms_of(self.speaker.units, self.procedure, copied)
        self.doors = _doors_to_copy(session, job)
        self.templates = templates_in_use(session)
        self.depth = texts.get("depth") or work.depth_for(session, self.job)
        self.practice: Json | None = None

    def read(self) -> tuple[reading.DrawingRead, dict[str, Msg]]:
        """Return the drawing as typed, and the errors of the fields that are not the drawing's."""
        drawn = reading.read_drawing(self.texts, self.terms)
        errors = place_faults(self.texts)
        fault = procedure_fault(self.procedure, drawn)
        errors |= {"procedure": fault} if fault is not None else {}
        if self.depth not in DEPTHS:
            errors["depth"] = Msg("Choose one.")
        self.practice, wrong = practising.read_practice(
            self.texts, drawn.drawing, self.speaker.units
        )
        errors |= wrong
        if self.practice and self.procedure and not errors and not drawn.problems:
            errors |= practising.unseen_faults(
                self.texts, self.procedure, drawn.drawing, self.depth, self.practice
            )
        return drawn, errors

    def page(
        self, drawn: reading.DrawingRead | None, errors: dict[str, Msg], status: int = 200
    ) -> Response:
        """Return the form with all that was typed."""
        say = self.speaker.say
        said = {name: say(words) for name, words in errors.items()}
        fields = [
            form_field(name, say(label), self.texts.get(name, ""), error=said.get(name, ""))
            for name, label, _ in _PLACE
        ]
        fields.append(self._procedures(said.get("procedure", "")))
        depth = self._depths(said.get("depth", ""))
        way = practising.way_field(say, self.texts, said.get("practice", ""))
        faults = practising.fault_fields(say, self.texts, said)
        planted = [way, *(one for row in faults for one in row["fields"])]
        sheet = shown.door_form(
            self.speaker, self.texts, self.terms, drawn if errors or status != 200 else None
        )
        hidden = {name: self.texts.get(name) or uuid7() for name in ("id", "opening")}
        hidden |= {"copy": self.texts["copy"]} if self.texts.get("copy") else {}
        form = form_of(f"/office/jobs/{self.job.id}/openings/new", **hidden)
        form["error"] = said.get("", "")
        context = {
            "form": form,
            "heading": say(Msg("New opening")),
            "job": {"title": self.job.title, "href": f"/office/jobs/{self.job.id}"},
            "place": fields,
            "depth": depth,
            "depth_is": self._depth_words(),
            "way": way,
            "faults": faults,
            "planted": any(one["value"] or one["error"] for one in planted),
            "sheet": sheet,
            "errors": summary_of([*fields, depth, *planted]) + sheet["errors"],
            "crew": crew_fields(self.people, crew_in(self.texts)),
            "revising": None,
            "copies": self._copies(),
            "begun": say(self.begun) if self.begun else "",
            "preview": self.preview(drawn, errors) if drawn is not None else None,
            "preview_at": f"/office/jobs/{self.job.id}/openings/preview",
            "rows": str(len(sheet["panels"]) + 2),
            "units": say(_UNITS[self.speaker.units]),
            "send": say(Msg("Issue this opening")),
        }
        return office_page(
            self.request, "office/opening_form.html", Msg("New opening"), context, status
        )

    def preview(self, drawn: reading.DrawingRead, errors: Iterable[str]) -> Json:
        """Return the door as drawn so far, and where its crew would be stopped.

        errors: the fields beside the drawing that are wrong.
        """
        made = shown.drawing_preview(self.speaker, drawn, errors)
        if not drawn.problems and self.procedure and self.depth in DEPTHS:
            trial = work.trial_state(self.procedure, drawn.drawing, self.depth)
            made["stops"] = stops.stops_shown(self.speaker, trial)
        return made

    def _copies(self) -> list[Json]:
        """Return what the door may begin with: templates first, then doors."""
        say = self.speaker.say
        listed = [
            *((CHOSEN + one.id, say(Msg("Template: {name}", name=one.name)))
              for one in self.templates),
            *((row.opening, f"{row.title} {row.letter} {row.room}") for row in self.doors),
        ]  # fmt: skip
        chosen = self.texts.get("copy")
        return [{"value": id, "text": text, "chosen": id == chosen} for id, text in listed]

    def _procedures(self, error: str) -> Json:
        choices = [
            {
                "value": key,
                "text": self.speaker.say(
                    Msg("{title}, version {n}", title=Msg(made["title"]), n=made["version"])
                ),
                "chosen": key == self.chosen,
            }
            for key, made in self.procedures.items()
        ]
        label = self.speaker.say(Msg("Procedure"))
        return form_field(
            "procedure", label, self.chosen, kind="select", error=error, choices=choices
        )

    def _depth_words(self) -> str:
        words = work.DEPTH_WORDS.get(self.depth, Msg("Choose one."))
        return self.speaker.say(Msg("How much is measured: {depth}", depth=words))

    def _depths(self, error: str) -> Json:
        say = self.speaker.say
        choices = work.depth_choices(say, self.depth)
        label = say(Msg("How much is measured"))
        return form_field("depth", label, self.depth, kind="select", error=error, choices=choices)


_UNITS = {
    "in": Msg("A number without a unit is in inches, °F, lb."),
    "mm": Msg("A number without a unit is in millimetres, °C, N, kg."),
}


@router.get("/new")
def new_opening_page(request: Request, _: Asker, job: str, copy: str = "") -> Response:
    """Show the form for an opening of a job; copy: the opening whose door it is filled with."""
    with server_of(request).database.read() as session:
        if work.job_of(session, job).closed:
            raise RefusedError("job-closed", work.JOB_CLOSED)
        texts = {"letter": _next_letter(session, job)}
        if copy:
            texts = _copied_texts(request, session, job, copy)
        sheet = OpeningForm(request, session, job, texts)
    drawn = reading.read_drawing(texts, sheet.terms) if copy else None
    return sheet.page(drawn, {})


def _copied_texts(request: Request, session: Session, job: str, copy: str) -> dict[str, str]:
    """Return the form of a new opening that begins with another's door, or with a template.

    Of another door its crew comes along.
    """
    cache: dict[str, Json] = request.app.state.office.procedures
    crew: set[str] = set()
    if copy.startswith(CHOSEN):
        door = door_of_template(template_of_id(session, copy.removeprefix(CHOSEN)))
    else:
        door = door_of_opening(session, cache, copy)
        crew = work.crew_of(session, copy)
    force = work.newest_procedures(session, cache)
    newest = [key for key, made in force.items() if made["id"] == door["procedure"]]
    units = speaker_of(request).units
    # limits are shown as those of the procedure that the new opening follows
    limits = reading.terms_of(units, force[newest[0]] if newest else None).limits
    texts = texts_of(door["drawing"], units, limits)
    texts |= {"copy": copy, "depth": door["depth"], "letter": _next_letter(session, job)}
    texts |= practising.form_texts(door.get("practice"), units)
    texts |= {f"crew.{person}": "yes" for person in crew}
    return texts | ({"procedure": newest[0]} if newest else {})


def _begun_texts(
    request: Request, session: Session, job: str, form: dict[str, str]
) -> dict[str, str]:
    """Return a form filled with another door; what was typed of this opening alone stays."""
    own = ("id", "opening", "letter", "room", *IDENTITY)
    typed = {
        name: text
        for name, text in form.items()
        if text and (name in own or name.startswith("crew."))
    }
    return _copied_texts(request, session, job, form["begin"]) | typed


def _next_letter(session: Session, job: str) -> str:
    """Return the first letter that no opening of a job has; "" where all are taken."""
    taken = set(session.exec(select(Opening.letter).where(Opening.job == job)))
    return next((letter for letter in ascii_uppercase if letter not in taken), "")


def _begun_with(session: Session, copy: str) -> tuple[Json | None, Msg | None]:
    """Return the drawing that a form was filled in with, and the words about its template.

    A template that was ended since then, or an opening that is not issued, gives none.
    """
    if copy.startswith(CHOSEN):
        row = session.get(DoorTemplate, copy.removeprefix(CHOSEN))
        return (row.drawing(), template_words(row)) if row is not None else (None, None)
    events = log.events_of(session, [copy])[copy] if copy else []
    drawn = Ledger(events).last("drawing")
    return (drawn["body"]["drawing"] if drawn is not None else None), None


def _doors_to_copy(session: Session, job: str) -> list[Summary]:
    """Return the openings whose door can be copied: the job's own, then those issued last."""
    own = select(Summary).where(Summary.job == job).order_by(col(Summary.letter))
    others = select(Summary).where(Summary.job != job).order_by(col(Summary.opening).desc())
    return [*session.exec(own.limit(MOST_COPIES)), *session.exec(others.limit(MOST_COPIES))]


@router.post("/preview")
def preview_opening(request: Request, _: Asker, job: str, form: FormFields) -> Response:
    """Return the door as it is drawn so far: a piece of the page, which nothing is kept of."""
    with server_of(request).database.read() as session:
        sheet = OpeningForm(request, session, job, form)
    context = {"preview": sheet.preview(*sheet.read())}
    return office_page(request, "office/preview.html", Msg("Preview"), context)


@router.post("/new")
def issue_opening(request: Request, person: Asker, job: str, form: FormFields) -> Response:
    """Issue an opening; or show the form again with a preview, more rows, or what is wrong."""
    with server_of(request).database.read() as session:
        if form.get("act") == "begin" and form.get("begin"):
            form = _begun_texts(request, session, job, form)
        sheet = OpeningForm(request, session, job, form)
    drawn, errors = sheet.read()
    if form.get("act") != "issue":
        return sheet.page(drawn, {})
    if not all(is_id(form.get(name, "")) for name in ("id", "opening")):
        errors[""] = work.USED
    procedure = sheet.procedure
    if errors or drawn.problems or procedure is None:
        return sheet.page(drawn, errors, 422)
    made = work.Issue(
        form["id"],
        form["opening"],
        job,
        form["letter"].strip(),
        form["room"].strip(),
        procedure,
        drawn.drawing,
        crew_in(form),
        sheet.depth,
        sheet.practice,
    )
    try:
        with server_of(request).database.write() as session:
            work.issue_opening(session, made, work.Hand(person.id, local_now()))
    except InputError as error:
        if error.code == "form-used":
            sheet.texts = {**form, "id": "", "opening": ""}
        where = "letter" if error.code == "letter-used" else ""
        return sheet.page(drawn, {where: error.message}, 422)
    return RedirectResponse(f"/office/jobs/{job}", 303)
