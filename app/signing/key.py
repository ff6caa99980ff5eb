"""The company's private key and its certificate, as one file.

ECDSA over P-256 with SHA-256: phones sign so too, PAdES and every viewer of PDF take it. Ed25519
would do as well, but PDF knows it only since ISO/TS 32002:2022, and many viewers do not.
The certificate is signed by the key itself: no authority vouches for a door setter. What counts
is its fingerprint, compared with the one that the company publishes.
"""

import base64
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import NameOID, ObjectIdentifier

from app.access.keys import HALF
from app.core.errors import RefusedError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.canonical import canonical_bytes
from app.signing.certificate import CertificateUnfitError, certificates_in, fingerprint_of, pem_of

# RFC 5280 4.1.2.5: a certificate that has no well-defined end
NO_END = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
DOCUMENT_SIGNING = ObjectIdentifier("1.3.6.1.5.5.7.3.36")  # RFC 9336
MOST_NAME = 64  # RFC 5280, ub-organization-name and ub-common-name
UNNAMED = "A company that is not named yet"


@dataclass(frozen=True)
class SigningKey:
    """A private key with the certificate of its public half."""

    private: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate

    @property
    def fingerprint(self) -> str:
        """Return the certificate's SHA-256: 64 hex digits."""
        return fingerprint_of(self.certificate)

    def sign(self, message: Json) -> str:
        """Return the signature of a message's canonical bytes: r then s, in base64url.

        The same key and message give the same signature. Source: RFC 6979.
        """
        r, s = decode_dss_signature(self.sign_bytes(canonical_bytes(message)))
        raw = r.to_bytes(HALF) + s.to_bytes(HALF)
        return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()

    def sign_bytes(self, data: bytes) -> bytes:
        """Return the signature of bytes as DER, without chance (RFC 6979)."""
        return self.private.sign(data, ec.ECDSA(SHA256(), deterministic_signing=True))


def make_key(company: str, since: int) -> SigningKey:
    """Return a new key whose certificate names the company. since: seconds since 1970."""
    private = ec.generate_private_key(ec.SECP256R1())
    letters = "".join(char for char in company if char.isprintable()).strip()
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, letters[:MOST_NAME].strip() or UNNAMED),
            x509.NameAttribute(NameOID.COMMON_NAME, "Completion records, signing key"),
        ]
    )
    builder = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(datetime.fromtimestamp(since, UTC))
        .not_valid_after(NO_END)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(
                digital_signature=True,
                content_commitment=True,
                key_encipherment=False,
                data_encipherment=False,
                key_agreement=False,
                key_cert_sign=False,
                crl_sign=False,
                encipher_only=False,
                decipher_only=False,
            ),
            critical=True,
        )
        .add_extension(x509.ExtendedKeyUsage([DOCUMENT_SIGNING]), critical=False)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(private.public_key()), critical=False
        )
    )
    return SigningKey(private, builder.sign(private, SHA256()))


def write_key(path: Path, key: SigningKey) -> None:
    """Put a key in the place of the one at path, whole or not at all; only its owner reads it."""
    fresh = path.with_name(path.name + ".fresh")
    fresh.unlink(missing_ok=True)
    private = key.private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(private + pem_of(key.certificate).encode())
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)


def read_key(path: Path) -> SigningKey | None:
    """Return the key of a file, None where there is no file.

    Errors: RefusedError 'signing-key-damaged' for what is no key of ours.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return None
    try:
        private = load_pem_private_key(data, password=None)
        [certificate] = certificates_in(data)
    except (ValueError, TypeError, UnsupportedAlgorithm, CertificateUnfitError) as error:
        raise _damaged(path) from error
    if not isinstance(private, ec.EllipticCurvePrivateKey):
        raise _damaged(path)
    if private.public_key() != certificate.public_key():
        raise _damaged(path)
    return SigningKey(private, certificate)


def _damaged(path: Path) -> RefusedError:
    words = Msg(
        "{path} does not hold a signing key as Sillbook writes it. Put it back from a copy.",
        path=str(path),
    )
    return RefusedError("signing-key-damaged", words)
