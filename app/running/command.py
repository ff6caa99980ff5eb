"""sillbook doctor, and sillbook settings."""

import argparse
import os
import time

from app.running import condition
from app.settings import SETTINGS, Settings


def doctor(settings: Settings, options: argparse.Namespace) -> None:
    """Print what was found of the data, and what mends it; status 1 where something is bad."""
    found = condition.look_at(settings, time.time(), options.full)
    for one in found:
        print(f"{one.state:5} {one.name}: {one.says}")
        if one.mend:
            print(f"      mend it: {one.mend}")
    if any(one.state == condition.BAD for one in found):
        raise SystemExit(1)


def show_settings(_: Settings, __: argparse.Namespace) -> None:
    """Print every setting, its value now (never a password), and what it is for."""
    for one in SETTINGS:
        value = os.environ.get(one.name, "")
        print(f"{one.name}={one.shown(value)}")
        print(f"    {one.words}")
