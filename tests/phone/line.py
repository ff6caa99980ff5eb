"""The line between a phone and the office: a proxy that can be told to misbehave.

The browser knows only the proxy's address, so the server behind it may stop, be killed and come
back elsewhere, as a real one does behind its name.
"""

import http.client
import threading
import time
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

PATIENCE = 60  # seconds
HOP = {"connection", "keep-alive", "transfer-encoding", "content-length"}
Fault = Callable[["Exchange"], None]


class Exchange:
    """One request on its way, and what came back for it."""

    def __init__(self, handler: BaseHTTPRequestHandler, body: bytes) -> None:
        self.handler = handler
        self.method = handler.command
        self.path = handler.path
        self.body = body
        self.status = 0
        self.headers: list[tuple[str, str]] = []
        self.content = b""

    def forward(self, port: int) -> None:
        """Ask the server and keep what it says."""
        asked = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        try:
            asked.putrequest(self.method, self.path, skip_host=True, skip_accept_encoding=True)
            for name, value in self.handler.headers.items():
                if name.lower() not in HOP:
                    asked.putheader(name, value)
            asked.putheader("Content-Length", str(len(self.body)))
            asked.endheaders(self.body)
            got = asked.getresponse()
            self.status, self.content = got.status, got.read()
            self.headers = [
                (name, value) for name, value in got.getheaders() if name.lower() not in HOP
            ]
        finally:
            asked.close()

    def reply(self, status: int, headers: list[tuple[str, str]], content: bytes) -> None:
        """Answer the browser."""
        self.handler.send_response_only(status)
        for name, value in headers:
            self.handler.send_header(name, value)
        self.handler.send_header("Content-Length", str(len(content)))
        self.handler.end_headers()
        if self.method != "HEAD":
            self.handler.wfile.write(content)

    def cut(self) -> None:
        """Hang up."""
        self.handler.close_connection = True
        self.handler.connection.close()


class Line:
    """A running proxy; port is the browser's, server the one behind it (0: nobody there)."""

    def __init__(self) -> None:
        self.server = 0
        self.before: Fault | None = None  # may answer or cut; then the server is not asked
        self.after: Fault | None = None  # the server has answered: may cut, or change what it said
        self.asked: list[tuple[str, str]] = []
        self.offered: list[bytes] = []  # bodies of POST /sync
        line = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def handle_one(self) -> None:
                body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
                line.carry(Exchange(self, body))

            do_GET = do_HEAD = do_POST = do_PUT = do_DELETE = handle_one  # noqa: N815 (the names that http.server looks for)

            def log_message(self, *_: Any) -> None:
                """Say nothing."""

        class Quiet(ThreadingHTTPServer):
            daemon_threads = True

            def handle_error(self, *_: Any) -> None:
                """A line that was cut is what the tests are about."""

        self._http = Quiet(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self._http.server_port}"
        self._thread = threading.Thread(target=self._http.serve_forever, args=(0.05,), daemon=True)
        self._thread.start()

    def carry(self, exchange: Exchange) -> None:
        """Take a request through, as far as the faults let it."""
        self.asked.append((exchange.method, exchange.path))
        if (exchange.method, exchange.path) == ("POST", "/sync"):
            self.offered.append(exchange.body)
        answered = Answered(exchange)
        if self.before is not None:
            self.before(answered)  # type: ignore[arg-type]
        if answered.done:
            return
        if not self.server:
            exchange.cut()
            return
        try:
            exchange.forward(self.server)
        except OSError:
            exchange.cut()
            return
        if self.after is not None:
            self.after(answered)  # type: ignore[arg-type]
        if not answered.done:
            exchange.reply(exchange.status, exchange.headers, exchange.content)

    def count(self, method: str, path: str) -> int:
        """Return how many requests began so."""
        return sum(1 for m, p in self.asked if m == method and p.startswith(path))

    def heal(self) -> None:
        """Behave again."""
        self.before = self.after = None

    def close(self) -> None:
        """Stop."""
        self._http.shutdown()
        self._http.server_close()
        self._thread.join()


class Answered:
    """An exchange as faults see it: notes whether they dealt with it."""

    def __init__(self, exchange: Exchange) -> None:
        self.exchange = exchange
        self.method = exchange.method
        self.path = exchange.path
        self.body = exchange.body
        self.done = False

    def cut(self) -> None:
        """Hang up without an answer."""
        self.done = True
        self.exchange.cut()

    def reply(self, status: int, headers: list[tuple[str, str]], content: bytes) -> None:
        """Answer in the server's place."""
        self.done = True
        self.exchange.reply(status, headers, content)

    def stall(self, seconds: float) -> None:
        """Say nothing for so long, then hang up."""
        time.sleep(seconds)
        self.cut()
