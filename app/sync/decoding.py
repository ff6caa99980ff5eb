"""Has a picture looked at by a process of its own.

A stranger's bytes may keep a decoder busy, fill its memory or crash it. All of that ends with the
process; meanwhile nobody else waits.
"""

import json
import os
import signal
import subprocess
import sys

from app.access.errors import NotKeptError
from app.settings import ROOT
from app.sync.jpeg import PhotoUnfitError

COMMAND = [sys.executable, "-m", "app.sync.jpeg"]
# How the process ends where it is the picture's fault: out of time, or crashed.
_CRASHED = {-signal.SIGXCPU, -signal.SIGSEGV, -signal.SIGBUS, -signal.SIGABRT, -signal.SIGILL}


def checked_size(data: bytes) -> tuple[int, int]:
    """Return (width, height) in pixels of a clean JPEG.

    Errors: PhotoUnfitError; NotKeptError where the machine cannot finish the process.
    """
    # no secret of ours is there for a decoder that bytes have taken over
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SILLBOOK_")}
    done = subprocess.run(  # noqa: S603  (our own module, and the picture on its input)
        COMMAND, cwd=ROOT, env=plain, input=data, stdout=subprocess.PIPE, check=False
    )
    if done.returncode in _CRASHED:
        raise PhotoUnfitError("photo-not-jpeg")
    if done.returncode != 0:
        raise NotKeptError
    found = json.loads(done.stdout)
    if isinstance(found, str):
        raise PhotoUnfitError(found)
    return found[0], found[1]
