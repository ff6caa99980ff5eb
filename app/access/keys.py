"""A phone's key: ECDSA over P-256 with SHA-256, as WebCrypto makes and writes it."""

import base64
import hashlib
import json
from functools import lru_cache

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.canonical import canonical_bytes

HALF = 32  # bytes of a coordinate, and of each half of a signature


class KeyUnfitError(InputError):
    """A public key that is none."""

    def __init__(self) -> None:
        super().__init__("key-unfit", Msg("This phone's key cannot be read."))


def kept_key(jwk: Json) -> str:
    """Return a public key as it is kept: the canonical JSON of its four members.

    Errors: KeyUnfitError for another kind of key, and for a point that is not on the curve.
    Source: RFC 7518 section 6.2.1; the members and their order are those of RFC 7638.
    """
    key = canonical_bytes({name: jwk.get(name, "") for name in ("crv", "kty", "x", "y")}).decode()
    _public_key(key)
    return key


def key_thumbprint(key: str) -> str:
    """Return the SHA-256 of a kept key, as hexadecimal. Source: RFC 7638."""
    return hashlib.sha256(key.encode()).hexdigest()


@lru_cache(maxsize=1000)  # a point is looked at once, not at each batch
def _public_key(key: str) -> ec.EllipticCurvePublicKey:
    jwk = json.loads(key)
    if (jwk["kty"], jwk["crv"]) != ("EC", "P-256"):
        raise KeyUnfitError
    x, y = (_from_base64url(jwk[name]) for name in "xy")
    try:
        return ec.EllipticCurvePublicNumbers(
            int.from_bytes(x), int.from_bytes(y), ec.SECP256R1()
        ).public_key()
    except ValueError as error:
        raise KeyUnfitError from error


def _from_base64url(text: object) -> bytes:
    if not isinstance(text, str) or len(text) != 43:  # 32 bytes, without padding
        raise KeyUnfitError
    try:
        return base64.b64decode(text + "=", altchars=b"-_", validate=True)
    except ValueError as error:
        raise KeyUnfitError from error


class Verifier:
    """Checks signatures with one phone's key."""

    def __init__(self, key: str) -> None:
        self._key = _public_key(key)

    def fits(self, message: Json, signature: str) -> bool:
        """Return whether the signature (r then s, base64url) is of the message's canonical bytes.

        Source: W3C Web Cryptography API section 23 (ECDSA): r and s, 32 bytes each.
        """
        return fits_key(self._key, message, signature)


def fits_key(key: ec.EllipticCurvePublicKey, message: Json, signature: str) -> bool:
    """Return whether a P-256 key made the signature (as Verifier.fits has it) of a message."""
    try:
        raw = base64.b64decode(signature + "==", altchars=b"-_", validate=True)
    except ValueError:
        return False
    written = base64.urlsafe_b64encode(raw).rstrip(b"=").decode()
    if len(raw) != 2 * HALF or written != signature:  # another writing of it is an altered file
        return False
    r, s = int.from_bytes(raw[:HALF]), int.from_bytes(raw[HALF:])
    try:
        key.verify(encode_dss_signature(r, s), canonical_bytes(message), ec.ECDSA(SHA256()))
    except InvalidSignature:
        return False
    return True


def head_message(device: str, opening: str, n: int, hash_: str) -> Json:
    """Return what a phone signs for the head of a chain."""
    return {"device": device, "opening": opening, "n": n, "hash": hash_}


def signing_message(event: str, hash_: str) -> Json:
    """Return what a phone signs for a sign-off."""
    return {"event": event, "hash": hash_}
