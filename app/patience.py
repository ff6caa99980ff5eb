"""How long, and for how many, the server waits: limits by time and number on uvicorn's protocol.

A request that comes drop by drop holds a connection, and a process can hold only so many. So a
request must arrive at a least rate; where all places are taken, whoever has kept us waiting
longest goes, and nobody who asks whole questions is turned away.

Source of the rate: Apache httpd, mod_reqtimeout (its default: 20 s, and 500 bytes/s from then on).
"""

import logging
import resource
import time
from asyncio import Transport
from typing import Any, ClassVar

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

_LOG = logging.getLogger("sillbook.serving")
RESERVED = 200  # files that the process itself may have open: database, photos, logs


class PatientProtocol(H11Protocol):
    """Serves a connection, and gives up on one that keeps it waiting."""

    seconds = 20.0  # for a request to begin with; each byte adds to it
    rate = 500.0  # bytes a second, from then on
    write_seconds = 120.0  # until who is sent an answer has taken the next part of it
    most = 1000  # connections
    waiting: ClassVar[dict[H11Protocol, None]] = {}  # whose request is not whole, longest first

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._since = self._bytes = 0.0
        self._timer: Any = None
        self._write_timer: Any = None

    def connection_made(self, transport: Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request; where all places are taken, somebody goes."""
        super().connection_made(transport)
        if len(self.connections) > self.most:
            _LOG.warning("all %d places are taken: the slowest goes", self.most)
            victim = next(iter(self.waiting), self)
            victim.transport.abort()
            self.waiting.pop(victim, None)
        self._wait()

    def _wait(self) -> None:
        self._since, self._bytes = self.loop.time(), 0.0
        self.waiting[self] = None
        self._timer = self.loop.call_later(self.seconds, self._look)

    def data_received(self, data: bytes) -> None:
        """Take what came, and note whether the request is whole now."""
        if self._timer is None and self._is_between():
            self._wait()
        self._bytes += len(data)
        super().data_received(data)
        if self._is_whole():
            self._rest()

    def _is_between(self) -> bool:
        return self.conn.their_state in (h11.IDLE, h11.DONE)

    def _is_whole(self) -> bool:
        return self.conn.their_state in (h11.DONE, h11.MUST_CLOSE, h11.CLOSED, h11.ERROR)

    def _rest(self) -> None:
        """Stop waiting: the request is whole, or the connection over."""
        self.waiting.pop(self, None)
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _look(self) -> None:
        """End the connection where its request is too slow, or look again when it would be."""
        if self.flow.read_paused:  # it is we who are slow
            self._since = self.loop.time()
        left = self._since + self.seconds + self._bytes / self.rate - self.loop.time()
        if left > 0:
            self._timer = self.loop.call_later(left, self._look)
            return
        _LOG.warning("a request from %r was too slow", self.client and self.client[0])
        self._rest()
        self.transport.abort()

    def on_response_complete(self) -> None:
        """Wait for the next request as long as connections are kept, which uvicorn times."""
        super().on_response_complete()
        if self._is_whole():
            self._rest()

    def pause_writing(self) -> None:
        """Give whoever does not take the answer only so long."""
        super().pause_writing()
        self._write_timer = self.loop.call_later(self.write_seconds, self.transport.abort)

    def resume_writing(self) -> None:
        """Go on: some of it was taken."""
        super().resume_writing()
        self._stop_write_timer()

    def _stop_write_timer(self) -> None:
        if self._write_timer is not None:
            self._write_timer.cancel()
            self._write_timer = None

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        self._rest()
        self._stop_write_timer()
        super().connection_lost(exc)


def make_room() -> None:
    """Let the process have as many files as the machine gives it, and fewer connections than that.

    Without a free file no connection can even be refused.
    """
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = PatientProtocol.most + RESERVED
    if most != resource.RLIM_INFINITY:
        wanted = min(wanted, most)
    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))
        soft = wanted
    if soft != resource.RLIM_INFINITY:
        PatientProtocol.most = max(10, min(PatientProtocol.most, soft - RESERVED))


class FewLines(logging.Filter):
    """Lets each kind of line through so often a minute, and says how many it left out.

    Strangers cause these lines, as many as they like.
    """

    def __init__(self, most: int = 10, seconds: float = 60.0) -> None:
        super().__init__()
        self.most, self.seconds = most, seconds
        self._counted: dict[str, tuple[float, int]] = {}  # what is said -> since when, how often

    def filter(self, record: logging.LogRecord) -> bool:
        """Return whether a line is written."""
        now = time.monotonic()
        kind = f"{record.name} {record.msg}"[:200]
        since, count = self._counted.get(kind, (now, 0))
        if now - since > self.seconds:
            if count > self.most:
                record.msg = f"{record.msg} (and {count - self.most} more like it before)"
            since, count = now, 0
        self._counted[kind] = since, count + 1
        if len(self._counted) > 1000:
            self._counted.clear()
        return count < self.most


def write_few_lines() -> None:
    """Bound what strangers can have written into the log."""
    for name in ("asyncio", "uvicorn.error", _LOG.name):
        logging.getLogger(name).addFilter(FewLines())
