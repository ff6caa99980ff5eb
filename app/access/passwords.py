"""Passwords: argon2id, never more than two at a time."""

from threading import BoundedSemaphore

from argon2 import PasswordHasher, Type
from argon2.exceptions import InvalidHashError, VerificationError

from app.core.errors import InputError
from app.core.words import Msg

LEAST, MOST = 8, 128
# OWASP's least for argon2id: 19 MiB, two passes, one lane.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1, type=Type.ID)
# Each takes 19 MiB and a core for some 30 ms: a burst of sign-ins must not take the machine.
_FEW = BoundedSemaphore(2)


def make(password: str) -> str:
    """Return the hash to keep; raises InputError 'password-length' outside 8 to 128 characters."""
    if not LEAST <= len(password) <= MOST:
        raise InputError(
            "password-length",
            Msg("A password has {least} to {most} characters.", least=LEAST, most=MOST),
        )
    with _FEW:
        return _HASHER.hash(password)


# What an unknown login is checked against, so that it takes as long as a known one.
_NOBODY = _HASHER.hash("nobody's password")


def fits(kept: str | None, password: str) -> bool:
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
