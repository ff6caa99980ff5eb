"""One OpenAPI document of all that programs may ask: API, arithmetic, sync, pairing, photos."""

from typing import Any

from fastapi.openapi.utils import get_openapi

from app.api import routes as api
from app.calculations import server as calculations
from app.sync import openapi as sync

Json = dict[str, Any]
_ARITHMETIC = (
    "The arithmetic of the trade, /api/calculations: open without sign-in, it reads no data and "
    "keeps none."
)
_API = (
    "The office's data, /api/v1: by a token that an administrator makes under Company. Lists come "
    "in pages: ask again with `after` set to `next`. A POST is named by its Idempotency-Key, and "
    "done once. Refusals are application/problem+json (RFC 9457)."
)


def document() -> Json:
    """Return the document; a schema that both parts name must be the same in both."""
    second = sync.document()
    about = "{title}. {description}".format_map(second["info"])
    made = get_openapi(
        title="Sillbook",
        version="1",
        description=f"{_API}\n\n{_ARITHMETIC}\n\n{about}",
        routes=[*calculations.router.routes, *api.router.routes],
    )
    for kind, named in second["components"].items():
        made["components"].setdefault(kind, {}).update(named)
    made["paths"] |= second["paths"]
    return made
