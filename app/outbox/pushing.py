"""Sends one message to a browser or phone by its push service, encrypted for it alone.

RFC 8030 (how it is sent), RFC 8291 with RFC 8188 (encryption, by http_ece), RFC 8292 (whose it is:
VAPID, by py_vapid). The push service learns size and time, and which office sends. A subscription
that the service knows no more (404, 410) ends. The address came from a browser, so it is reached as
a webhook's is: public alone, no redirects.
"""

import base64
import json
from email.utils import parseaddr
from urllib.parse import SplitResult

import http_ece
from cryptography.hazmat.primitives.asymmetric import ec

from app.access.pages import speaker_for
from app.core.kinds import Json
from app.outbox import reaching
from app.outbox.delivery import TAKEN, Delivery, failed, refused
from app.outbox.webhooks import SECONDS, answered_status
from app.outbox.wording import words_of
from app.settings import Settings
from app.store.outbox import Outgoing
from app.store.push import MOST_ENDPOINT, PushSubscription
from app.store.push_keys import PushKey, push_key_of
from app.store.tables import Person

KEPT = 24 * 3600  # seconds that the push service keeps it for a browser that is off
HOLDS = 12 * 3600  # seconds that our word to the push service holds; RFC 8292: at most a day
MOST_TITLE = 200  # signs: RFC 8030 lets a service refuse what is over 4096 bytes
_GONE = (404, 410)


def message_for(row: Outgoing, person: Person) -> bytes:
    """Return what the worker shows: title and the page behind it, no more.

    No person stands in it: not who asked, not what was typed.
    """
    words = words_of(row.kind, json.loads(row.text))
    told: Json = {"title": speaker_for(person).say(words.title)[:MOST_TITLE], "path": words.path}
    return json.dumps({**told, "lang": person.lang, "tag": row.id}).encode()


def encrypted_for(subscription: PushSubscription, message: bytes) -> bytes:
    """Return a message that only this subscription's browser can read (RFC 8291, aes128gcm)."""
    sealed: bytes = http_ece.encrypt(
        message,
        private_key=ec.generate_private_key(ec.SECP256R1()),
        dh=_bytes_of(subscription.p256dh),
        auth_secret=_bytes_of(subscription.auth),
        version="aes128gcm",
    )
    return sealed


def _bytes_of(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def send_push(
    subscription: PushSubscription, message: bytes, settings: Settings, now: int,
    resolve: reaching.Resolve = reaching.resolved_addresses,
) -> Delivery:  # fmt: skip
    """Send one message and return what became of it; 'push-gone' ends the subscription."""
    key = push_key_of(settings.push_key)
    if key is None:
        return refused("push-off")
    try:
        parts = reaching.split_url(subscription.endpoint, settings.webhook_host, MOST_ENDPOINT)
        addresses = reaching.checked_addresses(parts, settings.webhook_host, resolve)
    except (OSError, UnicodeError):
        return failed("name-unknown")
    except reaching.UnreachableError as error:
        return refused(error.code, parts_host(subscription.endpoint))
    headers = {
        "TTL": str(KEPT),
        "Urgency": "normal",
        "Content-Type": "application/octet-stream",
        "Content-Encoding": "aes128gcm",
        "User-Agent": "Sillbook",
        "Authorization": _authorization(key, parts, settings, now),
    }
    connection = reaching.CheckedConnection(parts, addresses, SECONDS)
    sealed = encrypted_for(subscription, message)
    return _delivery_of(answered_status(connection, parts, sealed, headers))


def _delivery_of(answer: int | Delivery) -> Delivery:
    if isinstance(answer, Delivery):
        return answer
    if 200 <= answer < 300:
        return TAKEN
    if answer in _GONE:
        return refused("push-gone", answer)
    # what is wrong with the message or the key stays wrong; a full queue (429) does not
    return (refused if 400 <= answer < 500 and answer != 429 else failed)("status", answer)


def parts_host(endpoint: str) -> str:
    """Return the host of an address, for a reason in words."""
    return endpoint.split("/")[2] if endpoint.count("/") > 1 else ""


def _authorization(key: PushKey, parts: SplitResult, settings: Settings, now: int) -> str:
    """Return the header by which the service knows the office (RFC 8292, 3)."""
    contact = parseaddr(settings.mail_from)[1]
    about = settings.address if settings.address.startswith("https://") else ""
    claims = {
        "aud": f"{parts.scheme}://{parts.netloc}",
        "exp": now + HOLDS,
        "sub": about or (f"mailto:{contact}" if contact else "mailto:nobody@sillbook.invalid"),
    }
    headers: dict[str, str] = key.vapid.sign(claims)
    return headers["Authorization"]
