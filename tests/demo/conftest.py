"""The demo company, loaded once for all tests that only look, and copied for those that write."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.demo import company
from app.main import create_app
from app.settings import Settings

OURS = {"Sec-Fetch-Site": "same-origin"}
PEOPLE = {
    raw["role"]: raw
    for raw in reversed(company.read_yaml(company.FOLDER / "company.yaml")["people"])
}


@pytest.fixture
def app(demo_data: Path, tmp_path: Path) -> Iterator[FastAPI]:
    """The demo company served from a copy of its own."""
    shutil.copytree(demo_data, tmp_path / "data")
    made = create_app(Settings(tmp_path / "data"))
    with TestClient(made):
        yield made


def enter(app: FastAPI, role: str) -> TestClient:
    """Return a browser in which the first person of a role is signed in."""
    browser = TestClient(app, headers=OURS, raise_server_exceptions=False)
    raw = PEOPLE[role]
    browser.post("/sign-in", data={"name": raw["login"], "password": raw["password"]})
    return browser
