"""What pages behind a private link share: they are not passed on, and guessing is slow."""

from starlette.requests import Request

from app.access.server import server_of

# The address is the key: it is not passed on, not found by searching, not kept by anybody.
PRIVATE = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "no-store",
}


def count_try(request: Request) -> None:
    """Count a try at a link or code that there is not; raises TooManyError after many."""
    server = server_of(request)
    asker = request.client.host if request.client else ""
    server.limits.linked.enter(asker, server.clock())
