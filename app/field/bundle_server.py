"""Serves the phone its bundle and its worker."""

from threading import Lock
from typing import Annotated, cast

from fastapi import APIRouter, Header
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from app.access.headers import POLICY
from app.core.errors import MissingError
from app.core.quantity.messages import Msg
from app.field.bundle import NOTIFY, WORKER, Bundle, shipped_bundle
from app.packing import coding_for

router = APIRouter()
FOR_GOOD = "public, max-age=31536000, immutable"  # seconds; the address names the content
# The interpreter is WebAssembly: only the worker's own answer lets it be compiled.
WORKER_POLICY = POLICY.replace("script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'")


class BundleShelf:
    """The bundle of this server, put together when it is first asked for."""

    def __init__(self) -> None:
        self._lock = Lock()

    @property
    def bundle(self) -> Bundle:
        """Return the bundle; the same for as long as the server runs."""
        with self._lock:  # two that ask at once must not both make it
            return shipped_bundle()


def shelf_of(request: Request) -> BundleShelf:
    """Return what the routes of the bundle share."""
    return cast("BundleShelf", request.app.state.shelf)


@router.get("/bundle/manifest.json")
def bundle_manifest(request: Request) -> Response:
    """Say what the bundle is now."""
    return JSONResponse(shelf_of(request).bundle.manifest())


@router.get("/bundle/{version}/{path:path}")
def bundle_file(
    request: Request, version: str, path: str, accept_encoding: Annotated[str, Header()] = ""
) -> Response:
    """Give out a file of the bundle that is served now; errors: MissingError 'bundle-gone'."""
    bundle = shelf_of(request).bundle
    found = bundle.by_path.get("/" + path)
    if version != bundle.version or found is None:
        raise MissingError("bundle-gone", Msg("This version of the program is no longer here."))
    headers = {"Cache-Control": FOR_GOOD, "Vary": "Accept-Encoding"}
    coding = coding_for(accept_encoding)
    if coding:
        headers["Content-Encoding"] = coding
    return Response(found.packed(coding), headers=headers, media_type=found.kind)


@router.get("/office-worker.js")
def office_worker_script() -> Response:
    """Give out the worker of the office's pages: it shows messages and hears no request."""
    script = '"use strict";\n' + NOTIFY.read_text(encoding="utf-8")
    return Response(script, headers={"Cache-Control": "no-cache"}, media_type="text/javascript")


@router.get("/sw.js")
def worker_script(request: Request) -> Response:
    """Give out the worker, with the bundle's version in it: a new bundle is a new worker."""
    version = shelf_of(request).bundle.version
    script = f'"use strict";\nconst VERSION = "{version}";\n' + WORKER.read_text(encoding="utf-8")
    headers = {"Cache-Control": "no-cache", "Content-Security-Policy": WORKER_POLICY}
    return Response(script, headers=headers, media_type="text/javascript")
