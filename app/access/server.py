"""What the routes share, kept on the application."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, cast

from starlette.requests import Request

from app.access.slowdown import SignInLimits
from app.store.database import Database


@dataclass
class Server:
    """The open database, the clock (seconds since 1970), the limits of signing in.

    demo: how to sign in to a demonstration, in lines for the sign-in page; else empty.
    """

    database: Database
    clock: Callable[[], float]
    limits: SignInLimits = field(default_factory=SignInLimits)
    demo: list[str] = field(default_factory=list)


def server_of(request: Request) -> Server:
    """Return what the routes of this application share."""
    app: Any = request.scope["app"]
    return cast("Server", app.state.server)
