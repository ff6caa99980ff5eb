"""Half requests and slow ones: they are ended, they keep nobody out, they fill no log.

The attack: connections that send a request drop by drop (known since 2009 as Slowloris; CWE-400).
"""

import asyncio
import logging
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from threading import Thread
from typing import Any, ClassVar

import pytest
import uvicorn

from app.patience import FewLines, PatientProtocol, make_room

HEAD = b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: %d\r\n"


async def echo_length(scope: Any, receive: Any, send: Any) -> None:
    """A server's whole application: how many bytes came."""
    size, more = 0, True
    while more:
        part = await receive()
        size, more = size + len(part.get("body", b"")), part.get("more_body", False)
    if scope["path"] == "/large":
        size = b"x" * 8_000_000  # type: ignore[assignment]
    body = size if isinstance(size, bytes) else b"%d" % size
    length = [(b"content-length", b"%d" % len(body))]
    await send({"type": "http.response.start", "status": 200, "headers": length})
    await send({"type": "http.response.body", "body": body})


class Hasty(PatientProtocol):
    """The same with shorter patience, so that a test need not wait."""

    seconds = 0.4
    rate = 10_000.0
    write_seconds = 0.4
    most = 20
    waiting: ClassVar[dict[Any, None]] = {}


@pytest.fixture
def port() -> Iterator[int]:
    config = uvicorn.Config(
        echo_length, http=Hasty, lifespan="off", log_config=None, timeout_keep_alive=2
    )
    server = uvicorn.Server(config)
    with closing(socket.create_server(("127.0.0.1", 0))) as door:
        thread = Thread(target=lambda: asyncio.run(server.serve([door])), daemon=True)
        thread.start()
        yield door.getsockname()[1]
        server.should_exit = True
        thread.join(10)
    Hasty.waiting.clear()


def opened(port: int, first: bytes = b"") -> socket.socket:
    made = socket.create_connection(("127.0.0.1", port), timeout=20)
    made.sendall(first)
    return made


def is_ended(connection: socket.socket) -> bool:
    """Whether the other side has ended it, waiting for that."""
    try:
        return connection.recv(1) == b""
    except ConnectionResetError:
        return True


def sends(connection: socket.socket, data: bytes) -> bool:
    """Whether the other side still takes something."""
    try:
        connection.sendall(data)
    except OSError:
        return False
    return True


def parts(connection: socket.socket) -> Iterator[bytes]:
    """What still comes until the connection ends, in whatever way."""
    with suppress(OSError):
        while part := connection.recv(1 << 20):
            yield part


def ask(port: int, body: bytes = b"hello") -> bytes:
    with closing(opened(port, HEAD % len(body) + b"Connection: close\r\n\r\n" + body)) as mine:
        answer = b""
        while part := mine.recv(4096):
            answer += part
    return answer


@pytest.mark.parametrize(
    "half", [b"", b"GET", b"GET / HTTP/1.1\r\nHost: here\r\n", HEAD % 100 + b"\r\n12345"]
)
@pytest.mark.control(36)
def test_a_half_request_is_ended(port: int, half: bytes) -> None:
    with closing(opened(port, half)) as slow:
        began = time.monotonic()
        assert is_ended(slow)
        assert time.monotonic() - began >= 0.3
    assert ask(port).endswith(b"5")


@pytest.mark.control(36)
def test_drops_do_not_prolong_it_and_a_least_rate_does(port: int) -> None:
    with closing(opened(port, HEAD % 100_000 + b"\r\n")) as drops:
        began = time.monotonic()
        while sends(drops, b"x"):
            assert time.monotonic() - began < 10
            time.sleep(0.05)
    with closing(opened(port, HEAD % 40_000 + b"Connection: close\r\n\r\n")) as steady:
        for _ in range(20):  # 20,000 bytes a second for a second: twice as fast as asked for
            steady.sendall(b"x" * 2000)
            time.sleep(0.05)
        assert b"40000" in steady.recv(4096) + steady.recv(4096)


@pytest.mark.control(36)
def test_a_second_request_on_a_connection_is_bounded_as_well(port: int) -> None:
    with closing(opened(port, HEAD % 2 + b"\r\nab")) as kept:
        while b"2" not in kept.recv(4096)[-3:]:
            pass
        time.sleep(0.6)  # longer than a request may take: a connection may rest between two
        kept.sendall(b"GET / HT")
        assert is_ended(kept)


@pytest.mark.control(36)
def test_where_all_places_are_taken_whole_questions_are_answered(port: int) -> None:
    with ExitStack() as stack:
        slow = [stack.enter_context(closing(opened(port, b"GET / HT"))) for _ in range(60)]
        began = time.monotonic()
        assert ask(port).endswith(b"5")
        assert is_ended(slow[0])
        assert len(slow) == 60
        assert time.monotonic() - began < 20


@pytest.mark.control(36)
def test_who_takes_no_answer_is_given_up(port: int) -> None:
    with closing(opened(port, b"GET /large HTTP/1.1\r\nHost: here\r\n\r\n")) as deaf:
        deaf.recv(1)
        time.sleep(1.5)
        assert sum(len(part) for part in parts(deaf)) < 8_000_000


@pytest.mark.control(36)
def test_strangers_write_few_lines_into_the_log(caplog: pytest.LogCaptureFixture) -> None:
    logger = logging.getLogger("tests.patience")
    logger.addFilter(FewLines(most=3, seconds=0.2))
    with caplog.at_level(logging.WARNING, "tests.patience"):
        for number in range(1000):
            logger.warning("a request from %r was too slow", number)
        time.sleep(0.3)
        logger.warning("a request from %r was too slow", "last")
        logger.warning("another thing")
    said = [record.getMessage() for record in caplog.records]
    assert len(said) == 5
    assert "997 more like it" in said[3]


def test_fewer_connections_than_files(monkeypatch: pytest.MonkeyPatch) -> None:
    import resource

    monkeypatch.setattr(PatientProtocol, "most", 1000)
    given: list[tuple[int, int]] = []
    monkeypatch.setattr(resource, "setrlimit", lambda _, limits: given.append(limits))
    monkeypatch.setattr(resource, "getrlimit", lambda _: (256, 700))
    make_room()
    assert given == [(700, 700)]
    assert PatientProtocol.most == 500
