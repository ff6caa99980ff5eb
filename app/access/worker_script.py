"""Two scripts may become workers, and no other: a worker may see and answer every request.

The field's answers for /field. The office's only shows messages; it hears no request.
"""

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from app.access.errors import error_response
from app.core.errors import AppError
from app.core.quantity.messages import Msg

WORKERS = ("/sw.js", "/office-worker.js")


class WorkerError(AppError):
    """Something else was asked for as a worker."""

    status = 403

    def __init__(self) -> None:
        super().__init__("no-worker", Msg("This is not the worker of Sillbook."))


def may_pass(scope: Scope) -> bool:
    """Return whether a request asks for no worker, or for one of the two."""
    return scope["path"] in WORKERS or "service-worker" not in Headers(scope=scope)


class OneWorker:
    """Refuses to serve anything but the two scripts as a service worker.

    Browsers say so in the header Service-Worker (W3C Service Workers, Update, "Service-Worker").
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 403."""
        app = self.app
        if scope["type"] == "http" and not may_pass(scope):
            app = error_response(Request(scope), WorkerError())
        await app(scope, receive, send)
