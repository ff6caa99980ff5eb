"""An export checked by itself: whole it passes; altered anywhere, it is said what is wrong.

SHA-256 (FIPS 180-4) and ECDSA over P-256 (FIPS 186-5) are the standard library's and the
`cryptography` package's; what follows from an altered byte needs no other source.
"""

import base64
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from hypothesis import given, settings
from hypothesis import strategies as st

from app.access.keys import signing_message
from app.cli import main
from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes, digest
from app.homeowner import checking, export, issuing, snapshot
from app.homeowner.commitments import snapshot_digest
from tests.homeowner.finished import ABOUT, PROCEDURES

ACCEPTED = {
    "result": "accepted", "words": "", "rules": 1, "procedure_digest": "0" * 64, "verdicts": [],
}  # fmt: skip


def body(book: list[Json], made: Json) -> Json:
    """Return an export before it is sealed, whose parts may be altered freely."""
    parts = {
        "v": export.VERSION,
        "about": ABOUT,
        "events": [*book, issued(book, made)],
        "procedures": PROCEDURES,
        "snapshots": [made],
        "signatures": {},
        "keys": {},
        "issued": [{"key": "", "signature": ""}],
        "company_keys": {},
    }
    copied: Json = json.loads(json.dumps(parts))
    return copied


def issued(book: list[Json], made: Json) -> Json:
    """Return the office's entry that follows an acceptance."""
    return issuing.issued_entry(book, book[-1], made)


@pytest.fixture(scope="module")
def whole(book: list[Json], made: Json) -> bytes:
    return export.sealed(body(book, made))


def test_whole_export_passes(whole: bytes, made: Json) -> None:
    report = checking.check(whole, snapshot.code_of(snapshot_digest(made)))
    assert report.faults == []
    assert (report.revision, report.digest) == (1, snapshot_digest(made))


def test_the_whole_digest_serves_as_the_code(whole: bytes, made: Json) -> None:
    """Both stand on every sheet; a digest with one sign changed is another record's."""
    hash_ = snapshot_digest(made)
    assert checking.check(whole, hash_.upper()).faults == []
    assert checking.check(whole, hash_[:-1] + ("0" if hash_[-1] != "0" else "1")).codes == ["code"]


def of_another_version(book: list[Json], made: Json) -> Json:
    """Return the parts of an export whose record says what no rules of this version say."""
    other = json.loads(json.dumps(made))
    check = other["facts"]["steps"][0]["checks"][0]
    check["verdict"], check["says"] = "out", [{"msg": "In words that nobody knows any more."}]
    other["facts"]["something else"] = True
    return body(book, other)


def test_a_record_of_another_version_is_whole(
    book: list[Json], made: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is never judged anew: what the office issued stands as it was issued."""
    file = tmp_path / "record.json"
    file.write_bytes(export.sealed(of_another_version(book, made)))
    report = checking.check(file.read_bytes())
    assert report.faults == []
    assert main(["verify", str(file)]) == 0
    assert "Whole" in capsys.readouterr().out
    assert main(["verify", str(file), "--code", snapshot.code_of(snapshot_digest(made))]) == 1
    assert "WRONG" in capsys.readouterr().out


def test_another_version_hides_no_altered_entry(book: list[Json], made: Json) -> None:
    parts = of_another_version(book, made)
    alter_reading(parts)
    assert "chain" in checking.check(export.sealed(parts)).codes


def test_entries_and_facts_agree(book: list[Json], made: Json) -> None:
    """A snapshot made anew from its entries is the same: a test, no verdict on a record."""
    again = json.loads(json.dumps(book))
    assert snapshot.make(ABOUT, again, PROCEDURES) == made


def test_another_code_is_another_record(whole: bytes) -> None:
    assert checking.check(whole, "00000-00000").codes == ["code"]


@settings(max_examples=40, deadline=None)
@given(place=st.floats(0, 1, exclude_max=True), change=st.integers(1, 255))
def test_one_byte_anywhere(whole: bytes, place: float, change: int) -> None:
    at = int(place * len(whole))
    altered = whole[:at] + bytes([whole[at] ^ change]) + whole[at + 1 :]
    assert checking.check(altered).faults


# sorts of bytes in an export -> where they stand; any byte at all is test_one_byte_anywhere's
SORTS = {
    "reading": rb'"kind":"reading\.taken".*?"value":"(\d+)"',
    "as typed": rb'"text":"([^"]+)","units"',
    "verdict": rb'"verdict":"(\w+)"',
    "order": rb'"turn":(\d+)',
    "chain": rb'"prev":"(\w+)"',
    "seen": rb'"seen":\{([^}]*)\}',
    "photo": rb'"sha256":"(\w{64})"',
    "person": rb'"person":"([^"]+)"',
    "clock": rb'"at":"([^"]+)"',
    "received": rb'"received":\["([^"]+)"',
    "drawing": rb'"drawing":\{([^}]+)',
    "limit": rb'"limits":\{([^}]+)\}',
    "fact": rb'"says":\[\{"msg":"([^"]+)"',
    "picture": rb'"figure":\{([^}]+)\}',
    "issued": rb'"kind":"record.issued".*?"person":"([^"]+)"',
    "rests": rb'"rests":\[([^\]]+)\]',
    "number": rb'"number":"([^"]+)"',
    "where": rb'"about":\{([^}]+)\}',
    "signature": rb'"signatures":\{"[^"]+":"([^"]+)"',
    "key": rb'"keys":\{"[^"]+":"([^}]+)\}',
    "seal": rb'"seal":"(\w+)"',
    "structure": rb'([{}\[\]:,"])',
    "names of fields": rb'"(\w+)":',
    "letters beyond ASCII": rb"([\xc2-\xf4][\x80-\xbf]+)",
}


@pytest.fixture(scope="module")
def signed(with_photo: Json) -> bytes:
    """An export that has a byte of every sort."""
    parts = json.loads(json.dumps(with_photo))
    key = ec.generate_private_key(ec.SECP256R1())
    event = first(parts, "step.signed")
    parts["keys"] = {event["device"]: jwk(key)}
    parts["signatures"] = {event["id"]: signed_by(key, event)}
    came = {entry["id"]: "2026-03-12T16:00:00.000+00:00" for entry in parts["events"]}
    events = parts["events"][:-1]
    made = snapshot.make(ABOUT, events, PROCEDURES, received=came)
    return export.sealed({**parts, "snapshots": [made], "events": [*events, issued(events, made)]})


@pytest.fixture(scope="module")
def places(signed: bytes) -> dict[str, list[tuple[int, int]]]:
    """Where the bytes of each sort stand, some 300 over the whole file."""
    found = {
        sort: [one.span(1) for one in re.finditer(said, signed)] for sort, said in SORTS.items()
    }
    return {sort: spans[:: max(1, len(spans) // 300)] for sort, spans in found.items()}


def test_that_export_passes_and_has_every_sort(
    signed: bytes, places: dict[str, list[tuple[int, int]]]
) -> None:
    assert checking.check(signed).faults == []
    assert [sort for sort in SORTS if not places[sort]] == []


ALTERED = given(
    sort=st.sampled_from(sorted(SORTS)), place=st.floats(0, 1, exclude_max=True),
    within=st.floats(0, 1, exclude_max=True), change=st.integers(1, 255),
)  # fmt: skip


@settings(max_examples=50, deadline=None)
@ALTERED
def test_one_byte_of_every_sort(
    signed: bytes,
    places: dict[str, list[tuple[int, int]]],
    sort: str,
    place: float,
    within: float,
    change: int,
) -> None:
    altered_byte_is_seen(signed, places, sort, place, within, change)


@pytest.mark.long
@settings(max_examples=500, deadline=None)
@ALTERED
def test_many_bytes_of_every_sort(
    signed: bytes,
    places: dict[str, list[tuple[int, int]]],
    sort: str,
    place: float,
    within: float,
    change: int,
) -> None:
    altered_byte_is_seen(signed, places, sort, place, within, change)


def altered_byte_is_seen(
    signed: bytes,
    places: dict[str, list[tuple[int, int]]],
    sort: str,
    place: float,
    within: float,
    change: int,
) -> None:
    start, end = places[sort][int(place * len(places[sort]))]
    at = start + int(within * (end - start))
    altered = signed[:at] + bytes([signed[at] ^ change]) + signed[at + 1 :]
    report = checking.check(altered)
    assert report.faults
    assert all(words.template for _, words in report.faults)


@pytest.mark.parametrize("cut", [0, 1, 1000, -1, -1000])
def test_shortened_or_lengthened(whole: bytes, cut: int) -> None:
    assert checking.check(whole[:cut]).faults
    assert checking.check(whole + b" " * (abs(cut) + 1)).faults


def first(parts: Json, kind: str) -> Json:
    return next(event for event in parts["events"] if event["kind"] == kind)


def alter_reading(parts: Json) -> None:
    first(parts, "reading.taken")["body"]["value"] = "7"


def alter_verdict(parts: Json) -> None:
    first(parts, "step.signed")["body"]["verdicts"][0]["verdict"] = "out"


def alter_order(parts: Json) -> None:
    events = parts["events"]
    events[5], events[6] = events[6], events[5]


def alter_photo(parts: Json) -> None:
    first(parts, "photo.taken")["body"]["sha256"] = "0" * 64


def alter_person(parts: Json) -> None:
    first(parts, "step.signed")["person"] = "somebody-else"


def alter_clock(parts: Json) -> None:
    parts["events"][9]["at"] = "2020-01-01T00:00:00Z"


def take_out(parts: Json) -> None:
    del parts["events"][20]


def take_out_last(parts: Json) -> None:
    del parts["events"][-2:]


def alter_fact(parts: Json) -> None:
    parts["snapshots"][0]["facts"]["steps"][0]["checks"][0]["verdict"] = "conceded"


def take_out_issue(parts: Json) -> None:
    del parts["events"][-1]


def alter_issue(parts: Json) -> None:
    parts["events"][-1]["body"]["digest"] = "0" * 64


def alter_limit(parts: Json) -> None:
    procedure = next(iter(parts["procedures"].values()))
    procedure["steps"][0]["checks"][0]["limits"]["most"] = {"value": "99999999999"}


def alter_address(parts: Json) -> None:
    parts["about"]["address"] = "13 Other Lane"


def alter_rests(parts: Json) -> None:
    parts["snapshots"][0]["rests"].reverse()


def alter_revision(parts: Json) -> None:
    parts["snapshots"][0]["revision"] = 2


def alter_signature(parts: Json) -> None:
    signed = first(parts, "step.signed")
    parts["signatures"] = {signed["id"]: "A" * 86}


ALTERED = [
    (alter_reading, "chain"),
    (alter_verdict, "chain"),
    (alter_order, "chain"),
    (alter_photo, "rests"),
    (alter_person, "chain"),
    (alter_clock, "chain"),
    (take_out, "chain"),
    (take_out_last, "rests"),
    (alter_fact, "contents"),
    (take_out_issue, "issued"),
    (alter_issue, "contents"),
    (alter_limit, "procedure"),
    (alter_address, "contents"),
    (alter_rests, "order"),
    (alter_revision, "revision"),
    (alter_signature, "unfit"),
]


@pytest.fixture(scope="module")
def with_photo(book: list[Json]) -> Json:
    """The parts of an export of an opening with a photo, taken just before acceptance."""
    from app.core.record.events import heads_of, new_event

    events = [dict(event) for event in book[:-1]]
    for kind, device, person, content in (
        ("photo.taken", "web-demo", "tobin-hale", PHOTO),
        (
            "opening.reviewed",
            "office-demo",
            "nadia-ferrow",
            ACCEPTED,
        ),
    ):
        draft = {
            "id": f"x-{kind}", "device": device, "opening": ABOUT["id"], "seen": heads_of(events),
            "at": "2026-03-12T10:00:00-05:00", "person": person, "kind": kind, "body": content,
        }  # fmt: skip
        events.append(new_event(events, draft))
    return body(events, snapshot.make(ABOUT, events, PROCEDURES))


PHOTO = {
    "step": "J", "task": "j-photo", "sha256": "ab" * 32, "size": 1, "width": 4, "height": 3,
}  # fmt: skip


@pytest.mark.control(32)
@pytest.mark.parametrize(("alter", "code"), ALTERED, ids=lambda one: getattr(one, "__name__", one))
def test_what_was_altered_is_said_even_where_the_seal_was_made_anew(
    with_photo: Json, alter: Callable[[Json], None], code: str
) -> None:
    parts = json.loads(json.dumps(with_photo))
    alter(parts)
    report = checking.check(export.sealed(parts))
    assert code in report.codes
    assert all(words.template for _, words in report.faults)


def test_chain_names_the_entry(book: list[Json], made: Json) -> None:
    parts = body(book, made)
    reading = first(parts, "reading.taken")
    reading["body"]["value"] = "7"
    after = parts["events"][parts["events"].index(reading) + 1]
    faults = dict(checking.check(export.sealed(parts)).faults)
    assert faults["chain"].params["id"] == after["id"]


def rechained(events: list[Json]) -> None:
    """Make the chains anew, as a forger would."""
    lasts: dict[str, Json] = {}
    for event in events:
        if event["device"] in lasts:
            event["prev"] = digest(lasts[event["device"]])
        lasts[event["device"]] = event


def test_forger_who_makes_chain_and_record_anew_gets_another_code(
    book: list[Json], made: Json
) -> None:
    parts = body(book, made)
    alter_reading(parts)
    rechained(parts["events"])
    assert "rests" in checking.check(export.sealed(parts)).codes
    events = parts["events"][:-1]
    again = snapshot.make(ABOUT, events, PROCEDURES)
    parts = body(events, again)
    assert checking.check(export.sealed(parts)).faults == []
    report = checking.check(export.sealed(parts), snapshot.code_of(snapshot_digest(made)))
    assert "code" in report.codes


def signed_by(key: ec.EllipticCurvePrivateKey, event: Json) -> str:
    message = canonical_bytes(signing_message(event["id"], digest(event)))
    r, s = decode_dss_signature(key.sign(message, ec.ECDSA(SHA256())))
    return base64.urlsafe_b64encode(r.to_bytes(32) + s.to_bytes(32)).decode().rstrip("=")


def jwk(key: ec.EllipticCurvePrivateKey) -> str:
    numbers = key.public_key().public_numbers()
    x, y = (
        base64.urlsafe_b64encode(n.to_bytes(32)).decode().rstrip("=")
        for n in (numbers.x, numbers.y)
    )
    return canonical_bytes({"crv": "P-256", "kty": "EC", "x": x, "y": y}).decode()


@pytest.mark.control(32)
def test_signatures_of_phones_are_checked(book: list[Json], made: Json) -> None:
    key, other = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    parts = body(book, made)
    signed = first(parts, "step.signed")
    parts["keys"] = {signed["device"]: jwk(key)}
    parts["signatures"] = {signed["id"]: signed_by(key, signed)}
    report = checking.check(export.sealed(parts))
    assert (report.faults, report.signatures) == ([], 1)
    parts["signatures"] = {signed["id"]: signed_by(other, signed)}
    assert checking.check(export.sealed(parts)).codes == ["signature"]
    parts["signatures"] = {"no-such-entry": signed_by(key, signed)}
    assert checking.check(export.sealed(parts)).codes == ["signature"]


@pytest.mark.parametrize(
    "data",
    [b"", b"{}", b"[]", b"null", b"\xff", b'{"v":1}', b"[" * 100000, b'"\\ud800"', b"1e999"],
)
def test_files_that_are_no_export(data: bytes) -> None:
    assert checking.check(data).codes in (["unreadable"], ["no-export"])


@pytest.mark.parametrize(
    ("part", "junk"),
    [("events", [1]), ("events", {}), ("events", [{}]), ("snapshots", []), ("snapshots", [{}]),
     ("procedures", {"a": 1}), ("about", None), ("signatures", []), ("keys", 5)],
)  # fmt: skip
def test_parts_that_are_not_what_they_should_be(
    book: list[Json], made: Json, part: str, junk: object
) -> None:
    assert checking.check(export.sealed({**body(book, made), part: junk})).faults or junk == 5


@pytest.mark.control(33)
@pytest.mark.parametrize("id", ["a\nWhole: all.", "a\x1b[2J", "\ud800", "a\u202eb", "a\rWhole"])
def test_a_file_puts_no_lines_of_its_own_into_what_is_said(
    book: list[Json], made: Json, id: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = body(book, made)
    parts["events"][0] = {"id": id}
    file = tmp_path / "record.json"
    file.write_text(json.dumps({**parts, "seal": "", "seal_key": "", "seal_signature": ""}))
    assert main(["verify", str(file)]) == 1
    lines = capsys.readouterr().out.encode().decode().splitlines()
    assert lines[0].startswith("WRONG: ")
    ours = ("WRONG: ", "Record ", "Digest ", f"{len(parts['events'])} entries")
    assert all(line.startswith(ours) and line.isprintable() for line in lines)


def test_number_of_a_forger_says_nothing_in_our_name(
    book: list[Json], made: Json, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "record.json"
    other = {**made, "number": "1\nSigned with the key that was given: all is well."}
    file.write_bytes(export.sealed(body(book, other)))
    assert main(["verify", str(file)]) == 0
    assert "\nSigned" not in capsys.readouterr().out


@pytest.mark.control(33)
def test_file_that_is_too_large_is_not_read() -> None:
    """No more memory is taken than a real export could need."""
    assert checking.check(b" " * (checking.MOST_BYTES + 1)).codes == ["too-large"]


def test_command_says_it_in_words(
    whole: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "record.json"
    file.write_bytes(whole)
    assert main(["verify", str(file)]) == 0
    assert "Whole" in capsys.readouterr().out
    file.write_bytes(whole.replace(b"\"4' 0 1/2", b"\"4' 0 1/4", 1))
    assert main(["verify", str(file)]) == 1
    assert "WRONG: The file was changed after it was made" in capsys.readouterr().out
    assert main(["verify", str(file) + ".none"]) == 2
