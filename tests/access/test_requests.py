"""What every request must keep to, and what every answer carries."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.access.forms import MOST_BYTES, parse_fields
from app.access.headers import ALWAYS
from app.core.errors import AppError
from tests.access.conftest import PASSWORD, browser_of, sign_in

FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.mark.parametrize(
    ("headers", "passes"),
    [
        ({"Sec-Fetch-Site": "same-origin"}, True),
        ({"Sec-Fetch-Site": "none"}, True),
        ({"Sec-Fetch-Site": "same-site"}, False),
        ({"Sec-Fetch-Site": "cross-site"}, False),
        ({"Sec-Fetch-Site": ""}, False),
        ({"Sec-Fetch-Site": "cross-site", "Origin": "http://testserver"}, False),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "https://evil.example"}, True),
        ({"Origin": "http://testserver"}, True),
        ({"Origin": "https://testserver"}, False),  # another scheme is another origin (RFC 6454)
        ({"Origin": "http://testserver:81"}, False),
        ({"Origin": "http://evil.example"}, False),
        ({"Origin": "http://testserver.evil.example"}, False),
        ({"Origin": "null"}, False),
        ({"Origin": ""}, False),
        ({}, False),
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
@pytest.mark.control(7)
def test_only_our_own_pages_may_change_something(
    app: FastAPI, headers: dict[str, str], passes: bool, method: str
) -> None:
    bare = TestClient(app, follow_redirects=False)
    answer = bare.request(method, "/sign-out", headers=headers)
    assert (answer.status_code != 403) is passes
    if not passes:
        assert "Nothing was changed" in answer.text


@pytest.mark.control(7)
def test_cross_site_form_does_not_sign_out(app: FastAPI, inga: TestClient) -> None:
    inga.post("/sign-out", headers={"Sec-Fetch-Site": "cross-site"})
    assert inga.get("/field").status_code == 200


def test_links_from_other_sites_open_pages(inga: TestClient) -> None:
    assert inga.get("/field", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 200


ROUTES = [
    ("GET", "/"), ("GET", "/sign-in"), ("GET", "/field"), ("GET", "/field/o/op-1"),
    ("GET", "/field/bug"), ("GET", "/field/refused"), ("POST", "/field/x"), ("GET", "/office"),
    ("GET", "/health"), ("GET", "/nowhere"), ("GET", "/static/nothing.css"), ("POST", "/sign-in"),
    ("GET", "/static/img/level.svg"), ("DELETE", "/sign-in"), ("POST", "/sign-out"),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path"), ROUTES)
@pytest.mark.parametrize("signed_in", [False, True])
@pytest.mark.control(10, 11, 28)
def test_every_answer_carries_the_headers(
    browser: TestClient, method: str, path: str, signed_in: bool
) -> None:
    if signed_in:
        sign_in(browser)
    answer = browser.request(method, path)
    for name, value in ALWAYS.items():
        if name != "Cache-Control":
            assert answer.headers[name] == value
    kept = "/static/" in path
    assert answer.headers["cache-control"] == ("no-cache" if kept else "no-store") or (
        kept and answer.status_code == 404
    )
    assert "server" not in answer.headers


@pytest.mark.control(9)
def test_policy_allows_nothing_inline(browser: TestClient) -> None:
    policy = browser.get("/sign-in").headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy


def test_static_files_are_asked_for_again_and_not_sent_again(browser: TestClient) -> None:
    first = browser.get("/static/img/level.svg")
    assert first.status_code == 200
    etag = {"If-None-Match": first.headers["etag"]}
    assert browser.get("/static/img/level.svg", headers=etag).status_code == 304


@pytest.mark.parametrize(
    "path", ["/static/../app/main.py", "/static/%2e%2e/app/main.py", "/static/..%2fapp%2fmain.py"]
)
def test_nothing_but_static_files_is_served(browser: TestClient, path: str) -> None:
    assert browser.get(path).status_code == 404


@pytest.mark.parametrize(
    ("body", "headers", "status", "code"),
    [
        (b"task=%ff", FORM, 400, "form-unreadable"),
        (b"task=%ed%a0%80", FORM, 400, "form-unreadable"),  # half a character
        (b"task=\xc3\xa9", FORM, 400, "form-unreadable"),
        (b"&".join(b"a=1" for _ in range(1001)), FORM, 400, "form-unreadable"),
        (b"task=" + b"x" * MOST_BYTES, FORM, 413, "form-too-large"),
        (b"{}", {"Content-Type": "application/json"}, 415, "form-kind"),
        (b"", {}, 415, "form-kind"),
        (b"--x", {"Content-Type": "multipart/form-data; boundary=x"}, 415, "form-kind"),
        (b"\0" * 10, {"Content-Type": "\xff\xfe".encode("latin-1")}, 415, "form-kind"),
    ],
)
@pytest.mark.parametrize("path", ["/field/x", "/sign-in"])
def test_bodies_that_are_no_forms_are_refused_in_words(
    inga: TestClient, path: str, body: bytes, headers: dict[str, str], status: int, code: str
) -> None:
    answer = inga.post(path, content=body, headers={**headers, "Accept": "application/json"})
    assert answer.status_code == status
    assert answer.json()["error"]["code"] == code
    page = inga.post(path, content=body, headers=headers)
    assert page.status_code == status
    assert page.headers["content-type"].startswith("text/html")


def test_body_without_a_length_is_bounded_too(inga: TestClient) -> None:
    def endless():  # type: ignore[no-untyped-def]
        for _ in range(100):
            yield b"x" * 10_000

    assert inga.post("/field/x", content=endless(), headers=FORM).status_code == 413


@pytest.mark.parametrize(
    ("body", "fields"),
    # Source: WHATWG URL, section on application/x-www-form-urlencoded parsing (restated).
    [
        (b"", {}),
        (b"size=1+3%2F8&note=", {"size": "1 3/8", "note": ""}),
        (b"a=1;b=2", {"a": "1;b=2"}),
        (b"a=%C2%BD", {"a": "½"}),
        (b"a=1&a=2", {"a": "2"}),
        (b"a", {"a": ""}),
        (b"a=%zz", {"a": "%zz"}),
    ],
)
def test_forms_are_read_as_browsers_write_them(body: bytes, fields: dict[str, str]) -> None:
    assert parse_fields(body) == fields


def test_refusal_is_a_page_for_people_and_json_for_programs(inga: TestClient) -> None:
    page = inga.get("/field/refused")
    assert page.status_code == 422
    assert "That is no &lt;b&gt;length&lt;/b&gt;." in page.text
    answer = inga.get("/field/refused", headers={"Accept": "application/json"})
    assert answer.json() == {
        "error": {"code": "nonsense", "message": "That is no <b>length</b>.", "details": {}},
    }  # fmt: skip


@pytest.mark.control(30)
def test_bug_gives_a_calm_page_without_internals(inga: TestClient) -> None:
    answer = inga.get("/field/bug")
    assert answer.status_code == 500
    assert "Something in Sillbook went wrong" in answer.text
    for inside in ("secret inside", "ZeroDivision", "Traceback", ".py"):
        assert inside not in answer.text
    assert inga.get("/field").status_code == 200


@pytest.mark.control(30)
def test_failed_write_is_never_called_saved(app: FastAPI, inga: TestClient) -> None:
    from sqlalchemy import text

    with app.state.server.database.write() as session:
        session.execute(text("ALTER TABLE event RENAME TO gone"))
    form = {"opening": "op-1", "id": "x", "task": "t"}
    answer = inga.post("/field/x", data=form)
    assert answer.status_code == 503
    assert "could not be saved" in answer.text


@pytest.mark.parametrize("path", ["/field", "/field/o/op-1"])
def test_forms_and_pages_of_strangers(browser: TestClient, path: str) -> None:
    assert browser.get(path).headers["location"] == f"/sign-in?next={path}"
    answer = browser.post(path, data={"a": "1"})
    assert answer.status_code == 401
    as_json = browser.get(path, headers={"Accept": "application/json"})
    assert as_json.json()["error"]["code"] == "sign-in-first"


def test_unknown_pages_and_methods(browser: TestClient) -> None:
    assert browser.get("/nowhere").status_code == 404
    assert browser.put("/sign-in").status_code == 405
    assert browser.get("/nowhere", headers={"Accept": "application/json"}).json() == {
        "error": {"code": "page-unknown", "message": "There is no such page.", "details": {}},
    }  # fmt: skip


def test_error_refusals_are_app_errors() -> None:
    with pytest.raises(AppError) as refused:
        parse_fields(b"\xff")
    assert refused.value.code == "form-unreadable"


def test_sign_in_works_after_all_that(app: FastAPI) -> None:
    assert sign_in(browser_of(app), "sven", PASSWORD) == 303
