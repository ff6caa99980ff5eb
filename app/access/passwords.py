"""Passwords: argon2id, never more than two at a time."""

from functools import cache
from itertools import pairwise
from pathlib import Path
from threading import BoundedSemaphore

from argon2 import PasswordHasher, Type
from argon2.exceptions import InvalidHashError, VerificationError

from app.core.errors import InputError
from app.core.quantity.messages import Msg

LEAST, MOST = 8, 128
# OWASP's least for argon2id: 19 MiB, two passes, one lane.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1, type=Type.ID)
# Each takes 19 MiB and a core for some 30 ms: a burst of sign-ins must not take the machine.
_FEW = BoundedSemaphore(2)


@cache
def _common_passwords() -> frozenset[str]:
    return frozenset((Path(__file__).parent / "common.txt").read_text(encoding="ascii").split())


def must_be_fit(password: str, *about: str) -> None:
    """Refuse what is guessed first; no rule about which characters there must be.

    about: the person's own names. Errors: InputError 'password-length', 'password-common'.
    """
    _must_fit_length(password)
    plain = password.casefold()
    said = {"".join(text.casefold().split()) for text in about} | {"sillbook"}
    core = "".join(plain.split()).strip("0123456789!.?-_")
    if plain in _common_passwords() or core in said or len(set(plain)) <= 2 or _is_run(plain):
        words = Msg("This password is one of the first that are tried. Take some words instead.")
        raise InputError("password-common", words)


def _is_run(plain: str) -> bool:
    """Return whether a password is nothing but a run such as 12345678 or hgfedcba."""
    steps = {ord(b) - ord(a) for a, b in pairwise(plain)}
    return steps in ({1}, {-1})


def _must_fit_length(password: str) -> None:
    if not LEAST <= len(password) <= MOST:
        raise InputError(
            "password-length",
            Msg("A password has {least} to {most} characters.", least=LEAST, most=MOST),
        )


def hash_password(password: str) -> str:
    """Return the hash to keep; raises InputError 'password-length' outside 8 to 128 characters."""
    _must_fit_length(password)
    with _FEW:
        return _HASHER.hash(password)


# What an unknown login is checked against, so that it takes as long as a known one.
_NOBODY = _HASHER.hash("nobody's password")


def password_fits(kept: str | None, password: str) -> bool:
    """Return whether the password belongs to the kept hash; None is nobody's and never fits."""
    if len(password) > MOST:
        password = ""  # no kept password is empty: as slow as any, and never right
    try:
        with _FEW:
            _HASHER.verify(kept or _NOBODY, password)
    except (VerificationError, InvalidHashError):
        return False
    return kept is not None


def is_outdated(kept: str) -> bool:
    """Return whether the hash was made with other parameters than today's."""
    return _HASHER.check_needs_rehash(kept)
