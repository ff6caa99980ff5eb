"""A demonstration is for whoever sits at this machine: its passwords are printed."""

import ipaddress
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from app.access.errors import error_response
from app.access.server import server_of
from app.core.errors import AppError
from app.core.quantity.messages import Msg


class OnlyHereError(AppError):
    """A demonstration was asked for by another name than this machine's own."""

    status = 403

    def __init__(self) -> None:
        words = Msg("This is a demonstration. It answers only on the machine that it runs on.")
        super().__init__("demo-elsewhere", words)


def is_here(host: str) -> bool:
    """Return whether a name or address without a port is this machine's own, for itself alone.

    Example: is_here("127.0.0.1") -> True; is_here("::1") -> True; is_here("192.0.2.7") -> False
    """
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _asked_here(headers: Headers) -> bool:
    """Return whether no proxy passed the request on, and its Host is this machine's own."""
    try:
        host = urlsplit("//" + headers.get("host", "")).hostname or ""
    except ValueError:
        return False
    return is_here(host) and not any(name in headers for name in ("x-forwarded-for", "forwarded"))


class DemoOnlyHere:
    """While a demonstration is served, refuses whatever a proxy or another name brings."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 403."""
        app = self.app
        if scope["type"] == "http" and not _asked_here(Headers(scope=scope)):
            request = Request(scope)
            if server_of(request).demo:
                app = error_response(request, OnlyHereError())
        await app(scope, receive, send)
