"""The command line as people use it: a real process, a real port.

Only what hangs on the start itself starts Python anew (`Started`); the others are forks of a
process that has loaded the program.
"""

import http.client
import shutil
import signal
import socket
import sqlite3
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.cli import warning_of_address
from tests.browser.server import Served, command, environment, run_command, told_address
from tests.tooling.sources import ROOT


class Started:
    """A server that was started as people start it, on a free port."""

    def __init__(self, data: Path) -> None:
        self.process = subprocess.Popen(
            command("serve", "--port", "0"), cwd=ROOT, env=environment(data),
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        self.address = told_address(self.process, data / "complaints.txt")

    def end(self) -> None:
        self.process.kill()
        self.process.wait()
        assert self.process.stdout
        self.process.stdout.close()


@pytest.fixture
def started(tmp_path: Path) -> Iterator[Started]:
    server = Started(tmp_path)
    yield server
    server.end()


@pytest.fixture
def demo(demo_data: Path, tmp_path: Path) -> Path:
    """A folder with the demo company, for one test."""
    return Path(shutil.copytree(demo_data, tmp_path / "demo"))


def test_server_answers_and_stops_when_asked(started: Started, tmp_path: Path) -> None:
    with urllib.request.urlopen(started.address + "/sign-in", timeout=30) as answer:
        assert b"Sign in" in answer.read()
    second = run_command(tmp_path, "serve", "--port", "0")
    assert second.returncode == 1
    assert "Another Sillbook is using" in second.stderr
    started.process.send_signal(signal.SIGINT)
    assert started.process.wait(timeout=30) in (0, -signal.SIGINT)
    assert run_command(tmp_path, "migrate").returncode == 0


def test_killed_server_leaves_the_database_free_and_whole(tmp_path: Path) -> None:
    server = Served(tmp_path)
    time.sleep(0.2)
    server.stop(signal.SIGKILL)
    assert run_command(tmp_path, "migrate").returncode == 0


def test_taken_port_is_told_in_one_line(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = run_command(tmp_path, "serve", "--port", str(port))
    assert done.returncode == 1
    assert done.stderr == f"Port {port} is taken. Choose another: make run PORT={port + 1}\n"


@pytest.mark.parametrize("port", ["-1", "65536", "abc", "8000x", "", "９"])
def test_port_that_is_none_is_told(tmp_path: Path, port: str) -> None:
    done = run_command(tmp_path, "serve", f"--port={port}")
    assert done.returncode == 2
    assert "is no port" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("host", "address", "warned"),
    [
        ("127.0.0.1", "", False),
        ("127.8.0.1", "", False),
        ("::1", "", False),
        ("localhost", "", False),
        ("192.0.2.7", "http://localhost:8000", False),
        ("192.0.2.7", "https://book.example.org", False),
        ("192.0.2.7", "", True),
        ("book.example.org", "", True),
        ("127.0.0.1", "http://book.example.org", True),
    ],
)
def test_plain_http_is_warned_of_where_browsers_do_not_trust_it(
    host: str, address: str, warned: bool
) -> None:
    """W3C Secure Contexts, 3.1: https, 127.0.0.0/8, ::1 and localhost are trusted."""
    assert (warning_of_address(host, address) is not None) is warned


def test_serving_over_plain_http_says_so_and_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SILLBOOK_ADDRESS", "http://book.example.org")
    server = Served(tmp_path)
    try:
        with urllib.request.urlopen(server.address + "/health", timeout=30) as answer:
            assert answer.status == 200
        assert "over plain HTTP no phone" in server.said()
    finally:
        server.stop()


def test_data_that_cannot_be_used_are_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "sillbook.db").write_text("no database " * 100)
    for data in (tmp_path / "file", tmp_path / "folder"):
        done = run_command(data, "migrate")
        assert done.returncode == 1
        assert done.stderr.startswith("Cannot use ")
        assert done.stderr.count("\n") == 1


def test_rebuild_makes_summaries_again(demo: Path) -> None:
    done = run_command(demo, "rebuild")
    assert (done.returncode, done.stdout.strip()) == (0, "6 summaries were made again.")
    with sqlite3.connect(demo / "sillbook.db") as database:
        assert database.execute("SELECT count(*) FROM summary").fetchone() == (6,)


def test_server_stops_while_a_board_listens(demo: Path) -> None:
    """An open answer that tells of changes does not hold the server up until it ends (55 s)."""
    server = Started(demo)
    connection = http.client.HTTPConnection(server.address.removeprefix("http://"), timeout=30)
    ours = {"Sec-Fetch-Site": "same-origin", "Content-Type": "application/x-www-form-urlencoded"}
    connection.request("POST", "/sign-in", "name=nadia&password=plumb-line-and-level", ours)
    answer = connection.getresponse()
    cookie = answer.headers["Set-Cookie"].partition(";")[0]
    answer.read()
    connection.request("GET", "/office/changes", headers={"Cookie": cookie})
    stream = connection.getresponse()
    assert (stream.status, stream.readline()) == (200, b"retry: 2000\n")
    server.process.send_signal(signal.SIGINT)
    server.process.wait(timeout=30)
    connection.close()
    server.end()


def people_in(data: Path) -> int:
    with sqlite3.connect(data / "sillbook.db") as database:
        found: int = database.execute("SELECT count(*) FROM person").fetchone()[0]
        return found


@pytest.mark.parametrize(
    ("words", "address"),
    [(["--host=0.0.0.0"], ""), ([], "https://book.example.org"), ([], "http://127.0.0.1:8000")],
)
@pytest.mark.control(35)
def test_a_new_database_that_others_reach_gets_no_demo(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], address: str
) -> None:
    """The demo's passwords are printed in the project: they must open nothing that is public."""
    monkeypatch.setenv("SILLBOOK_ADDRESS", address)
    server = Served(tmp_path, "--demo-when-new", *words)
    server.stop()
    assert people_in(tmp_path) == 0
    assert "sillbook administrator" in server.said()


@pytest.mark.parametrize(
    ("words", "address"), [(["--host=0.0.0.0"], ""), ([], "https://book.example.org")]
)
@pytest.mark.control(35)
def test_a_real_start_refuses_to_serve_beside_the_demo(
    demo: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], address: str
) -> None:
    monkeypatch.setenv("SILLBOOK_ADDRESS", address)
    done = run_command(demo, "serve", "--port", "0", *words)
    assert done.returncode == 1
    assert "its passwords are published" in done.stderr
    assert "Sillbook is at" not in done.stdout
    assert run_command(demo, "demo").returncode == (1 if address else 0)


@pytest.mark.control(35)
def test_the_demo_answers_this_machine_alone(tmp_path: Path) -> None:
    """Also behind a proxy that nobody told it of, and by a name that leads here (DNS rebinding)."""
    server = Served(tmp_path, "--demo-when-new")
    try:
        assert people_in(tmp_path) == 6
        for headers, status in (
            ({}, 200),
            ({"Host": "localhost:1"}, 200),
            ({"Host": "[::1]:8000"}, 200),
            ({"Host": "book.example.org"}, 403),
            ({"Host": "[::1"}, 403),
            ({"X-Forwarded-For": "192.0.2.7"}, 403),
            ({"Forwarded": "for=192.0.2.7"}, 403),
        ):
            connection = http.client.HTTPConnection(server.address.removeprefix("http://"))
            connection.request("GET", "/sign-in", headers=headers)
            assert connection.getresponse().status == status, headers
            connection.close()
    finally:
        server.stop()
