"""One OpenAPI document of all that programs may ask: the arithmetic, sync, pairing, photos."""

from typing import Any

from app.calculations import openapi as calculations
from app.sync import openapi as sync

Json = dict[str, Any]


def document() -> Json:
    """Return the document; a schema that both parts name must be the same in both."""
    first, second = calculations.document(), sync.document()
    components: Json = {}
    for part in (first["components"], second["components"]):
        for kind, named in part.items():
            components.setdefault(kind, {}).update(named)
    return {
        "openapi": "3.1.0",
        "info": {"title": "Sillbook", "version": "1", "description": _about(first, second)},
        "paths": first["paths"] | second["paths"],
        "components": components,
    }


def _about(*parts: Json) -> str:
    return "\n\n".join(f"{p['info']['title']}. {p['info']['description']}" for p in parts)
