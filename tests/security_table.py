"""python -m tests.security_table [--write]: the table of security controls, made from the tests.

A test that shows a control says so by a mark: @pytest.mark.control(7). The marks are read from the
sources; nothing is run.
"""

import ast
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "tests" / "SECURITY.md"

# number -> what it is, and the items of OWASP ASVS 5.0 behind it
CONTROLS = {
    1: ("session cookie `__Host-` where TLS, Secure, HttpOnly, SameSite=Lax", "3.3.1-4"),
    2: ("tokens of 128 bits or more, opaque, only their hash stored", "7.2.2-3"),
    3: ("new token at sign-in", "7.2.4"),
    4: ("idle and absolute lifetime of sessions", "7.1.1, 7.3.1-2"),
    5: ("sign-out, disabling, new password end every session", "7.4.1-3"),
    6: ("the office lists and revokes phones and sessions", "7.4.5, 7.5.2"),
    7: ("requests of other sites are refused", "3.5.1-3"),
    8: ("GET changes nothing", "3.5.3"),
    9: ("Content-Security-Policy on every page, the server's and the worker's", "3.4.3, 3.4.6"),
    10: ("nosniff, Referrer-Policy, COOP, HSTS where TLS", "3.4.1, 4, 5, 8"),
    11: ("photos for our own pages only (CORP)", "3.5.8"),
    12: ("messages to the worker checked for source and form", "3.5.5"),
    13: ("argon2id, at least 19 MiB, t=2, p=1; rehashed when raised; few at a time", "11.4.2"),
    14: ("passwords of 8 to 128 characters, no composition rules, common ones refused", "6.2.1-9"),
    15: ("sign-in, pairing, PIN, links limited; no permanent lock-out", "6.1.1, 6.3.1, 2.4.1"),
    16: ("no telling whether an account exists, by text, code or time", "6.3.8"),
    17: (
        "a PIN on a phone attributes, keyed by a key that cannot leave; it opens nothing",
        "6.3.4",
    ),
    18: ("pairing code: single use, ten minutes, limited, hashed", "6.5.1-5"),
    19: ("a phone sees its persons' openings only", "8.2.2"),
    20: ("share link: 128 bits, expiring, revocable, read-only, never logged", "14.2.1, 11.5.1"),
    21: ("every id checked against the asker", "8.2.1-3, 8.3.1"),
    22: ("the server decides again whatever the phone decided", "2.2.2, 8.3.1"),
    23: ("explicit schemas, unknown fields refused", "15.3.3"),
    24: ("photos: bounded, JPEG only, fully decoded, metadata refused", "5.2.1-2, 5.2.6"),
    25: ("no EXIF, no position", "14.2.8"),
    26: ("file names made by the server; Content-Disposition", "5.3.1-2, 5.4.1-2"),
    27: ("a phone's store cleared, once nothing is unsent or the person has said so", "14.3.1, 3"),
    28: ("`no-store` on personal pages; the worker caches the bundle only", "14.3.2"),
    29: ("audit log of access; no secrets; no injection", "16.2.1-5, 16.3.1-3"),
    30: ("errors say nothing internal; a failed write is 503, never 200", "16.5.1-4, 13.4.2"),
    31: (
        "signing key: P-256, in a file of its owner's alone, in no table; a replaced one stays out",
        "11.2.3, 11.6.1, 13.3.2",
    ),
    32: (
        "records, exports, PDFs: no byte alters unnoticed; whose, by a key from outside the file",
        "11.4.3, 11.6.1",
    ),
    33: ("a stranger's file to verify: bounded, no traceback, nothing printed raw", "16.5.1"),
    34: ("one hostile or broken phone harms nobody else", "2.2.2-3, 2.4.1"),
    35: ("published passwords (the demo's) open nothing that others reach", "6.3.2, 13.4.2"),
    36: ("slow and half requests end; they keep nobody out, fill no log", "13.2.6, 15.1.3"),
    37: ("details of health and figures are not public, and name nobody", "13.4.5, 16.2.5"),
    38: (
        "what was altered behind the program is noticed: at the start, daily, by a command",
        "16.4.1-3",
    ),
    39: (
        "webhooks go to public addresses alone, to the one that was looked at; no redirects",
        "1.3.6, 4.1.1, 12.3.1-2",
    ),
    40: ("what leaves the office puts no secret into a log or table", "16.2.5, 14.2.1"),
    41: ("API tokens: scope, end date, hashed, ended by hand or with their maker", "4.1.1, 8.3.1"),
}

HEAD = """# Security controls and the tests that show them

Made from the marks in the tests: `python -m tests.security_table --write`. A difference fails
`make test`. The numbers are items of OWASP ASVS 5.0, as read when the list was made.

| # | control | ASVS 5.0 | tests |
|---|---|---|---|
"""


@cache
def shown() -> dict[int, list[str]]:
    """Return control -> the tests that show it, as file and name."""
    out: dict[int, list[str]] = {number: [] for number in CONTROLS}
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for name, numbers in _marked(ast.parse(path.read_text(encoding="utf-8"))):
            for number in numbers:
                out.setdefault(number, []).append(f"{path.relative_to(ROOT).as_posix()}::{name}")
    return out


def _marked(tree: ast.Module) -> Iterator[tuple[str, list[int]]]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            for mark in node.decorator_list:
                if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "pytest.mark.control":
                    yield node.name, [ast.literal_eval(number) for number in mark.args]


def table() -> str:
    """Return the table."""
    found = shown()
    rows = []
    for number, (words, items) in CONTROLS.items():
        tests = "<br>".join(f"`{test.removeprefix('tests/')}`" for test in found[number])
        rows.append(f"| {number} | {words} | {items} | {tests} |\n")
    return HEAD + "".join(rows)


if __name__ == "__main__":
    if "--write" in sys.argv:
        TABLE.write_text(table(), encoding="utf-8")
    else:
        sys.stdout.write(table())
