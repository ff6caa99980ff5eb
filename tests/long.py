"""python -m tests.long: what takes too long for `make test`; notes when and on what it was green.

Tests marked `long`, schedules and stories of chance, and what a server endures. Where all of it
passes on a commit without changes beside it, a line goes into tests/LONG_GREEN.txt, to be
committed: when, on which commit, in how many minutes. DEVELOPERS.md (Tests) lists what was put
here, and why.

A count of 0 leaves that part out, and so does --no-tests; nothing is noted then.
"""

import argparse
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
GREEN = ROOT / "tests" / "LONG_GREEN.txt"


PARTS = 5


def parts(
    schedules: int, stories: int, tests: bool = True, kills: int = 0, soak: int = 0
) -> dict[str, list[str]]:
    """Return what is run: its name -> the words after `python -m`."""
    found = {}
    if tests:
        found["tests marked long"] = ["pytest", "-n", "2", "--dist", "load", "-m", "long"]
    if schedules:
        found[f"{schedules} schedules of chance"] = ["tests.faults.random", str(schedules)]
    if kills:
        found[f"{kills} SIGKILLs"] = ["tests.endure", "kills", str(kills)]
    if soak:
        found[f"20 phones for {soak} minutes"] = ["tests.endure", "soak", "--minutes", str(soak)]
    if stories:
        found[f"{stories} stories of chance"] = ["tests.stories", str(stories)]
    return found


def commit_without_changes() -> str:
    """Return the commit that is checked out; "" where something beside it was changed."""
    if _git("status", "--porcelain"):
        return ""
    return _git("rev-parse", "--short=12", "HEAD")


def _git(*words: str) -> str:
    done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.strip()


def green_line(now: datetime, commit: str, seconds: float, names: list[str]) -> str:
    """Return the line that says that all was green."""
    return f"{now:%Y-%m-%d %H:%M} UTC  {commit}  {seconds / 60:.0f} min  {', '.join(names)}\n"


def main() -> int:
    """Run every part, also after one failed; returns 1 where one did, else 0."""
    asked = argparse.ArgumentParser(prog="python -m tests.long", description=__doc__)
    asked.add_argument("--schedules", type=int, default=2000)
    asked.add_argument("--stories", type=int, default=2000)
    asked.add_argument("--kills", type=int, default=50)
    asked.add_argument("--soak", type=int, default=3, help="minutes")
    asked.add_argument("--no-tests", action="store_true", help="leave the tests marked long out")
    given = asked.parse_args()
    commit, began = commit_without_changes(), time.monotonic()
    red = []
    todo = parts(given.schedules, given.stories, not given.no_tests, given.kills, given.soak)
    for name, words in todo.items():
        print(f"\n{name}", flush=True)
        if subprocess.run([sys.executable, "-m", *words], cwd=ROOT, check=False).returncode:
            red.append(name)
    if red:
        print("\nNot green:", ", ".join(red))
        return 1
    line = green_line(datetime.now(UTC), commit, time.monotonic() - began, list(todo))
    if not commit or commit != commit_without_changes() or len(todo) < PARTS:
        print("\nGreen, but not noted (parts left out, or not what any commit has):", line)
        return 0
    with GREEN.open("a", encoding="utf-8") as file:
        file.write(line)
    print(f"\nGreen; noted in {GREEN.relative_to(ROOT)}, to be committed:", line)
    return 0


if __name__ == "__main__":
    sys.exit(main())
