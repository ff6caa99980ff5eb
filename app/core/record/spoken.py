"""A concession by voice: the numbers that are read out, and how a phone checks one alone.

The phone shows a number for a check with its readings; the installer reads it out. The office
makes a code of it with the secret of that phone and day, and reads the code out; the phone makes
the same code and compares. Each step is a handful of digits, made for the ear.

    number  9 digits: 8 of SHA-256 over opening, check, panel and readings, then a check digit
    code    8 digits of HMAC-SHA256 over opening, check, panel and number, keyed by the day's secret
    secret of a day = HMAC-SHA256 over "spoken|" and the day, keyed by the phone's secret

The phone that checks a code could make it as well: it opens a gate provisionally, no more.

Source: RFC 2104 (HMAC), FIPS 180-4 (SHA-256), ISO/IEC 7812-1 annex B (the check digit).
"""

import binascii
import hashlib

from app.core.kinds import Json
from app.core.order import sort_by
from app.core.quantity.dates import days_in, is_date
from app.core.record.canonical import canonical_bytes

BLOCK = 64  # bytes of SHA-256's block
NUMBER_DIGITS = 8
CODE_DIGITS = 8
_DIGITS = "0123456789"


def hmac_sha256(key: bytes, message: bytes) -> bytes:
    """Return HMAC-SHA256 of a message.

    Source:  RFC 2104 section 2; test vectors in RFC 4231.
    Example: binascii.hexlify(hmac_sha256(b"Jefe", b"what do ya want for nothing?"))[:8] ->
             b"5bdcc146"
    """
    if len(key) > BLOCK:
        key = hashlib.sha256(key).digest()
    key = key + bytes(BLOCK - len(key))
    inner = hashlib.sha256(bytes([b ^ 0x36 for b in key]) + message).digest()
    return hashlib.sha256(bytes([b ^ 0x5C for b in key]) + inner).digest()


def number_of(opening: str, check: str, panel: str, readings: "list[Json]") -> str:
    """Return the number that is read out for a check with its live readings (their events)."""
    taken = sort_by([[e["id"], _message_of(e)] for e in readings], lambda pair: pair[0])
    said = canonical_bytes([opening, check, panel, taken])
    digits = _digits_of(hashlib.sha256(said).digest(), NUMBER_DIGITS)
    return digits + check_digit(digits)


def _message_of(event: Json) -> str:
    said: str = event["body"].get("value", "")
    return said


def _digits_of(digest: bytes, count: int) -> str:
    value = 0
    for byte in digest[:8]:
        value = value * 256 + byte
    text = str(value % 10**count)
    return "0" * (count - len(text)) + text


def check_digit(digits: str) -> str:
    """Return the digit that shows one wrong digit, and most that were swapped.

    Source:  ISO/IEC 7812-1 annex B (modulus 10, double-add-double).
    Example: check_digit("7992739871") -> "3"
    """
    total = 0
    for place in range(len(digits)):
        digit = int(digits[len(digits) - 1 - place])
        if place % 2 == 0:
            digit = digit * 2 - 9 if digit > 4 else digit * 2
        total += digit
    return str((10 - total % 10) % 10)


def plain_digits(text: str) -> str:
    """Return the digits of what was typed; "" where anything but digits, spaces, strokes stands."""
    out = ""
    for char in text:
        if char in _DIGITS:
            out += char
        elif char not in " -.":
            return ""
    return out


def is_number(text: str) -> bool:
    """Return whether plain digits are a number as it is read out, its check digit right."""
    whole = len(text) == NUMBER_DIGITS + 1
    return whole and check_digit(text[:-1]) == text[-1]


def code_of(secret: str, day: str, opening: str, check: str, panel: str, number: str) -> str:
    """Return the code of a day ("2026-03-02"); secret: the phone's, as hexadecimal."""
    of_day = hmac_sha256(binascii.unhexlify(secret.encode()), b"spoken|" + day.encode())
    return _digits_of(
        hmac_sha256(of_day, canonical_bytes([opening, check, panel, number])), CODE_DIGITS
    )


def day_of(
    secret: str, today: str, opening: str, check: str, panel: str, number: str, code: str
) -> str:
    """Return the day that a code is of: today, yesterday or tomorrow (clocks differ); "" for none.

    today: as the phone's clock says. The odd comparison takes as long for any wrong code.
    """
    found = ""
    for day in days_about(today):
        made = code_of(secret, day, opening, check, panel, number)
        if sum([a != b for a, b in zip(made, code)]) == 0 and len(made) == len(code):
            found = day
    return found


def days_about(day: str) -> "list[str]":
    """Return a day with the one before and the one after; [] for what is no day.

    Example: days_about("2024-02-28") -> ["2024-02-27", "2024-02-28", "2024-02-29"]
    """
    if not is_date(day):
        return []
    year, month, number = [int(part) for part in day.split("-")]
    return [_day_before(year, month, number), day, _day_after(year, month, number)]


def _day_before(year: int, month: int, day: int) -> str:
    if day > 1:
        return _day_text(year, month, day - 1)
    year, month = (year, month - 1) if month > 1 else (year - 1, 12)
    return _day_text(year, month, days_in(year, month))


def _day_after(year: int, month: int, day: int) -> str:
    if day < days_in(year, month):
        return _day_text(year, month, day + 1)
    return _day_text(year, month + 1, 1) if month < 12 else _day_text(year + 1, 1, 1)


def _day_text(year: int, month: int, day: int) -> str:
    parts = [str(year), str(month), str(day)]
    return "-".join(["0" * (2 - len(part)) + part for part in parts])


def grouped_digits(digits: str) -> str:
    """Return digits as they are read out. Example: grouped_digits("482109375") -> "482 109 375"."""
    size = 3 if len(digits) % 3 == 0 else 4
    return " ".join([digits[at : at + size] for at in range(0, len(digits), size)])
