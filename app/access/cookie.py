"""The session's cookie. Over https it is bound to this very host by its name."""

from starlette.requests import Request
from starlette.responses import Response

from app.access.sessions import ABSOLUTE

PLAIN = "sillbook"
SECURE = "__Host-sillbook"


def is_secure(request: Request) -> bool:
    """Return whether the request came over https, as far as we are told."""
    return request.url.scheme == "https"


def cookie_name(request: Request) -> str:
    """Return the cookie's name for the way this request came."""
    return SECURE if is_secure(request) else PLAIN


def token_of(request: Request) -> str:
    """Return the token that the browser sent, or ""."""
    return request.cookies.get(cookie_name(request), "")


def give_cookie(request: Request, response: Response, token: str) -> None:
    """Hand a token to the browser, out of reach of scripts and of other sites' forms."""
    response.set_cookie(
        cookie_name(request),
        token,
        max_age=ABSOLUTE,
        path="/",
        secure=is_secure(request),
        httponly=True,
        samesite="lax",
    )


def take_cookie(request: Request, response: Response) -> None:
    """Take the token from the browser."""
    response.delete_cookie(
        cookie_name(request), path="/", secure=is_secure(request), httponly=True, samesite="lax"
    )
