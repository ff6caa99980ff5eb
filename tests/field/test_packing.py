"""How files are compressed, for whom, and that static files come so.

Sources: RFC 9110 (published), 12.5.3 Accept-Encoding, with its five examples; 8.8.3 ETag;
14.2 Range. What was compressed is taken apart by the libraries' own functions.
"""

import gzip
from collections.abc import Iterator
from pathlib import Path

import brotli
import pytest
from fastapi.testclient import TestClient
from starlette.applications import Starlette
from starlette.routing import Mount

from app import packing
from app.access.static import StaticWithValidators
from app.main import create_app
from app.packing import coding_for, packed_content
from app.settings import STATIC, Settings

CSS = "/static/css/sillbook.css"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A browser in which nobody is signed in."""
    with TestClient(create_app(Settings(tmp_path_factory.mktemp("data")))) as client:
        yield client


@pytest.mark.parametrize(
    ("accepted", "coding"),
    [
        # The examples of RFC 9110, 12.5.3; of what they allow, what we have
        ("compress, gzip", "gzip"),
        ("", ""),
        ("*", ""),
        ("compress;q=0.5, gzip;q=1.0", "gzip"),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", "gzip"),
        # What browsers send over HTTPS, and over HTTP
        ("gzip, deflate, br, zstd", "br"),
        ("gzip, deflate", "gzip"),
        # Weight 0 is a refusal, in every way to write it
        ("br;q=0, gzip", "gzip"),
        ("br; q=0.000, gzip ; q=0.0", ""),
        ("br;q=0.001", "br"),
        ("GZIP", "gzip"),
        # No coding of ours, though it has the letters
        ("brx, xgzip", ""),
    ],
)
def test_who_gets_which(accepted: str, coding: str) -> None:
    assert coding_for(accepted) == coding


def test_what_was_made_is_kept_and_never_believed_blindly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packing, "KEPT", tmp_path / "kept")
    first = packed_content(b"sill " * 900, "br", "/static/x.css")
    (kept,) = (tmp_path / "kept").iterdir()
    assert kept.read_bytes() == first
    assert brotli.decompress(first) == b"sill " * 900
    for wrong in (b"", first[:9], brotli.compress(b"another version of it")):
        kept.write_bytes(wrong)
        assert packed_content(b"sill " * 900, "br", "/static/x.css") == first
        assert kept.read_bytes() == first


def test_where_nothing_may_be_kept_it_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setattr(packing, "KEPT", tmp_path / "file" / "kept")
    assert brotli.decompress(packed_content(b"head", "br", "/x")) == b"head"


def test_gzip_holds_no_time_of_making() -> None:
    """RFC 1952, 2.3.1: MTIME stands in bytes 4 to 7, 0 where there is none."""
    assert packed_content(b"jamb", "gzip", "/x")[4:8] == bytes(4)


def raw(browser: TestClient, **headers: str) -> tuple[bytes, dict[str, str]]:
    """Return the stylesheet as it comes over the line, and its headers."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    with browser.stream("GET", CSS, headers=named) as answer:
        return b"".join(answer.iter_raw()), dict(answer.headers)


def test_a_static_file_comes_compressed(browser: TestClient) -> None:
    plain = (STATIC / "css" / "sillbook.css").read_bytes()
    for coding, undo in (("br", brotli.decompress), ("gzip", gzip.decompress)):
        body, headers = raw(browser, accept_encoding=coding)
        assert undo(body) == plain
        assert headers["content-encoding"] == coding
        assert headers["content-length"] == str(len(body))
        assert headers["content-type"] == "text/css; charset=utf-8"
        assert (headers["vary"], headers["cache-control"]) == ("Accept-Encoding", "no-cache")
    body, headers = raw(browser, accept_encoding="identity")
    assert body == plain
    assert "content-encoding" not in headers
    assert headers["vary"] == "Accept-Encoding"


def test_one_validator_serves_every_coding(browser: TestClient) -> None:
    etags = [raw(browser, accept_encoding=each)[1]["etag"] for each in ("br", "gzip", "identity")]
    assert etags[0] == etags[1] == "W/" + etags[2]
    for etag in etags:
        again = browser.get(CSS, headers={"If-None-Match": etag, "Accept-Encoding": "br"})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["vary"] == "Accept-Encoding"


def test_a_part_of_a_file_is_a_part_of_it_as_it_is(browser: TestClient) -> None:
    body, headers = raw(browser, accept_encoding="br", range="bytes=0-9")
    assert body == (STATIC / "css" / "sillbook.css").read_bytes()[:10]
    assert "content-encoding" not in headers


def test_pictures_that_are_compressed_already_are_left_so(browser: TestClient) -> None:
    answer = browser.get("/static/icons/sillbook-180.png", headers={"Accept-Encoding": "br"})
    assert answer.headers.get("content-encoding") is None
    assert answer.content == (STATIC / "icons" / "sillbook-180.png").read_bytes()


def test_a_file_that_changed_is_compressed_anew(tmp_path: Path) -> None:
    app = Starlette(routes=[Mount("/static", StaticWithValidators(tmp_path))])
    with TestClient(app) as client:
        for text in ("one", "another"):
            (tmp_path / "x.css").write_text(text)
            assert client.get("/static/x.css", headers={"Accept-Encoding": "gzip"}).text == text
