"""What every answer carries, whoever made it."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "font-src 'self'",
    )
)
ALWAYS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # Pages are personal; what may be kept (static files) says so itself.
    "Cache-Control": "no-store",
}
OVER_TLS = {"Strict-Transport-Security": "max-age=31536000"}


class SecurityHeaders:
    """Adds the headers to every answer that does not set them itself."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and complete the answer."""
        wanted = {**ALWAYS, **(OVER_TLS if scope.get("scheme") == "https" else {})}

        async def send_complete(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in wanted.items():
                    headers.setdefault(name, value)
            await send(message)

        await self.app(scope, receive, send_complete)
