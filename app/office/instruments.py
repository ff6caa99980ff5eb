"""/office/instruments: the company's levels, lasers, tapes and gauges, and their daily checks."""

from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.core.errors import InputError, MissingError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages import instruments as shown
from app.core.pages.request import Request as Asked
from app.core.quantity.measure import exact_text, parse_amount
from app.core.quantity.messages import Msg
from app.core.record import tools
from app.core.trade.instruments import SORTS, TAPE_CLASSES, instrument_of
from app.field.server import local_now
from app.office.issue.jobs import is_id
from app.office.issue.work import USED
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.store import instruments as register
from app.store import people
from app.store.ids import uuid7
from app.store.instrument_tables import Check, Instrument
from app.store.tables import Person

router = APIRouter(prefix="/office/instruments")
Asker = Annotated[Person, Depends(need_supervisor)]
PAGE = 50
MOST_NAME = 60
SLOPE_OVER = 10  # metres: over which a level or laser is said to be out
_NAMES = ("name", "sort", "grade", "resolution", "slope", "retired")


_FORM = Form(Msg("Add or change an instrument"), Msg("Keep the instrument"))


def asked_by(request: Request, person: Person, form: dict[str, str] | None = None) -> Asked:
    """Return a request as the core's pages take it, for their pieces that are shown here."""
    data: Json = {
        "method": "GET" if form is None else "POST",
        "path": request.url.path,
        "form": form or {},
        "now": local_now(),
        "ids": [uuid7()],
        "device": "",
        "person": people.as_json(person),
        "book": {"openings": [], "events": {}, "procedures": {}},
    }
    return Asked(data, speaker_of(request))


@router.get("")
def list_instruments(request: Request, person: Asker, after: str = "") -> Response:
    """List the instruments by name, a page at a time."""
    with server_of(request).database.read() as session:
        found = _instrument_rows(session, after[: 2 * MOST_NAME])
    asked = asked_by(request, person)
    rows = found[:PAGE]
    context = {
        "lines": [_instrument_line(asked, one, check) for one, check in rows],
        "next": rows[-1][0].name if len(found) > PAGE else "",
    }
    return office_page(request, "office/instruments.html", Msg("Instruments"), context)


def _instrument_rows(session: Session, after: str) -> list[tuple[Instrument, Check | None]]:
    last = col(Check.occasion) == col(Instrument.last)
    wanted = select(Instrument, Check).join(Check, last, isouter=True)
    if after:
        wanted = wanted.where(col(Instrument.name) > after)
    return list(session.exec(wanted.order_by(col(Instrument.name)).limit(PAGE + 1)))


def _instrument_line(asked: Asked, one: Instrument, check: Check | None) -> Json:
    known = register.as_json(one, check)
    return {
        "href": f"/office/instruments/{one.id}",
        "name": one.name,
        "facts": shown.facts_text(asked, known),
        "check": shown.check_text(asked, known["checked"]),
        "badge": shown.check_badge(asked, known["checked"]),
        "retired": one.retired,
    }


def _instrument_fields(
    request: Request, typed: dict[str, str], errors: dict[str, str]
) -> list[Json]:
    say = speaker_of(request).say
    sorts = [(sort, say(shown.SORTS[sort])) for sort in SORTS]
    grades = [(grade, say(Msg("class {grade}", grade=grade))) for grade in TAPE_CLASSES]
    out = Msg("A level or laser: out by at most, in {length} m", length=SLOPE_OVER)
    rows: list[tuple[str, str, str, list[tuple[str, str]]]] = [
        ("name", say(Msg("Name, as it is marked")), "text", []),
        ("sort", say(Msg("What it is")), "select", sorts),
        ("resolution", say(Msg("Read to (its smallest step)")), "text", []),
        ("grade", say(Msg("Class, of a tape or rule")), "select", grades),
        ("slope", say(out), "text", []),
        ("retired", say(Msg("No longer in use")), "check", []),
    ]
    return [
        form_field(
            name,
            label,
            typed.get(name, ""),
            kind=kind,
            error=errors.get(name, ""),
            choices=[common.form_choice(v, text, v == typed.get(name)) for v, text in choices],
        )
        for name, label, kind, choices in rows
    ]


def _read_columns(form: dict[str, str], units: str) -> tuple[dict[str, str], dict[str, Msg]]:
    """Return an instrument's columns as typed, and what is wrong with which field."""
    made = {name: form.get(name, "").strip() for name in _NAMES}
    errors: dict[str, Msg] = {}
    if not made["name"]:
        errors["name"] = Msg("Give the instrument a name.")
    elif len(made["name"]) > MOST_NAME:
        errors["name"] = Msg("At most {count} characters fit here.", count=MOST_NAME)
    if made["sort"] not in SORTS:
        return made, {**errors, "sort": Msg("Choose what it is.")}
    kind = instrument_of(made["sort"])
    if kind.grade and made["grade"] not in TAPE_CLASSES:
        errors["grade"] = Msg("A tape's class is I, II or III.")
    _read_length(made, errors, "resolution", units, 1)
    if kind.slope:
        _read_length(made, errors, "slope", units, SLOPE_OVER)
    else:
        made["slope"] = "0"
    made["grade"] = made["grade"] if kind.grade else ""
    return made, errors


def _read_length(
    made: dict[str, str], errors: dict[str, Msg], name: str, units: str, over: int
) -> None:
    try:
        value = parse_amount("length", made[name], units)
    except InputError as error:
        errors[name] = error.message
        return
    if value < over:
        errors[name] = Msg("Give a length above nothing.")
    made[name] = str(value // over)


@router.get("/new")
def new_instrument_page(request: Request, _: Asker) -> Response:
    """Show the form for a new instrument."""
    return _form_response(request, "/office/instruments/new", {"id": uuid7()}, {})


def _form_response(
    request: Request, action: str, typed: dict[str, str], errors: dict[str, str]
) -> Response:
    fields = _instrument_fields(request, typed, errors)
    form = form_of(action, errors.get("", ""), id=typed.get("id", ""))
    return show_form(request, _FORM, form, fields)


@router.post("/new")
def add_instrument(request: Request, person: Asker, form: FormFields) -> Response:
    """Add an instrument."""
    id = form.get("id", "")
    if not is_id(id):
        return _form_again(request, "/office/instruments/new", {**form, "id": uuid7()}, {"": USED})
    return _keep_instrument(request, person, form, id, "/office/instruments/new")


def _form_again(
    request: Request, action: str, form: dict[str, str], errors: dict[str, Msg]
) -> Response:
    say = speaker_of(request).say
    return _form_response(
        request, action, form, {name: say(words) for name, words in errors.items()}
    )


def _keep_instrument(
    request: Request, person: Person, form: dict[str, str], id: str, action: str
) -> Response:
    made, errors = _read_columns(form, person.units)
    if errors:
        return _form_again(request, action, form, errors)
    with server_of(request).database.write() as session:
        other = select(Instrument.id).where(Instrument.name == made["name"], Instrument.id != id)
        used = session.exec(other).first() is not None
        if not used:
            _write_row(session, id, made)
    if used:
        words = Msg("Another instrument has this name.")
        return _form_again(request, action, form, {"name": words})
    return RedirectResponse(f"/office/instruments/{id}", 303)


def _write_row(session: Session, id: str, made: dict[str, str]) -> None:
    known = session.get(Instrument, id) or Instrument(id=id, name="", sort="", resolution="")
    for name in _NAMES[:-1]:
        setattr(known, name, made[name])
    known.retired = made["retired"] == "yes"
    session.add(known)


def _instrument_and_check(session: Session, id: str) -> tuple[Instrument, Check | None]:
    found = session.get(Instrument, id)
    if found is None:
        raise MissingError("instrument-unknown", Msg("There is no such instrument."))
    return found, session.get(Check, found.last) if found.last else None


@router.get("/{instrument}/change")
def change_page(request: Request, person: Asker, instrument: str) -> Response:
    """Show the form that changes an instrument."""
    with server_of(request).database.read() as session:
        one, _ = _instrument_and_check(session, instrument)
    typed = {
        "id": one.id,
        "name": one.name,
        "sort": one.sort,
        "grade": one.grade,
        "resolution": exact_text(int(one.resolution), person.units),
        "slope": exact_text(int(one.slope) * SLOPE_OVER, person.units) if int(one.slope) else "",
        "retired": "yes" if one.retired else "",
    }
    return _form_response(request, f"/office/instruments/{instrument}/change", typed, {})


@router.post("/{instrument}/change")
def keep_change(request: Request, person: Asker, instrument: str, form: FormFields) -> Response:
    """Keep what was changed of an instrument; what was judged before stays as it was."""
    with server_of(request).database.read() as session:
        _instrument_and_check(session, instrument)
    return _keep_instrument(
        request, person, form, instrument, f"/office/instruments/{instrument}/change"
    )


@router.get("/{instrument}")
def instrument_page(request: Request, person: Asker, instrument: str, after: str = "") -> Response:
    """Show an instrument: what it is judged with, its checks, and the form for one made here."""
    return _instrument_response(request, instrument, asked_by(request, person), after[:200])


def _instrument_response(
    request: Request, id: str, asked: Asked, after: str = "", status: int = 200
) -> Response:
    with server_of(request).database.read() as session:
        found, check = _instrument_and_check(session, id)
        checks = register.checks_of(session, id, after)
        names = people.names_by_id(session)
    known = register.as_json(found, check)
    asked.people = names
    rows = checks[: register.PAGE]
    more = len(checks) > register.PAGE
    context = {
        "name": found.name,
        "retired": found.retired,
        "facts": [
            common.labelled_fact(asked.say(Msg("What it is")), shown.facts_text(asked, known)),
            common.labelled_fact(asked.say(Msg("Judged with")), shown.judged_text(asked, known)),
            common.labelled_fact(
                asked.say(Msg("Last check")), shown.check_text(asked, known["checked"])
            ),
        ],
        "badge": shown.check_badge(asked, known["checked"]),
        "change": f"/office/instruments/{id}/change",
        "checking": [shown.way_shown(asked, None, known, w) for w in tools.WAYS_OF[found.sort]],
        "checks": [_check_line(asked, one) for one in rows],
        "here": f"/office/instruments/{id}",
        "next": f"{rows[-1].order}~{rows[-1].occasion}" if more else "",
    }
    return office_page(request, "office/instrument.html", Msg("An instrument"), context, status)


def _check_line(asked: Asked, check: Check) -> Json:
    event = {"id": check.occasion, "body": register.body_of(check), "at": check.at,
             "person": check.person, "device": "", "n": 0, "seen": {}}  # fmt: skip
    row = shown.check_row(asked, None, event)
    row["struck"] = check.struck
    row["strike"] = None if check.struck else row["strike"]
    return row


@router.post("/{instrument}")
def act_on_instrument(
    request: Request, person: Asker, instrument: str, form: FormFields
) -> Response:
    """Keep a check made at the office, or strike one."""
    asked = asked_by(request, person, form)
    try:
        if form.get("act") == "strike":
            _strike_check(request, asked, instrument)
        else:
            _enter_check(request, asked, instrument)
    except InputError as error:
        asked.trouble = {
            "form": form.get("form", ""),
            "error": asked.say(error.message),
            "typed": form,
            "code": error.code,
        }
        return _instrument_response(request, instrument, asked, status=422)
    return RedirectResponse(f"/office/instruments/{instrument}", 303)


def _strike_check(request: Request, asked: Asked, id: str) -> None:
    why = asked.required("why", Msg("Say in a word why it is struck."))
    with server_of(request).database.write() as session:
        _instrument_and_check(session, id)
        register.strike_check(session, asked.typed("target"), asked.person["id"], asked.now, why)


def _enter_check(request: Request, asked: Asked, id: str) -> None:
    with server_of(request).database.write() as session:
        found, _ = _instrument_and_check(session, id)
        occasion = asked.typed("id", 36)
        if not is_id(occasion):
            raise InputError("form-used", USED)
        body = shown.body_of(asked, register.as_json(found, None), occasion)
        register.keep_check(session, body, asked.person["id"], asked.now)
