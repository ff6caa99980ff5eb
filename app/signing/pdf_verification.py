"""Checks the company's signature of a PDF by itself: no network, and no reading of the PDF.

Only the shape that sign_pdf writes is taken: one signature over every byte but its own digits, to
the end of the file, in one CMS whose every byte is accounted for. So no parser has to be trusted
with a stranger's file, and there is no byte that can be altered unnoticed: not in the pages, not
after the signature, not in its certificate, not in the zeros that fill its place.

Source: ISO 32000-1 12.8.1 (ByteRange); container.py for the CMS.
"""

import re
import warnings
from dataclasses import dataclass
from hashlib import sha256

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.utils import CryptographyDeprecationWarning

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.signing.certificate import UNREADABLE, CertificateUnfitError, check_certificate
from app.signing.container import certificate_and_signature, container_of, signed_bytes

MOST_BYTES = 256 * 1024 * 1024
MOST_DIGITS = 64 * 1024  # of the signature's own digits
_RANGE = re.compile(rb"/ByteRange \[0 (\d{1,10}) (\d{1,10}) (\d{1,10})\]")
_REASON = re.compile(rb"/Reason \(([ -'*-\[\]-~]{0,300})\)")
# What a stranger's bytes may bring about in a library that reads them.
_UNFIT = (
    *UNREADABLE,
    CertificateUnfitError,
    CryptographyDeprecationWarning,
    KeyError,
    IndexError,
    AttributeError,
    OverflowError,
)
_DIGITS = frozenset(b"0123456789ABCDEF")


class SignatureUnfitError(InputError):
    """A PDF that no company signed as Sillbook does, or that was changed since."""


@dataclass(frozen=True)
class PdfSignature:
    """A signature that covers a whole file. Whose the certificate is has yet to be compared."""

    certificate: x509.Certificate
    reason: str


def is_pdf(data: bytes) -> bool:
    """Return whether a file says at its beginning that it is a PDF."""
    return data.startswith(b"%PDF-")


def check_pdf(data: bytes) -> PdfSignature:
    """Return the signature of a PDF that is unchanged since it was signed.

    Errors: SignatureUnfitError 'pdf-unsigned', 'pdf-added-to', 'pdf-changed'.
    """
    if len(data) > MOST_BYTES:
        raise SignatureUnfitError("pdf-changed", Msg("This file is too large to be a record."))
    first, second = _covered(data)
    covered = sha256(data[:first] + data[second:]).digest()
    certificate = _signer(data[first:second], covered)
    reason = _REASON.search(data, second)
    return PdfSignature(certificate, reason[1].decode() if reason else "")


def _covered(data: bytes) -> tuple[int, int]:
    """Return where the signature's own digits, with < and >, begin and end."""
    ranges = [[int(number) for number in fits.groups()] for fits in _RANGE.finditer(data)]
    if not ranges and b"/ByteRange" in data:  # of another hand's, or written anew
        raise _changed()
    if not ranges:
        raise SignatureUnfitError("pdf-unsigned", Msg("This PDF is not signed by the company."))
    for first, second, rest in ranges:
        if second + rest == len(data) and 0 < first < second <= len(data):
            return first, second
    words = Msg("Something was added to this PDF, or cut off, after it was signed.")
    raise SignatureUnfitError("pdf-added-to", words)


def _changed() -> SignatureUnfitError:
    return SignatureUnfitError("pdf-changed", Msg("This PDF was changed after it was signed."))


def _loaded(der: bytes) -> x509.Certificate:
    """Return a certificate; one that the library only warns of is none of ours."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", CryptographyDeprecationWarning)
        return x509.load_der_x509_certificate(der)


def _signer(place: bytes, digest: bytes) -> x509.Certificate:
    """Return whose key signed bytes of this hash, as the digits between < and > say."""
    digits = place[1:-1]
    if len(digits) > MOST_DIGITS or len(digits) % 2 or not set(digits) <= _DIGITS:
        raise _changed()
    if place[:1] + place[-1:] != b"<>":
        raise _changed()
    raw = bytes.fromhex(digits.decode())
    try:
        der, signature = certificate_and_signature(raw)
        certificate = _loaded(der)
        key = check_certificate(certificate)
        key.verify(signature, signed_bytes(certificate, digest), ec.ECDSA(SHA256()))
        container = container_of(certificate, digest, signature)
    except _UNFIT as error:
        raise _changed() from error
    if container != raw[: len(container)] or any(raw[len(container) :]):
        raise _changed()
    return certificate
