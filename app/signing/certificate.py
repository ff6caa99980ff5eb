"""The public half of a company's key: a certificate, its fingerprint, and what it checks.

The fingerprint is the SHA-256 of the certificate's DER: what `openssl x509 -fingerprint -sha256`
and the viewers of PDF show. Its short form, the first 80 bits, stands on every sheet.
"""

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID

from app.access.keys import fits_key
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg

SHORT = 20  # hex digits, 80 bits: the fewest that may stand for a certificate
WHOLE = 64
# What a stranger's certificate may bring about in the library that reads it.
UNREADABLE = (ValueError, TypeError, x509.InvalidVersion, UnsupportedAlgorithm, InvalidSignature)
MOST_BYTES = 256 * 1024  # of a file with certificates: some 300 of ours


class CertificateUnfitError(InputError):
    """A certificate, or a fingerprint, that is none of a company's key."""

    def __init__(self, words: Msg) -> None:
        super().__init__("certificate-unfit", words)


def fingerprint_of(certificate: x509.Certificate) -> str:
    """Return the SHA-256 of a certificate: 64 hex digits."""
    return certificate.fingerprint(SHA256()).hex()


def short_fingerprint(fingerprint: str) -> str:
    """Return the first 80 bits of a fingerprint as they are printed; "" of "".

    Example: short_fingerprint("0123456789abcdef" * 4) -> "0123 4567 89ab cdef 0123"
    """
    return " ".join(fingerprint[at : at + 4] for at in range(0, min(SHORT, len(fingerprint)), 4))


def read_fingerprint(typed: str) -> str:
    """Return the hex digits of a fingerprint, short or whole, as somebody typed it.

    Errors: CertificateUnfitError where it has fewer than 20 or more than 64 digits, or others.
    Example: read_fingerprint("01:23:45:67:89:AB:CD:EF:01:23") -> "0123456789abcdef0123"
    """
    digits = typed.lower().translate(str.maketrans("", "", " :-\n\t"))
    if not SHORT <= len(digits) <= WHOLE or not set(digits) <= set("0123456789abcdef"):
        raise CertificateUnfitError(
            Msg("A fingerprint has 20 to 64 of the digits 0 to 9 and a to f.")
        )
    return digits


def pem_of(certificate: x509.Certificate) -> str:
    """Return a certificate as text."""
    return certificate.public_bytes(Encoding.PEM).decode()


def certificate_of(pem: str) -> x509.Certificate:
    """Return the certificate of a text; raises CertificateUnfitError."""
    return _fit(pem.encode())[0]


def certificates_in(data: bytes) -> list[x509.Certificate]:
    """Return the certificates of a file, one or more; raises CertificateUnfitError."""
    if len(data) > MOST_BYTES:
        raise CertificateUnfitError(Msg("This file is too large to be a company's certificate."))
    return _fit(data)


def _fit(data: bytes) -> list[x509.Certificate]:
    try:
        found = x509.load_pem_x509_certificates(data)
    except UNREADABLE as error:
        raise CertificateUnfitError(Msg("This is no certificate.")) from error
    for certificate in found:
        check_certificate(certificate)
    return found


def check_certificate(certificate: x509.Certificate) -> ec.EllipticCurvePublicKey:
    """Return the P-256 key of a certificate that this key itself signed.

    Errors: CertificateUnfitError where it is another kind of certificate, or was changed.
    """
    try:
        key = certificate.public_key()
        certificate.verify_directly_issued_by(certificate)
    except UNREADABLE as error:
        raise CertificateUnfitError(Msg("This certificate was changed, or is no company's.")) from (
            error
        )
    if not isinstance(key, ec.EllipticCurvePublicKey) or not isinstance(key.curve, ec.SECP256R1):
        raise CertificateUnfitError(Msg("This certificate is of another kind of key."))
    return key


def name_on(certificate: x509.Certificate) -> str:
    """Return the company that a certificate names."""
    named = certificate.subject.get_attributes_for_oid(NameOID.ORGANIZATION_NAME)
    return str(named[0].value) if named else ""


def since_when(certificate: x509.Certificate) -> int:
    """Return since when a certificate holds, seconds since 1970."""
    return int(certificate.not_valid_before_utc.timestamp())


def signature_fits(certificate: x509.Certificate, message: Json, signature: str) -> bool:
    """Return whether a signature is of a message's canonical bytes, by the certificate's key."""
    return fits_key(check_certificate(certificate), message, signature)
