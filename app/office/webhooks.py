"""/office/webhooks: other programs that are told what happened: made, tested, ended, their log."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlmodel import Session, col, select
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from app.access.pages import speaker_of
from app.access.server import server_of
from app.access.who import FormFields, need_administrator
from app.core.errors import MissingError
from app.core.quantity.messages import Msg
from app.office.notices import kind_fields, kinds_in
from app.office.outgoing import outgoing_line
from app.office.pages import Form, form_field, form_of, office_page, show_form
from app.outbox import reaching
from app.outbox.webhooks import fresh_secret
from app.outbox.wording import KIND_WORDS
from app.store import notices, outbox
from app.store.ids import uuid7
from app.store.notices import Webhook
from app.store.tables import Person

router = APIRouter(prefix="/office/webhooks")
Asker = Annotated[Person, Depends(need_administrator)]
MOST_WEBHOOKS = 20
MOST_LOG = 50
_FORM = Form(Msg("Webhooks"), Msg("Make the webhook"), template="office/webhooks.html")
_LOG = logging.getLogger("sillbook.access")


@router.get("")
def webhooks_page(request: Request, _: Asker) -> Response:
    """List the webhooks, with the form for a new one."""
    typed = {"url": "", **{"kind." + kind: "yes" for kind in notices.KINDS}}
    return _webhooks_response(request, typed, None)


def _webhooks_response(request: Request, typed: dict[str, str], wrong: Msg | None) -> Response:
    say = speaker_of(request).say
    with server_of(request).database.read() as session:
        rows = webhooks_in_use(session)
    error = say(wrong) if wrong is not None else ""
    fields = [form_field("url", say(Msg("Address")), typed.get("url", ""), error=error)]
    webhooks = [
        {"href": f"/office/webhooks/{one.id}", "text": one.url,
         "about": ", ".join(say(KIND_WORDS[kind]) for kind in one.kinds.split())}
        for one in rows
    ]  # fmt: skip
    kinds = kind_fields(request, typed)
    form = form_of("/office/webhooks")
    return show_form(request, _FORM, form, fields, webhooks=webhooks, kinds=kinds)


def webhooks_in_use(session: Session) -> list[Webhook]:
    """Return the webhooks that were not ended, oldest first."""
    wanted = select(Webhook).where(col(Webhook.ended).is_(None))
    return list(session.exec(wanted.order_by(col(Webhook.made), col(Webhook.id))))


@router.post("")
def add_webhook(request: Request, asker: Asker, form: FormFields) -> Response:
    """Make a webhook and show its secret, this once."""
    url, kinds = form.get("url", "").strip(), kinds_in(form)
    wrong = address_fault(url, request.app.state.settings.webhook_host)
    if wrong is None and not kinds:
        wrong = Msg("Choose at least one thing to be told of.")
    server = server_of(request)
    with server.database.write() as session:
        if wrong is None and len(webhooks_in_use(session)) >= MOST_WEBHOOKS:
            wrong = Msg("So many webhooks are here already. End one first.")
        if wrong is None:
            made = Webhook(id=uuid7(), url=url, secret=fresh_secret(), kinds=kinds,
                           person=asker.id, made=int(server.clock()))  # fmt: skip
            session.add(made)
    if wrong is not None:
        return _webhooks_response(request, {**form, "url": url}, wrong)
    _LOG.warning("webhook %r made by %r", made.id, asker.id)
    return _webhook_response(request, made.id, made.secret)


def address_fault(url: str, private: str) -> Msg | None:
    """Return what is wrong with an address of a webhook; a name may still lead nowhere today."""
    try:
        reaching.checked_addresses(reaching.split_url(url, private), private)
    except reaching.UnreachableError as error:
        return error.message
    except (OSError, UnicodeError):
        return None
    return None


@router.get("/{webhook}")
def webhook_page(request: Request, _: Asker, webhook: str) -> Response:
    """Show a webhook and what was sent to it."""
    return _webhook_response(request, webhook)


def _webhook_response(request: Request, id: str, secret: str = "") -> Response:
    speaker = speaker_of(request)
    path = f"/office/webhooks/{id}"
    with server_of(request).database.read() as session:
        webhook = _webhook_of(session, id)
        rows = outbox.newest_rows(session, MOST_LOG, outbox.WEBHOOK, id)
    host = webhook.url.split("/")[2]
    context = {
        "url": webhook.url,
        "ended": webhook.ended is not None,
        "secret": secret,
        "test": form_of(path, act="test"),
        "renew": form_of(path, act="renew"),
        "end": form_of(path, act="end"),
        "log": [outgoing_line(speaker, row, host) for row in rows],
    }
    return office_page(request, "office/webhook.html", Msg("Webhook"), context)


def _webhook_of(session: Session, id: str) -> Webhook:
    found = session.get(Webhook, id)
    if found is None:
        raise MissingError("webhook-unknown", Msg("There is no such webhook."))
    return found


@router.post("/{webhook}")
def change_webhook(request: Request, asker: Asker, webhook: str, form: FormFields) -> Response:
    """Send a test, make another secret, or end it."""
    server = server_of(request)
    act = form.get("act", "")
    with server.database.write() as session:
        row = _webhook_of(session, webhook)
        if row.ended is not None or act not in ("test", "renew", "end"):
            return RedirectResponse(f"/office/webhooks/{webhook}", 303)
        if act == "test":
            notices.post_test(session, outbox.WEBHOOK, webhook)
        elif act == "renew":
            row.secret = fresh_secret()
        else:
            row.ended = int(server.clock())
        session.add(row)
        secret = row.secret if act == "renew" else ""
    _LOG.warning("webhook %r: %s by %r", webhook, act, asker.id)
    if act == "renew":
        return _webhook_response(request, webhook, secret)
    path = "/office/webhooks" if act == "end" else f"/office/webhooks/{webhook}"
    return RedirectResponse(path, 303)
