"""/office/push: whether the browser of somebody at the office is told at once."""

import logging
from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import Response

from app.access import known_browser
from app.access.server import server_of
from app.access.who import FormFields, need_supervisor
from app.store import push
from app.store.tables import Person

router = APIRouter(prefix="/office/push")
Asker = Annotated[Person, Depends(need_supervisor)]
_LOG = logging.getLogger("sillbook.access")


@router.post("")
def keep_browser(request: Request, asker: Asker, form: FormFields) -> Response:
    """Keep where this browser is told (act: keep), or end it (act: end); the page's script asks.

    Errors: InputError 'push-unfit'.
    """
    server = server_of(request)
    browser = known_browser.number_of(request)
    if form.get("act") == "end":
        with server.database.write() as session:
            push.end_of_browser(session, asker.id, browser)
        _LOG.info("a browser of %r is told no more", asker.id)
        return Response(status_code=204)
    endpoint, p256dh, auth = (form.get(name, "") for name in ("endpoint", "p256dh", "auth"))
    given = push.subscription_of(endpoint, p256dh, auth, int(server.clock()))
    given.person, given.browser = asker.id, browser
    with server.database.write() as session:
        push.keep_subscription(session, given)
    _LOG.info("a browser of %r is told at once", asker.id)
    return Response(status_code=204)
