"""Figures for Prometheus, by its own library, on a port of their own: never where pages are.

What is counted names nobody: routes by their pattern, never an address, a name or a link.
"""

import errno
import ipaddress
import shutil
import socket
import time
from pathlib import Path

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, start_http_server
from prometheus_client.platform_collector import PlatformCollector
from prometheus_client.process_collector import ProcessCollector
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.running import condition
from app.store.database import Database

BUCKETS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10)


class ServerFigures:
    """The counts of one server."""

    def __init__(self, database: Database) -> None:
        self.registry = CollectorRegistry()
        ProcessCollector(registry=self.registry)
        PlatformCollector(registry=self.registry)
        labels = ("method", "route", "status")
        self.answers = Counter(
            "sillbook_answers", "Requests answered.", labels, registry=self.registry
        )
        self.seconds = Histogram(
            "sillbook_answer_seconds",
            "Time until an answer began.",
            ("route",),
            buckets=BUCKETS,
            registry=self.registry,
        )
        self._add_gauges(database)

    def _add_gauges(self, database: Database) -> None:
        data = database.path.parent
        for name, words, value in (
            ("sillbook_disk_free_bytes", "Room where the data are.", lambda: _free(data)),
            ("sillbook_last_backup_seconds", "When the last copy was made.", lambda: _copied(data)),
            ("sillbook_commits", "Commits that touched an opening.", lambda: database.commits),
            ("sillbook_up", "1 while the database answers.", lambda: _answers(database)),
        ):
            Gauge(name, words, registry=self.registry).set_function(value)

    def serve(self, place: str, processes: int = 1) -> None:
        """Serve the figures at HOST:PORT.

        Errors: InputError 'metrics-place', 'metrics-public'; OSError.

        processes: how many may do so side by side; each takes the next port that is free.
        """
        host, colon, port = place.rpartition(":")
        if not colon or not port.isascii() or not port.isdigit():
            words = "SILLBOOK_METRICS must be like 127.0.0.1:9464."
            raise InputError("metrics-place", Msg(words))
        _must_be_private(host.strip("[]"))
        for step in range(processes):
            try:
                start_http_server(int(port) + step, host.strip("[]"), self.registry)
            except OSError as error:
                if error.errno != errno.EADDRINUSE or step == processes - 1:
                    raise
            else:
                return


def _must_be_private(host: str) -> None:
    """Refuse an address that strangers could reach, and the one that stands for all addresses.

    They are asked for no password. Source: RFC 1918, RFC 4193; 0.0.0.0 and :: as RFC 1122 and
    RFC 4291 have them. Errors: InputError 'metrics-public'; OSError where a name is not known.
    """
    given = socket.getaddrinfo(host or "0.0.0.0", None, type=socket.SOCK_STREAM)  # noqa: S104
    named = [ipaddress.ip_address(str(one[4][0]).partition("%")[0]) for one in given]
    addresses = [getattr(one, "ipv4_mapped", None) or one for one in named]  # ::ffff:8.8.8.8
    if any(one.is_unspecified or not one.is_private for one in addresses):
        words = (
            "SILLBOOK_METRICS must name an address of this machine or of a private network, such "
            "as 127.0.0.1:9464: nobody is asked for a password there."
        )
        raise InputError("metrics-public", Msg(words))


def _free(data: Path) -> float:
    return shutil.disk_usage(data).free


def _copied(data: Path) -> float:
    return condition.backup_time(data) or 0


def _answers(database: Database) -> float:
    try:
        database.must_answer()
    except Exception:  # noqa: BLE001  (whatever it is, the database does not answer)
        return 0
    return 1


class CountAnswers:
    """Counts every answer by its route's pattern, and how long it took to begin."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and count its answer where figures are kept."""
        figures: ServerFigures | None = None
        if scope["type"] == "http":
            figures = getattr(scope["app"].state, "figures", None)
        if figures is None:
            await self.app(scope, receive, send)
            return
        began = time.perf_counter()

        async def send_counted(message: Message) -> None:
            if message["type"] == "http.response.start":
                route = getattr(scope.get("route"), "path", "") or "none"
                figures.answers.labels(scope["method"], route, message["status"]).inc()
                figures.seconds.labels(route).observe(time.perf_counter() - began)
            await send(message)

        await self.app(scope, receive, send_counted)
