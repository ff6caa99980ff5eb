"""The company's key: its certificate, its file, its fingerprint, its signatures.

Outside: `openssl` where it is there, RFC 5280 (certificates), RFC 6979 (a key and a message have
one signature), `cryptography`'s own check of ECDSA.
"""

import shutil
import stat
import string
import subprocess
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID

from app.core.errors import AppError
from app.signing import certificate as public
from app.signing.key import SigningKey, make_key, read_key, write_key
from app.signing.messages import export_message, record_message

SINCE = 1_780_000_000


@pytest.fixture(scope="module")
def key() -> SigningKey:
    return make_key("Quillfen Door Setters", SINCE)


def test_certificate_names_the_company_and_has_no_end(key: SigningKey) -> None:
    """RFC 5280 4.1.2.5: 99991231235959Z where there is no well-defined end."""
    made = key.certificate
    assert made.subject == made.issuer
    assert public.name_on(made) == "Quillfen Door Setters"
    assert made.not_valid_after_utc.isoformat() == "9999-12-31T23:59:59+00:00"
    assert public.since_when(made) == SINCE
    use = made.extensions.get_extension_for_class(x509.KeyUsage).value
    assert (use.digital_signature, use.content_commitment, use.key_cert_sign) == (True, True, False)
    assert public.certificate_of(public.pem_of(made)) == made


@pytest.mark.parametrize(
    "name", ["", "   ", "Ö" * 300, "A\nB\x00C", "門戸株式会社", "a" * 64 + " b", "😀" * 70]
)
def test_any_name_makes_a_certificate(name: str) -> None:
    """RFC 5280 ub-organization-name: 64 characters."""
    made = make_key(name, SINCE).certificate
    named = made.subject.get_attributes_for_oid(NameOID.ORGANIZATION_NAME)[0].value
    assert 0 < len(named) <= 64
    assert str(named).isprintable()
    public.check_certificate(made)


def test_same_message_same_signature(key: SigningKey) -> None:
    """RFC 6979: no chance in it; another message, kind or key has another."""
    digest = "ab" * 32
    made = key.sign(record_message(digest))
    assert made == key.sign(record_message(digest))
    assert public.signature_fits(key.certificate, record_message(digest), made)
    assert not public.signature_fits(key.certificate, export_message(digest), made)
    assert not public.signature_fits(key.certificate, record_message("ac" * 32), made)
    other = make_key("Quillfen Door Setters", SINCE)
    assert not public.signature_fits(other.certificate, record_message(digest), made)
    for junk in ("", "x", "é" * 86, made[:-2], made + "AA", "A" * 86):
        assert not public.signature_fits(key.certificate, record_message(digest), junk)


@pytest.mark.control(32)
def test_a_signature_is_written_in_one_way(key: SigningKey) -> None:
    """64 bytes fill 85 signs and a third; the last sign's spare bits are 0 (RFC 4648 3.5)."""
    message = record_message("ab" * 32)
    made = key.sign(message)
    signs = string.ascii_uppercase + string.ascii_lowercase + string.digits + "-_"
    for spare in range(1, 16):
        other = made[:-1] + signs[signs.index(made[-1]) ^ spare]
        assert not public.signature_fits(key.certificate, message, other), other
    for at in range(20):
        made = key.sign(record_message(str(at)))
        other = made.translate(str.maketrans("-_", "+/"))
        fits = public.signature_fits(key.certificate, record_message(str(at)), other)
        assert fits == (other == made)


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl here")
def test_openssl_says_the_same_fingerprint(key: SigningKey, tmp_path: Path) -> None:
    write_key(tmp_path / "key.pem", key)
    said = subprocess.run(
        ["openssl", "x509", "-in", tmp_path / "key.pem", "-noout", "-fingerprint", "-sha256"],
        capture_output=True, text=True, check=True,
    ).stdout.partition("=")[2]  # fmt: skip
    assert public.read_fingerprint(said.strip()) == key.fingerprint


@pytest.mark.control(31)
def test_file_is_its_owners_alone_and_read_back(key: SigningKey, tmp_path: Path) -> None:
    path = tmp_path / "key.pem"
    assert read_key(path) is None
    write_key(path, key)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    again = read_key(path)
    assert again is not None
    assert again.fingerprint == key.fingerprint
    assert again.sign(record_message("x")) == key.sign(record_message("x"))
    assert [one.name for one in tmp_path.iterdir()] == ["key.pem"]


def damaged_files(key: SigningKey) -> dict[str, bytes]:
    private = key.private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    own = public.pem_of(key.certificate).encode()
    other = make_key("Somebody else", SINCE)
    large = ec.generate_private_key(ec.SECP384R1())
    return {
        "empty": b"",
        "no key": own,
        "no certificate": private,
        "another's certificate": private + public.pem_of(other.certificate).encode(),
        "another curve": large.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        + own,
        "two certificates": private + own + own,
        "cut short": (private + own)[:-40],
        "bytes": bytes(range(256)) * 20,
    }


@pytest.mark.parametrize("name", list(damaged_files(make_key("Any", SINCE))))
def test_a_damaged_file_is_refused(key: SigningKey, tmp_path: Path, name: str) -> None:
    path = tmp_path / "key.pem"
    path.write_bytes(damaged_files(key)[name])
    with pytest.raises(AppError) as refused:
        read_key(path)
    assert refused.value.code == "signing-key-damaged"


@pytest.mark.parametrize(
    "typed", ["0123 4567 89ab cdef 0123", "01:23:45:67:89:AB:CD:EF:01:23", "0123456789abcdef0123\n"]
)
def test_fingerprint_is_read_as_people_write_it(typed: str) -> None:
    assert public.read_fingerprint(typed) == "0123456789abcdef0123"


@pytest.mark.parametrize("typed", ["", "0123", "g" * 20, "0" * 19, "0" * 65, "٠" * 20])
def test_what_is_no_fingerprint_is_refused(typed: str) -> None:
    """80 bits at least: fewer could be met by trying keys."""
    with pytest.raises(AppError) as refused:
        public.read_fingerprint(typed)
    assert refused.value.code == "certificate-unfit"


def test_a_changed_certificate_is_refused(key: SigningKey) -> None:
    """It is signed by its own key: every byte of it counts."""
    der = key.certificate.public_bytes(Encoding.DER)
    for at in range(0, len(der), 7):
        changed = bytearray(der)
        changed[at] ^= 1
        try:
            read = x509.load_der_x509_certificate(bytes(changed))
            public.check_certificate(read)
        except (*public.UNREADABLE, AppError):
            continue
        pytest.fail(f"byte {at} was changed, and nobody noticed")
