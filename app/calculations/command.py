"""sillbook calc: the arithmetic alone, JSON in and JSON out.

Bad input of any kind: one line on standard error, and status 2.
"""

import argparse
import json
import os
import sys
from pathlib import Path
from typing import Any

from app.calculations import listing, reading, registry
from app.core.errors import AppError, InputError
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker


def add_to(verbs: Any) -> None:
    """Add the verb to a command line."""
    made = verbs.add_parser("calc", help="work out one thing: JSON in, JSON out")
    made.add_argument("name", nargs="?", help="which calculation (see --list)")
    made.add_argument("file", nargs="?", default="-", help="its input; - is standard input")
    made.add_argument("--list", action="store_true", help="list the calculations")
    made.add_argument("--json", action="store_true", help="with --list: a JSON Schema for each")
    made.add_argument("--example", action="store_true", help="print an example of the input")


def run(options: argparse.Namespace) -> int:
    """Do what the command line asks and return the status."""
    try:
        text = _done(options)
    except AppError as error:
        print("sillbook calc: " + " ".join(Speaker().say(error.message).split()), file=sys.stderr)
        return 2
    return _printed(text)


def _printed(text: str) -> int:
    """Print; a reader that has seen enough (head, a pager) is no error."""
    try:
        print(text, flush=True)
    except BrokenPipeError:
        # what is left in the buffer goes nowhere, or Python complains about it at the end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _done(options: argparse.Namespace) -> str:
    if options.list:
        return _json(listing.as_schemas()) if options.json else listing.as_text()
    if not options.name:
        raise InputError("calculation-missing", Msg("Name a calculation, or ask for the --list."))
    made = registry.find(options.name)
    if options.example:
        return _json(listing.example(made.name))
    return _json(made.answer(reading.loaded(_text(options.file))))


def _text(name: str) -> bytes:
    """Return what a file or standard input holds, no more than may be read of it."""
    try:
        if name == "-":
            return sys.stdin.buffer.read(reading.MOST_BYTES + 1)
        with Path(name).open("rb") as file:
            return file.read(reading.MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL in it
        why = getattr(error, "strerror", None) or str(error)
        words = Msg("Cannot read {file}: {why}", file=name, why=why)
        raise InputError("file-unreadable", words) from error


def _json(thing: Any) -> str:
    return json.dumps(thing, ensure_ascii=False, indent=2)
