"""Fresh ids."""

import secrets
import time


def uuid7() -> str:
    """Return a UUID of version 7: milliseconds since 1970, then 74 random bits.

    Source: RFC 9562 section 5.7.
    """
    number = (time.time_ns() // 1_000_000) << 80 | 0x7 << 76
    number |= secrets.randbits(12) << 64 | 0b10 << 62 | secrets.randbits(62)
    text = f"{number:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))
