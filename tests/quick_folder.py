"""Where the tests keep their files: in memory, where the machine has a folder for that.

A thousand databases, copies of the demo and browsers' profiles come and go. On a disk each commit
and each file that is deleted waits for it; deleting PostgreSQL's files alone took 5 to 30 s. No
test pulls the plug, so none can tell the difference: what is killed is a process.
"""

import os
import shutil
import tempfile
from pathlib import Path

IN_MEMORY = Path("/dev/shm")  # noqa: S108  (a folder is made in it as ever)
LEAST = 4 << 30  # bytes that must be free there: a whole run needs about one of these four


def keep_files_in_memory() -> None:
    """Let this process and those it starts make temporary files there; else all stays as it was.

    Who says where (TMPDIR) is obeyed.
    """
    if "TMPDIR" in os.environ or not os.access(IN_MEMORY, os.W_OK):
        return
    if shutil.disk_usage(IN_MEMORY).free >= LEAST and free_memory() >= LEAST:
        os.environ["TMPDIR"] = str(IN_MEMORY)
        tempfile.tempdir = None


def free_memory() -> int:
    """Return the bytes that Linux can still give; 0 where it is not known."""
    try:
        lines = Path("/proc/meminfo").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0
    said = {line.partition(":")[0]: line.split()[1] for line in lines}
    return int(said.get("MemAvailable", "0")) << 10
