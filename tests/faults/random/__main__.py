"""`python -m tests.faults.random N [--seed S] [--replay FILE] [--broken NAME] [--lanes L]`.

Runs N schedules from seed S on, prints what was done, and the shortest schedule of each failure.
"""

import argparse
import secrets
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path

from app.core.kinds import Json
from tests.faults.random import broken, schedule
from tests.faults.random.invariant import Outcome
from tests.faults.random.shrink import shortest
from tests.faults.random.site import Site, alone

MEMORY = Path("/dev/shm")  # noqa: S108  (where there is one, a schedule never waits for a disk)
CHUNK = 500  # schedules in one browser; then a fresh one
SAID = 25  # schedules after which it says how far it is
SAYS = (
    "Real: the phone's scripts and core, IndexedDB, locks, keys, pictures; the office's program,\n"
    "process, kills and database. Simulated: the life and death of workers and browsers, the line\n"
    "between, clocks and chance."
)


@dataclass
class Failure:
    """A schedule that fails, as short as it gets."""

    short: Json
    length: int
    outcome: Outcome


@dataclass
class Tally:
    """What was done in some schedules."""

    schedules: int = 0
    actions: int = 0
    counts: Counter[str] = field(default_factory=Counter)
    failures: list[Failure] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        """Add another's figures."""
        self.schedules += other.schedules
        self.actions += other.actions
        self.counts.update(other.counts)
        self.failures += other.failures


def temporary() -> AbstractContextManager[str]:
    """Give a folder for a site."""
    return tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None)


def run(site: Site, seeds: range) -> Tally:
    """Carry out the schedules of some seeds; what fails is shrunk."""
    tally = Tally()
    for seed in seeds:
        made = schedule.made(seed)
        outcome = site.run(made)
        tally.schedules += 1
        tally.actions += len(made["actions"])
        tally.counts.update(outcome.counts)
        tally.counts.update(orders(made))
        if outcome.found:
            tally.failures.append(shrunk(site, made, outcome))
    return tally


def orders(made: Json) -> list[str]:
    """Return what was done to the office itself."""
    done = ["office " + action["order"] for action in made["actions"] if "order" in action]
    return done + ["office crew" for action in made["actions"] if action["do"] == "crew"]


def shrunk(site: Site, made: Json, outcome: Outcome) -> Failure:
    """Return the shortest schedule that fails in the same way."""

    def fails(actions: list[Json]) -> bool:
        return outcome.worst in site.run({**made, "actions": actions}).kinds

    short = {**made, "actions": shortest(made["actions"], fails)}
    again = site.run(short)
    return Failure(short, len(made["actions"]), again if again.found else outcome)


def lane(seeds: range, variant: str) -> Tally:
    """Carry out some schedules in a browser and with offices of their own."""
    with temporary() as folder, alone(Path(folder), variant) as site:
        tally = Tally()
        for at in range(0, len(seeds), SAID):
            part = run(site, seeds[at : at + SAID])
            for failure in part.failures:
                print(shown(failure), flush=True)
            print(f"seeds {seeds[at]} and on: {part.schedules} more", flush=True)
            tally.add(part)
    return tally


def shown(failure: Failure) -> str:
    """Return a failure as it is printed."""
    rows = [f"  {found.what}: {found.case[:400]}" for found in failure.outcome.found[:6]]
    head = f"FAILED: seed {failure.short['seed']}, {failure.length} actions, shrunk to:"
    return "\n".join([head, schedule.written(failure.short), *rows])


def figures(tally: Tally, seconds: float) -> str:
    """Return what was done, one figure a line."""
    rows = [f"{tally.schedules} schedules, {tally.actions} actions, {seconds:.0f} s"]
    rows += [f"{count:8} {what}" for what, count in sorted(tally.counts.items())]
    return "\n".join([*rows, f"{len(tally.failures)} schedules failed"])


def main() -> int:
    """Run; the exit status is 1 where a schedule failed."""
    asked = argparse.ArgumentParser(prog="python -m tests.faults.random", description=__doc__)
    asked.add_argument("count", type=int, nargs="?", default=200, help="how many schedules")
    asked.add_argument("--seed", type=int, default=None, help="the first one's seed")
    asked.add_argument("--replay", type=Path, help="a file with one schedule, to run that")
    asked.add_argument("--broken", choices=sorted(broken.NAMES), default="", help="break it first")
    asked.add_argument("--lanes", type=int, default=2, help="browsers side by side")
    given = asked.parse_args()
    print(SAYS, flush=True)
    if given.replay:
        return replay(schedule.read(given.replay), given.broken)
    seed = secrets.randbelow(10**9) if given.seed is None else given.seed
    return many(range(seed, seed + given.count), given.broken, given.lanes)


def replay(one: Json, variant: str) -> int:
    """Run one schedule, and say what came of it."""
    with temporary() as folder, alone(Path(folder), variant) as site:
        outcome = site.run(one)
    for found in outcome.found:
        print(f"{found.what}: {found.case}")
    print("holds" if not outcome.found else "FAILED")
    return bool(outcome.found)


def many(seeds: range, variant: str, lanes: int) -> int:
    """Run the schedules of some seeds, side by side."""
    print(f"seed {seeds.start}", flush=True)
    began, tally = time.monotonic(), Tally()
    size = min(CHUNK, -(-len(seeds) // lanes))
    chunks = [seeds[at : at + size] for at in range(0, len(seeds), size)]
    with ProcessPoolExecutor(lanes) as pool:
        for done in as_completed([pool.submit(lane, chunk, variant) for chunk in chunks]):
            tally.add(done.result())
            spent = time.monotonic() - began
            print(f"{tally.schedules} of {len(seeds)} in {spent:.0f} s", flush=True)
    print(figures(tally, time.monotonic() - began))
    return bool(tally.failures)


if __name__ == "__main__":
    sys.exit(main())
