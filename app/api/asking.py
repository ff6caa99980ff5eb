"""Which program asks: its token and scope; refusals; the key by which a write is done once."""

import hashlib
from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Header
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from sqlmodel import Session
from starlette.requests import Request

from app.access.server import server_of
from app.core.errors import AppError
from app.core.quantity.messages import Msg
from app.store import api_tokens
from app.store.api_tokens import ApiToken, ApiWrite

_BEARER = HTTPBearer(auto_error=False, description="A token that an administrator made.")


class TokenUnknownError(AppError):
    """No token, or one that does not hold (any more)."""

    status = 401

    def __init__(self) -> None:
        super().__init__("token-unknown", Msg("This needs a token that holds."))


class ScopeError(AppError):
    """A token that may only read."""

    status = 403

    def __init__(self) -> None:
        super().__init__("scope", Msg("This token may only read."))


class KeyMissingError(AppError):
    """A write without a key."""

    status = 400

    def __init__(self) -> None:
        words = Msg("Name the request by an Idempotency-Key, so that it is done once.")
        super().__init__("idempotency-key-missing", words)


class KeyReusedError(AppError):
    """A key that was used for another request."""

    status = 422

    def __init__(self) -> None:
        words = Msg("This Idempotency-Key was used for another request.")
        super().__init__("idempotency-key-reused", words)


def need_reader(
    request: Request,
    given: Annotated[HTTPAuthorizationCredentials | None, Depends(_BEARER)],
) -> ApiToken:
    """Return the token of whoever asks. Errors: TokenUnknownError, TooManyError."""
    server = server_of(request)
    now = server.clock()
    with server.database.read() as session:
        text = given.credentials if given else ""
        token = api_tokens.living_token(session, text, int(now)) if text else None
    if token is None:
        if text:
            server.limits.asked.enter(request.client.host if request.client else "", now)
        raise TokenUnknownError
    server.limits.token.enter(token.token_hash, now)
    return token


def need_writer(token: Annotated[ApiToken, Depends(need_reader)]) -> ApiToken:
    """Return the token of whoever asks to write; raises ScopeError besides."""
    if token.scope != api_tokens.WRITE:
        raise ScopeError
    return token


Key = Annotated[
    str,
    Header(
        alias="Idempotency-Key",
        max_length=200,
        description="Names this request: sent again with the same key, it makes nothing more.",
    ),
]


def done_once(
    session: Session, request: Request, token: ApiToken, key: str, body: bytes,
    make: Callable[[], str],
) -> str:  # fmt: skip
    """Return the id of what a request makes, or made when it came before with this key.

    Errors: KeyMissingError, KeyReusedError, those of make.
    """
    if not key:
        raise KeyMissingError
    now = int(server_of(request).clock())
    api_tokens.forget_writes(session, now)
    name = hashlib.sha256(f"{token.token_hash}|{key}".encode()).hexdigest()
    digest = hashlib.sha256(request.url.path.encode() + b"\n" + body).hexdigest()
    known = session.get(ApiWrite, name)
    if known is not None:
        if known.digest != digest:
            raise KeyReusedError
        return known.made
    made = make()
    session.add(ApiWrite(key=name, digest=digest, made=made, at=now))
    return made
