"""Every bench, one after the other: python -m tests.bench [name ...]."""

import subprocess
import sys
from pathlib import Path


def names() -> list[str]:
    """Return the benches of this folder."""
    here = Path(__file__).parent
    return sorted(path.stem for path in here.glob("*.py") if not path.stem.startswith("_"))


def main(wanted: list[str]) -> int:
    """Run the benches that are named, or all; return the number of those that failed."""
    failed = 0
    for name in wanted or names():
        print(f"== {name}", flush=True)
        failed += (
            subprocess.run([sys.executable, "-m", f"tests.bench.{name}"], check=False).returncode
            != 0
        )
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
