"""A PostgreSQL of the tests' own: a cluster in a temporary folder, a database for each test.

`python -m tests.store.postgres` installs it where that is possible (Debian, as root).
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import psycopg

HINT = (
    "PostgreSQL is missing: its tests are left out. To have them: sudo apt-get install postgresql"
)
LOCALE = ("--encoding=UTF8", "--locale=C")  # as a cluster is made; databases say for themselves


@cache
def programs() -> Path | None:
    """Return the folder with initdb and pg_ctl, the newest there is; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: int(p.parent.name))
    named = shutil.which("initdb")
    found = [Path(named).resolve().parent, *found] if named else found
    return next((p for p in reversed(found) if (p / "initdb").exists()), None)


def _run(cluster: Path, *words: str) -> None:
    user = "postgres" if os.getuid() == 0 else None  # it refuses to run as root
    subprocess.run(
        words, check=True, capture_output=True, cwd=cluster.parent, user=user, timeout=120
    )


@contextmanager
def cluster() -> Iterator[str]:
    """Give the address of a running server without a database's name; it is gone at the end."""
    bin_ = programs()
    assert bin_ is not None, HINT
    with tempfile.TemporaryDirectory(prefix="pg") as folder:
        home = Path(folder)
        home.chmod(0o755)
        data = home / "data"
        data.mkdir(mode=0o700)
        if os.getuid() == 0:
            shutil.chown(data, "postgres")
        _run(data, str(bin_ / "initdb"), "-D", str(data), "-A", "trust", "-U", "tester", *LOCALE)
        # Nobody pulls the plug in a test: what was written need not wait for the disk.
        quick = "-c fsync=off -c full_page_writes=off -c autovacuum=off"
        options = f"-c listen_addresses= -c unix_socket_directories={data} {quick}"
        log = str(data / "log")
        _run(data, str(bin_ / "pg_ctl"), "-D", str(data), "-w", "-l", log, "-o", options, "start")
        try:
            yield f"postgresql://tester@/{{}}?host={data}"
        finally:
            _run(data, str(bin_ / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")


def make_database(
    server: str, name: str, encoding: str = "UTF8", template: str = "template0"
) -> str:
    """Make a database, empty or a copy of one that nobody has open; returns its address."""
    with psycopg.connect(server.format("postgres"), autocommit=True) as connection:
        connection.execute(
            f"CREATE DATABASE {name} TEMPLATE {template} ENCODING '{encoding}' LOCALE 'C'"
        )
    return server.format(name)


def main() -> int:
    """Install PostgreSQL where it is missing and this machine lets us.

    Returns 1 where it may not be left out (SILLBOOK_LEAVE_NOTHING_OUT) and cannot be had.
    """
    if programs() is not None:
        return 0
    if os.getuid() == 0 and shutil.which("apt-get"):
        ask = ["apt-get", "install", "-y", "--no-install-recommends", "postgresql"]
        subprocess.run(["apt-get", "update"], check=False, capture_output=True)
        subprocess.run(
            ask,
            check=False,
            capture_output=True,
            env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
        )
        programs.cache_clear()
    if programs() is not None:
        return 0
    print(HINT)
    return 1 if os.environ.get("SILLBOOK_LEAVE_NOTHING_OUT") else 0


if __name__ == "__main__":
    sys.exit(main())
