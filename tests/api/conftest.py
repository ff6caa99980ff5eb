"""The demo company with an accepted door, and programs that ask with tokens."""

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from tests.access.conftest import Clock
from tests.demo.conftest import enter
from tests.office.conftest import fields

Program = Callable[..., TestClient]


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(accepted: Path, tmp_path: Path, clock: Clock) -> Iterator[FastAPI]:
    shutil.copytree(accepted, tmp_path / "data")
    settings = Settings(tmp_path / "data", "https://book.example.org")
    made = create_app(settings, clock=clock)
    yield made
    made.state.server.database.close()


@pytest.fixture
def keeper(app: FastAPI) -> TestClient:
    return enter(app, "administrator")


def make_token(keeper: TestClient, scope: str = "read", days: str = "90") -> str:
    """Make a token on the office's page; returns what is shown this once."""
    path = "/office/tokens"
    given = {**fields(keeper.get(path).text, path), "act": "make", "name": "Ledger"}
    page = keeper.post(path, data={**given, "scope": scope, "days": days}).text
    return re.findall(r"<strong>(sillbook_[\w-]{32})</strong>", page)[0]


def asking(app: FastAPI, token: str) -> TestClient:
    """Return a program: no cookie, no header of a browser, only its token."""
    headers = {"Authorization": f"Bearer {token}"}
    return TestClient(app, headers=headers, raise_server_exceptions=False)


@pytest.fixture
def reader(app: FastAPI, keeper: TestClient) -> TestClient:
    return asking(app, make_token(keeper))


@pytest.fixture
def writer(app: FastAPI, keeper: TestClient) -> TestClient:
    return asking(app, make_token(keeper, "write"))
