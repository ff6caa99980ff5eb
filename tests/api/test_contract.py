"""The API against its own OpenAPI document, by schemathesis: no 5xx, every answer as described.

Requests are made of the document, fit and unfit, and sent to a real server over HTTP.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import schemathesis
from httpx2 import Client
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

from app import openapi
from app.api import shapes
from app.sync import openapi as sync
from tests.api.conftest import make_token
from tests.browser.server import serving
from tests.demo.conftest import OURS, PEOPLE

SCHEMA = schemathesis.openapi.from_dict(openapi.document())
OPERATIONS = {
    one.ok().label: one.ok()
    for one in SCHEMA.get_all_operations()
    if one.ok().path.startswith("/api/v1/")
}
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


@pytest.fixture(scope="module")
def served(
    accepted: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, dict[str, str]]]:
    data = tmp_path_factory.mktemp("contract") / "data"
    shutil.copytree(accepted, data)
    with serving(data) as sillbook:
        with Client(base_url=sillbook.address, headers=OURS, follow_redirects=True) as keeper:
            raw = PEOPLE["administrator"]
            keeper.post("/sign-in", data={"name": raw["login"], "password": raw["password"]})
            token = make_token(keeper, "write")  # type: ignore[arg-type]
        yield sillbook.address, {"Authorization": f"Bearer {token}"}


def test_the_document_has_every_operation() -> None:
    assert len(OPERATIONS) == 11


def test_no_shape_of_the_api_has_the_name_of_another_of_sync() -> None:
    """Both parts of the document share one list of names."""
    shared = set(sync.document()["components"]["schemas"]) & set(dir(shapes))
    assert shared == set()


@pytest.mark.parametrize("label", OPERATIONS)
def test_every_answer_is_as_the_document_says(
    served: tuple[str, dict[str, str]], label: str
) -> None:
    address, headers = served

    @settings(
        max_examples=20,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=OPERATIONS[label].as_strategy())
    def ask(case: schemathesis.Case) -> None:
        case.call_and_validate(base_url=address, headers=headers, checks=CHECKS)

    ask()
