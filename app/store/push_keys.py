"""The office's own pair of keys for messages to browsers (VAPID, RFC 8292), from the settings."""

import base64
from dataclasses import dataclass

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from py_vapid import Vapid02, VapidException

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg


@dataclass(frozen=True)
class PushKey:
    """The pair. public: as browsers take it, the point in base 64 for addresses."""

    vapid: Vapid02
    public: str


def push_key_of(private: str) -> PushKey | None:
    """Return the pair of a setting; None for "". Errors: RefusedError 'push-key-unfit'."""
    if not private:
        return None
    try:
        vapid = Vapid02.from_string(private)
        point = vapid.public_key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    except (ValueError, VapidException, TypeError) as error:
        words = Msg("SILLBOOK_PUSH is no key: make one with `sillbook push-key`.")
        raise RefusedError("push-key-unfit", words) from error
    return PushKey(vapid, _text_of(point))


def public_push_key(private: str) -> str:
    """Return what browsers ask for messages with; "" where no key is set."""
    key = push_key_of(private)
    return key.public if key is not None else ""


def fresh_push_key() -> str:
    """Return a new private key as the setting takes it: 32 bytes in base 64 for addresses."""
    number = ec.generate_private_key(ec.SECP256R1()).private_numbers().private_value
    return _text_of(number.to_bytes(32))


def _text_of(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode().rstrip("=")
