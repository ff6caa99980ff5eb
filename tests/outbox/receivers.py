"""A real SMTP server and a real receiver of webhooks, each on a port of its own."""

import socket
import ssl
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread
from typing import Any

from aiosmtpd.controller import Controller


class MailBox:
    """Takes every mail, but answers `says` for a while where that is set."""

    def __init__(self) -> None:
        self.mails: list[EmailMessage] = []
        self.receivers: list[str] = []
        self.says = ""

    async def handle_RCPT(  # noqa: N802  (the library's name)
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        if self.says:
            return self.says
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802
        made = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(made, EmailMessage)
        self.mails.append(made)
        self.receivers += envelope.rcpt_tos
        return "250 OK"


class Listening(Controller):
    """A mail server on a socket that listens already: nobody else can take its port before."""

    def __init__(self, box: MailBox, listener: socket.socket) -> None:
        super().__init__(box, hostname="127.0.0.1", port=listener.getsockname()[1])
        self._listener = listener

    def _create_server(self) -> Any:
        return self.loop.create_server(self._factory_invoker, sock=self._listener)


@contextmanager
def mail_server() -> Iterator[tuple[MailBox, str]]:
    """Give a mail box, and the address of its server for the settings."""
    box = MailBox()
    controller = Listening(box, socket.create_server(("127.0.0.1", 0)))
    controller.start()  # type: ignore[no-untyped-call]
    try:
        yield box, f"smtp://127.0.0.1:{controller.port}"
    finally:
        controller.stop()  # type: ignore[no-untyped-call]


@dataclass
class Received:
    """What came to a receiver of webhooks; `answers` are the next statuses, then 200 for good."""

    port: int = 0
    calls: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)
    answers: list[int] = field(default_factory=list)
    moved_to: str = ""
    hold: Event | None = None  # nothing is answered before it is set
    came: Event = field(default_factory=Event)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/hook"


@contextmanager
def webhook_receiver(certificate: str = "") -> Iterator[Received]:
    """Give what a receiver got; with a certificate (a file) it speaks TLS."""
    got = Received()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            headers = {name.lower(): value for name, value in self.headers.items()}
            got.calls.append((self.path, headers, body))
            got.came.set()
            if got.hold is not None:
                got.hold.wait(30)
            self.send_response(got.answers.pop(0) if got.answers else 200)
            if got.moved_to:
                self.send_header("Location", got.moved_to)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    if certificate:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate)
        server.socket = context.wrap_socket(server.socket, server_side=True)
    got.port = server.server_address[1]
    # it looks so often, in seconds, whether it shall end
    thread = Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield got
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def dripping_receiver(seconds: float = 8.0) -> Iterator[int]:
    """Give the port of a receiver that answers a byte each tenth of a second, and never ends."""
    ended = Event()

    def drip(listener: socket.socket) -> None:
        with suppress(OSError), listener.accept()[0] as caller:
            caller.sendall(b"HTTP/1.1 ")
            for _ in range(int(seconds * 10)):
                if ended.wait(0.1):
                    return
                caller.sendall(b"x")

    with socket.create_server(("127.0.0.1", 0)) as listener:
        thread = Thread(target=drip, args=[listener], daemon=True)
        thread.start()
        try:
            yield listener.getsockname()[1]
        finally:
            ended.set()
            with suppress(OSError):
                listener.shutdown(socket.SHUT_RDWR)
            thread.join(5)


@contextmanager
def full_listener(port: int) -> Iterator[None]:
    """Have 127.0.0.2 take no connection at a port: who waits to be accepted fills its queue."""
    with ExitStack() as stack:
        listener = stack.enter_context(socket.socket())
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("127.0.0.2", port))
        listener.listen(0)
        for _ in range(4):
            waiting = stack.enter_context(socket.socket())
            waiting.setblocking(False)
            waiting.connect_ex(("127.0.0.2", port))
        yield
