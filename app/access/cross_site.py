"""Requests that change something must come from our own pages."""

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from app.access.errors import error_response
from app.core.errors import AppError
from app.core.quantity.messages import Msg

SAFE = ("GET", "HEAD", "OPTIONS")
# Arithmetic changes nothing, whoever sends the request. The API goes by a token in a header that no
# other site's page can send, and by no cookie.
HARMLESS = ("/api/calculations/", "/api/v1/")


class CrossSiteError(AppError):
    """A form that another site sent in the person's name."""

    status = 403

    def __init__(self) -> None:
        words = Msg("This form did not come from a page of Sillbook. Nothing was changed.")
        super().__init__("cross-site", words)


def is_ours(headers: Headers, scheme: str) -> bool:
    """Return whether the browser says that the request comes from this site.

    Sec-Fetch-Site decides where it is sent; else Origin must name our scheme and host.
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    return headers.get("origin") == f"{scheme}://{headers.get('host')}"


def may_pass(scope: Scope) -> bool:
    """Return whether a request changes nothing (arithmetic alone), or is ours."""
    if scope["method"] in SAFE or scope["path"].startswith(HARMLESS):
        return True
    return is_ours(Headers(scope=scope), scope.get("scheme", "http"))


class SameSiteOnly:
    """Refuses every request that may change something and is not ours."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 403."""
        app = self.app
        if scope["type"] == "http" and not may_pass(scope):
            app = error_response(Request(scope), CrossSiteError())
        await app(scope, receive, send)
