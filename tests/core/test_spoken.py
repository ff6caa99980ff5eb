"""The numbers of a spoken concession: HMAC, check digit, days; what the code hangs on.

HMAC-SHA256: RFC 4231 section 4, test cases 1 to 4, 6 and 7 (published, seen); case 5 is the first
16 bytes of what it gives. Check digit: the usual worked example of ISO/IEC 7812-1's modulus 10,
7992739871 gives 3 (published; restated from memory). Calendar: Gregorian rule of leap years.
"""

import binascii

from app.core.record import spoken

RFC4231 = (
    (b"\x0b" * 20, b"Hi There",
     b"b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
    (b"Jefe", b"what do ya want for nothing?",
     b"5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"),
    (b"\xaa" * 20, b"\xdd" * 50,
     b"773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"),
    (bytes(range(1, 26)), b"\xcd" * 50,
     b"82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b"),
    (b"\x0c" * 20, b"Test With Truncation", b"a3b6167473100ee06e0c796c2955552b"),
    (b"\xaa" * 131, b"Test Using Larger Than Block-Size Key - Hash Key First",
     b"60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54"),
    (b"\xaa" * 131, b"This is a test using a larger than block-size key and a larger than "
     b"block-size data. The key needs to be hashed before being used by the HMAC algorithm.",
     b"9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2"),
)  # fmt: skip

SECRET = "00112233445566778899aabbccddeeff" * 2
DAY = "2026-03-02"


def taken(id, value):
    return {"id": id, "body": {"value": value}}


READINGS = [taken("r1", "1"), taken("r2", "2")]


def code(**more):
    given = {"secret": SECRET, "day": DAY, "opening": "o1", "check": "gap", "panel": "",
             "number": "482109375"}  # fmt: skip
    given.update(more)
    return spoken.code_of(
        given["secret"], given["day"], given["opening"], given["check"], given["panel"],
        given["number"],
    )  # fmt: skip


def test_hmac_is_that_of_the_rfc():
    for key, message, expected in RFC4231:
        got = binascii.hexlify(spoken.hmac_sha256(key, message))
        assert got[: len(expected)] == expected


def test_check_digit_of_the_standard():
    assert spoken.check_digit("7992739871") == "3"
    assert spoken.is_number("123456782")  # 12345678: doubled 16 7 14 … by hand gives 2
    assert not spoken.is_number("123456783")
    assert not spoken.is_number("12345678")


def test_every_single_wrong_digit_shows():
    good = "482109379"[:8]
    good += spoken.check_digit(good)
    for place in range(9):
        for digit in "0123456789":
            typed = good[:place] + digit + good[place + 1 :]
            assert spoken.is_number(typed) == (typed == good)


def test_number_hangs_on_all_that_it_speaks_of():
    own = spoken.number_of("o1", "gap", "", READINGS)
    assert spoken.is_number(own)
    assert own == spoken.number_of("o1", "gap", "", list(reversed(READINGS)))
    others = [
        spoken.number_of("o2", "gap", "", READINGS),
        spoken.number_of("o1", "gup", "", READINGS),
        spoken.number_of("o1", "gap", "A", READINGS),
        spoken.number_of("o1", "gap", "", READINGS[:1]),
        spoken.number_of("o1", "gap", "", [taken("r1", "1"), taken("r2", "3")]),
    ]
    assert own not in others


def test_code_hangs_on_all_that_it_permits():
    own = code()
    assert len(own) == 8
    assert all(char in "0123456789" for char in own)
    others = [
        code(secret="ff" * 32), code(day="2026-03-03"), code(opening="o2"), code(check="gup"),
        code(panel="A"), code(number="482109383"),
    ]  # fmt: skip
    assert own not in others


def test_code_of_the_day_beside_is_taken_and_no_other():
    def day(of, today):
        return spoken.day_of(SECRET, today, "o1", "gap", "", "482109375", code(day=of))

    assert day(DAY, DAY) == DAY
    assert day(DAY, "2026-03-01") == DAY
    assert day(DAY, "2026-03-03") == DAY
    assert day(DAY, "2026-03-04") == ""
    assert day(DAY, "no day") == ""
    assert spoken.day_of(SECRET, DAY, "o1", "gap", "", "482109375", code()[:7]) == ""


def test_days_about():
    about = spoken.days_about
    assert about("2024-02-28") == ["2024-02-27", "2024-02-28", "2024-02-29"]
    assert about("2026-02-28")[2] == "2026-03-01"
    assert about("2100-02-28")[2] == "2100-03-01"
    assert about("2000-02-28")[2] == "2000-02-29"
    assert about("2026-12-31") == ["2026-12-30", "2026-12-31", "2027-01-01"]
    assert about("2026-01-01")[0] == "2025-12-31"
    for wrong in ("", "2026-3-2", "2026-13-01", "2026-02-29", "2026-00-10", "20260302", "x"):
        assert about(wrong) == []


def test_what_is_typed_and_read_out():
    assert spoken.plain_digits("482 109-375") == "482109375"
    assert spoken.plain_digits("48a") == ""
    assert spoken.grouped_digits("482109375") == "482 109 375"
    assert spoken.grouped_digits("12345678") == "1234 5678"
