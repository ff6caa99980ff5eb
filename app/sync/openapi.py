"""The OpenAPI document of sync, pairing and photos, made of the models that check them."""

from typing import Any

from pydantic.json_schema import models_json_schema

from app.access.errors import ErrorOut
from app.sync import messages as m

Json = dict[str, Any]
_MODELS = (
    m.Batch, m.EventIn, m.BatchReceipts, m.News, m.PairIn, m.PairOut, m.PasswordIn, m.PasswordOut,
    m.PhotoOut, m.PushIn, m.PushOut, ErrorOut,
)  # fmt: skip
_REFUSALS = {
    "400": "cannot be understood",
    "401": "not paired, or revoked: nothing on the phone is to be cleared",
    "404": "not there, or not for this asker",
    "409": "not now",
    "413": "too large",
    "415": "another kind of content",
    "422": "does not fit",
    "429": "too many tries: wait as Retry-After says",
    "503": "could not be saved: keep it and try again",
}


def document() -> Json:
    """Return the document. Source: OpenAPI 3.1; JSON Schema 2020-12."""
    return {
        "openapi": "3.1.0",
        "info": {"title": "Sillbook: sync", "version": "1", "description": _ABOUT},
        "paths": paths(),
        "components": {
            "schemas": schemas(),
            "securitySchemes": {"phone": {"type": "http", "scheme": "bearer"}},
        },
    }


_ABOUT = "How a phone's book and the office's agree; app/sync/PROTOCOL.md says what it means."


def schemas() -> Json:
    """Return the schemas of all messages, by name."""
    pairs = [(model, "validation") for model in _MODELS]
    _, made = models_json_schema(pairs, ref_template="#/components/schemas/{model}")  # type: ignore[arg-type]
    found: Json = made["$defs"]
    items = {"$ref": "#/components/schemas/EventIn"}
    # Events are checked one by one, so that one that does not fit never stops the others.
    for model in ("Batch", "News"):
        found[model]["properties"]["events"]["items"] = items
    return found


def paths() -> Json:
    """Return the routes."""
    return {
        "/sync": {
            "post": _route(
                "offer", "Offer events", "BatchReceipts", 401, 413, 415, 422, 503, body="Batch"
            ),
            "get": _route("pull", "What is new", "News", 401, 422, query=("after", "epoch")),
        },
        "/sync/password": {
            "post": _route(
                "password",
                "Whether a password is right",
                "PasswordOut",
                401,
                404,
                413,
                415,
                422,
                429,
                body="PasswordIn",
            )
        },
        "/sync/push": {
            "get": _route("push-key", "The office's key for messages", "PushOut", 401),
            "post": _route(
                "push",
                "Where the phone is told at once",
                "PushOut",
                401,
                413,
                415,
                422,
                body="PushIn",
            ),
        },
        "/pair": {"post": _pairing()},
        "/photos/{sha256}": {
            "parameters": [_parameter("sha256", "path", "^[0-9a-f]{64}$")],
            "put": _photo_in(),
            "get": _photo_out(),
        },
    }


def _route(
    id: str, words: str, answer: str, *refusals: int, body: str = "", query: tuple[str, ...] = ()
) -> Json:
    made: Json = {
        "operationId": id,
        "summary": words,
        "security": [{"phone": []}],
        "responses": {"200": _json("done", answer)} | _refused(*refusals),
    }
    if body:
        made["requestBody"] = {"required": True} | {"content": _json("", body)["content"]}
    if query:
        made["parameters"] = [_parameter(name, "query") for name in query]
    return made


def _pairing() -> Json:
    made = _route("pair", "Pair a phone", "PairOut", 409, 413, 415, 422, 429, 503, body="PairIn")
    return made | {"security": []}


def _photo_in() -> Json:
    made = _route("keep", "Keep a photo", "PhotoOut", 401, 404, 409, 413, 415, 422, 503)
    content = {"image/jpeg": {"schema": {"type": "string", "contentMediaType": "image/jpeg"}}}
    return made | {"requestBody": {"required": True, "content": content}}


def _photo_out() -> Json:
    made = _route("photo", "A photo", "PhotoOut", 401, 404)
    image = {"description": "the photo", "content": {"image/jpeg": {"schema": {"type": "string"}}}}
    made["responses"]["200"] = image
    return made


def _parameter(name: str, place: str, pattern: str = "") -> Json:
    schema = {"type": "string"} | ({"pattern": pattern} if pattern else {})
    return {"name": name, "in": place, "required": place == "path", "schema": schema}


def _json(words: str, model: str) -> Json:
    schema = {"$ref": f"#/components/schemas/{model}"}
    return {"description": words, "content": {"application/json": {"schema": schema}}}


def _refused(*statuses: int) -> Json:
    return {str(status): _json(_REFUSALS[str(status)], "ErrorOut") for status in statuses}
