"""A photo as an answer, wherever it lies; who may see it was asked before."""

from collections.abc import Mapping

from starlette.responses import Response

from app.store.photos import PhotoPlace

KIND = "image/jpeg"
# Opened by itself a picture is nothing but a picture, whatever a browser makes of its bytes.
SANDBOX = {"Content-Security-Policy": "default-src 'none'; sandbox"}


def photo_answer(
    place: PhotoPlace, sha256: str, headers: Mapping[str, str] | None = None
) -> Response | None:
    """Return a photo, or None where it is not there. Errors: PhotosAwayError."""
    data = place.read_photo(sha256)
    return data if data is None else Response(data, 200, {**SANDBOX, **(headers or {})}, KIND)
