"""A PDF is signed over every byte, the same each time, and any change is noticed.

Outside: pyHanko's validator (PAdES, coverage of the file, rule of changes), which did not build the
signature's CMS; and `openssl cms` where it is there.
"""

import io
import random
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pikepdf
import pytest
from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import EmbeddedPdfSignature, validate_pdf_signature
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from app.core.errors import AppError
from app.signing.certificate import fingerprint_of, pem_of
from app.signing.key import SigningKey, make_key
from app.signing.pdf_signature import RESERVED, sign_pdf
from app.signing.pdf_verification import check_pdf

SINCE, AT = 1_780_000_000, 1_790_000_000
REASON = "Completion record " + "ab" * 32


def plain_pdf(pages: int = 1) -> bytes:
    """Return an unsigned PDF with a fixed identifier."""
    made, out = pikepdf.new(), io.BytesIO()
    for _ in range(pages):
        made.add_blank_page()
    made.save(out, deterministic_id=True)
    return out.getvalue()


@pytest.fixture(scope="module")
def key() -> SigningKey:
    return make_key("Quillfen Door Setters", SINCE)


@pytest.fixture(scope="module")
def signed(key: SigningKey) -> bytes:
    return sign_pdf(plain_pdf(), key, AT, "Signature", REASON)


def test_signed_pdf_begins_with_the_plain_one_and_is_always_the_same(
    key: SigningKey, signed: bytes
) -> None:
    assert signed.startswith(plain_pdf())
    assert signed == sign_pdf(plain_pdf(), key, AT, "Signature", REASON)
    found = check_pdf(signed)
    assert fingerprint_of(found.certificate) == key.fingerprint
    assert found.reason == REASON


def validated(embedded: EmbeddedPdfSignature, context: ValidationContext) -> PdfSignatureStatus:
    """Ask the other validator in a thread: a browser's tests leave a loop in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(validate_pdf_signature, embedded, context).result()


@pytest.mark.parametrize("pages", [1, 40])
def test_another_validator_takes_it(key: SigningKey, tmp_path: Path, pages: int) -> None:
    (tmp_path / "c.pem").write_text(pem_of(key.certificate))
    data = sign_pdf(plain_pdf(pages), key, AT, "Signature", REASON)
    reader = PdfFileReader(io.BytesIO(data))
    [embedded] = reader.embedded_signatures
    assert embedded.sig_object["/SubFilter"] == "/ETSI.CAdES.detached"
    trusted = ValidationContext(
        trust_roots=[load_cert_from_pemder(str(tmp_path / "c.pem"))], allow_fetching=False
    )
    status = validated(embedded, trusted)
    assert status.bottom_line, status.pretty_print_details()
    assert status.coverage == SignatureCoverageLevel.ENTIRE_FILE
    assert (status.trusted, status.intact, status.docmdp_ok) == (True, True, True)
    other = make_key("Quillfen Door Setters", SINCE)
    (tmp_path / "d.pem").write_text(pem_of(other.certificate))
    strange = ValidationContext(
        trust_roots=[load_cert_from_pemder(str(tmp_path / "d.pem"))], allow_fetching=False
    )
    assert not validated(embedded, strange).trusted


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl here")
def test_openssl_takes_it(key: SigningKey, signed: bytes, tmp_path: Path) -> None:
    with pikepdf.open(io.BytesIO(signed)) as pdf:
        field = pdf.Root.AcroForm.Fields[0].V
        _, first, second, rest = (int(number) for number in field.ByteRange)
        contents = bytes(field.Contents)
    assert second + rest == len(signed)
    (tmp_path / "cms").write_bytes(contents)
    (tmp_path / "data").write_bytes(signed[:first] + signed[second:])
    (tmp_path / "c.pem").write_text(pem_of(key.certificate))
    command = ["openssl", "cms", "-verify", "-binary", "-inform", "DER", "-in", "cms", "-content",
               "data", "-CAfile", "c.pem", "-purpose", "any", "-out", "out"]  # fmt: skip
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (tmp_path / "data").write_bytes(signed[:first] + signed[second:].replace(b"/Sig", b"/Sih", 1))
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode != 0


def noticed(data: bytes) -> str:
    """Return the code with which a changed file is refused, "" where it is taken."""
    try:
        check_pdf(data)
    except AppError as error:
        return error.code
    return ""


def altered(data: bytes, at: int, by: int) -> bytes:
    out = bytearray(data)
    out[at] ^= by
    return bytes(out)


@pytest.mark.control(32)
def test_any_altered_byte_is_noticed(signed: bytes) -> None:
    """300 places by chance, and every byte about the signature's place, range and beginning."""
    chance = random.Random(12)
    first = signed.index(b"/Contents <") + 10
    last = signed.index(b">", first)
    places = set(chance.sample(range(len(signed)), 300))
    places |= set(range(first - 12, first + 24)) | set(range(last - 8, last + 90))
    places |= set(range(len(signed) - 40, len(signed))) | set(range(40))
    passed = [
        (at, by)
        for at in sorted(places)
        for by in (1, 0x20)
        if noticed(altered(signed, at, by)) == ""
    ]
    assert passed == []


def test_every_digit_of_the_signature_counts(signed: bytes) -> None:
    """Small letters, other zeros, other digits: the signature has one way to be written."""
    first = signed.index(b"/Contents <") + 11
    last = signed.index(b">", first)
    used = len(signed[first:last].rstrip(b"0"))
    assert used < RESERVED / 2
    chance = random.Random(13)
    for at in [*chance.sample(range(first, first + used), 150), *range(last - 3, last)]:
        other = b"1" if signed[at : at + 1] != b"1" else b"2"
        assert noticed(signed[:at] + other + signed[at + 1 :]) == "pdf-changed", at
    small = signed[first:last].lower()
    assert noticed(signed[:first] + small + signed[last:]) == "pdf-changed"


def test_added_cut_and_unsigned_are_told_apart(signed: bytes) -> None:
    assert noticed(signed + b"\n") == "pdf-added-to"
    assert noticed(signed[:-1]) == "pdf-added-to"
    assert noticed(plain_pdf()) == "pdf-unsigned"
    with pikepdf.open(io.BytesIO(signed)) as pdf:
        out = io.BytesIO()
        pdf.pages[0].Rotate = 90
        pdf.save(out)
    assert noticed(out.getvalue()) in ("pdf-added-to", "pdf-changed")


def test_signed_again_by_another_shows_another_key(key: SigningKey, signed: bytes) -> None:
    """Who signs over our signature vouches for the whole: the key that is named is theirs."""
    other = make_key("Quillfen Door Setters", SINCE)
    forged = sign_pdf(plain_pdf(), other, AT, "Signature", REASON)
    assert fingerprint_of(check_pdf(forged).certificate) == other.fingerprint != key.fingerprint


def test_certificate_of_another_with_our_signature_is_refused(
    key: SigningKey, signed: bytes
) -> None:
    from app.signing.container import container_of

    other = make_key("Quillfen Door Setters", SINCE)
    first = signed.index(b"/Contents <") + 11
    last = signed.index(b">", first)
    forged = container_of(other.certificate, bytes(32), key.sign_bytes(b"x")).hex().upper().encode()
    assert noticed(signed[:first] + forged.ljust(last - first, b"0") + signed[last:]) == (
        "pdf-changed"
    )


HOSTILE = [
    b"",
    b"%PDF-",
    b"%PDF-1.7\n" + b"/ByteRange [0 1 2 3]" * 2000,
    b"%PDF-1.7 /ByteRange [0 9 9 40]" + b" " * 19,
    b"%PDF-1.7 /ByteRange [0 9999999999 9999999999 9999999999]",
    b"%PDF-1.7 <> /ByteRange [0 9 11 28] ".ljust(39),
    b"%PDF-1.7 <3> /ByteRange [0 9 12 27] ".ljust(39),
    b"%PDF-1.7 <" + b"30" * 300 + b"> /ByteRange [0 9 611 29]".ljust(29),
    b"%PDF-1.7 <" + b"A080" * 3000 + b"> /ByteRange [0 9 12011 31]".ljust(31),
    b"%PDF-1.7 <" + b"F" * 70000 + b"> /ByteRange [0 9 70011 31]".ljust(31),
]


@pytest.mark.control(33)
@pytest.mark.parametrize("data", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_files_are_refused_in_words(data: bytes) -> None:
    assert noticed(data) in ("pdf-unsigned", "pdf-added-to", "pdf-changed")


def test_damaged_containers_are_refused_in_words(signed: bytes) -> None:
    """Bytes by chance in the CMS reach the library that reads it; nothing but words comes out."""
    first = signed.index(b"/Contents <") + 11
    last = signed.index(b">", first)
    raw = bytes.fromhex(signed[first:last].decode())
    chance = random.Random(14)
    for _ in range(300):
        changed = bytearray(raw)
        for at in chance.sample(range(1600), chance.randint(1, 12)):
            changed[at] ^= chance.randrange(1, 256)
        digits = bytes(changed).hex().upper().encode()
        assert noticed(signed[:first] + digits + signed[last:]) == "pdf-changed"


def test_longest_name_fits_the_place(signed: bytes) -> None:
    """Four bytes a character, 64 characters: the largest certificate there can be."""
    key = make_key("😀" * 80, SINCE)
    data = sign_pdf(plain_pdf(), key, AT, "Signature", REASON)
    assert fingerprint_of(check_pdf(data).certificate) == key.fingerprint


def test_signing_asks_no_network(key: SigningKey, monkeypatch: pytest.MonkeyPatch) -> None:
    import socket

    def refuse(*_: object) -> None:
        raise AssertionError("asked the network")

    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setattr(socket.socket, "connect", refuse)
    check_pdf(sign_pdf(plain_pdf(), key, AT, "Signature", REASON))
