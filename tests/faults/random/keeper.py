"""Starts offices and starts them again when they die: one process that has loaded everything.

`python -m tests.faults.random.keeper` listens on a free port of this machine, prints it,
and takes one command a line: `warm FOLDER` (once, first), `start FOLDER`, `break NAME` (those that
start from then on; no name: none), `kill`, `stop`, `quit`. An office is a fork of this
process that serves the folder's data: a real server process with a database of its own, there in a
few hundredths of a second, that can really be killed. One that dies by itself (see office.py) is
started again at once, as a service manager would.
"""

import os
import select
import signal
import socket
import sys
from pathlib import Path

from tests.faults.random import office
from tests.faults.random.warm import warm


class Keeper:
    """The socket that all offices listen on, one after the other, and the one that runs."""

    def __init__(self) -> None:
        self.broken = ""
        self.data: Path | None = None
        self.child = 0
        self.socket = socket.socket(proto=socket.IPPROTO_TCP)  # asyncio: TCP_NODELAY only then
        self.socket.bind(("127.0.0.1", 0))
        self.socket.listen(64)

    def start(self, folder: str = "") -> None:
        """Start an office; what is asked before it is ready waits for it."""
        self.data = Path(folder) if folder else self.data
        self.child = os.fork()
        if not self.child:
            self._become_office()

    def _become_office(self) -> None:
        try:
            signal.set_wakeup_fd(-1)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            assert self.data is not None
            office.serve(self.data, self.socket, self.broken)
        finally:
            os._exit(0)

    def end(self, how: int) -> None:
        """End the office, and wait until it is gone."""
        if self.child:
            os.kill(self.child, how)
            os.waitpid(self.child, 0)
            self.child = 0

    def look(self) -> None:
        """Start the office again if it died."""
        if self.child and os.waitpid(self.child, os.WNOHANG)[0]:
            self.start()

    def obey(self, words: list[str]) -> bool:
        """Do what a line says; returns whether to go on."""
        if words[0] == "warm":
            warm(Path(words[1]))
        elif words[0] == "start":
            self.start(words[1])
        elif words[0] == "break":
            self.broken = words[1] if words[1:] else ""
        elif words[0] in {"kill", "stop", "quit"}:
            self.end(signal.SIGTERM if words[0] == "stop" else signal.SIGKILL)
        print("done", flush=True)
        return words[0] != "quit"


def main() -> None:
    """Serve until told to quit, or until nobody is there to tell."""
    keeper = Keeper()
    inner, outer = os.pipe()
    os.set_blocking(outer, False)
    os.set_blocking(inner, False)
    signal.set_wakeup_fd(outer)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    print(keeper.socket.getsockname()[1], flush=True)
    lines = sys.stdin.buffer.raw
    going, rest = True, b""
    while going:
        ready, _, _ = select.select([lines, inner], [], [])
        if inner in ready:
            os.read(inner, 512)
            keeper.look()
        if lines in ready:
            got = os.read(lines.fileno(), 4096)
            going = bool(got)
            *whole, rest = (rest + got).split(b"\n")
            for line in whole:
                going = going and keeper.obey(line.decode().split())
    keeper.end(signal.SIGKILL)


if __name__ == "__main__":
    main()
