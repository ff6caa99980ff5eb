"""Schedules: lists of actions in JSON, made by chance from a seed, and read again from a file."""

import json
from collections.abc import Callable
from pathlib import Path
from random import Random

from app.core.kinds import Json

LEAST, MOST = 8, 18  # actions
OPENINGS = ("op-1", "op-1", "op-1", "op-2")  # mostly the same one, so that phones meet
PLACES = ("left", "right")
VALUES = ("1/8", "3/16", "1/4", "5/16", "3/8")  # the limit is 1/4
FATES = (
    "pass", "pass", "cut", "lost", "stall", "slow", "slow answer", "late", "twice", "both",
    "portal", "nothing", "torn", "half", "dies asked", "dies row", "dies kept",
)  # fmt: skip
MOMENTS = ("now", "begun", "kept", "asked", "answered")  # see phone.js: where a phone is killed
ORDERS = ("kill", "back up", "restore", "image", "image back")
CREWS = (["inga"], ["otto"], ["inga", "otto"], [])
COPY = 2  # the phone that is a copy of another; what it is to do while there is none is left out
DAY = 86400  # seconds
JUMPS = (-DAY, -3600, 3600, DAY, 40 * 365 * DAY, -20 * 365 * DAY)
ZONES = (-840, -60, 0, 300, 720)  # minutes west of UTC, as browsers count


def made(seed: int) -> Json:
    """Return the schedule of a seed: always the same."""
    chance = Random(seed)
    actions = _with_copy([_action(chance) for _ in range(chance.randint(LEAST, MOST))], chance)
    away = [{"phone": phone, "do": "away"} for phone in (0, 1) if chance.random() < 0.5]
    return {"seed": seed, "actions": away + actions}


def _with_copy(actions: list[Json], chance: Random) -> list[Json]:
    """Let the copy of a phone do some of what is done after it was made."""
    copied = [at for at, action in enumerate(actions) if action["do"] == "copy"]
    for action in actions[copied[0] + 1 :] if copied else ():
        if "phone" in action and chance.random() < 0.4:
            action["phone"] = COPY
    return actions


def _action(chance: Random) -> Json:
    kinds, weights = zip(*KINDS.items(), strict=True)
    make: Callable[[Random], Json] = chance.choices(kinds, weights)[0]
    action = make(chance)
    return action if action["do"] in MACHINE else {"phone": chance.randrange(2), **action}


def _entry(chance: Random) -> Json:
    kind = chance.choices(list(ENTRIES), [weight for weight, _ in ENTRIES.values()])[0]
    more = ENTRIES[kind][1](chance)
    entry = {"do": kind, "opening": chance.choice(OPENINGS), **more}
    entry["reload"] = chance.random() < 0.7  # else the page as it was last seen, its form and all
    entry["page"] = chance.random() < 0.3  # else the form is put together without the page
    if chance.random() < 0.2:
        entry["rush"] = True  # nobody waits for the answer before the next action
    return entry


def _reading(chance: Random) -> Json:
    return {"place": chance.choice(PLACES), "value": chance.choice(VALUES)}


def _colour(chance: Random) -> str:
    return f"#{chance.randrange(1 << 24):06x}"


def _done(chance: Random) -> str:
    return chance.choice(("yes", "yes", "yes", "no"))


ENTRIES: dict[str, tuple[int, Callable[[Random], Json]]] = {
    "reading": (6, _reading),
    "panel": (2, lambda chance: {**_reading(chance), "panel": chance.choice("AB")}),
    "strike": (3, lambda chance: {"which": chance.randrange(4)}),
    "tick": (4, lambda chance: {"step": chance.choice("ACC"), "done": _done(chance)}),
    "decide": (1, lambda chance: {"choice": chance.choice(("yes", "no"))}),
    "adjust": (1, lambda _: {}),
    "sign": (3, lambda chance: {"step": chance.choice("ACC")}),
    "photo": (2, lambda chance: {"colour": _colour(chance)}),
    "again": (2, lambda chance: {"edit": chance.random() < 0.5}),
}


def _fates(chance: Random) -> Json:
    return {"do": "line", "fates": chance.choices(FATES, k=chance.randint(1, 3))}


def _kill(chance: Random) -> Json:
    where, browser = chance.choice(MOMENTS), chance.random() < 0.5
    return {"do": "kill", "where": where, "count": chance.randint(1, 3), "browser": browser}


def _clock(chance: Random) -> Json:
    return {"do": "clock", "seconds": chance.choice(JUMPS), "zone": chance.choice(ZONES)}


def _crew(chance: Random) -> Json:
    """The office takes an opening from somebody, or gives it to them again."""
    return {"do": "crew", "opening": chance.choice(OPENINGS), "people": chance.choice(CREWS)}


def _plain(name: str) -> Callable[[Random], Json]:
    return lambda _: {"do": name}


KINDS: dict[Callable[[Random], Json], int] = {
    _entry: 50,
    _fates: 12,
    _kill: 6,
    _clock: 3,
    _plain("away"): 4,
    _plain("back"): 6,
    _plain("let go"): 4,
    _plain("arrive"): 3,
    _plain("upgrade"): 2,
    lambda chance: {"do": "sync", "why": chance.choice(("asked", "shown", "timer"))}: 6,
    lambda chance: {"do": "office", "order": chance.choice(ORDERS)}: 4,
    lambda chance: {"do": "office enters", "opening": chance.choice(OPENINGS)}: 2,
    _plain("copy"): 2,
    _crew: 3,
}
MACHINE = ("office", "office enters", "crew")  # actions that are of no phone


def read(path: Path) -> Json:
    """Return a schedule that was written to a file."""
    return json.loads(path.read_text("utf-8"))


def written(schedule: Json) -> str:
    """Return a schedule as text, one action a line."""
    rows = ",\n".join("  " + json.dumps(action) for action in schedule["actions"])
    return f'{{"seed": {schedule["seed"]}, "actions": [\n{rows}\n]}}\n'
