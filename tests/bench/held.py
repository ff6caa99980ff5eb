"""Hold a browser to a part of one core, from outside, all its processes together.

They are put on one core, and on it held by a quota of the kernel's (cgroup, version 1 or 2) where
one may be set: so much work in every twelve milliseconds. Else all are stopped and continued in
turn (SIGSTOP, SIGCONT). On two cores a quota would lie: what one core has taken of it and does not
need, the other waits for until the next twelve milliseconds. And a core that sleeps in between
wakes slowly and cold, most of all in a virtual machine: a loop that gives way to everything keeps
it awake.
"""

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

PERIOD = 12_000  # microseconds
GROUPS = Path("/sys/fs/cgroup")
NAME = "sillbook-bench"


def processes(mark: str) -> list[int]:
    """Return the process whose command line has this word, and all its descendants."""
    parents: dict[int, int] = {}
    found: set[int] = set()
    for folder in Path("/proc").glob("[0-9]*"):
        with suppress(OSError, ValueError, IndexError):
            pid = int(folder.name)
            parents[pid] = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
            if mark.encode() in (folder / "cmdline").read_bytes().split(b"\0"):
                found.add(pid)
    while True:
        more = {pid for pid, parent in parents.items() if parent in found} - found
        if not more:
            return sorted(found)
        found |= more


@contextmanager
def held(mark: str, part: int) -> Iterator[str]:
    """Hold the browser with this word in its command line to 1/part of a core; says how."""
    if part == 1:
        yield "at full speed"
        return
    cores = os.sched_getaffinity(0)
    core = max(cores)
    _put(processes(mark), {core})
    try:
        with _awake(core), _slowed(mark, part) as how:
            yield f"held to 1/{part} of one core by {how}"
    finally:
        _put(processes(mark), cores)


@contextmanager
def _awake(core: int) -> Iterator[None]:
    with subprocess.Popen([sys.executable, "-c", "while True: pass"]) as loop:
        os.sched_setaffinity(loop.pid, {core})
        os.sched_setscheduler(loop.pid, os.SCHED_IDLE, os.sched_param(0))
        try:
            yield
        finally:
            loop.kill()


def _put(pids: list[int], cores: set[int]) -> None:
    for pid in pids:
        for task in Path(f"/proc/{pid}/task").glob("*"):
            with suppress(OSError):  # it may be gone
                os.sched_setaffinity(int(task.name), cores)


@contextmanager
def _slowed(mark: str, part: int) -> Iterator[str]:
    try:
        group = _quota(part)
    except OSError:
        with _stopping(mark, part):
            yield "stopping its processes in turn"
        return
    try:
        for pid in processes(mark):
            _move(group, pid)
        yield f"a quota ({PERIOD // part} of {PERIOD} us)"
    finally:
        for pid in (group / "cgroup.procs").read_text().split():
            _move(group.parent, int(pid))
        group.rmdir()


def _quota(part: int) -> Path:
    old = GROUPS / "cpu"
    group = (old if old.exists() else GROUPS) / NAME
    group.mkdir(exist_ok=True)
    if old.exists():
        (group / "cpu.cfs_period_us").write_text(str(PERIOD))
        (group / "cpu.cfs_quota_us").write_text(str(PERIOD // part))
    else:
        (group / "cpu.max").write_text(f"{PERIOD // part} {PERIOD}")
    return group


def _move(group: Path, pid: int) -> None:
    with suppress(OSError):  # it may be gone
        (group / "cgroup.procs").write_text(str(pid))


@contextmanager
def _stopping(mark: str, part: int) -> Iterator[None]:
    done = threading.Event()
    slice_ = PERIOD / part / 1e6
    pids = processes(mark)

    def turn() -> None:
        while not done.is_set():
            _tell(pids, signal.SIGSTOP)
            done.wait(slice_ * (part - 1))
            _tell(pids, signal.SIGCONT)
            done.wait(slice_)

    thread = threading.Thread(target=turn)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        _tell(pids, signal.SIGCONT)


def _tell(pids: list[int], what: int) -> None:
    for pid in pids:
        with suppress(ProcessLookupError):
            os.kill(pid, what)
