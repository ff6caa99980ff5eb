"""`python -m tests.stories N`: plays N stories, and makes short what fails.

--seed S begins at S: a long count is resumed there. Each line: seed, door, acts, how it ended.
"""

import argparse
import json
import time

from tests.stories.shrink import make_short
from tests.stories.story import MOST_READINGS, Told, tell_story

EACH = 10  # stories between two signs of life


def main() -> int:
    """Return 1 where a story failed."""
    parser = argparse.ArgumentParser(prog="tests.stories", description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--readings", type=int, default=MOST_READINGS)
    parser.add_argument("--go-on", action="store_true", help="go on after a story that failed")
    options = parser.parse_args()
    began, faults, ends = time.monotonic(), 0, {"accepted": 0, "proper": 0}
    for seed in range(options.seed, options.seed + options.count):
        told = tell_story(seed, readings=options.readings)
        if seed % EACH == 0:
            print(f"{seed} … {time.monotonic() - began:.0f} s", flush=True)
        if not told.fault:
            ends["accepted" if told.end == "accepted" else "proper"] += 1
            if told.end != "accepted":
                print(f"{seed}: {told.door}: {told.end}", flush=True)
            continue
        faults += 1
        _report(told, options.readings)
        if not options.go_on:
            break
    print(f"{sum(ends.values())} stories ended well {ends}, {faults} failed, last seed {seed}, "
          f"{time.monotonic() - began:.0f} s")  # fmt: skip
    return 1 if faults else 0


def _report(told: Told, readings: int) -> None:
    print(f"{told.seed}: {told.door}: {told.acts}\n  FAULT {told.fault[:1500]}", flush=True)
    short = make_short(told, readings)
    print("  short:", short.acts, json.dumps({"seed": told.seed, "acts": short.numbers}))
    print("  " + "\n  ".join(short.trail[-14:]), flush=True)


if __name__ == "__main__":
    raise SystemExit(main())
