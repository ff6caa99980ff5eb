"""The company's signing key in copies of the data: it goes along, and is put back where none is."""

import sqlite3
from contextlib import closing
from pathlib import Path

from app.core.quantity.messages import Msg
from app.signing.certificate import short_fingerprint
from app.signing.company_key import FILE
from app.signing.key import read_key, write_key


def backup_key(data: Path, copy: Path) -> Msg:
    """Copy the key into a copy of the data; returns what was done, in words.

    After the database: every key that it names is there by then. Errors: RefusedError
    'signing-key-damaged'.
    """
    key = read_key(data / FILE)
    if key is None:
        return Msg("There is no signing key yet: the first record that is issued makes it.")
    write_key(copy / FILE, key)
    return Msg(
        "It holds the company's signing key as well ({key}): who has it can sign as the company. "
        "Keep it where nobody else reads it.",
        key=short_fingerprint(key.fingerprint),
    )


def restore_key(data: Path, copy: Path) -> Msg:
    """Put the key of a copy back, where there is none or one that the copy knows as replaced.

    A key that the copy does not know is newer than it, and stays. Returns what was done, in words.
    Errors: RefusedError 'signing-key-damaged'.
    """
    here, theirs = read_key(data / FILE), read_key(copy / FILE)
    if theirs is None:
        return Msg("The copy holds no signing key; the one that is here, if any, stays.")
    if here is None or here.fingerprint in _known(copy):
        write_key(data / FILE, theirs)
        return Msg(
            "The signing key is the copy's: {key}.", key=short_fingerprint(theirs.fingerprint)
        )
    return Msg(
        "The signing key that was here stays, since the copy does not know it: {key}. The copy's, "
        "{other}, signs no more.",
        key=short_fingerprint(here.fingerprint),
        other=short_fingerprint(theirs.fingerprint),
    )


def _known(copy: Path) -> list[str]:
    """Return the fingerprints of the keys that a copy's database names."""
    with closing(sqlite3.connect(copy / "sillbook.db")) as connection:
        try:
            return [row[0] for row in connection.execute("SELECT fingerprint FROM company_key")]
        except sqlite3.DatabaseError:  # from before there were keys
            return []
