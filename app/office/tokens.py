"""/office/tokens: tokens by which other programs ask the API: made, shown once, ended."""

import logging
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_administrator
from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.office.pages import Form, form_field, form_of, show_form
from app.store import api_tokens
from app.store.api_tokens import ApiToken
from app.store.people import names_by_id
from app.store.tables import Person

router = APIRouter(prefix="/office/tokens")
Asker = Annotated[Person, Depends(need_administrator)]
MOST_NAME = 60
_SCOPES = ((api_tokens.READ, Msg("Read")), (api_tokens.WRITE, Msg("Read and write")))
_LASTS = (("30", Msg("30 days")), ("90", Msg("90 days")), ("365", Msg("one year")))
_SHOWN = {
    api_tokens.READ: Msg("Whoever has it can read what the office reads."),
    api_tokens.WRITE: Msg(
        "Whoever has it can read what the office reads, and add jobs, openings and webhooks."
    ),
}
_HOLDS = Msg("{scope}; made {day} by {who}, ends {end}")
_ENDED = Msg("{scope}; made {day} by {who}, ended {end}")
_FORM = Form(Msg("Data for programs"), Msg("Make a token"), template="office/tokens.html")
_LOG = logging.getLogger("sillbook.access")


@router.get("")
def tokens_page(request: Request, _: Asker) -> Response:
    """List the tokens, with the form for a new one."""
    return _tokens_response(request, {"name": "", "scope": "read", "days": "90"}, {})


def _tokens_response(
    request: Request, typed: dict[str, str], errors: dict[str, Msg], fresh: Json | None = None
) -> Response:
    say = speaker_of(request).say
    server = server_of(request)
    said = {name: say(words) for name, words in errors.items()}
    with server.database.read() as session:
        rows = api_tokens.listed_tokens(session)
        names = names_by_id(session)

    def choices(given: tuple[tuple[str, Msg], ...], chosen: str) -> list[Json]:
        return [{"value": v, "text": say(words), "chosen": v == chosen} for v, words in given]

    fields = [
        form_field("name", say(Msg("Which program it is for")), typed["name"],
                   error=said.get("name", "")),
        form_field("scope", say(Msg("What it may do")), kind="select",
                   choices=choices(_SCOPES, typed["scope"]), error=said.get("scope", "")),
        form_field("days", say(Msg("How long it holds")), kind="select",
                   choices=choices(_LASTS, typed["days"]), error=said.get("days", "")),
    ]  # fmt: skip
    tokens = [_token_line(request, row, names, int(server.clock())) for row in rows]
    form = form_of("/office/tokens", act="make")
    return show_form(request, _FORM, form, fields, fresh=fresh, tokens=tokens)


def _token_line(request: Request, row: ApiToken, names: dict[str, str], now: int) -> Json:
    say = speaker_of(request).say
    holds = row.ended is None and row.expires > now
    words = _HOLDS if holds else _ENDED
    about = Msg(
        words.template,
        scope=dict(_SCOPES)[row.scope], day=_day_of(row.made),
        who=names.get(row.person, row.person), end=_day_of(row.ended or row.expires),
    )  # fmt: skip
    end = form_of("/office/tokens", act="end", token=row.token_hash) if holds else None
    return {"name": row.name, "about": say(about), "end": end}


def _day_of(seconds: int) -> When:
    return When(datetime.fromtimestamp(seconds).date().isoformat())


@router.post("")
def change_tokens(request: Request, asker: Asker, form: FormFields) -> Response:
    """Make a token, which is shown once, or end one."""
    server = server_of(request)
    now = int(server.clock())
    if form.get("act") == "end":
        with server.database.write() as session:
            row = session.get(ApiToken, form.get("token", ""))
            if row is not None and row.ended is None:
                row.ended = now
                session.add(row)
                _LOG.warning("token %r ended by %r", row.name, asker.id)
        return RedirectResponse("/office/tokens", 303)
    typed = {name: form.get(name, "").strip() for name in ("name", "scope", "days")}
    errors = {}
    if not typed["name"] or len(typed["name"]) > MOST_NAME:
        errors["name"] = Msg("Name the program in at most {count} characters.", count=MOST_NAME)
    for name, known in (("scope", dict(_SCOPES)), ("days", dict(_LASTS))):
        if typed[name] not in known:
            errors[name] = Msg("Choose one.")
    if errors:
        return _tokens_response(request, typed, errors)
    token = api_tokens.fresh_token()
    with server.database.write() as session:
        session.add(
            ApiToken(
                token_hash=api_tokens.hash_of(token),
                name=typed["name"],
                scope=typed["scope"],
                person=asker.id,
                made=now,
                expires=now + int(typed["days"]) * api_tokens.DAY,
            )
        )
    _LOG.warning("token %r to %s made by %r", typed["name"], typed["scope"], asker.id)
    fresh = {"token": token, "about": speaker_of(request).say(_SHOWN[typed["scope"]])}
    return _tokens_response(request, {"name": "", "scope": "read", "days": "90"}, {}, fresh)
