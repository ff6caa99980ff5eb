"""Every bench, one after the other: python -m tests.bench [name [what it takes ...] ...].

What stands after the name of a bench and is no name of one is given to it.
"""

import subprocess
import sys
from pathlib import Path


def names() -> list[str]:
    """Return the benches of this folder: the files that can be run; the others are their parts."""
    here = Path(__file__).parent
    every = [path for path in here.glob("*.py") if not path.stem.startswith("_")]
    return sorted(path.stem for path in every if '\nif __name__ == "__main__":' in path.read_text())


def runs_of(words: list[str]) -> list[list[str]]:
    """Return what is to be run: each bench that is named, or all, with what it takes.

    Errors: ValueError for a word before the first name.
    """
    runs: list[list[str]] = []
    for word in words or names():
        if word in names():
            runs.append([word])
        elif runs:
            runs[-1].append(word)
        else:
            raise ValueError(f"There is no bench {word}. There are: {', '.join(names())}.")
    return runs


def main(words: list[str]) -> int:
    """Run the benches that are named, or all; return the number of those that failed."""
    failed = 0
    for name, *given in runs_of(words):
        print(f"== {name}", flush=True)
        run = [sys.executable, "-m", f"tests.bench.{name}", *given]
        failed += subprocess.run(run, check=False).returncode != 0
    return failed


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except ValueError as error:
        sys.exit(str(error))
