"""How the bundle and the worker are served."""

import gzip
import hashlib
from collections.abc import Iterator
from pathlib import Path

import brotli
import pytest
from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings

AS_WORKER = {"Service-Worker": "script"}


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A browser in which nobody is signed in: the bundle holds nothing personal."""
    app = create_app(Settings(tmp_path_factory.mktemp("data")))
    with TestClient(app, follow_redirects=False) as client:
        yield client


def test_manifest_is_never_kept(browser: TestClient) -> None:
    answer = browser.get("/bundle/manifest.json")
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-type"] == "application/json"


@pytest.mark.parametrize("encoding", ["gzip, br", "gzip", "identity"])
def test_every_file_arrives_as_the_manifest_says(browser: TestClient, encoding: str) -> None:
    for row in browser.get("/bundle/manifest.json").json()["files"]:
        answer = browser.get(row["url"], headers={"Accept-Encoding": encoding})
        assert answer.status_code == 200, row
        assert len(answer.content) == row["size"]
        assert hashlib.sha256(answer.content).hexdigest() == row["sha256"]
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
        assert answer.headers["vary"] == "Accept-Encoding"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers.get("content-encoding", "identity") in encoding


def test_types_are_what_browsers_need(browser: TestClient) -> None:
    manifest = browser.get("/bundle/manifest.json").json()
    for path, kind in (
        ("micropython.wasm", "application/wasm"),  # WebAssembly.compileStreaming asks for it
        ("micropython.js", "text/javascript; charset=utf-8"),
        ("sillbook.css", "text/css; charset=utf-8"),
        ("level.svg", "image/svg+xml"),
        ("code.json", "application/json"),
    ):
        row = next(row for row in manifest["files"] if row["path"].endswith(path))
        assert browser.get(row["url"]).headers["content-type"] == kind


def test_compressed_is_the_same_and_less(browser: TestClient) -> None:
    manifest = browser.get("/bundle/manifest.json").json()
    url = next(row["url"] for row in manifest["files"] if row["path"] == "/code.json")
    plain = browser.get(url, headers={"Accept-Encoding": "identity"}).content
    zipped, least = raw(browser, url, "gzip"), raw(browser, url, "gzip, deflate, br")
    assert gzip.decompress(zipped) == brotli.decompress(least) == plain
    assert len(least) * 1.2 < len(zipped) < len(plain) / 3


def raw(browser: TestClient, url: str, accepted: str) -> bytes:
    """Return the bytes as they come over the line."""
    with browser.stream("GET", url, headers={"Accept-Encoding": accepted}) as answer:
        return b"".join(answer.iter_raw())


NOT_THERE = ["{v}/x", "{v}/static/field/sw.js", "0/code.json", "{v}//etc/passwd", "{v}/%2e%2e/x"]


@pytest.mark.parametrize("path", NOT_THERE)
def test_what_is_not_of_this_version_is_not_there(browser: TestClient, path: str) -> None:
    version = browser.get("/bundle/manifest.json").json()["version"]
    answer = browser.get("/bundle/" + path.format(v=version))
    assert answer.status_code == 404
    assert answer.headers["cache-control"] == "no-store"


def test_worker_has_the_version_and_may_start_the_interpreter(browser: TestClient) -> None:
    answer = browser.get("/sw.js", headers=AS_WORKER)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/javascript; charset=utf-8"
    assert answer.headers["cache-control"] == "no-cache"
    version = browser.get("/bundle/manifest.json").json()["version"]
    assert answer.text.startswith(f'"use strict";\nconst VERSION = "{version}";\n')
    scripts = directives(answer.headers["content-security-policy"])["script-src"]
    assert scripts == ["'self'", "'wasm-unsafe-eval'"]


@pytest.mark.control(9)
def test_only_the_worker_may_start_the_interpreter(browser: TestClient) -> None:
    """Its own answer and no other: pages, files of the bundle, static files."""
    manifest = browser.get("/bundle/manifest.json").json()
    urls = [
        "/",
        "/sign-in",
        "/field",
        "/health",
        "/bundle/manifest.json",
        "/static/field/keypad.js",
    ]
    for url in urls + [row["url"] for row in manifest["files"]]:
        policy = directives(browser.get(url).headers["content-security-policy"])
        assert policy["script-src"] == ["'self'"], url
        assert policy["default-src"] == ["'none'"], url
    worker = directives(browser.get("/sw.js").headers["content-security-policy"])
    page = directives(browser.get("/sign-in").headers["content-security-policy"])
    assert {**worker, "script-src": []} == {**page, "script-src": []}


def directives(policy: str) -> dict[str, list[str]]:
    """Return a policy's directives. W3C Content Security Policy Level 3, 2.2.1."""
    return {part.split()[0]: part.split()[1:] for part in policy.split(";")}


@pytest.mark.control(9)
def test_nothing_else_becomes_a_worker(browser: TestClient) -> None:
    manifest = browser.get("/bundle/manifest.json").json()
    scripts = [row["url"] for row in manifest["files"] if row["path"].endswith(".js")]
    others = ["/", "/field", "/static/field/sw.js", "/static/field/keypad.js", "/sw.js/", "//sw.js"]
    for url in [*scripts, *others, "/photos/x", "/nowhere"]:
        answer = browser.get(url, headers=AS_WORKER)
        assert answer.status_code == 403, url
        assert "content-security-policy" in answer.headers
    assert browser.get("/static/field/keypad.js").status_code == 200


def test_settings_do_not_matter(tmp_path: Path, browser: TestClient) -> None:
    """Two servers of the same sources agree on the version."""
    with TestClient(create_app(Settings(tmp_path))) as other:
        version = other.get("/bundle/manifest.json").json()["version"]
    assert version == browser.get("/bundle/manifest.json").json()["version"]
