"""Sends e-mail by the server that the settings name (SMTP), as text and as HTML."""

import smtplib
import ssl
from datetime import UTC, datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime, parseaddr
from urllib.parse import unquote, urlsplit

from app.access.only_here import is_here
from app.outbox.delivery import TAKEN, Delivery, failed, refused

SECONDS = 20
MOST_ADDRESS = 254  # RFC 5321, 4.5.3.1.3


def is_mail(address: str) -> bool:
    """Return whether a text can be an address of e-mail: name@domain, without anything else.

    Example: is_mail("ines@example.org") -> True; is_mail("Ines <ines@example.org>") -> False
    """
    name, at, domain = address.rpartition("@")
    plain = address.isascii() and address.isprintable() and len(address) <= MOST_ADDRESS
    if not (plain and name and at and "." in domain) or set(address) & set(' <>"(),:;[]\\'):
        return False
    try:
        Address(addr_spec=address)
    except (ValueError, IndexError):
        return False
    return True


def mail_of(
    sender: str, to: str, subject: str, text: str, html: str, id: str, now: float
) -> EmailMessage:
    """Return a message with its text and HTML. id: a double has the same (RFC 5322, 3.6.4)."""
    message = EmailMessage()
    message["From"] = sender
    message["To"] = to
    message["Subject"] = " ".join(subject.split())
    message["Date"] = format_datetime(datetime.fromtimestamp(now, UTC))
    domain = parseaddr(sender)[1].rpartition("@")[2] or "sillbook.invalid"
    message["Message-ID"] = f"<{id}@{domain}>"
    message["Auto-Submitted"] = "auto-generated"  # RFC 3834: nobody's absence answers it
    message.set_content(text)
    message.add_alternative(html, subtype="html")
    return message


def send_mail(server: str, message: EmailMessage) -> Delivery:
    """Hand a message to the server and return what became of it.

    Beyond this machine nothing is sent without TLS, and the server's certificate is checked.
    """
    try:
        with _connected(server) as smtp:
            smtp.send_message(message)
    except smtplib.SMTPRecipientsRefused as error:
        code, _ = next(iter(error.recipients.values()))  # what it said may name the address
        return (refused if code >= 500 else failed)("receiver-refused", code)
    except smtplib.SMTPAuthenticationError:
        return failed("password-refused")
    except smtplib.SMTPResponseException as error:
        return failed("server-said", error.smtp_code)
    except (smtplib.SMTPException, OSError, ValueError) as error:
        return failed("server-unusable", type(error).__name__)
    return TAKEN


def _connected(server: str) -> smtplib.SMTP:
    parts = urlsplit(server)
    host = parts.hostname or ""
    trusted = ssl.create_default_context()
    smtp: smtplib.SMTP
    if parts.scheme == "smtps":
        smtp = smtplib.SMTP_SSL(host, parts.port or 465, timeout=SECONDS, context=trusted)
    else:
        smtp = smtplib.SMTP(host, parts.port or 587, timeout=SECONDS)
    try:
        if parts.scheme != "smtps" and not is_here(host):
            smtp.starttls(context=trusted)
        if parts.username:
            smtp.login(unquote(parts.username), unquote(parts.password or ""))
    except BaseException:
        smtp.close()
        raise
    return smtp
