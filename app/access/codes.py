"""Codes that people read, type and scan: drawn by chance, kept as hashes alone."""

import secrets

from app.access.sessions import token_hash

# No letter that can be taken for a digit: each of 32 signs is 5 bits.
SIGNS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"


def new_code(length: int) -> str:
    """Return a new code of so many signs."""
    return "".join(secrets.choice(SIGNS) for _ in range(length))


def code_hash(code: str, purpose: str = "") -> str:
    """Return what is kept of a code, however it was typed; of one purpose, it serves no other.

    Example: code_hash("abcd-efgh") == code_hash("ABCD EFGH") -> True
    """
    return token_hash(purpose + "".join(sign for sign in code.upper() if sign in SIGNS))
