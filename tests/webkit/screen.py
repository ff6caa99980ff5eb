"""A screen that nobody sees (Xvfb), and the driver with its window on it."""

import os
import signal
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.remote.client_config import ClientConfig
from selenium.webdriver.remote.file_detector import UselessFileDetector
from selenium.webdriver.remote.webdriver import WebDriver
from selenium.webdriver.webkitgtk.options import Options

from tests.webkit.setup import SYSTEM_PYTHON

WINDOW = Path(__file__).parent / "window.py"
PATIENCE = 60  # seconds
SIZE = "800x1000x24"


@contextmanager
def screen() -> Iterator[str]:
    """Keep a screen; gives its name (`:3`)."""
    ours, theirs = os.pipe()
    process = subprocess.Popen(
        ["Xvfb", "-displayfd", str(theirs), "-screen", "0", SIZE, "-nolisten", "tcp"],
        pass_fds=[theirs],
        stderr=subprocess.DEVNULL,
    )
    os.close(theirs)
    try:
        with os.fdopen(ours) as told:
            yield ":" + told.readline().strip()
    finally:
        process.terminate()
        process.wait()


class Driver:
    """A running driver with its window, in a process group of their own."""

    def __init__(self, display: str, profile: Path) -> None:
        port = free_port()
        self._process = subprocess.Popen(
            ["WebKitWebDriver", f"--port={port}"],
            env=environment(display, profile),
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            address = f"http://127.0.0.1:{port}"
            wait_for(address + "/status")
            how = ClientConfig(remote_server_addr=address, timeout=2 * PATIENCE)
            self.session: WebDriver = webdriver.Remote(
                address,
                client_config=how,
                file_detector=UselessFileDetector(),  # files are where the browser is
                options=options(profile),
            )
        except BaseException:
            self.kill()
            raise
        self.session.set_script_timeout(5 * PATIENCE)

    def close(self) -> None:
        """End the window as its person does; the driver too."""
        with suppress(WebDriverException):
            self.session.quit()
        self.kill()

    def kill(self) -> None:
        """SIGKILL to the window and every process of it."""
        with suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        self._wait_for_group()

    def _wait_for_group(self) -> None:
        while self.members():
            time.sleep(0.02)

    def members(self, name: str = "") -> list[int]:
        """Return the processes of the group that live, of this name where one is given."""
        found = [_group_and_name(path) for path in Path("/proc").glob("[0-9]*/stat")]
        return [
            pid
            for pid, group, state, called in found
            if group == self._process.pid and state != "Z" and name in called
        ]


def _group_and_name(path: Path) -> tuple[int, int, str, str]:
    """Return pid, process group, state and name (of 15 letters at most), see proc(5)."""
    try:
        before, _, after = path.read_text("utf-8", "replace").rpartition(")")
    except OSError:
        return 0, 0, "Z", ""
    pid, _, name = before.partition(" (")
    state, _, group = after.split()[:3]
    return int(pid), int(group), state, name


def options(profile: Path) -> Options:
    """Return what the driver starts as its browser."""
    made = Options()
    made.set_capability("browserName", "sillbook-window")
    made.binary_location = SYSTEM_PYTHON
    made.add_argument(str(WINDOW))
    made.add_argument(f"--profile={profile}")
    return made


def environment(display: str, profile: Path) -> dict[str, str]:
    """Return an environment in which nothing is kept outside the profile."""
    homes = {f"XDG_{name}_HOME": str(profile / "xdg") for name in ("DATA", "CACHE", "CONFIG")}
    plain = {"GDK_BACKEND": "x11", "NO_AT_BRIDGE": "1", "LIBGL_ALWAYS_SOFTWARE": "1"}
    return {**os.environ, **homes, **plain, "DISPLAY": display, "LANG": "C.UTF-8"}


def free_port() -> int:
    """Return a port that nobody listens on now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def wait_for(url: str) -> None:
    """Wait until somebody answers there."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        with suppress(OSError), urllib.request.urlopen(url, timeout=5):
            return
        time.sleep(0.05)
    raise TimeoutError(url)
