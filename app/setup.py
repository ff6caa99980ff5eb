"""Make .venv and install the locked packages into it.

Runs under the system's own python3, of any version, with nothing but the
standard library: `python3 app/setup.py [--dev]`. A second run is fast: a stamp
in .venv holds the SHA-256 of the lock that is installed. Where something is
missing that only the owner of the machine can add, one line says what to run.
"""

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Optional, Tuple

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
VENV_PYTHON = str(VENV / ("Scripts" if os.name == "nt" else "bin") / "python")
RUN_LOCK = "requirements.lock"
DEV_LOCK = "requirements-dev.lock"  # holds everything of RUN_LOCK, at the same versions
LEAST = (3, 11)
NAMES = ("python3", "python3.14", "python3.13", "python3.12", "python3.11", "python")


class SetupError(Exception):
    """Set-up cannot go on; the text is one line that says what the owner must do."""


def version_of(python: str) -> Optional[Tuple[int, int]]:
    """Return (major, minor) of an interpreter, or None where it does not run."""
    ask = "import sys; print(*sys.version_info[:2])"
    try:
        done = subprocess.run(
            [python, "-c", ask], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, check=True
        )
        major, minor = done.stdout.split()
    except (OSError, ValueError, subprocess.CalledProcessError):
        return None
    return int(major), int(minor)


def is_new_enough(python: str) -> bool:
    """Return whether the interpreter runs and is Python 3.11 or newer."""
    version = version_of(python)
    return version is not None and version >= LEAST


def find_python() -> str:
    """Return the path of a Python that is new enough, the running one first."""
    found = [sys.executable] + [shutil.which(name) for name in NAMES]
    for python in found:
        if python and is_new_enough(python):
            return python
    raise SetupError(
        "Sillbook needs Python 3.11 or newer and found only {}. "
        "Install one and run this again.".format(sys.version.split()[0])
    )


def make_venv(python: str) -> None:
    """Make a fresh .venv; raises SetupError where venv or ensurepip is missing."""
    if not runs(python, "-c", "import venv, ensurepip"):
        raise SetupError(
            "Python's venv is missing. On Debian run: apt install python3-venv   "
            "then run this again."
        )
    print("Making .venv", flush=True)
    done = subprocess.run([python, "-m", "venv", "--clear", str(VENV)], check=False)
    if done.returncode != 0:
        raise SetupError("Could not make {}: see the lines above.".format(VENV))


def runs(*command: str) -> bool:
    """Return whether a command runs and succeeds; its output is dropped."""
    try:
        done = subprocess.run(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False
        )
    except OSError:
        return False
    return done.returncode == 0


def digest(lock: str) -> str:
    """Return the SHA-256 of a lock file, in hexadecimal."""
    return hashlib.sha256((ROOT / lock).read_bytes()).hexdigest()


def stamp_path(lock: str) -> Path:
    """Return where the stamp of an installed lock is kept."""
    return VENV / (lock + ".sha256")


def is_installed(lock: str) -> bool:
    """Return whether exactly this lock was installed to the end."""
    try:
        return stamp_path(lock).read_text() == digest(lock)
    except OSError:
        return False


def install(lock: str) -> None:
    """Install a lock with its hashes checked, and stamp it."""
    print("Installing the packages of {}".format(lock), flush=True)
    pip = [VENV_PYTHON, "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    wanted = ["--require-hashes", "--no-deps", "-r", str(ROOT / lock)]
    if subprocess.run(pip + wanted, check=False).returncode != 0:
        raise SetupError("Could not install {}: see the lines above.".format(lock))
    stamp_path(lock).write_text(digest(lock))


def set_up(dev: bool) -> None:
    """Bring .venv to the lock; does nothing where it is there already."""
    if not is_new_enough(VENV_PYTHON):
        make_venv(find_python())
    if is_installed(DEV_LOCK) or (not dev and is_installed(RUN_LOCK)):
        return
    install(DEV_LOCK if dev else RUN_LOCK)


def main() -> int:
    """Run the set-up from the command line; returns the exit status."""
    parser = argparse.ArgumentParser(description="Make .venv from the locked packages.")
    parser.add_argument("--dev", action="store_true", help="also what the tests need")
    try:
        set_up(parser.parse_args().dev)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
