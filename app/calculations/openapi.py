"""The OpenAPI document of the arithmetic: each calculation with its schemas.

OpenAPI 3.1 takes JSON Schema 2020-12 as it is.
"""

from typing import Any

from app.calculations.calculation import Calculation
from app.calculations.listing import example
from app.calculations.registry import CALCULATIONS
from app.calculations.schemas import answer_schema, request_schema

Json = dict[str, Any]
LIST = "/api/calculations"


def document() -> Json:
    """Return the document: routes under /api only."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Sillbook: the arithmetic of the trade",
            "version": "1",
            "description": "Open without sign-in: it reads no data and keeps none.",
        },
        "paths": {LIST: {"get": _listed()}}
        | {f"{LIST}/{made.name}": {"post": _posted(made)} for made in CALCULATIONS},
        "components": {"schemas": {"Error": _ERROR}},
    }


_ERROR: Json = {
    "type": "object",
    "required": ["error"],
    "properties": {
        "error": {
            "type": "object",
            "required": ["code", "message", "details"],
            "properties": {
                "code": {"type": "string", "description": "a code that does not change"},
                "message": {"type": "string", "description": "one sentence for a person"},
                "details": {"type": "object", "description": "the field, where one is at fault"},
            },
        },
    },
}


def _listed() -> Json:
    return {
        "summary": "Every calculation with the JSON Schema of its input and its answer",
        "operationId": "list",
        "responses": {"200": _content("the list", {"type": "object"})},
    }


def _posted(made: Calculation) -> Json:
    return {
        "summary": made.title,
        "description": f"Source: {made.source}.",
        "operationId": made.name,
        "requestBody": {
            "required": True,
            "content": {
                "application/json": {
                    "schema": request_schema(made),
                    "example": example(made.name),
                }
            },
        },
        "responses": {
            "200": _content("the answer", answer_schema(made)),
            "413": _content("more than fits", {"$ref": "#/components/schemas/Error"}),
            "422": _content("what cannot be worked out", {"$ref": "#/components/schemas/Error"}),
        },
    }


def _content(words: str, schema: Json) -> Json:
    return {"description": words, "content": {"application/json": {"schema": schema}}}
