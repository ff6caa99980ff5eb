"""What the routes share, kept on the application."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, cast

from starlette.requests import Request

from app.access.slowdown import OwnCounts, SharedCounts, SignInLimits
from app.store.database import Database


@dataclass
class Server:
    """The open database, the clock (seconds since 1970), the limits of signing in.

    demo: how to sign in to a demonstration, in lines for the sign-in page; else empty.
    """

    database: Database
    clock: Callable[[], float]
    demo: list[str] = field(default_factory=list)
    limits: SignInLimits = field(init=False)

    def __post_init__(self) -> None:
        database = self.database
        counts = SharedCounts(database.engine) if database.is_shared else OwnCounts()
        self.limits = SignInLimits(counts)


def server_of(request: Request) -> Server:
    """Return what the routes of this application share."""
    app: Any = request.scope["app"]
    return cast("Server", app.state.server)
