"""The arithmetic over HTTP: open, small, and nothing behind it."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.calculations import listing
from app.calculations.reading import MOST_BYTES
from app.calculations.registry import CALCULATIONS
from app.main import create_app
from app.settings import Settings


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    data: Path = tmp_path_factory.mktemp("calculations")
    with TestClient(create_app(Settings(data))) as made:
        yield made


def test_lists_every_calculation_without_signing_in(client: TestClient) -> None:
    found = client.get("/api/calculations")
    assert found.status_code == 200
    names = [one["name"] for one in found.json()["calculations"]]
    assert names == [made.name for made in CALCULATIONS]


@pytest.mark.parametrize("name", [made.name for made in CALCULATIONS])
def test_answers_as_the_command_line_does(client: TestClient, name: str) -> None:
    given = listing.example(name)
    found = client.post(f"/api/calculations/{name}", json=given)
    assert found.status_code == 200
    made = next(one for one in CALCULATIONS if one.name == name)
    assert found.json() == made.answer(given)


def test_sets_no_cookie_and_needs_none(client: TestClient) -> None:
    found = client.post("/api/calculations/cure", json=listing.example("cure"))
    assert "set-cookie" not in found.headers


def test_answers_another_site_too_and_lets_it_read_nothing(client: TestClient) -> None:
    """Nothing changes there, so the guard against foreign forms has nothing to guard."""
    foreign = {"sec-fetch-site": "cross-site", "origin": "https://elsewhere.example"}
    given = listing.example("cure")
    found = client.post("/api/calculations/cure", json=given, headers=foreign)
    assert found.status_code == 200
    assert "access-control-allow-origin" not in found.headers
    assert client.post("/sign-in", data={}, headers=foreign).status_code == 403
    assert client.post("/api/calculationsx", data={}, headers=foreign).status_code == 403


@pytest.mark.parametrize(
    ("path", "body", "status", "code"),
    [
        ("cure", b"{}", 422, "input-missing"),
        ("cure", b"{", 422, "json-broken"),
        ("cure", b'{"depth": "0 in"}', 422, "cure-depth"),
        ("cure", b'{"depth": 5}', 422, "input-kind"),
        ("cure", b" " * (MOST_BYTES + 1), 413, "form-too-large"),
        ("the-answer", b"{}", 404, "calculation-unknown"),
    ],
)
def test_one_shape_for_every_refusal(
    client: TestClient, path: str, body: bytes, status: int, code: str
) -> None:
    found = client.post(f"/api/calculations/{path}", content=body)
    assert found.status_code == status
    said = found.json()["error"]
    assert set(said) == {"code", "message", "details"}
    assert said["code"] == code
    assert said["message"]


def test_a_form_or_no_kind_of_content_is_read_as_json(client: TestClient) -> None:
    """curl names a form where nobody says otherwise."""
    given = json.dumps(listing.example("cure")).encode()
    for kind in ("application/x-www-form-urlencoded", "text/plain"):
        found = client.post("/api/calculations/cure", content=given, headers={"content-type": kind})
        assert found.status_code == 200
    assert client.post("/api/calculations/cure", content=given).status_code == 200


HOSTILE = (
    b'{"%b": NaN}', b'{"%b": -Infinity}', b'{"%b": 1e999}', b'{"%b": ' + b"9" * 4000 + b"}",
    b'{"%b": ' + b"9" * 9000 + b"}", b'{"%b": ' + b"[" * 500 + b"]" * 500 + b"}",
    b'{"%b": ' + b"[" * 30000 + b"]" * 30000 + b"}", b'{"%b": "\\ud800"}', b'{"\\udfff%b": "1"}',
    b'{"%b": ["\\ud800"]}', b'{"%b": "\\u0000"}', b'{"%b": [' + b'"1",' * 501 + b'"1"]}',
    b'{"%b": [null]}', b'{"%b": [{}]}', b'{"%b": {"{name}": "{why}"}}',
    b'{"units": "\\ud800"}', b'{"units": ["in"]}', b'{"units": {}}', b"null", b'"\\ud800"', b"\xff",
)  # fmt: skip


# one field of each kind of input that there is, wherever it stands
KINDS = {
    (field.quantity, field.many, field.start is None): (made, field)
    for made in CALCULATIONS
    for field in made.inputs + made.limits
}


@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_hostile_json_is_refused_and_never_breaks(client: TestClient, kind: tuple[Any]) -> None:
    """What is no number, no text, too deep or too much, beside a request that is sound."""
    made, field = KINDS[kind]
    sound = json.dumps(listing.example(made.name) | {field.name: None})[:-1]
    for body in HOSTILE:
        wrong = body.replace(b"%b", field.name.encode())
        if wrong.startswith(b'{"'):
            wrong = sound.replace(f', "{field.name}": null', "").encode() + b", " + wrong[1:]
        found = client.post(f"/api/calculations/{made.name}", content=wrong)
        assert found.status_code == 422, (field.name, body[:40])
        assert set(found.json()["error"]) == {"code", "message", "details"}
        assert "Traceback" not in found.text


def test_wrong_methods_and_paths_are_json_too(client: TestClient) -> None:
    for found in (client.get("/api/nothing"), client.get("/api/calculations/cure")):
        assert found.status_code in (404, 405)
        assert set(found.json()["error"]) == {"code", "message", "details"}


def test_openapi_lists_them_with_schemas(client: TestClient) -> None:
    made = client.get("/api/openapi.json").json()
    assert made["openapi"].startswith("3.1")
    for one in CALCULATIONS:
        posted = made["paths"][f"/api/calculations/{one.name}"]["post"]
        content = posted["requestBody"]["content"]["application/json"]
        model = content["schema"]["$ref"].rpartition("/")[2]
        assert made["components"]["schemas"][model]["title"] == one.name
        assert content["schema"]["examples"] == [listing.example(one.name)]
        assert set(posted["responses"]) == {"200", "413", "422"}
    listed = [path for path in made["paths"] if path.startswith("/api/calculations")]
    assert len(listed) == len(CALCULATIONS) + 1
