"""Sends one message to a webhook, signed as Standard Webhooks 1.0.0 says.

The receiver checks `webhook-signature`: HMAC-SHA256 over "id.timestamp.body" by the secret, in
base 64 after "v1,". `webhook-id` stays the same when a message is sent again: by it the receiver
drops doubles. Redirects are not followed, and what the receiver answers is not kept.
"""

import base64
import hmac
import json
import secrets
from http.client import HTTPException
from threading import Timer
from urllib.parse import SplitResult, urlsplit

from app.core.kinds import Json
from app.outbox import reaching
from app.outbox.delivery import TAKEN, Delivery, failed, refused
from app.store.notices import Webhook
from app.store.outbox import Outgoing

SECONDS = 10  # for all of it: resolving is the system's own
_PREFIX = "whsec_"


def fresh_secret() -> str:
    """Return a new secret of 256 bits, as Standard Webhooks writes it."""
    return _PREFIX + base64.b64encode(secrets.token_bytes(32)).decode()


def signature_of(secret: str, id: str, timestamp: int, body: bytes) -> str:
    """Return what `webhook-signature` says of a message."""
    key = base64.b64decode(secret.removeprefix(_PREFIX))
    signed = f"{id}.{timestamp}.".encode() + body
    return "v1," + base64.b64encode(hmac.digest(key, signed, "sha256")).decode()


def message_of(row: Outgoing, base: str) -> bytes:
    """Return the body of a message: {"type", "timestamp", "data"}. base: where pages are."""
    body: Json = json.loads(row.text)
    at = body.pop("at")
    if body.get("opening"):
        body["link"] = f"{base}/office/o/{body['opening']}"
    return json.dumps({"type": row.kind, "timestamp": at, "data": body}).encode()


def send_webhook(
    webhook: Webhook, row: Outgoing, now: int, base: str, private: str,
    resolve: reaching.Resolve = reaching.resolved_addresses,
) -> Delivery:  # fmt: skip
    """Send one message and return what became of it. private: see settings.webhook_host."""
    try:
        parts = reaching.split_url(webhook.url, private)
        addresses = reaching.checked_addresses(parts, private, resolve)
    except (OSError, UnicodeError):
        return failed("name-unknown")
    except reaching.UnreachableError as error:
        return refused(error.code, urlsplit(webhook.url).hostname or "")
    body = message_of(row, base)
    headers = {
        "Content-Type": "application/json",
        "User-Agent": "Sillbook",
        "webhook-id": row.id,
        "webhook-timestamp": str(now),
        "webhook-signature": signature_of(webhook.secret, row.id, now, body),
    }
    connection = reaching.CheckedConnection(parts, addresses, SECONDS)
    status = answered_status(connection, parts, body, headers)
    if isinstance(status, Delivery):
        return status
    if 200 <= status < 300:
        return TAKEN
    if status == 410:  # Standard Webhooks: the receiver wants no more
        return refused("gone")
    return failed("status", status)


def answered_status(
    connection: reaching.CheckedConnection, parts: SplitResult, body: bytes, headers: dict[str, str]
) -> int | Delivery:
    """Post to a stranger's server; returns the status of its answer, or why there is none.

    A redirect is no answer: it is not followed.
    """
    # a receiver that answers a byte a second would hold the task for hours
    deadline = Timer(SECONDS, connection.cut)
    deadline.start()
    try:
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection.request("POST", path, body, headers)
        status = connection.getresponse().status
    except (OSError, HTTPException, ValueError) as error:
        return failed("no-answer", type(error).__name__)
    finally:
        deadline.cancel()
        connection.close()
    return failed("redirect", status) if 300 <= status < 400 else status
