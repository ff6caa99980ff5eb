"""One OpenAPI document of all that programs may ask: the arithmetic, sync, pairing, photos."""

from typing import Any

from fastapi.openapi.utils import get_openapi

from app.calculations import server as calculations
from app.sync import openapi as sync

Json = dict[str, Any]
_ARITHMETIC = (
    "The arithmetic of the trade, /api/calculations: open without sign-in, it reads no data and "
    "keeps none."
)


def document() -> Json:
    """Return the document; a schema that both parts name must be the same in both."""
    second = sync.document()
    about = "{title}. {description}".format_map(second["info"])
    made = get_openapi(
        title="Sillbook",
        version="1",
        description=f"{_ARITHMETIC}\n\n{about}",
        routes=calculations.router.routes,
    )
    for kind, named in second["components"].items():
        made["components"].setdefault(kind, {}).update(named)
    made["paths"] |= second["paths"]
    return made
