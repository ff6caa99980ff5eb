"""Browsers in which somebody signed in before: their tries have a lane of their own.

Whoever guesses from everywhere keeps the wait of an account from ending. So a browser in which the
right password was typed once gets a cookie that says so, for this name, and no stranger's tries
are counted against it. The cookie opens nothing: the password is still asked for, and wrong ones
slow this lane down as any.

Source: OWASP, "Slow Down Online Guessing Attacks with Device Cookies".
"""

import base64
import hashlib
import hmac
import secrets

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response

from app.access.cookie import is_secure
from app.store.push import hash_of
from app.store.tables import Setting

LASTS = 400 * 24 * 3600  # seconds; browsers keep no cookie longer (RFC 6265bis, 5.6.1)
MOST_NAMES = 8  # people who take turns at one browser
_SECRET = "known-browsers"  # noqa: S105  (the name of a setting)


def make_secret(session: Session) -> None:
    """Give the database the secret of these cookies, where it has none yet."""
    if session.get(Setting, _SECRET) is None:
        session.add(Setting(name=_SECRET, value=secrets.token_hex(32)))
        session.flush()


def lane_of(request: Request, session: Session, login: str) -> str:
    """Return the name of the lane of a browser that knows this login, or ""."""
    browser, *seals = _parts(request)
    ours = _seal(session, browser, login)
    known = any(hmac.compare_digest(seal.encode(), ours.encode()) for seal in seals)
    return f"{browser} {login}" if known else ""


def cookie_for(request: Request, session: Session, login: str) -> str:
    """Return the cookie of a browser that knows this login as well as those it knew."""
    browser, *seals = _parts(request)
    browser = browser or secrets.token_urlsafe(16)
    ours = _seal(session, browser, login)
    return ".".join([browser, ours, *[seal for seal in seals if seal != ours][: MOST_NAMES - 1]])


def number_of(request: Request) -> str:
    """Return what stands for this browser where something of it is kept; "" for an unknown one."""
    browser = _parts(request)[0]
    return hash_of(browser) if browser else ""


def give_cookie(request: Request, response: Response, value: str) -> None:
    """Hand the cookie to the browser; signing out leaves it there."""
    secure = is_secure(request)
    response.set_cookie(
        _name(request), value, max_age=LASTS, path="/", secure=secure, httponly=True, samesite="lax"
    )


def _name(request: Request) -> str:
    return "__Host-sillbook-known" if is_secure(request) else "sillbook-known"


def _parts(request: Request) -> list[str]:
    """Return the browser's number and its seals; ["", ] where there is no cookie of our shape."""
    parts = request.cookies.get(_name(request), "").split(".")
    fits = all(len(part) == 22 and part.isascii() for part in parts)
    return parts[: 1 + MOST_NAMES] if fits else [""]


def _seal(session: Session, browser: str, login: str) -> str:
    secret = session.get_one(Setting, _SECRET).value.encode()
    made = hmac.digest(secret, f"{browser} {login}".encode(), hashlib.sha256)
    return base64.urlsafe_b64encode(made[:16]).decode().rstrip("=")
